"""Does each fuse open before its wire is hurt? Trade facts, and faults solved a second way."""

from math import inf, isfinite
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings

from domain.build import actions, run_ends
from domain.build.choices import FuseFamily, Insulation, Metal
from domain.build.edits import AddRecord
from domain.build.records import Build
from domain.electrical import ampacity, conductors, fuses, sources
from domain.electrical.network import run_conductor, system
from domain.electrical.protection import coordination, opening, short_circuit
from domain.electrical.protection.any_short import Fuse, worst_short
from domain.electrical.protection.withstand import Wire, withstand_s
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate, make_plan
from domain.findings import Level
from domain.plan import Plan
from domain.reference.planning import planned
from domain.sheet import FuseStudy, Sheet
from tests.counts import cases
from tests.domain.electrical.protection.shaped_builds import shaped
from tests.domain.electrical.random_builds import builds, random_build
from tests.domain.electrical.small import changed, found, small_build

ordinary = settings(max_examples=cases(60, 30), deadline=None, derandomize=True)


def study(sheet: Sheet, id: str) -> FuseStudy:
    each = sheet.study(id)
    assert each is not None
    return each


def main_run(gauge: str, fuse_a: float, metres: float = 1.5) -> Build:
    """The small build with this main run and an unfused branch of the same wire."""
    return changed(
        small_build(),
        ("runs", "r4", "gauge", gauge),
        ("runs", "r4", "fuse_a", fuse_a),
        ("runs", "r4", "length_m", metres),
        ("blocks", "d1", "largest_in", "AWG 4/0"),
    )


def test_200_a_strip_fuse_on_one_nought_protects() -> None:
    # common practice; by hand at 270 A, the current it must open: a class 105 wire of 53.5 mm2
    # carries 221 A in 60 C and lasts to 221 sqrt(100/45) = 329 A
    each = study(evaluate(main_run("AWG 1/0", 200)), "r4")
    assert each.protects
    assert each.opens
    assert each.must_open_a == pytest.approx(270)
    assert each.margin is None or each.margin > 1
    assert not found(main_run("AWG 1/0", 200), "fuse-slow")


def test_200_a_strip_fuse_on_4_awg_does_not() -> None:
    # common practice; by hand: 124 A in 60 C lasts to 124 sqrt(100/45) = 185 A, the fuse may
    # carry 270 A for half an hour
    build = main_run("AWG 4", 200)
    each = study(evaluate(build), "r4")
    assert not each.protects
    assert each.weakest == "r4"
    assert each.margin is not None
    assert each.margin < 0.1
    assert [f.level for f in found(build, "fuse-over-wire")] == [Level.STOP]
    # the plain rule has said so already
    assert not [f for f in found(build, "fuse-slow") if f.id == "r4"]


def long_thin_wire(fuse_a: float = 15.0) -> Build:
    """An amplifier at the end of 30 m of AWG 18, wire that carries its fuse."""
    return changed(
        small_build(),
        ("amplifiers", "a1", "channel_w", 50.0),
        ("amplifiers", "a1", "onboard_fuse_a", None),
        ("runs", "r5", "gauge", "AWG 18"),
        ("runs", "r5", "length_m", 30.0),
        ("runs", "r5", "slack_m", 0.0),
        ("runs", "r5", "fuse_a", fuse_a),
        ("runs", "r4", "fuse_a", 60.0),
    )


def test_a_short_at_the_end_of_a_long_thin_wire_never_opens_its_fuse() -> None:
    # by hand: 30 m of AWG 18 are 0.63 ohm cold, so that 12.7 V push less than the 20.25 A at
    # which a 15 A fuse must open
    build = long_thin_wire()
    each = study(evaluate(build), "r5")
    assert each.fault_far_a < 12.7 / (30 * 0.017241 / 0.8231) < 20.25
    assert (each.opens, each.protects) == (False, False)
    assert each.opens_far_s is None
    # so small a current is an overload, 20 A on a wire for 16 A: it hurts nothing
    assert not [f for f in evaluate(build).findings if f.level is Level.STOP]
    # at a fifth of the length it opens
    short = changed(build, ("runs", "r5", "length_m", 6.0))
    assert study(evaluate(short), "r5").opens


@pytest.mark.parametrize(("main_a", "branch_a", "selective"), [(200, 30, True), (60, 50, False)])
def test_selectivity(main_a: float, branch_a: float, selective: bool) -> None:
    # by hand at the fault F of about 1 kA: the branch is selective where it is open at the
    # latest before the main begins to melt at the earliest. 30 A (blade C): 0.1 s (600 %/33)^2
    # is well below 200 A strip: 0.3 s at 350 %
    build = changed(main_run("AWG 1/0", main_a), ("runs", "r5", "fuse_a", branch_a))
    sheet = evaluate(build)
    each = study(sheet, "r5")
    assert (each.upstream, each.selective) == ("r4", selective)
    assert study(sheet, "r4").selective is None
    assert bool(found(build, "not-selective")) is not selective
    fault = each.fault_far_a
    ahead, own = FuseFamily(study(sheet, "r4").family), FuseFamily(each.family)
    opens = opening.slowest_s(opening.table_window(own), fault / branch_a)
    begins = opening.fastest_s(opening.table_window(ahead), fault / main_a)
    assert (opens < begins) is selective


def test_what_the_first_fuse_cannot_break_is_to_be_mended() -> None:
    # IEC 60364-4-43 434.5.1 (from memory): a fuse breaks the short where it sits, or one ahead of
    # it that can opens with it. A large battery pushes more than the 2000 A of a strip and the
    # 1000 A of a blade fuse through both; left to the engine the first is one that can
    build = changed(
        small_build(),
        ("batteries", "b1", "resistance_ohm", 0.0005),
        ("runs", "r4", "fuse_a", 60.0),
        ("runs", "r4", "fuse_family", "strip SF 51"),
        ("runs", "r5", "fuse_a", 30.0),
        ("runs", "r4", "gauge", "AWG 1/0"),
    )
    sheet = evaluate(build)
    assert not study(sheet, "r4").breaks
    assert not study(sheet, "r5").breaks
    told = [(f.level, f.id) for f in found(build, "fuse-breaking")]
    assert told == [(Level.FIX, "r4"), (Level.NOTE, "r5")]
    free = changed(build, ("runs", "r4", "fuse_family", None))
    assert study(evaluate(free), "r4").breaking_a >= study(evaluate(free), "r4").fault_near_a
    # IEC 60364-4-43 434.5.1 allows it behind one that breaks it: nothing to do, where all is auto
    assert not study(evaluate(free), "r5").breaks
    assert not found(free, "fuse-breaking")
    for by_hand in (("fuse_family", study(evaluate(free), "r5").family), ("breaks_a", 1000.0)):
        again = found(changed(free, ("runs", "r5", *by_hand)), "fuse-breaking")
        assert [(f.level, f.id) for f in again] == [(Level.NOTE, "r5")]
    weak = changed(build, ("batteries", "b1", "resistance_ohm", 0.05))
    assert not found(weak, "fuse-breaking")


def test_what_one_fuse_ahead_must_break_for_all_is_said_once() -> None:
    # two branches with fuses of 1000 A breaking capacity behind one main fuse: one cause
    build = changed(small_build(), ("batteries", "b1", "resistance_ohm", 0.0005))
    for _ in range(2):
        build = actions.applied(build, actions.add(build, "amplifiers", channel_w=300.0))
    feeds = [r.id for r in build.runs if r.target.startswith("a") and r.fused]
    pinned = [("runs", id, "fuse_family", "blade C (medium)") for id in feeds]
    build = changed(build, *pinned, *(("runs", id, "length_m", 0.3) for id in feeds))
    build = changed(build, ("runs", "r4", "gauge", "AWG 4/0"))
    sheet = evaluate(build)
    failing = [id for id in feeds if not study(sheet, id).breaks]
    assert len(failing) > 1
    (finding,) = found(build, "fuse-breaking")
    others = [sheet.run(id) for id in failing if id != finding.id]
    assert finding.id in failing
    assert all(run and run.name in finding.why for run in others)


def thevenin_by_numpy(plan: Plan) -> dict[str, tuple[float, float]]:
    """Open voltage and resistance to the body at every node, by dense linear algebra."""
    names, matrix, right = by_numpy(plan)
    inverse = np.linalg.inv(matrix)
    volts = inverse @ right
    return {name: (float(volts[i]), float(inverse[i, i])) for i, name in enumerate(names)}


def through_fuse_by_numpy(plan: Plan, run: str) -> float:
    """What a run's fuse carries into a dead short right behind it, batteries at their strongest."""
    solved = plan.solved
    ends, sized = solved.wired.wiring.ends[run], solved.sized
    near, far = ends if solved.items[run].run.fused else ends[::-1]
    fuse = fuses.resistance_ohm(sized.fuse_a[run])
    rest = sized.tone_ohm[run] * solved.items[run].count - fuse
    names, matrix, right = by_numpy(plan, cut=run, strong=True)
    a, b = names.index(near), names.index(far)
    matrix[a, a] += 1 / fuse
    matrix[b, b] += 1 / rest
    return float(np.linalg.solve(matrix, right)[a]) / fuse


def by_numpy(
    plan: Plan, cut: str = "", strong: bool = False
) -> tuple[list[str], np.ndarray, np.ndarray]:
    """Nodes, conductances and what the batteries push, without one wire of the run ``cut``."""
    build, solved = plan.build, plan.solved
    wired, sized = solved.wired, solved.sized
    names = list(wired.wiring.nodes)
    at = {name: i for i, name in enumerate(names)}
    size = len(names)
    matrix, right = np.zeros((size, size)), np.zeros(size)

    def join(a: int | None, b: int | None, siemens: float) -> None:
        for x, y in ((a, b), (b, a)):
            if x is not None:
                matrix[x, x] += siemens
                if y is not None:
                    matrix[x, y] -= siemens

    for id, (a, b) in wired.wiring.ends.items():
        count = solved.items[id].count
        left = (count - 1) / count if id == cut else 1.0
        join(at[a], at[b], left / max(sized.tone_ohm[id], run_conductor.LEAST_OHM))
    for point in build.grounds:
        join(at[point.id], None, 1 / max(system.body_ohm(point), run_conductor.LEAST_OHM))
    for block in build.blocks:
        if block.kind == "isolator":
            join(at[f"{block.id}_in"], at[f"{block.id}_out"], 1 / planned("isolator_ohm"))
    for battery in build.batteries:
        p, n = at[f"{battery.id}_pos"], at[f"{battery.id}_neg"]
        siemens = 1 / (sources.spread(battery)[0] if strong else sources.internal_ohm(battery))
        rest = sources.rest_voltage_v(battery.chemistry, planned("state_of_charge"))
        join(p, n, siemens)
        right[p] += rest * siemens
        right[n] -= rest * siemens
    # what hangs nowhere is held by a megohm, and stays out of the comparison
    return names, matrix + np.eye(size) * 1e-6, right


@given(builds())
@ordinary
def test_fault_currents_by_dense_linear_algebra(build: Build) -> None:
    # second method: conductance matrix written anew and inverted by numpy
    plan = make_plan(build)
    wired, sized = plan.solved.wired, plan.solved.sized
    siemens = system.siemens(build, wired.wiring, sized.tone_ohm, True)
    mine = short_circuit.thevenin(build, wired.circuit, siemens, list(wired.wiring.nodes))
    for name, (volts, ohm) in thevenin_by_numpy(plan).items():
        if ohm > 10 or volts < 1:
            continue  # no battery pushes anything here
        assert mine[name].fault_a() == pytest.approx(volts / ohm, rel=1e-3), name
        assert mine[name].fault_a(0.01) == pytest.approx(volts / (ohm + 0.01), rel=1e-3)
    # what a fuse must break: the wire is cut right behind its fuse and both ends are laid to the
    # body, in a matrix written anew; what flows in from the far end is not the fuse's to break
    full = short_circuit.full_charge_ratio(build)
    added = sum(alternator.rated_a for alternator in build.alternators)
    for each in plan.sheet.studies:
        through = through_fuse_by_numpy(plan, each.id)
        if through > 1:
            assert each.fault_near_a == pytest.approx(through * full + added, rel=1e-3), each.id


def test_thicker_wire_does_not_lessen_what_a_fuse_must_break() -> None:
    # by logic: what a battery gives through its fuse into a short right behind it does not pass
    # the wire behind the fuse; the other battery feeds the short through that wire, and no more
    # than before through the fuse
    build = changed(shaped(Random(198), most=4), ("runs", "r8", "fuse_a", 70.0))
    thin, *rest = (
        study(evaluate(changed(build, ("runs", "r8", "gauge", gauge))), "r8").fault_near_a
        for gauge in ("25 mm2", "50 mm2", "120 mm2")
    )
    assert rest == [pytest.approx(thin, rel=2e-3)] * 2


def test_fault_current_by_hand() -> None:
    # by hand: battery, its ground cable and ground point to the star, the main run with its fuse,
    # then the branch with its own
    build = changed(small_build(), ("runs", "r4", "fuse_a", 100.0), ("runs", "r5", "fuse_a", 60.0))
    sized = size_and_solve(build).sized
    sheet = evaluate(build)
    rest = sources.rest_voltage_v(build.batteries[0].chemistry, planned("state_of_charge"))
    source = sources.internal_ohm(build.batteries[0]) + sized.tone_ohm["r3"]
    source += system.body_ohm(build.grounds[0])
    to_block = source + sized.tone_ohm["r4"]
    # what must be broken: the battery full, and what the alternator adds
    full = sources.rest_voltage_v(build.batteries[0].chemistry, 1.0)
    added = sum(alternator.rated_a for alternator in build.alternators)
    # at the least resistance: 0.16 ohm Ah of AGM instead of 0.24, of 70 Ah
    strong = source - 0.24 / 70 + 0.16 / 70
    greatest = full / (strong + 0.08 / 100) + added
    assert study(sheet, "r4").fault_near_a == pytest.approx(greatest, rel=1e-3)
    assert study(sheet, "r4").fault_far_a == pytest.approx(rest / to_block, rel=1e-3)
    to_amplifier = to_block + sized.tone_ohm["r5"]
    assert study(sheet, "r5").fault_far_a == pytest.approx(rest / to_amplifier, rel=1e-3)


def test_what_never_opens_takes_nothing_with_it() -> None:
    # by logic: at 17 A neither the 15 A fuse nor the 60 A fuse ahead of it opens
    build = long_thin_wire()
    assert study(evaluate(build), "r5").selective is not False
    assert not found(build, "not-selective")


def test_the_margin_is_the_least_of_all_currents() -> None:
    # second method: five hundred currents between must-open and the largest fault; the corners
    # have to find the least within 2 %
    for seed in range(30):
        build = random_build(Random(seed), 5 + seed % 15)
        plan = make_plan(build)
        sized, items = plan.solved.sized, plan.solved.items
        for each in plan.sheet.studies:
            if each.must_open_a is None or not each.opens:
                continue
            points, _ = coordination.window_of(build, FuseFamily(each.family), each.rating_a)
            ratio = max(each.fault_far_a, each.fault_near_a) / each.must_open_a
            least = inf
            for i in range(501):
                amperes = each.must_open_a * ratio ** (i / 500)
                opens = opening.slowest_s(points, amperes / each.rating_a)
                for id in each.guarded:
                    wire = coordination.wire(items[id], sized.gauge[id])
                    least = min(least, withstand_s(wire, amperes) / opens)
            told = inf if each.margin is None else each.margin
            assert told <= least * 1.02, (seed, each.id)


def test_a_wire_that_is_hurt_between_two_currents_does_not_hold() -> None:
    # by hand: AWG 14 copper-clad aluminium, 125 C to 250 C, k = 148 sqrt(ln(478/353)) = 81.5:
    # 5 s at 81.5 * 2.081 / sqrt(5) = 75.9 A. A 20 A blade E takes up to 60 s (2/3.79)^3.84 = 5.2 s
    # at 3.79 times its rating
    carries = ampacity.ampacity_a("AWG 14", Metal.CCA, Insulation.T125, 50, 1)
    wire = Wire(conductors.area_mm2("AWG 14"), Metal.CCA, Insulation.T125, carries, 50, class_c=125)
    points = opening.table_window(FuseFamily.BLADE_E)
    assert carries > 20
    assert withstand_s(wire, 75.9) < 5.0 < opening.slowest_s(points, 75.9 / 20)
    assert not worst_short((Fuse("r1", points, 20.0),), wire).holds


def linked(metres: float) -> Build:
    """Two batteries with a link of this length, fused at both ends."""
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    return changed(build, ("runs", link, "length_m", metres))


def test_a_fault_at_the_far_battery_is_fed_through_the_fuse_by_the_near_one_only() -> None:
    # by hand: what the near battery pushes through the whole link; the far battery feeds the
    # same short directly, but neither through the near fuse nor along the wire
    build = linked(20.0)
    sized = size_and_solve(build).sized
    link = next(run.id for run in build.runs if run.far_fused)
    rest = sources.rest_voltage_v(build.batteries[0].chemistry, 0.8)
    most = rest / (sources.internal_ohm(build.batteries[0]) + sized.tone_ohm[link])
    assert study(evaluate(build), link).fault_far_a <= most * 1.01


def test_the_least_fault_current_is_that_of_one_battery_behind_an_open_isolator() -> None:
    # by definition of the least current that must still open a fuse: parked, the isolator is
    # open and only the battery on its side feeds the short
    pinned = ("runs", "r4", "gauge", "AWG 4")
    build = changed(small_build(), pinned)
    build = actions.applied(build, actions.add(build, "blocks", kind="isolator"))
    isolator = build.blocks[-1].id
    build = actions.applied(build, actions.add(build, "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    build = changed(build, ("runs", link, "target", isolator), ("runs", link, "length_m", 0.5))
    build = actions.applied(build, run_ends.add_run(build, isolator, "b2"))
    alone = study(evaluate(changed(small_build(), pinned)), "r4").fault_far_a
    assert study(evaluate(build), "r4").fault_far_a <= alone * 1.02


def finite(sheet: Sheet) -> bool:
    figures: list[float | None] = []
    for s in sheet.studies:
        figures += [s.rating_a, s.fault_near_a, s.fault_far_a, s.must_open_a, s.opens_far_s]
        figures += [s.stands_far_s, s.margin, s.margin_at_a, s.breaking_a]
    for run in sheet.runs:
        figures += [run.design_a, run.ampacity_a, run.drop_v, run.temperature_c, run.resistance_ohm]
    for state in sheet.states:
        figures += [*state.node_v.values(), *state.current_a.values(), state.power_error]
    return all(isfinite(value) for value in figures if value is not None)


def test_a_pinned_wire_that_is_too_small_is_told() -> None:
    # by the promise of evaluate(): findings, no exception, nothing that is no number
    build = changed(main_run("AWG 20", 200), ("runs", "r5", "gauge", "AWG 24"))
    sheet = evaluate(build)
    assert finite(sheet)
    # of wire this thin the tables know no current at this heat: nothing else is said of its fuse
    told = {f.id for f in sheet.findings if f.code == "insulation-heat" and f.level is Level.STOP}
    assert told >= {"r4", "r5"}
    assert not any(s.protects for s in sheet.studies if "r4" in s.guarded)


def test_a_family_with_no_fitting_rating_is_told() -> None:
    # by definition: blade F ends at 30 A
    build = changed(
        small_build(),
        ("amplifiers", "a1", "channel_w", 1500.0),
        ("amplifiers", "a1", "onboard_fuse_a", None),
        ("runs", "r4", "fuse_family", "blade F (mini)"),
    )
    sheet = evaluate(build)
    assert finite(sheet)
    assert [(f.level, f.id) for f in sheet.findings if f.code == "fuse-small"] == [
        (Level.STOP, "r4")
    ]


def test_loops_without_resistance_have_figures() -> None:
    # by the promise of evaluate(): a ring of next to nothing beside the main run, ground points
    # of zero ohm tied to each other
    build = changed(
        small_build(),
        ("grounds", "e1", "resistance_ohm", 0.0),
        ("grounds", "e2", "resistance_ohm", 0.0),
        ("batteries", "b1", "resistance_ohm", 1e-5),
    )
    for record in (
        {"id": "r20", "source": "b1", "target": "d1", "length_m": 1e-6, "gauge": "120 mm2"},
        {"id": "r21", "source": "d1", "target": "b1", "length_m": 1e-6, "gauge": "120 mm2"},
        {"id": "r22", "source": "e1", "target": "e2", "polarity": "ground", "length_m": 1e-6},
    ):
        build = actions.applied(build, AddRecord(table="runs", record=record))
    sheet = evaluate(build)
    assert finite(sheet)
    assert {f.id for f in sheet.findings if f.code in ("loop", "parallel")}
    assert all(state.converged for state in sheet.states)


def test_an_alternator_of_nothing_is_told() -> None:
    # by definition: the vehicle alone takes 35 A more than it gives
    sheet = evaluate(changed(small_build(), ("alternators", "g1", "rated_a", 0.0)))
    assert finite(sheet)
    assert sheet.supply.cruise_a == 0
    assert sheet.supply.cruise_balance_a < -35
    assert any(f.table == "alternators" or "alternator" in f.what for f in sheet.findings)


def test_values_that_contradict_each_other_have_figures() -> None:
    # by the promise of evaluate(): an alternator that gives more at idle than it is rated for,
    # an amplifier that works from 14 V behind a regulator of 11.1 V, a fuse behind the wire's end
    sheet = evaluate(
        changed(
            small_build(),
            ("alternators", "g1", "idle_a", 1000.0),
            ("alternators", "g1", "regulated_v", 11.1),
            ("amplifiers", "a1", "lowest_v", 14.0),
            ("runs", "r4", "fuse_distance_m", 100.0),
            ("runs", "r5", "fuse_a", 1000.0),
        )
    )
    assert finite(sheet)
    assert sheet.count(Level.STOP) >= 1


def test_a_rating_beyond_every_family_is_of_the_one_that_goes_furthest() -> None:
    # by definition of the standard series (ISO 8820, from memory): SF 51 ends at 500 A, SF 30 at
    # 200 A
    assert fuses.family_of(1000.0) is FuseFamily.STRIP_51
    assert fuses.family_of(200.0) is FuseFamily.STRIP_30
