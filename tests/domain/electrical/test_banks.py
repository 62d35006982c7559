"""Batteries that charge together: a limit for LiFePO4, and one kind side by side."""

import pytest

from domain.build import actions, kits
from domain.build.choices import Isolates
from domain.build.records import Build
from domain.build.start import start_build
from domain.findings import Level
from tests.domain.electrical.small import changed, found


def car(rated_a: float, capacity_ah: float, isolates: Isolates) -> Build:
    """A LiFePO4 battery behind an isolator, on an alternator of which so much is left."""
    build = start_build()
    build = actions.applied(build, kits.battery_behind(build, isolates))
    return changed(
        build,
        ("alternators", "g1", "rated_a", rated_a),
        ("alternators", "g1", "hot", True),
        ("alternators", "g1", "vehicle_load_a", 20.0),
        ("batteries", "b1", "capacity_ah", 60.0),
        ("batteries", "b2", "chemistry", "LiFePO4"),
        ("batteries", "b2", "capacity_ah", capacity_ah),
    )


@pytest.mark.parametrize(
    ("rated_a", "capacity_ah", "isolates", "told"),
    [
        # by hand: of 200 A hot 180 are left; 40 Ah take 40 A, the AGM of 60 Ah 0.3 x 60 = 18
        (200.0, 40.0, Isolates.RELAY, True),
        # 200 Ah take 200 A: the alternator is the smaller
        (200.0, 200.0, Isolates.RELAY, False),
        # 70 A hot leave 50, below 40 + 18
        (70.0, 40.0, Isolates.RELAY, False),
        # a charger limits it
        (200.0, 40.0, Isolates.CONVERTER, False),
    ],
)
def test_lithium_that_is_charged_faster_than_it_stands(
    rated_a: float, capacity_ah: float, isolates: Isolates, told: bool
) -> None:
    findings = found(car(rated_a, capacity_ah, isolates), "charge-unlimited")
    assert [(f.level, f.id) for f in findings] == [(Level.FIX, "b2")] * told
    if told:
        assert "180 A" in findings[0].why
        assert "58 A" in findings[0].why


def two(*capacities: float, isolator: bool = False) -> Build:
    build = start_build()
    if isolator:
        build = actions.applied(build, kits.battery_behind(build, Isolates.RELAY))
    else:
        build = actions.applied(build, actions.add(build, "batteries"))
    return changed(
        build, *(("batteries", f"b{n}", "capacity_ah", ah) for n, ah in enumerate(capacities, 1))
    )


def test_unlike_batteries_side_by_side() -> None:
    assert [f.id for f in found(two(100.0, 60.0), "batteries-unlike")] == ["b2"]
    assert found(two(100.0, 100.0), "batteries-unlike") == []
    assert found(two(100.0, 60.0, isolator=True), "batteries-unlike") == []
