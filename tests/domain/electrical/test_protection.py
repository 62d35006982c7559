"""Which fuse guards which wire."""

from math import inf

import pytest

from domain.build import actions
from domain.build.edits import AddRecord, MoveRecord
from domain.build.records import Build
from domain.electrical.network.wiring import wiring
from domain.electrical.protection.guards import guards
from tests.domain.electrical.small import changed, small_build


def guard_of(build: Build, fuse_a: dict[str, float]) -> dict[str, tuple[float, float]]:
    """Run -> rating [A] and unprotected length [m], with every wire 2 m long."""
    found = guards(build, wiring(build), {run.id: 2.0 for run in build.runs}, fuse_a)
    return {id: (guard.rating_a, round(guard.unprotected_m, 9)) for id, guard in found.items()}


def test_the_smallest_fuse_on_the_way_guards() -> None:
    # by hand: the main fuse sits 0.3 m along, the branch fuse at the block
    found = guard_of(small_build(), {"r4": 150, "r5": 60})
    assert found["r4"] == (150, 0.3048)
    assert found["r5"] == (60, 0.0)
    assert found["r1"] == (inf, 2.0)
    unfused = changed(small_build(), ("runs", "r5", "fused", False))
    assert guard_of(unfused, {"r4": 150})["r5"] == (150, 0.0)


def test_a_fuse_at_the_far_end_leaves_the_wire_bare() -> None:
    build = changed(
        small_build(),
        ("runs", "r4", "fused", False),
        ("runs", "r4", "far_fused", True),
        ("runs", "r4", "far_fuse_distance_m", 0.5),
        ("runs", "r5", "fused", False),
    )
    found = guard_of(build, {"r4": 150})
    assert found["r4"] == (inf, 1.5)
    assert found["r5"] == (150, 0.0)


def test_a_link_between_batteries_is_fed_from_both_ends() -> None:
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    assert guard_of(build, {"r4": 150, "r5": 60, link: 100})[link] == (100, 0.3048)
    one = changed(build, ("runs", link, "far_fused", False))
    assert guard_of(one, {"r4": 150, "r5": 60, link: 100})[link] == (inf, 2 - 0.3048)
    # and the main run is fed by the second battery only through the link's and its own post
    assert guard_of(build, {"r4": 150, "r5": 60, link: 100})["r4"] == (150, 0.3048)


@pytest.mark.parametrize("first", [True, False])
def test_two_ways_to_a_block_count_with_the_larger_fuse(first: bool) -> None:
    # by definition of a guard: the largest fuse that stands between some battery and the wire.
    # A short on the branch is fed through both wires, whichever of them was entered first
    build = changed(small_build(), ("runs", "r5", "fused", False))
    second = {"id": "r8", "source": "b1", "target": "d1", "fused": True, "length_m": 2.0}
    build = actions.applied(build, AddRecord(table="runs", record=second))
    if first:
        build = actions.applied(build, MoveRecord(table="runs", id="r8", index=0))
    found = guard_of(build, {"r4": 250, "r8": 60})
    assert found["r5"][0] >= 250
    # a short in the thin wire behind its fuse is fed from the block through the large fuse
    assert found["r8"][0] >= 250
    assert found["r4"][0] >= 250


def test_an_unfused_way_beside_a_fused_one_guards_nothing() -> None:
    # by definition: what the second wire brings, no fuse stops
    build = changed(small_build(), ("runs", "r5", "fused", False))
    build = actions.applied(
        build, AddRecord(table="runs", record={"id": "r8", "source": "b1", "target": "d1"})
    )
    assert guard_of(build, {"r4": 150})["r5"][0] == inf
