"""Runs of several wires side by side: as two runs drawn alike, each wire with its own fuse.

What the one must be, the other is: that needs no figure of the program's own. The rest are hand
calculations by Kirchhoff's laws.
"""

from collections import Counter

import pytest

from domain.build import actions, removal
from domain.build.edits import AddRecord, Edit, Scalar, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.cable.cut_list import cut_list
from domain.document.records import next_id
from domain.electrical.parallel import one_open_a
from domain.evaluate import evaluate
from domain.findings import Level
from domain.mending import mend
from domain.money.operations import operation_counts
from domain.sheet import Sheet
from domain.work_order import work_order
from tests.domain.electrical.small import Change, changed, found, small_build


def large(*changes: Change) -> Build:
    """One amplifier of 1,500 W; r4 is the main run, r5 its branch."""
    return changed(
        small_build(),
        ("amplifiers", "a1", "channel_w", 1500.0),
        ("amplifiers", "a1", "onboard_fuse_a", None),
        ("amplifiers", "a1", "largest_wire", "AWG 1/0"),
        *changes,
    )


PINNED: tuple[Change, ...] = (
    ("runs", "r4", "gauge", "AWG 4"),
    ("runs", "r4", "fuse_a", 80.0),
    ("runs", "r4", "bundle", 2),
)


def of_two(*changes: Change) -> Build:
    return large(*PINNED, ("runs", "r4", "count", 2), *changes)


def drawn_twice(*changes: Change) -> Build:
    """The same with the main run drawn twice."""
    build = large(*PINNED, *changes)
    main = next(run for run in build.runs if run.id == "r4")
    copy = main.plain() | {"id": next_id(build, "runs"), "name": "Main run"}
    return actions.applied(build, AddRecord(table="runs", record=copy))


def twin(build: Build) -> str:
    return build.runs[-1].id


def test_one_run_of_two_is_two_runs_drawn_alike() -> None:
    one, build = evaluate(of_two()), drawn_twice()
    two = evaluate(build)
    run, first, second = one.run("r4"), two.run("r4"), two.run(twin(build))
    assert run is not None
    assert first is not None
    assert second is not None
    for field in ("design_a", "programme_a", "ampacity_a", "fuse_least_a", "temperature_c"):
        assert getattr(run, field) == pytest.approx(getattr(first, field), rel=1e-6), field
        assert getattr(run, field) == pytest.approx(getattr(second, field), rel=1e-6), field
    assert run.one_open_a == pytest.approx(first.one_open_a, rel=1e-6)
    assert run.one_open_a == pytest.approx(2 * run.design_a, rel=1e-6)
    assert run.drop_v == pytest.approx(first.drop_v, rel=1e-6)
    assert run.heat_w == pytest.approx(first.heat_w + second.heat_w, rel=1e-6)
    assert run.conductor_kg == pytest.approx(first.conductor_kg + second.conductor_kg)
    for a, b in zip(one.states, two.states, strict=True):
        for node, volts in a.node_v.items():
            assert volts == pytest.approx(b.node_v[node], abs=1e-6)
    proved = [(s.verdict, s.harm, s.lasting_a, s.through_a) for s in one.segments_of("r4")]
    assert proved == [(s.verdict, s.harm, s.lasting_a, s.through_a) for s in two.segments_of("r4")]
    assert [f.what for f in found(of_two(), "parallel")] == [
        f.what for f in found(build, "parallel")
    ]


def bought(sheet: Sheet) -> Counter[tuple[str, str, str]]:
    """What is needed, but for screws and tube, which a drawn pair lays apart."""
    left_out = ("Loom", "Clamps", "Fasteners", "Grommets")
    lines = [line for line in sheet.materials if line.group not in left_out]
    return Counter({(m.group, m.item, m.size): round(m.needed, 6) for m in lines})


def test_it_is_bought_cut_labelled_and_paid_twice() -> None:
    build, drawn = of_two(), drawn_twice()
    sheet = evaluate(build)
    assert bought(sheet) == bought(evaluate(drawn))
    labels = [label for label in cut_list(build, sheet).labels if label.run == "r4"]
    texts = {label.lines[0] for label in labels}
    assert any("(1 of 2)" in text for text in texts)
    assert any("(2 of 2)" in text for text in texts)
    other = cut_list(drawn, evaluate(drawn)).labels
    assert len(labels) == sum(label.run in ("r4", twin(drawn)) for label in other)
    counts, twice = operation_counts(build, sheet), operation_counts(drawn, evaluate(drawn))
    for name in ("terminate", "fuse", "run_main", "run_branch"):
        assert counts.get(name) == twice.get(name), name
    steps = [step.what for step in work_order(build, sheet) if "(r4)" in step.what]
    assert any("2 x 4 AWG" in what for what in steps)
    assert any("80 A in each wire" in what for what in steps)


def flows(*changes: Change) -> list[float | None]:
    """The most that flows for good into each piece of the main run, ahead of its fuses apart."""
    sheet = evaluate(large(*PINNED, ("runs", "r4", "fuse_distance_m", 0.0), *changes))
    return [segment.lasting_a for segment in sheet.segments_of("r4")]


def test_each_wire_is_fed_back_through_the_others() -> None:
    # by hand: into a wire come its own fuse and, at its far end, those of the others
    assert flows() == [80.0]
    assert flows(("runs", "r4", "count", 2)) == [80.0]
    assert flows(("runs", "r4", "count", 3)) == [160.0]
    assert flows(("runs", "r4", "count", 4)) == [240.0]
    # with a fuse at each far end no more than its own comes from there
    both = (("runs", "r4", "far_fused", True), ("runs", "r4", "far_fuse_distance_m", 0.0))
    assert flows(("runs", "r4", "count", 4), *both) == [80.0]


def test_three_wires_without_far_fuses_are_told_and_mended() -> None:
    build = of_two(("runs", "r4", "count", 3), ("runs", "r4", "fuse_distance_m", 0.0))
    told = [f for f in found(build, "fuse-over-wire") if f.id == "r4"]
    # 160 A from the other two into AWG 4 for 124 A in the engine bay, 87 A two together: 184 %
    assert [f.level for f in told] == [Level.STOP]
    assert "160 A" in told[0].what
    fused = changed(build, ("runs", "r4", "far_fused", True))
    assert not [f for f in found(fused, "fuse-over-wire") if f.id == "r4"]


def test_what_the_wires_left_carry() -> None:
    # by hand: three wires of 1, 1 and 2 siemens share 100 A as 25, 25, 50; without the thick one
    # the thin ones carry 50 each; without a thin one the thick one carries 100 x 2/3
    build = small_build()
    r4 = next(run for run in build.runs if run.id == "r4")
    thin, thick = r4.but(count=2), r4.but(id="r9")
    carried, ohm = {"r4": 50.0, "r9": 50.0}, {"r4": 0.5, "r9": 0.5}
    found_a = one_open_a((thin, thick), carried, ohm)
    assert found_a["r4"] == pytest.approx(50.0)
    assert found_a["r9"] == pytest.approx(100 * 2 / 3)


def test_unlike_wires_are_told() -> None:
    build = drawn_twice()
    assert not found(build, "parallel-unlike")
    short = changed(build, ("runs", twin(build), "length_m", 1.5))
    assert [f.id for f in found(short, "parallel-unlike")] == ["r4"]


def test_where_no_gauge_fits_more_wires_are_proposed() -> None:
    build = large(
        ("amplifiers", "a1", "channel_w", 3000.0),
        ("amplifiers", "a1", "largest_wire", "AWG 4/0"),
        ("blocks", "d1", "largest_in", "AWG 1/0"),
    )
    told = [f for f in evaluate(build).findings if f.id == "r4" and f.level is not Level.NOTE]
    assert told
    for _ in range(4):
        edits = [edit for f in told if (edit := mend(build, f)) is not None]
        if not edits:
            break
        build, _ = apply(build, edits[0])
        told = [f for f in evaluate(build).findings if f.id == "r4" and f.level is not Level.NOTE]
    assert not told
    assert next(run for run in build.runs if run.id == "r4").count > 1


def bank_of_four() -> Build:
    """Four batteries on a bus in the boot, two runs to the front; pinned is the count alone."""
    build = start_build()

    def put(edit: Edit) -> None:
        nonlocal build
        build = actions.applied(build, edit)

    def run(source: str, target: str, **values: Scalar) -> str:
        id = next_id(build, "runs")
        put(
            AddRecord(table="runs", record={"id": id, "source": source, "target": target, **values})
        )
        return id

    put(actions.add(build, "blocks", name="Boot bus", kind="distribution"))
    bus = build.blocks[-1].id
    for fed in [r.id for r in build.runs if bus in (r.source, r.target)]:
        put(removal.remove(build, "runs", fed))
    ground = build.grounds[-1].id
    for number in range(4):
        put(actions.add(build, "batteries", name=f"Boot {number + 1}"))
        battery = build.batteries[-1].id
        for link in [r for r in build.runs if battery in (r.source, r.target)]:
            put(removal.remove(build, "runs", link.id))
        run(battery, bus, fused=True, length_m=0.5, zone=build.batteries[-1].zone)
        run(battery, ground, polarity="ground", length_m=0.4, zone=build.batteries[-1].zone)
    run(bus, "d1", fused=True, far_fused=True, count=2, length_m=4.5, zone="z2")
    put(removal.remove(build, "runs", "r4"))
    run("b1", "d1", fused=True, far_fused=True, length_m=1.0, zone="z1")
    for _ in range(2):
        put(actions.add(build, "amplifiers", channels=1, channel_w=1000.0))
    return build


def test_a_bank_of_four_with_two_runs_to_the_front() -> None:
    build = bank_of_four()
    sheet = evaluate(build)
    pinned = {run.id for run in build.runs if run.gauge is not None}  # the vehicle's own cables
    blamed = [
        f
        for f in sheet.findings
        if f.level is not Level.NOTE and f.table == "runs" and f.id not in pinned
    ]
    assert blamed == []
    pair = next(r for r in sheet.runs if r.count == 2)
    assert all(s.harm == "none" for s in sheet.segments_of(pair.id))
    assert pair.fuse_a is not None
    assert pair.fuse_a <= pair.ampacity_a
    assert [f.id for f in found(build, "parallel")] == [pair.id]


def test_what_is_said_of_a_fuse_is_of_one_wire() -> None:
    # by hand: two wires share alike, so each carries and needs half of what one alone would
    (finding,) = [f for f in found(of_two(), "fuse-small") if f.id == "r4"]
    sheet = evaluate(of_two())
    run = sheet.run("r4")
    assert run is not None
    most = max(abs(state.current_a["r4"]) for state in sheet.states) / 2
    assert f"up to {most:.3g} A flow" in finding.why
    assert "in each wire" in finding.why
    assert most <= run.fuse_least_a * 1.001
    # one fuse ahead of two wires without any: no sum of fuses, that one fuse
    bare = large(
        ("runs", "r4", "fuse_a", 200.0),
        ("runs", "r5", "fused", False),
        ("runs", "r5", "gauge", "AWG 4"),
        ("runs", "r5", "count", 2),
    )
    (over,) = [f for f in found(bare, "fuse-over-wire") if f.id == "r5"]
    assert over.what == "Amp 1 feed: a 200 A fuse does not protect 4 AWG"
    assert over.why.startswith("each wire carries")


@pytest.mark.parametrize(
    ("fuse_a", "fate"),
    [(150.0, "holds"), (125.0, "may open too"), (100.0, "opens too")],
)
def test_what_becomes_of_the_other_s_fuse(fuse_a: float, fate: str) -> None:
    # hand: some 147 A flow through the one that is left, 0.98, 1.18 and 1.47 times its fuse; a
    # fuse must open at 1.35 times its rating (ISO 8820, memory) and carries its rating
    build = large(("runs", "r4", "count", 2), ("runs", "r4", "fuse_a", fuse_a))
    left = evaluate(build).run("r4")
    assert left is not None
    assert left.one_open_a == pytest.approx(147, abs=2)
    (finding,) = found(build, "parallel")
    assert f"its own fuse of {fuse_a:.0f} A {fate}" in finding.why
