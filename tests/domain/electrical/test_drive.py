"""The drive profile as the user meets it: steps, cancel, and drives that make little sense."""

from math import isfinite

import pytest

from domain.build import actions, removal, run_ends
from domain.build.edits import EditRefused
from domain.build.records import Build
from domain.electrical.drive import MOST_STEPS, STEP_S, Cancelled, simulate, step_s
from domain.electrical.sizing.size_and_solve import size_wires
from domain.evaluate import evaluate
from domain.sheet import DriveResult
from tests.domain.electrical.small import changed, small_build
from tests.reference.electrical.test_drive_balance import TRACE_A, with_legs


def driven(build: Build, charge: dict[str, float] | None = None) -> DriveResult:
    return simulate(size_wires(build)[0], charge=charge)


def test_progress_rises_from_nothing_to_all() -> None:
    # by the promise of progress: the share done, once a step and once at the end
    told: list[float] = []

    def progress(share: float) -> bool:
        told.append(share)
        return True

    build = with_legs(small_build(), ("cruise", "programme", 100), ("off", "silent", 100))
    result = simulate(size_wires(build)[0], progress)
    assert told == sorted(told)
    assert (told[0], told[-1], len(told)) == (0.0, 1.0, len(result.points) + 1)
    assert told[10] == pytest.approx(0.5)


@pytest.mark.parametrize("after", [1, 5])
def test_cancel_stops_early(after: int) -> None:
    # by the promise of cancel: no step more is solved once progress says no
    told: list[float] = []

    def progress(share: float) -> bool:
        told.append(share)
        return len(told) < after

    build = with_legs(small_build(), ("cruise", "programme", 36_000))
    with pytest.raises(Cancelled):
        simulate(size_wires(build)[0], progress)
    assert len(told) == after


def test_ten_thousand_steps_are_cut_to_the_most_there_may_be() -> None:
    # by definition: 100 000 s would be 10 000 steps of ten seconds
    build = with_legs(small_build(), ("cruise", "programme", 60_000), ("off", "silent", 40_000))
    assert step_s(build.legs) == pytest.approx(100_000 / MOST_STEPS)
    result = driven(build)
    assert MOST_STEPS - 2 <= len(result.points) <= MOST_STEPS + len(build.legs)
    assert result.step_s > STEP_S


def test_a_single_long_leg() -> None:
    # by definition: ten days of engine off end in an empty battery and dark amplifiers, told so
    result = driven(with_legs(small_build(), ("off", "programme", 864_000)))
    last = result.points[-1]
    assert len(result.points) <= MOST_STEPS + 1
    assert last.off == ("a1",)
    assert last.charge["b1"] <= 1e-6
    assert result.stored_ah["b1"] == pytest.approx(-0.8 * 70, rel=0.02)


def test_a_leg_shorter_than_a_step_is_one_step() -> None:
    # by definition
    result = driven(with_legs(small_build(), ("off", "full tone", 0.1)))
    assert len(result.points) == 1
    assert 0 < result.discharged_ah["b1"] < 0.01


def test_no_legs_no_points() -> None:
    # by definition; progress still ends at all
    told: list[float] = []

    def progress(share: float) -> bool:
        told.append(share)
        return True

    result = simulate(size_wires(with_legs(small_build()))[0], progress)
    assert result.points == ()
    assert result.stored_ah == {"b1": 0.0}
    assert told == [1.0]


def without_battery() -> Build:
    """The small build with its battery taken out, and what hung on it."""
    build = small_build()
    return actions.applied(build, removal.remove(build, "batteries", "b1"))


def figures(result: DriveResult) -> list[float]:
    """Every figure of a profile."""
    found = [result.step_s, *result.stored_ah.values(), *result.charged_ah.values()]
    for point in result.points:
        found += [point.post_v, point.alternator_a, point.battery_a, point.load_a]
        found += [*point.charge.values(), point.lowest_v or 0.0]
    return found


@pytest.mark.parametrize("engine", ["off", "idle", "cruise"])
def test_no_battery_at_all(engine: str) -> None:
    # by the promise of the engine: figures, no exceptions; nothing is stored
    result = driven(with_legs(without_battery(), (engine, "full tone", 60)))
    assert len(result.points) == 6
    assert all(isfinite(value) for value in figures(result))
    assert (result.stored_ah, result.points[0].charge) == ({}, {})
    assert all(point.battery_a == 0 for point in result.points)


def test_nothing_at_all() -> None:
    # by the promise of the engine
    result = driven(with_legs(Build(), ("cruise", "full tone", 20)))
    assert all(isfinite(value) for value in figures(result))
    assert len(result.points) == 2
    assert (result.points[0].lowest_v, result.points[0].off) == (None, ())


def test_an_alternator_of_nothing_leaves_it_to_the_battery() -> None:
    # by definition: 0 A at every speed
    build = changed(small_build(), ("alternators", "g1", "rated_a", 0.0))
    result = driven(with_legs(build, ("cruise", "programme", 600)))
    assert all(abs(point.alternator_a) < 1e-6 for point in result.points)
    assert result.charged_ah["b1"] == 0
    assert result.discharged_ah["b1"] == pytest.approx(
        sum(point.battery_a for point in result.points) * 10 / 3600
    )


def test_louder_drains_faster() -> None:
    # by physics: silent, programme, full tone
    drained = [
        driven(with_legs(small_build(), ("off", playing, 600))).discharged_ah["b1"]
        for playing in ("silent", "programme", "full tone")
    ]
    assert drained == sorted(drained)
    assert drained[2] > 2 * drained[1] > 2 * drained[0] > 0


def test_a_given_charge_is_where_it_starts() -> None:
    # by definition; without one it is the planning value
    build = with_legs(small_build(), ("off", "silent", 10))
    assert driven(build, {"b1": 0.42}).points[0].charge == {"b1": 0.42}
    assert driven(build).points[0].charge == {"b1": 0.8}


def test_an_isolated_second_battery_keeps_its_charge() -> None:
    # by definition of an isolator: open with the engine off, so that only the battery which
    # feeds the vehicle is drained
    build = small_build()
    build = actions.applied(build, actions.add(build, "blocks", kind="isolator"))
    isolator = build.blocks[-1].id
    build = actions.applied(build, actions.add(build, "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    build = changed(build, ("runs", link, "target", isolator))
    build = actions.applied(build, run_ends.add_run(build, isolator, "b2"))
    parked = driven(with_legs(build, ("off", "programme", 3600)))
    assert parked.discharged_ah["b1"] > 3
    assert abs(parked.stored_ah["b2"]) < 1e-3
    driving = driven(with_legs(build, ("cruise", "silent", 3600)))
    assert driving.charged_ah["b2"] > 1


@pytest.mark.parametrize("seconds", [0.0, -1.0, 864_001.0, float("nan")])
def test_a_leg_of_no_length_is_refused(seconds: float) -> None:
    # by the bounds of the record: a clear refusal, nothing lost
    with pytest.raises((EditRefused, ValueError), match=r"duration_s|finite"):
        changed(small_build(), ("legs", "l1", "duration_s", seconds))


@pytest.mark.parametrize(
    ("capacity_ah", "legs"),
    [
        (0.5, [("off", "full tone", 60.0)]),
        (0.1, [("off", "full tone", 10.0)]),
        (70.0, [("off", "full tone", 864_000.0)] * 50),
    ],
)
def test_charge_stays_between_empty_and_full(
    capacity_ah: float, legs: list[tuple[str, str, float]]
) -> None:
    # conservation: a battery cannot give more than it holds, whatever the length of a step
    build = changed(
        small_build(),
        ("batteries", "b1", "capacity_ah", capacity_ah),
        ("batteries", "b1", "resistance_ohm", 0.005),
    )
    result = driven(with_legs(build, *legs))
    trace_ah = TRACE_A * sum(seconds for _, _, seconds in legs) / 3600
    given_ah = result.discharged_ah["b1"] - result.charged_ah["b1"]
    assert given_ah <= 0.8 * capacity_ah + trace_ah
    least = -trace_ah / capacity_ah
    assert all(least <= point.charge["b1"] <= 1 for point in result.points)


def test_the_music_stops_where_the_supply_page_says_so() -> None:
    # two ways to one figure: the time to half charge at the current of the solved state, and the
    # profile stepped with falling voltage, whose loads of constant power draw a little more
    build = changed(small_build(), ("batteries", "b1", "capacity_ah", 140.0))
    minutes = evaluate(build).supply.play_minutes
    assert minutes is not None
    result = driven(with_legs(build, ("off", "programme", 60 * minutes * 1.5)))
    assert 0.9 * minutes <= result.stops_s["b1"] / 60 <= 1.01 * minutes
    assert 0.45 < result.points[int(result.stops_s["b1"] / result.step_s)].charge["b1"] < 0.502


def test_a_weak_battery_stops_the_music_at_the_cut_off_voltage() -> None:
    # by hand: 100 mohm at some 15 A lose 1.5 V of 12.65 V at once
    build = changed(small_build(), ("batteries", "b1", "resistance_ohm", 0.1))
    result = driven(with_legs(build, ("cruise", "programme", 60), ("off", "programme", 600)))
    assert result.stops_s == {"b1": 60.0}
    calm = driven(with_legs(build, ("cruise", "programme", 600)))
    assert calm.stops_s == {}
