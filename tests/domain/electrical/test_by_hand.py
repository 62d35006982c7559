"""Small figures of the electrical side against a hand calculation, each beside its test."""

from math import inf

import pytest

from domain.build.records import Build
from domain.electrical import drive
from domain.electrical.protection.opening import Point, knows_fast_side, window
from domain.electrical.protection.short_circuit import full_charge_ratio
from domain.evaluate import evaluate
from tests.domain.electrical.small import changed, small_build


def test_minutes_to_half_at_idle_are_of_what_the_alternator_leaves() -> None:
    # By hand, Peukert's law on the 20 hours' rating: t = 20 h (C / (20 h I)) ** k, of which the
    # charge from 80 % to 50 % is 0.3. What the battery gives is load less the alternator.
    build = changed(
        small_build(),
        ("batteries", "b1", "chemistry", "AGM"),
        ("alternators", "g1", "idle_a", 20.0),
        ("alternators", "g1", "vehicle_load_a", 35.0),
    )
    supply = evaluate(build).supply
    drain = 35.0 + supply.programme_a - 20.0
    assert supply.idle_balance_a == pytest.approx(-drain)
    capacity = build.batteries[0].capacity_ah
    minutes = supply.minutes_to_half_idle
    assert minutes is not None
    lossless = 60 * 0.3 * capacity / drain
    # k of AGM lies between 1.05 and 1.15 (battery makers' sheets, from memory)
    low, high = (60 * 0.3 * 20 * (capacity / (20 * drain)) ** k for k in (1.15, 1.05))
    assert low <= minutes <= high < lossless


def test_a_full_battery_takes_no_charge_and_an_empty_one_gives_none() -> None:
    battery = small_build().batteries[0]
    full, half, empty = (drive._battery_law(battery, charge) for charge in (1.0, 0.5, 0.0))
    above, below = 1.0, -1.0  # volts over and under rest

    def amperes(law: object, volts: float) -> float:
        current, _ = law(volts)  # type: ignore[operator]
        return float(current)

    rest = [next(v / 1000 for v in range(9000, 16000) if amperes(law, v / 1000) >= 0)
            for law in (full, half, empty)]  # fmt: skip
    assert abs(amperes(full, rest[0] + above)) < 1e-3 * abs(amperes(half, rest[1] + above))
    assert abs(amperes(empty, rest[2] + below)) < 1e-3 * abs(amperes(half, rest[1] + below))


def test_without_a_battery_nothing_is_fuller() -> None:
    assert full_charge_ratio(Build()) == 1.0


@pytest.mark.parametrize(("fastest", "known"), [(0.0, False), (0.25, True)])
def test_a_fuse_of_which_only_the_slow_side_is_known(fastest: float, known: bool) -> None:
    points = window([Point(2.0, fastest, 5.0), Point(1.35, 0.0, inf)])
    assert knows_fast_side(points) is known
