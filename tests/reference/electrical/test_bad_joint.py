"""A bad joint planted in a random car is found from meter readings, and the corroded ground.

The damaged cars are solved by the nodal solver of ``bad_joints``, not by the product's own.
"""

from dataclasses import dataclass
from functools import lru_cache
from random import Random

import pytest

from domain.build import actions
from domain.build.choices import Meter, NetworkMode
from domain.build.records import Build, Reading
from domain.electrical.meter.diagnosis import Suspect, _typed, suspects
from domain.electrical.meter.joint_fit import TRIED_OHM, TypedReadings
from domain.electrical.meter.readings import judged, predicted
from domain.electrical.network.states import Wired
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate, make_plan
from domain.sheet import Sheet
from tests.benchmarks.builds import twelve
from tests.counts import cases
from tests.domain.electrical.small import changed, small_build
from tests.reference.electrical.bad_joints import (
    Fault,
    meter,
    node_volts,
    random_car,
    random_fault,
    with_other_loads,
)

CARS = cases(500, 150)
TONE = (NetworkMode.OFF_TONE, NetworkMode.CRUISE_TONE)


@dataclass(frozen=True)
class Outcome:
    """What came of one damaged car."""

    fault: Fault
    outside: bool
    suspects: tuple[Suspect, ...]

    def found(self, among: int) -> bool:
        return self.fault.id in [suspect.id for suspect in self.suspects[:among]]


def read(
    build: Build,
    sheet: Sheet,
    wired: Wired,
    fault: Fault,
    random: Random | None,
    truth: Build | None = None,
    wire_spread: float = 0.0,
) -> Build:
    """The build with every predicted reading of the tone states taken on the damaged car.

    Noise: 0.5 % of the reading and 5 mV, as one standard deviation. ``truth`` is a car whose
    devices differ from the plan, ``wire_spread`` how far its wires do.
    """
    ohms = {
        id: ohm * (1 + wire_spread * random.uniform(-1, 1) if random else 1)
        for id, ohm in wired.tone_ohm.items()
    }
    volts = {mode: node_volts(truth or build, ohms, mode.value, fault) for mode in TONE}
    rows: list[Reading] = []
    for place in predicted(build, sheet):
        on_car = volts.get(place.mode)
        if on_car is None:
            continue
        value = meter(build, on_car, place.at, place.meter, place.against)
        if random:
            value += random.gauss(0, 0.005 * abs(value) + 0.005)
        rows.append(
            Reading(
                id=f"m{len(rows) + 1}",
                at=place.at,
                meter=place.meter,
                mode=place.mode,
                value_v=value,
            )
        )
    return build.but(readings=tuple(rows))


plan_of = lru_cache(CARS)(make_plan)
"""Several tests damage the same cars."""


def outcome(number: int, noise: bool, spread: float = 0.0) -> Outcome:
    random = Random(number)
    build = random_car(random)
    fault = random_fault(random, build)
    plan = plan_of(build)
    sheet, wired = plan.sheet, plan.solved.wired
    truth = with_other_loads(random, build, spread) if spread else None
    taken = read(build, sheet, wired, fault, random if noise else None, truth, spread)
    rows = judged(taken, sheet)
    outside = any(row.ok is False for row in rows)
    return Outcome(fault, outside, suspects(wired, rows) if outside else ())


def test_the_plan_agrees_with_the_second_solver() -> None:
    # second method: dense Newton over numpy, written from the records alone
    compared = 0
    cars = cases(60, 30)
    for number in range(cars):
        build = random_car(Random(number))
        plan = plan_of(build)
        sheet, wired = plan.sheet, plan.solved.wired
        for state in sheet.states:
            ohms = wired.tone_ohm if state.id.endswith("tone") else wired.programme_ohm
            volts = node_volts(build, ohms, state.id, None)
            if volts is None or state.collapsed:
                continue
            compared += 1
            for node, value in state.node_v.items():
                assert volts[node] == pytest.approx(value, abs=1e-4), (number, state.id, node)
    assert compared >= 5.5 * cars


def test_a_planted_joint_is_among_the_first_two() -> None:
    # conservation of what was planted: the joint that was made bad is the one that is named
    outcomes = [each for number in range(CARS) if (each := outcome(number, noise=True)).outside]
    assert len(outcomes) >= CARS / 2
    missed = [each for each in outcomes if not each.found(2)]
    assert len(missed) <= 0.05 * len(outcomes), missed[:3]
    size = [
        suspect.extra_ohm / each.fault.ohm
        for each in outcomes
        for suspect in each.suspects[:2]
        if suspect.id == each.fault.id
    ]
    size.sort()
    assert size[len(size) // 2] == pytest.approx(1, abs=0.02)
    assert 0.85 < size[len(size) // 20] < size[-len(size) // 20] < 1.15


def test_also_where_wires_and_loads_are_not_as_planned() -> None:
    # every wire and every amplifier's draw within 8 % of the plan, beside the meter's noise
    cars = cases(150, 50)
    outcomes = [
        each for number in range(cars) if (each := outcome(number, noise=True, spread=0.08)).outside
    ]
    assert len(outcomes) >= cars / 2
    assert sum(each.found(2) for each in outcomes) >= 0.95 * len(outcomes)


def test_without_noise_the_resistance_comes_out_exactly() -> None:
    for number in range(40):
        each = outcome(number, noise=False)
        if not each.outside:
            continue
        assert each.found(2), number
        best = next(s for s in each.suspects if s.id == each.fault.id)
        assert best.extra_ohm == pytest.approx(each.fault.ohm, rel=0.02), number
        assert best.explained
        assert best.remaining < 0.02 * best.before


def test_a_corroded_ground_of_ten_milliohm_at_a_hundred_amperes_reads_one_volt() -> None:
    # Ohm's law; the amplifier's own fuse caps its draw at 100 A
    build = changed(
        small_build(),
        ("amplifiers", "a1", "channel_w", 1500.0),
        ("amplifiers", "a1", "onboard_fuse_a", 100.0),
        ("alternators", "g1", "vehicle_load_a", 0.0),
        ("batteries", "b1", "resistance_ohm", 0.001),
        ("grounds", "e1", "resistance_ohm", 0.0),
        ("grounds", "e2", "resistance_ohm", 0.0),
    )
    sheet, wired = evaluate(build), size_and_solve(build).wired
    state = sheet.state("off-tone")
    assert state is not None
    assert state.current_a["r6"] == pytest.approx(100, abs=0.001)
    corroded = evaluate(changed(build, ("grounds", "e2", "resistance_ohm", 0.01)))
    clean, rise = (
        next(
            p.predicted_v
            for p in predicted(build, each)
            if (p.at, p.mode, p.meter) == ("e2", NetworkMode.OFF_TONE, Meter.TO_BATTERY)
        )
        for each in (sheet, corroded)
    )
    assert rise - clean == pytest.approx(1.0, abs=0.001)
    taken = (
        Reading(id="m1", at="e2", meter=Meter.TO_BATTERY, mode=NetworkMode.OFF_TONE, value_v=rise),
        Reading(id="m2", at="r3", meter=Meter.ALONG, mode=NetworkMode.OFF_TONE, value_v=clean),
    )
    rows = judged(build.but(readings=taken), sheet)
    assert [row.ok for row in rows] == [False, True]
    assert rows[0].difference_v == pytest.approx(1.0, abs=0.001)
    best = suspects(wired, rows)[0]
    assert best.id in ("e1", "e2")
    assert best.extra_ohm == pytest.approx(0.010, rel=0.01)
    assert best.explained
    assert {"e1", "e2"} <= {best.id, *best.alike}


def test_thirty_readings_on_twelve_amplifiers() -> None:
    build = twelve()
    sheet, wired = evaluate(build), size_and_solve(build).wired
    for id in ("r4", "r7", "r9", "r12", "e3"):
        taken = read(build, sheet, wired, Fault(id, 0.004), Random(1))
        first = taken.but(readings=taken.readings[:30])
        found = suspects(wired, judged(first, sheet))
        assert found[0].id == id
        assert found[0].extra_ohm == pytest.approx(0.004, rel=0.1)


def test_a_weak_battery_is_named() -> None:
    # 20 milliohm more inside it than planned, solved by the second solver
    build = changed(small_build(), ("batteries", "b1", "resistance_ohm", 0.005))
    weak = changed(build, ("batteries", "b1", "resistance_ohm", 0.025))
    sheet, wired = evaluate(build), size_and_solve(build).wired
    taken = read(build, sheet, wired, Fault("r1", 0.0), None, truth=weak)
    found = suspects(wired, judged(taken, sheet))
    assert found[0].id == "b1"
    assert found[0].extra_ohm == pytest.approx(0.020, rel=0.02)
    assert "posts or the battery itself" in found[0].where


def test_two_bad_joints_are_not_blamed_on_one() -> None:
    build = actions.applied(small_build(), actions.add(small_build(), "amplifiers"))
    sheet, wired = evaluate(build), size_and_solve(build).wired
    first = read(build, sheet, wired, Fault("r5", 0.02), None)
    second = read(build, sheet, wired, Fault("e2", 0.02), None)
    mixed = first.readings[::2] + second.readings[1::2]
    found = suspects(wired, judged(build.but(readings=mixed), sheet))
    assert found
    assert not any(suspect.explained for suspect in found)


def test_on_straight_lines_the_first_look_is_exact() -> None:
    # compensation theorem: where every law is a straight line (unregulated amplifier below its
    # fuses, battery that only gives), one joint more is answered by the formula, not by a search
    build = changed(
        small_build(),
        ("amplifiers", "a1", "regulated", False),
        ("amplifiers", "a1", "onboard_fuse_a", None),
    )
    sheet, wired = evaluate(build), size_and_solve(build).wired
    ohm = next(each for each in TRIED_OHM if each > 0.0125)
    for id in ("r4", "r5", "r6", "e2"):
        rows = judged(read(build, sheet, wired, Fault(id, ohm), None), sheet)
        off = [row for row in rows if row.mode is NetworkMode.OFF_TONE]
        best_ohm, left = TypedReadings(wired, _typed(build, off)).first_look(id)
        assert best_ohm == pytest.approx(ohm, rel=1e-9), id
        assert left < 1e-3, id


def test_a_joint_of_nearly_an_ohm_is_found() -> None:
    # a small load, which still works through it; the largest extra resistance told is 1 ohm
    build = changed(
        small_build(),
        ("amplifiers", "a1", "regulated", False),
        ("amplifiers", "a1", "channel_w", 5.0),
        ("amplifiers", "a1", "onboard_fuse_a", None),
    )
    sheet, wired = evaluate(build), size_and_solve(build).wired
    for id in ("r5", "r6"):
        taken = read(build, sheet, wired, Fault(id, 0.93), None)
        best = suspects(wired, judged(taken, sheet))[0]
        assert best.id == id
        assert best.extra_ohm == pytest.approx(0.93, rel=0.01)
