"""The wiring cut at its fuses: segments, core and twigs."""

import pytest
from hypothesis import given, settings

from domain.build import actions
from domain.build.edits import AddRecord
from domain.build.records import Build
from domain.electrical.network.wiring import STAR, wiring
from domain.electrical.protection.cut_network import (
    CutNetwork,
    FuseEdge,
    Segment,
    cut_network,
)
from domain.electrical.protection.fuse_place import fuse_distance_m
from tests.domain.electrical.random_builds import builds
from tests.domain.electrical.small import changed, small_build


def cut(build: Build, wire_m: float = 2.0) -> CutNetwork:
    """The network of a build, every wire of one length."""
    return cut_network(build, wiring(build), {run.id: wire_m for run in build.runs})


def pieces(net: CutNetwork, run: str) -> list[tuple[str, float, float]]:
    """Segments of a run: id, start and end [m]."""
    return [(s.id, round(s.start_m, 6), round(s.end_m, 6)) for s in net.segments if s.run == run]


def test_a_run_is_cut_at_both_its_fuses() -> None:
    # by hand: fuses 0.2 m from one end and 0.5 m from the other of 2 m
    build = changed(
        small_build(),
        ("runs", "r4", "fuse_distance_m", 0.2),
        ("runs", "r4", "far_fused", True),
        ("runs", "r4", "far_fuse_distance_m", 0.5),
    )
    net = cut(build)
    assert pieces(net, "r4") == [("r4.1", 0.0, 0.2), ("r4.2", 0.2, 1.5), ("r4.3", 1.5, 2.0)]
    assert [(f.id, f.far) for f in net.fuses if f.run == "r4"] == [("r4", False), ("r4>", True)]


def test_a_fuse_on_the_post_leaves_no_piece_ahead_of_it() -> None:
    net = cut(small_build())
    # the branch fuse sits in the fused block, so that the wire begins behind it
    assert pieces(net, "r5") == [("r5.1", 0.0, 2.0)]
    fuse = next(f for f in net.fuses if f.run == "r5")
    assert fuse.a == "d1"


def test_a_fuse_not_placed_is_assumed_and_marked() -> None:
    net = cut(small_build())
    first, second = (s for s in net.segments if s.run == "r4")
    assert first.assumed
    assert second.assumed
    assert first.length_m == pytest.approx(0.3048)  # the usual 12 in, common practice
    block_run = next(run for run in small_build().runs if run.id == "r5")
    free = block_run.but(fuse_distance_m=None)
    assert fuse_distance_m(small_build(), free) == 0.0


def test_a_fuse_beyond_the_end_sits_at_the_end() -> None:
    build = changed(small_build(), ("runs", "r4", "fuse_distance_m", 9.0))
    assert pieces(cut(build), "r4") == [("r4.1", 0.0, 2.0)]


def test_one_battery_leaves_only_its_posts_in_the_core() -> None:
    net = cut(small_build())
    assert net.positive.core == {"b1_pos", "g1_pos"}
    assert net.ground.core == {"b1_neg", "g1_neg", "e1", STAR}
    assert [step.edge.id for step in net.positive.to_core("a1_pos")] == [
        "r5.1",
        "r5",
        "r4.2",
        "r4",
        "r4.1",
    ]
    assert net.positive.root["a1_pos"] == "b1_pos"


def test_two_mains_side_by_side_are_core() -> None:
    second = {"id": "r8", "source": "b1", "target": "d1", "fused": True}
    net = cut(actions.applied(small_build(), AddRecord(table="runs", record=second)))
    assert "d1" in net.positive.core
    assert [step.edge.id for step in net.positive.to_core("a1_pos")] == ["r5.1", "r5"]


def test_a_second_battery_brings_the_way_between_into_the_core() -> None:
    net = cut(actions.applied(small_build(), actions.add(small_build(), "batteries")))
    assert {"b1_pos", "b2_pos"} < net.positive.core
    assert "d1" not in net.positive.core


@given(builds())
@settings(max_examples=100, deadline=None, derandomize=True)
def test_nothing_is_lost_in_cutting(build: Build) -> None:
    # count and conservation: all wire of laid runs is in segments, every fuse there once, every
    # edge either core or twig, and what hangs on a twig is fed through it alone
    joined = wiring(build)
    net = cut(build)
    laid = [run for run in build.runs if run.id in joined.ends]
    for run in laid:
        own = [s for s in net.segments if s.run == run.id]
        assert sum(s.length_m for s in own) == pytest.approx(2.0 * run.count, abs=1e-5)
        assert all(s.length_m > 0 for s in own)
    assert len(net.fuses) == sum((run.fused + run.far_fused) * run.count for run in laid)
    for side in (net.positive, net.ground):
        edges = [*side.edges, *(twig.edge for twig in side.twigs)]
        assert len({e.id for e in edges}) == len(edges)
        assert not any(twig.node in side.core for twig in side.twigs)
        for twig in side.twigs:
            touching = [e for e in side.edges if twig.node in (e.a, e.b)]
            assert touching == []
        kept = {s.positive for s in net.sources} | {s.negative for s in net.sources} | {STAR}
        for node in side.core - kept:
            degree = sum((e.a == node) + (e.b == node) for e in side.edges)
            assert degree != 1
    assert all(isinstance(e, Segment | FuseEdge) for e in (*net.segments, *net.fuses))
