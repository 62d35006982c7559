"""The drive profile keeps its accounts: charge and power, on random builds and random drives."""

from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.choices import Chemistry, Engine, Playing
from domain.build.records import Build, Leg
from domain.electrical import drive
from domain.electrical.network import nodal, states
from domain.electrical.network.run_conductor import LEAST_OHM
from domain.electrical.sizing.size_and_solve import size_wires
from domain.sheet import DriveResult
from tests.domain.electrical.random_builds import random_build
from tests.domain.electrical.small import changed, small_build

Step = tuple[nodal.Circuit, list[float], nodal.Solution]

KEPT = {Chemistry.FLOODED: 0.84, Chemistry.AGM: 0.9, Chemistry.LIFEPO4: 0.98}
PEUKERT = {Chemistry.FLOODED: 1.2, Chemistry.AGM: 1.1, Chemistry.LIFEPO4: 1.03}

TRACE_A = 13e-6
"""What an empty battery still gives through a megohm [A]."""

ordinary = settings(max_examples=60, deadline=None, derandomize=True)


def with_legs(build: Build, *legs: tuple[str, str, float]) -> Build:
    """The build with these legs: engine, playing, seconds."""
    return build.but(
        legs=tuple(
            Leg(id=f"l{i}", engine=Engine(e), playing=Playing(p), duration_s=s)
            for i, (e, p, s) in enumerate(legs, 1)
        )
    )


def random_drive(seed: int) -> tuple[Build, dict[str, float]]:
    """A random build, random legs, and a random charge of each battery."""
    random = Random(seed)
    build = random_build(random, random.randint(0, 25))
    legs = [
        (
            random.choice(list(Engine)).value,
            random.choice(list(Playing)).value,
            random.choice([0.1, 7.0, 10.0, 95.0, 400.0]),
        )
        for _ in range(random.randint(1, 5))
    ]
    charge = {b.id: random.choice([0.0, 0.3, 0.8, 0.999, 1.0]) for b in build.batteries}
    return with_legs(build, *legs), charge


def driven(build: Build, charge: dict[str, float] | None = None) -> tuple[DriveResult, list[Step]]:
    """The profile, and every network that was solved for it."""
    wired, _, _ = size_wires(build)
    steps: list[Step] = []
    solve = nodal.solve

    def kept(circuit: nodal.Circuit, siemens: list[float], *how: Any) -> object:
        solution = solve(circuit, siemens, *how)
        steps.append((circuit, siemens, solution))
        return solution

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nodal, "solve", kept)
        return drive.simulate(wired, charge=charge), steps


@given(st.integers(0, 2**40))
@ordinary
def test_charge_in_less_charge_out_is_what_is_stored(seed: int) -> None:
    # conservation: coulombs to 1e-6; and where no step was cut at a full or empty battery, the
    # currents of every solved step added up again, by Peukert's law as it is published
    # (t = H (C / I H)^k, exponents inside the ranges of FXSOLVER) and the ampere-hour efficiency
    # of the dictionary (lead-acid 0.70 to 0.84) or typical (0.9 AGM, 0.98 LiFePO4)
    build, charge = random_drive(seed)
    result, steps = driven(build, charge)
    legs = {leg.id: leg for leg in build.legs}
    counts = {leg: sum(p.leg == leg for p in result.points) for leg in legs}
    for battery in build.batteries:
        came, went = result.charged_ah[battery.id], result.discharged_ah[battery.id]
        stored, lost = result.stored_ah[battery.id], result.lost_ah[battery.id]
        scale = max(came, went, 1e-3)
        assert min(came, went) >= 0
        assert abs(came - went - lost - stored) <= 1e-6 * scale
        assert lost >= -1e-6 * scale - TRACE_A
        assert -1e-6 <= charge[battery.id] + stored / battery.capacity_ah <= 1 + 1e-6
        if len(steps) != len(result.points):
            continue
        again = 0.0
        for point, (circuit, _, solution) in zip(result.points, steps, strict=True):
            at = [element.name for element in circuit.elements].index(battery.id)
            seconds = legs[point.leg].duration_s / counts[point.leg]
            amperes = solution.element_a[at]
            rated_a = battery.capacity_ah / 20
            if amperes > 0:
                again += amperes * KEPT[battery.chemistry] * seconds / 3600
            else:
                over = max(-amperes / rated_a, 1.0) ** (PEUKERT[battery.chemistry] - 1)
                again += amperes * over * seconds / 3600
        assert abs(again - stored) <= 1e-6 * scale + TRACE_A


@given(st.integers(0, 2**40))
@ordinary
def test_the_power_of_every_step_balances(seed: int) -> None:
    # conservation, by linear algebra that is not the product's: source power is load power and
    # heat, and no node gathers current
    build, charge = random_drive(seed)
    _, steps = driven(build, charge)
    for circuit, siemens, solution in steps:
        if not solution.converged:
            continue
        volts = np.array([*solution.volts, 0.0])
        incidence = np.zeros((len(siemens), len(volts)))
        for row, (_, a, b) in enumerate(circuit.branches):
            incidence[row, a] += 1
            incidence[row, b] -= 1
        across = incidence @ volts
        heat = float(np.sum(np.array(siemens) * across**2))
        into = incidence.T @ (np.array(siemens) * across)
        power = delivered = 0.0
        for element in circuit.elements:
            v = float(volts[element.positive] - volts[element.negative])
            amperes, _ = element.law(v)
            into[element.positive] += amperes
            into[element.negative] -= amperes
            power += v * amperes
            delivered += max(0.0, -v * amperes)
        assert abs(power + heat) <= 1e-9 * max(delivered, 1.0)
        flow = max(1.0, float(np.max(np.abs(np.array(siemens) * across), initial=0.0)))
        assert float(np.max(np.abs(into[:-1]), initial=0.0)) <= 1e-8 * flow
        assert max(siemens, default=0.0) <= 1 / LEAST_OHM * (1 + 1e-9)


@given(st.integers(0, 2**40))
@ordinary
def test_alternators_and_batteries_feed_the_music_and_the_vehicle(seed: int) -> None:
    # Kirchhoff over the whole positive side: what the points tell adds up to the vehicle's load,
    # which is steady down to 6 V and falls in proportion below
    build, charge = random_drive(seed)
    result, _ = driven(build, charge)
    if not build.batteries:
        return
    engines = {leg.id: leg.engine for leg in build.legs}
    for point in result.points:
        vehicle = states.vehicle_load_a(build, engines[point.leg].value)
        vehicle *= min(point.post_v / 6, 1.0)
        given_a = point.alternator_a + point.battery_a
        assert given_a == pytest.approx(point.load_a + vehicle, rel=1e-6, abs=1e-4)


@given(st.integers(0, 2**40))
@ordinary
def test_a_full_battery_takes_no_more_and_an_empty_one_gives_no_more(seed: int) -> None:
    # by the promise of the profile, to what a voltage across a megohm lets through
    build, charge = random_drive(seed)
    result, _ = driven(build, charge)
    for point in result.points:
        if all(each >= 1 for each in point.charge.values()):
            assert point.battery_a >= -1e-4
        if all(each <= 0 for each in point.charge.values()):
            assert point.battery_a <= 1e-4


@pytest.mark.parametrize("capacity_ah", [0.1, 1.0, 20.0])
def test_a_battery_that_empties_in_the_middle_of_a_step(capacity_ah: float) -> None:
    # conservation: it has given what it held, less what its rate left behind, whatever the step,
    # and the rest is dark but for what a megohm lets through
    build = changed(
        small_build(),
        ("batteries", "b1", "capacity_ah", capacity_ah),
        ("batteries", "b1", "resistance_ohm", 0.004),
    )
    result, steps = driven(with_legs(build, ("off", "full tone", 7200)), {"b1": 0.5})
    given_ah, lost_ah = result.discharged_ah["b1"], result.lost_ah["b1"]
    assert given_ah + lost_ah == pytest.approx(0.5 * capacity_ah, abs=2 * TRACE_A)
    # Peukert: drained in well under 20 h it gives less than it holds, an AGM by (20 h / t)^0.1
    assert 0.3 * capacity_ah / 2 < given_ah < 0.95 * capacity_ah / 2
    assert result.points[-1].charge["b1"] == pytest.approx(0, abs=1e-3)
    assert len(steps) == len(result.points) + 1
    assert result.points[-1].off == ("a1",)


def test_points_follow_the_legs_in_time() -> None:
    # by definition: each leg in equal steps of no more than ten seconds, one after the other
    build = with_legs(
        small_build(), ("idle", "silent", 25), ("cruise", "programme", 30), ("off", "full tone", 4)
    )
    result, _ = driven(build)
    assert [round(p.time_s, 6) for p in result.points] == [
        *(0, 8.333333, 16.666667),
        *(25, 35, 45),
        55,
    ]
    assert [p.leg for p in result.points] == ["l1"] * 3 + ["l2"] * 3 + ["l3"]
    assert result.step_s == 10


def test_an_hour_parked_by_hand() -> None:
    # second method: a battery that only feeds the vehicle's standing load of 3.5 A loses 3.5 Ah
    # an hour, and its post is rest voltage less 3.5 A through 0.24/70 ohm
    build = with_legs(
        small_build().but(
            amplifiers=(),
            runs=tuple(run for run in small_build().runs if run.id in ("r1", "r2", "r3")),
        ),
        ("off", "silent", 3600),
    )
    result, _ = driven(build, {"b1": 1.0})
    assert result.discharged_ah["b1"] == pytest.approx(3.5, rel=1e-4)
    assert result.charged_ah["b1"] == 0
    assert result.points[-1].charge["b1"] == pytest.approx(1 - 3.5 / 70 * 359 / 360, rel=1e-5)
    assert result.points[0].post_v == pytest.approx(12.85 - 3.5 * 0.24 / 70, abs=1e-4)


def test_a_charging_battery_nears_full_and_never_passes_it() -> None:
    # by definition of acceptance, and the alternator gives what vehicle and battery take
    build = with_legs(small_build(), ("cruise", "silent", 20 * 3600))
    result, _ = driven(build, {"b1": 0.2})
    charge = [point.charge["b1"] for point in result.points]
    assert charge == sorted(charge)
    assert 0.95 < charge[-1] <= 1.0 + 1e-3
    assert result.points[0].alternator_a > result.points[-1].alternator_a
    assert result.discharged_ah["b1"] == 0
