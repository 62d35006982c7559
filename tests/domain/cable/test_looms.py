"""Runs that lie in one loom: materials, derating, findings, work order, by hand on small builds."""

from math import ceil
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from demo_db.load import demo_builds
from domain.build.actions import applied
from domain.build.edits import SetField
from domain.build.records import Build, Run
from domain.cable.bundles import bundle_size
from domain.cable.fittings import loom, outside_diameter_mm
from domain.cable.looms import looms
from domain.electrical.bundling import conductors_in
from domain.evaluate import evaluate, make_plan
from domain.findings import Finding, Level
from domain.materials.bill import materials_list
from domain.materials.loom_materials import SUPPORT_SPACING_M, clamps_between
from domain.mending import mend
from domain.sheet import MaterialLine, Sheet
from domain.work_order import work_order
from domain.workings.materials import line_id
from domain.workings.registry import workings
from domain.workings.working import Figure
from tests.domain.materials.test_bill import plan, result, results

DEMOS = dict(demo_builds())


def together(build: Build, ids: tuple[str, ...], word: str = "Sill", **values: Any) -> Build:
    runs = tuple(run.but(loom=word, **values) if run.id in ids else run for run in build.runs)
    return build.but(runs=runs)


def lines(build: Build, group: str, runs: tuple[Any, ...] | None = None) -> list[MaterialLine]:
    found = materials_list(build, runs or results(), ())
    return [line for line in found if line.group == group]


def found(build: Build, code: str) -> list[Finding]:
    return [each for each in evaluate(build).findings if each.code == code]


def test_a_word_is_the_same_whatever_its_spaces_and_capitals() -> None:
    words = ("Sill", " sill ", "SILL", "door", "", "  ")
    runs = [Run(id=f"r{n}", loom=word) for n, word in enumerate(words, 1)]
    assert conductors_in(runs) == {"r1": 3, "r2": 3, "r3": 3, "r4": 1}


def test_the_tube_is_stepped_where_the_shorter_run_leaves() -> None:
    # by hand: 4 AWG is 9.3 mm over its insulation. r2 (1.1 m) and r3 (1.3 m) are 18.6 mm across
    # up to 1.1 m, which fills 75 % of a bore of 21.5 mm: 1 in; then r3 alone, 10.7 mm: 1/2 in.
    build = together(plan(), ("r2", "r3"))
    tubes = {line.size: line for line in lines(build, "Loom")}
    assert set(tubes) == {"3/4 in", "1 in", "1/2 in"}  # 3/4 in is r1's own, as before
    assert tubes["1 in"].needed == pytest.approx(1.1)
    assert tubes["1 in"].asked_by == ("r2", "r3")
    assert tubes["1/2 in"].needed == pytest.approx(0.2)
    assert tubes["1/2 in"].asked_by == ("r3",)
    # clamps at 0, 0.45 and 0.9 m over the 1 in tube (31 mm), the next would be at 1.35 m
    clamps = {line.size: line for line in lines(build, "Clamps")}
    assert clamps["1-1/4 in"].needed == 3
    assert clamps["1-1/4 in"].asked_by == ("r2", "r3")


def test_a_loom_with_a_positive_wire_is_sleeved_throughout() -> None:
    # r2 (positive, 1.1 m) and the ground r5, made longer: the tube goes on over r5 alone
    runs = (*results()[:4], result("r5", "AWG 4", 2.0, source="a2", target="e1"))
    tubes = {line.size: line for line in lines(together(plan(), ("r2", "r5")), "Loom", runs)}
    assert tubes["1 in"].needed == pytest.approx(1.1)
    assert tubes["1/2 in"].needed == pytest.approx(0.9 + 1.3)  # the rest of r5, and r3 by itself
    # grounds alone, out of the engine bay, are tied and clamped bare
    bare = together(plan(), ("r4", "r5"), "grounds")
    assert all("r4" not in line.asked_by for line in lines(bare, "Loom"))
    # 9.3 + 9.3 mm bare is 0.732 in: the next sixteenth is 3/4
    assert [line.size for line in lines(bare, "Clamps") if "r4" in line.asked_by] == ["3/4 in"]


def test_one_grommet_for_each_pair_of_zones_that_a_loom_crosses() -> None:
    # r1 and a second main run go from the engine bay to the boot; r2 stays in the boot
    build = plan()
    second = build.runs[0].but(id="r7", target="a2")
    build = build.but(runs=(*build.runs, second))
    runs = (*results(), result("r7", "AWG 4", 5.0, source="b1", target="a2"))
    apart = lines(build, "Grommets", runs)
    assert sum(line.needed for line in apart) == 2
    (one,) = lines(together(build, ("r1", "r2", "r7")), "Grommets", runs)
    # 14 and 9.3 mm are 23.3 mm across: the 25.4 mm bore
    assert (one.needed, one.asked_by) == (1, ("r1", "r7"))
    assert one.size == "1.00 in bore, 1.25 in hole"


def test_an_existing_run_takes_room_and_is_not_bought() -> None:
    # r6, already there, lies beside r2: 18.6 mm across up to the end of r2; nothing behind it
    build = together(plan(), ("r2", "r6"))
    tubes = {line.size: line for line in lines(build, "Loom")}
    assert tubes["1 in"].needed == pytest.approx(1.1)
    assert tubes["1 in"].asked_by == ("r2",)
    assert all("r6" not in line.asked_by for line in materials_list(build, results(), ()))
    assert looms(together(plan(), ("r6",)), results()[5:]) == ()


def test_a_bundle_too_large_for_any_tube_says_so() -> None:
    build = Build.of(
        {
            "amplifiers": [{"id": "a1"}],
            "runs": [{"id": f"r{n}", "loom": "all"} for n in range(1, 13)],
        }
    )
    runs = tuple(result(f"r{n}", "AWG 1/0", 2.0) for n in range(1, 13))
    (tube,) = lines(build, "Loom", runs)
    # published: 12 equal circles in one of 4.0297 times their diameter, 14 mm; 2.221 in
    assert tube.size == "for 2.221 in cable"
    assert tube.note == "no tube in the table is large enough"


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(0.2, 12),
            st.sampled_from(["AWG 1/0", "AWG 4", "AWG 8", "35 mm2"]),
            st.booleans(),
        ),
        min_size=1,
        max_size=6,
    )
)
def test_stretches_and_clamps_by_conservation(cables: list[tuple[float, str, bool]]) -> None:
    ids = [f"r{n}" for n in range(1, len(cables) + 1)]
    rows = [
        {"id": id, "loom": "x", "existing": existing}
        for id, (_, _, existing) in zip(ids, cables, strict=True)
    ]
    build = Build.of({"amplifiers": [{"id": "a1"}], "runs": rows})
    runs = tuple(
        result(id, gauge, wire_m, existing=existing)
        for id, (wire_m, gauge, existing) in zip(ids, cables, strict=True)
    )
    if all(run.existing for run in runs):
        assert looms(build, runs) == ()
        return
    (laid,) = looms(build, runs)
    # every run lies in stretches that add up to its wire, from the start on without a gap
    for run in runs:
        own = [s for s in laid.stretches if run.id in s.runs]
        assert sum(s.end_m - s.start_m for s in own) == pytest.approx(run.wire_m)
        assert own == list(laid.stretches[: len(own)])
    # tube and clamps reach as far as the longest new run: one clamp for every 0.45 m begun
    longest = max(run.wire_m for run in runs if not run.existing)
    bought = materials_list(build, runs, ())
    tube = sum(line.needed for line in bought if line.group == "Loom")
    clamps = sum(line.needed for line in bought if line.group == "Clamps")
    assert tube == pytest.approx(longest)
    assert clamps == ceil(longest / SUPPORT_SPACING_M - 1e-9) == clamps_between(0, longest)
    for stretch in laid.stretches:
        held = tuple(outside_diameter_mm(r.area_mm2) for r in runs if r.id in stretch.runs)
        chosen = loom(bundle_size(held).diameter)
        assert stretch.tube == (chosen[0] if chosen else "")


def test_the_loom_derates_what_lies_in_it_and_a_pinned_bundle_stays() -> None:
    # ABYC E-11, from memory: 0.7 for two or three loaded conductors together, 0.6 for four to six
    apart = evaluate(together(DEMOS["camper_van"], ("r8", "r9"), ""))
    for ids, factor in ((("r8", "r9"), 0.7), (("r8", "r9", "r10", "r11"), 0.6)):
        pins = {"r8": "10 mm2", "r9": "16 mm2"}
        build = together(DEMOS["camper_van"], ids)
        for id, gauge in pins.items():
            build = applied(build, SetField(table="runs", id=id, field="gauge", value=gauge))
        sheet = evaluate(build)
        single = evaluate(together(build, ids, ""))
        for id in pins:
            run, alone = sheet.run(id), single.run(id)
            assert run is not None
            assert alone is not None
            assert (run.bundle, run.bundle_auto, alone.bundle) == (len(ids), True, 1)
            # alone it lies in tube, 0.8 of free air; the factors of bundles count the tube too
            assert run.ampacity_a == pytest.approx(factor / 0.8 * alone.ampacity_a)
    pinned = evaluate(together(DEMOS["camper_van"], ("r8", "r9"), bundle=1)).run("r9")
    before = apart.run("r9")
    assert pinned is not None
    assert before is not None
    assert pinned.ampacity_a == pytest.approx(before.ampacity_a)
    assert (pinned.bundle, pinned.bundle_auto) == (1, False)


def test_a_pinned_bundle_below_the_loom_is_found_and_mended() -> None:
    build = together(DEMOS["camper_van"], ("r9",), "Locker", bundle=1)
    (finding,) = found(build, "bundle-low")
    assert (finding.level, finding.id, finding.field) == (Level.FIX, "r9", "bundle")
    edit = mend(build, finding)
    assert edit is not None
    assert applied(build, edit).runs[8].bundle is None
    for enough in (2, 5, None):
        assert not found(together(build, ("r9",), "Locker", bundle=enough), "bundle-low")


def test_wire_ahead_of_its_fuse_should_lie_alone() -> None:
    # the main run's first 10 in are ahead of its fuse, the charge cable has none at all
    build = together(DEMOS["estate_car"], ("r1", "r4"))
    levels = {each.id: each.level for each in found(build, "loom-unprotected")}
    assert levels == {"r1": Level.FIX, "r4": Level.NOTE}
    (note,) = (each for each in found(build, "loom-unprotected") if each.id == "r4")
    assert "10 in before its fuse" in note.what
    # branches behind the fused block have nothing bare, and a run by itself harms no other
    assert not found(DEMOS["camper_van"], "loom-unprotected")
    assert not found(together(DEMOS["estate_car"], ("r4",)), "loom-unprotected")


def test_a_loom_of_one_run_may_be_a_slip_of_the_pen() -> None:
    build = together(together(DEMOS["camper_van"], ("r7",), "Lokcer"), ())
    (note,) = found(build, "loom-alone")
    assert (note.level, note.id) == (Level.NOTE, "r7")
    assert "the other harnesses are Locker" in note.why
    assert not found(DEMOS["camper_van"], "loom-alone")


def thin_bass_feed() -> Build:
    """The camper van with both feeds of its locker of one size, which the sums by hand are for."""
    thin = SetField(table="runs", id="r9", field="gauge", value="10 mm2")
    return applied(DEMOS["camper_van"], thin)


def test_insulation_beside_a_hotter_wire() -> None:
    # a bass feed of 10 mm2 gets to 87 C at full tone: more than 80 C insulation beside it stands
    build = together(thin_bass_feed(), ("r8", "r9"), "Locker")
    cool = applied(build, SetField(table="runs", id="r8", field="insulation", value="80 C"))
    assert [each.id for each in found(cool, "loom-heat")] == ["r8"]
    assert not found(build, "loom-heat")


def test_runs_of_one_way_pass_the_same_hottest_place() -> None:
    build = DEMOS["estate_car"]
    cooler = build.runs[3].but(id="r11", zone="z2", target="a2")
    build = together(build.but(runs=(*build.runs, cooler)), ("r4", "r11"))
    (note,) = found(build, "loom-zones")
    assert (note.id, note.field) == ("r11", "zone")
    assert "Engine bay" in note.why
    same = applied(build, SetField(table="runs", id="r11", field="zone", value="z1"))
    assert not found(same, "loom-zones")


def test_a_loom_too_thick_for_every_tube_is_found() -> None:
    build = together(DEMOS["camper_van"], tuple(f"r{n}" for n in range(1, 13)), gauge="AWG 4/0")
    (note,) = found(build, "loom-large")
    assert "12 cables" in note.why
    assert not found(DEMOS["camper_van"], "loom-large")


def test_the_work_order_says_what_lies_in_each_loom() -> None:
    build = thin_bass_feed()
    (step,) = (s for s in work_order(build, evaluate(build)) if s.stage == "Close the harnesses")
    # the feeds are 0.70 and 0.90 m and 0.15 m of slack each
    assert "Front and rear amp feed (r8) and Bass amp feed (r9) side by side" in step.what
    assert "5/8 in over the first 85 cm, 3/8 in from there to 1.05 m" in step.what


def test_the_tube_s_working_says_how_thick_the_bundle_is() -> None:
    # by hand: 10 mm2 is 6.536 mm over its insulation, two of them 13.07 mm side by side; 0.85 m
    # of it beside the 0.75 and 6.82 m of the two runs in the engine bay
    plan = make_plan(thin_bass_feed())
    (line,) = (each for each in plan.sheet.materials if each.size == "5/8 in")
    working = workings(plan, Figure("material_line", line_id(line), "needed"))
    shares = {i.symbol: i.value for i in working.inputs}
    assert shares == pytest.approx({"r4": 0.75, "r5": 6.82, "locker 1": 0.85})
    assert working.value == pytest.approx(8.42) == line.needed
    assert any("r8 + r9, 13.1 mm across" in step for step in working.steps)
    assert {"FEKETE2019", "KRAVITZ1967"} <= set(working.source.split(" + "))
    thick = workings(plan, Figure("loom_stretch", "locker 1", "bundle_m"))
    assert thick.value == pytest.approx(0.01307, abs=1e-5)


def test_the_sheet_lists_named_looms_alone(sheets: dict[str, Sheet]) -> None:
    assert sheets["estate_car"].looms == ()
    (only,) = sheets["camper_van"].looms
    assert (only.name, only.runs, only.sleeved) == ("Locker", ("r8", "r9"), True)


@pytest.fixture(scope="module")
def sheets() -> dict[str, Sheet]:
    return {name: evaluate(build) for name, build in DEMOS.items()}
