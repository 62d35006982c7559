"""Every electrical finding: a build that shows it, and the small build that does not."""

import pytest

from demo_db.load import demo_builds
from domain.build import actions, removal, run_ends
from domain.build.edits import RemoveRecord
from domain.build.records import Build
from domain.build.start import start_build
from domain.document.records import label
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.small import Change, changed, found, small_build

MORE = ("amplifiers", "a1", "channel_w", 5000.0)
UNLIMITED = ("amplifiers", "a1", "onboard_fuse_a", None)

SHOWN_BY: list[tuple[str, str, Level, tuple[Change, ...]]] = [
    ("no-feed", "a1", Level.STOP, (("runs", "r5", "target", ""),)),
    ("no-return", "a1", Level.STOP, (("runs", "r6", "target", ""),)),
    ("cut-path", "r5", Level.STOP, (("runs", "r5", "source", ""),)),
    ("cut-path", "r6", Level.STOP, (("runs", "r6", "polarity", "positive"),)),
    ("cut-path", "r5", Level.STOP, (("runs", "r4", "target", ""),)),
    ("insulation-heat", "r5", Level.STOP, (("zones", "z3", "ambient_c", 105.0),)),
    ("wire-overloaded", "r5", Level.STOP, (("runs", "r5", "gauge", "AWG 16"),)),
    ("terminal", "r5", Level.FIX, (("runs", "r5", "gauge", "AWG 1/0"),)),
    ("drop", "r4", Level.FIX, (("runs", "r4", "gauge", "AWG 10"),)),
    ("not-measured", "r5", Level.NOTE, (("runs", "r5", "length_m", None),)),
    ("no-fuse", "r4", Level.STOP, (("runs", "r4", "fused", False),)),
    ("fuse-over-wire", "r5", Level.STOP, (("runs", "r5", "gauge", "AWG 14"),)),
    ("fuse-far", "r4", Level.FIX, (("runs", "r4", "fuse_distance_m", 1.0),)),
    ("fuse-small", "r5", Level.FIX, (("runs", "r5", "fuse_a", 10.0),)),
    (
        "fuse-small",
        "r5",
        Level.STOP,
        (MORE, UNLIMITED, ("runs", "r5", "fuse_family", "cartridge A")),
    ),
    ("fuse-series", "r5", Level.FIX, (("runs", "r5", "fuse_a", 77.0),)),
    ("fused-ground", "r6", Level.FIX, (("runs", "r6", "fused", True),)),
    ("onboard-unknown", "a1", Level.NOTE, (UNLIMITED,)),
    ("onboard-limit", "a1", Level.NOTE, (("amplifiers", "a1", "onboard_fuse_a", 20.0),)),
    (
        "collapse",
        "r5",
        Level.STOP,
        (("runs", "r5", "length_m", 60.0), ("runs", "r5", "gauge", "AWG 16")),
    ),
    ("short-cruise", "g1", Level.FIX, (("alternators", "g1", "rated_a", 30.0),)),
    ("short-idle", "g1", Level.NOTE, (("alternators", "g1", "idle_a", 20.0),)),
    ("block-full", "d1", Level.FIX, ()),
    ("ground-paint", "e2", Level.FIX, (("grounds", "e2", "surface", "painted"),)),
    ("ground-resistance", "e2", Level.FIX, (("grounds", "e2", "resistance_ohm", 0.003),)),
    (
        "ground-thin",
        "r6",
        Level.FIX,
        (("runs", "r5", "gauge", "AWG 4"), ("runs", "r6", "gauge", "AWG 10")),
    ),
    ("ground-long", "r6", Level.NOTE, (("runs", "r6", "length_m", 0.6),)),
]
"""Code, id that it names, level, and the change of the small build that brings it about."""


def test_the_small_build_has_nothing_to_mend() -> None:
    sheet = evaluate(small_build())
    assert not [f for f in sheet.findings if f.level is not Level.NOTE]
    assert not {f.code for f in sheet.findings} & {code for code, *_ in SHOWN_BY}


@pytest.mark.parametrize(
    ("code", "id", "level", "changes"), SHOWN_BY, ids=[f"{c}-{i}-{v}" for c, i, v, _ in SHOWN_BY]
)
def test_finding(code: str, id: str, level: Level, changes: tuple[Change, ...]) -> None:
    build = changed(small_build(), *changes)
    if code == "block-full":
        for _ in range(4):
            build = actions.applied(build, actions.add(build, "amplifiers"))
    shown = [f for f in found(build, code) if f.id == id]
    assert [f.level for f in shown][:1] == [level]
    for finding in shown:
        assert finding.what
        assert finding.why
        assert finding.do
        assert finding.source
        # what it names is there to be mended
        assert any(r.id == finding.id for r in getattr(build, finding.table))
        record = next(r for r in getattr(build, finding.table) if r.id == finding.id)
        assert finding.field in record.__struct_fields__


def test_no_battery_and_no_alternator() -> None:
    build = small_build()
    bare = actions.applied(build, removal.remove(build, "batteries", "b1"))
    assert [f.level for f in found(bare, "no-battery")] == [Level.STOP]
    assert not found(build, "no-battery")
    bare = actions.applied(build, removal.remove(build, "alternators", "g1"))
    assert [f.level for f in found(bare, "no-alternator")] == [Level.NOTE]
    assert not found(build, "no-alternator")


def test_a_loop_and_a_wire_beside_another() -> None:
    build = small_build()
    assert not found(build, "loop")
    beside = actions.applied(build, run_ends.add_run(build, "b1", "d1", fused=True))
    # two runs drawn alike are wires side by side, as one run of two is
    assert not found(beside, "loop")
    assert [f.id for f in found(beside, "parallel")] == ["r4"]
    ring = actions.applied(build, run_ends.add_run(build, "b1", "a1", fused=True))
    assert len(found(ring, "loop")) == 1


@pytest.mark.parametrize(("gauge", "level"), [("AWG 12", Level.FIX), ("AWG 14", Level.STOP)])
def test_existing_wires_are_judged_more_mildly(gauge: str, level: Level) -> None:
    # Its maker may know better than the table; not where PVC is spoilt: 160 C, IEC 60364-5-54
    # (from memory). By hand: 51 A in 50 C on AWG 12 and 14, which at 39 A and 30 A reach 105 C:
    # 50 + 55 (51/39)^2 = 144 C and 50 + 55 (51/30)^2 = 209 C.
    hot = (("runs", "r5", "gauge", gauge), ("runs", "r5", "existing", True))
    build = changed(small_build(), *hot)
    (overloaded,) = found(build, "wire-overloaded")
    (run,) = (run for run in evaluate(build).runs if run.id == "r5")
    assert overloaded.level is level
    assert (run.temperature_c > 160.0) is (level is Level.STOP)


def test_a_chosen_gauge_is_not_told_to_be_given_back() -> None:
    # whoever left it to be chosen already is told what else helps
    small = ("amplifiers", "a1", "largest_wire", "AWG 12")
    auto = changed(small_build(), ("runs", "r5", "gauge", None), small, MORE)
    overloaded = next(f for f in found(auto, "wire-overloaded") if f.id == "r5")
    assert overloaded.do.startswith("no gauge fits")
    pinned = changed(small_build(), ("runs", "r5", "gauge", "AWG 16"))
    assert "make it automatic again" in found(pinned, "wire-overloaded")[0].do


def test_the_link_to_a_battery_is_called_as_the_battery_is() -> None:
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    battery = build.batteries[-1].id
    build = changed(build, ("batteries", battery, "name", "Aux"))
    link = next(run for run in build.runs if run.target == battery)
    assert label(build, link.id) == "Aux feed"


def test_ring_limit_is_per_point() -> None:
    build = small_build()
    for _ in range(4):
        build = actions.applied(build, actions.add(build, "amplifiers"))
    # the last one found no room on that stud and brought a ground point of its own
    assert [point.id for point in build.grounds][-1] == build.runs[-1].target == "e3"
    assert not found(build, "ground-crowded")
    moved = changed(build, ("runs", build.runs[-1].id, "target", "e2"))
    assert [f.id for f in found(moved, "ground-crowded")] == ["e2"]


@pytest.mark.parametrize("run", ["r2", "r3"])
def test_a_battery_without_its_ground_is_not_called_a_swinging_network(run: str) -> None:
    # by definition: with nothing to drive a current round, everything simply stands still
    build: Build = start_build()
    assert not found(build, "unsettled")
    cut = actions.applied(build, RemoveRecord(table="runs", id=run))
    assert not found(cut, "unsettled")


def test_wire_behind_an_isolator_needs_a_fuse_before_it() -> None:
    # common practice (33 CFR 183.455): what a battery feeds is fused near it. The isolator's
    # contacts close while the engine runs: without the fuse of the wire before it nothing opens
    # on a short in the 6 m of wire behind it, its own fuse is at the far end
    build = dict(demo_builds())["camper_van"]
    assert {"r4", "r5"} <= {run.id for run in build.runs if "solator" in run.name}
    stopped = [f.id for f in evaluate(build).findings if f.level is Level.STOP]
    assert "r5" not in stopped
    bare = changed(build, ("runs", "r4", "fused", False))
    stopped = [f.id for f in evaluate(bare).findings if f.level is Level.STOP]
    assert "r5" in stopped


def test_an_output_that_nobody_said_how_it_is_stated_is_asked() -> None:
    # common practice: 120 A on the plate are 0.85 of it hot, and less below 6000 per minute; until
    # somebody says that it is hot the plan counts with the lower figure
    build = small_build()
    assert [f.level for f in found(build, "output-stated")] == [Level.NOTE]
    asked, hot, plate = (
        evaluate(changed(build, ("alternators", "g1", "hot", said))) for said in (None, True, False)
    )
    assert asked.supply.cruise_a == plate.supply.cruise_a
    assert 0.7 * 120 < plate.supply.cruise_a < 0.86 * 120
    assert hot.supply.cruise_a == 120
    for said in (hot, plate):
        assert not [f for f in said.findings if f.code == "output-stated"]


def test_a_collapse_tells_the_lowest_voltage_of_those_that_switch_off() -> None:
    # Ohm's law: of two amplifiers alike the one on the longer, thinner branch has less
    build = small_build()
    build = actions.applied(
        build, actions.add(build, "amplifiers", onboard_fuse_a=80.0, channel_w=150.0)
    )
    build = changed(
        build,
        *(("runs", "r4", "length_m", 60.0), ("runs", "r4", "gauge", "AWG 12")),
        *(("runs", "r5", "length_m", 3.0), ("runs", "r5", "gauge", "AWG 14")),
    )
    told = found(build, "collapse")
    assert told
    for finding in told:
        state = next(s for s in evaluate(build).states if finding.what.endswith(s.title))
        assert state.off == ("a1", "a2")
        low, high = sorted(state.amplifier_v.values())
        assert f"would fall to {low:.2f} V" in finding.why
        assert f"{high:.2f} V" not in finding.why


def test_a_drop_that_just_meets_its_limit_is_inside() -> None:
    # by definition of a limit: with every wire pinned the drop stands; a limit of just that is kept
    build = small_build()
    build = changed(build, *(("runs", run.id, "gauge", run.gauge) for run in evaluate(build).runs))
    drop = evaluate(build).amplifiers[0].drop_v
    assert drop is not None
    for share, told in ((1.0, False), (0.99, True), (1.01, False)):
        limited = changed(build, ("header", "", "drop_limit_v", drop * share))
        assert bool(found(limited, "drop")) is told


def test_lengths_that_are_assumed_are_told_once() -> None:
    several = [("runs", id, "length_m", None) for id in ("r4", "r5", "r6")]
    (told,) = found(changed(small_build(), *several), "not-measured")
    assert told.what == "3 lengths not measured yet"
    for run in evaluate(changed(small_build(), *several)).runs:
        assert (run.name in told.why) is (run.id in {"r4", "r5", "r6"}), run.name
    many = small_build()
    for _ in range(4):
        many = actions.applied(many, actions.add(many, "amplifiers"))
    (told,) = found(many, "not-measured")
    assert told.what == "8 lengths not measured yet"
    assert told.why.endswith(" and 2 more")


def test_fuses_of_amplifiers_that_are_not_entered_are_told_once() -> None:
    build = changed(small_build(), UNLIMITED)
    more = actions.applied(build, actions.add(build, "amplifiers"))
    assert more.amplifiers[-1].onboard_fuse_a is None
    (told,) = found(more, "onboard-unknown")
    assert told.id == "a1"
    assert told.what == "2 amplifiers: on-board fuses not entered"
    assert all(amplifier.name in told.why for amplifier in more.amplifiers)
