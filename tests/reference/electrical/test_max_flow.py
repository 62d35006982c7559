"""The greatest flows of the overload proof against a general-purpose library.

Second method: ``scipy.sparse.csgraph.maximum_flow`` (Dinic) on the whole uncut graph, while the
product works on core and twigs with shortest augmenting paths. The suite takes a sample; with
``FULL_COUNT`` in the environment it is 1,000 networks.
"""

import os
from math import inf
from random import Random

import numpy as np
import pytest
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components, maximum_flow

from domain.electrical.protection.circulation import Currents, GroundFlows
from domain.electrical.protection.cut_network import (
    CutNetwork,
    Edge,
    FuseEdge,
    Link,
    Load,
    Segment,
    Source,
    network,
)
from domain.electrical.protection.overload import PositiveFlows

COUNT = 1000 if "FULL_COUNT" in os.environ else 150
NO_LIMIT = 10**6
"""Stands for an unlimited capacity in whole amperes."""

STAR = "chassis"


def random_network(random: Random) -> tuple[CutNetwork, dict[str, float]]:
    """A network of any shape the records allow: trees, rings, banks, several alternators."""
    batteries, alternators = random.randint(0, 3), random.randint(0, 2)
    blocks, amplifiers = random.randint(0, 4), random.randint(0, 4)
    sources = tuple(Source(f"b{i}", f"b{i}_pos", f"b{i}_neg") for i in range(batteries)) + tuple(
        Source(f"g{i}", f"g{i}_pos", f"g{i}_neg", float(random.choice([60, 120, 240])))
        for i in range(alternators)
    )
    loads = tuple(
        Load(f"a{i}", f"a{i}_pos", f"a{i}_neg", random.choice([inf, 40.0, 80.0]))
        for i in range(amplifiers)
    )
    places = [s.positive for s in sources] + [f"d{i}" for i in range(blocks)]
    places += [load.positive for load in loads]
    fuse_a: dict[str, float] = {}
    positive: list[Edge] = []
    for number in range(random.randint(1, 10)):
        if len(places) < 2:
            break
        a, b = random.sample(places, 2)
        run, inner = f"r{number}", f"r{number}~1"
        kind = random.random()
        if kind < 0.15:
            capacity = random.choice([inf, 100.0])
            positive.append(Link(run, a, b, True, capacity, random.random() < 0.3))
        elif kind < 0.35:
            positive.append(Segment(f"{run}.1", run, True, a, b, 0.0, 1.0))
        else:
            fuse_a[run] = float(random.choice([20, 35, 60, 100, 150, 200]))
            positive.append(Segment(f"{run}.1", run, True, a, inner, 0.0, 0.3))
            end = f"{run}~2"
            positive.append(FuseEdge(run, run, False, inner, end))
            if random.random() < 0.5:
                positive.append(Segment(f"{run}.2", run, True, end, f"{run}~3", 0.3, 1.0))
                positive.append(FuseEdge(f"{run}>", run, True, f"{run}~3", b))
            else:
                positive.append(Segment(f"{run}.2", run, True, end, b, 0.3, 1.0))
    ground: list[Edge] = [Link("e0", "e0", STAR), Link("e1", "e1", STAR)]
    for number, end in enumerate([s.negative for s in sources] + [a.negative for a in loads]):
        to = random.choice(["e0", "e1", "d9"])
        ground.append(Segment(f"n{number}.1", f"n{number}", False, end, to, 0.0, 1.0))
    ground.append(Segment("n99.1", "n99", False, "d9", "e1", 0.0, 1.0))
    return network(positive, ground, sources, loads), fuse_a


def whole(value: float) -> int:
    return NO_LIMIT if value == inf else round(value)


def library_flow(
    net: CutNetwork,
    fuse_a: dict[str, float],
    given: dict[str, float],
    wanted: dict[str, float],
    without: Segment | None,
) -> float:
    """The same flow by the library, on every edge of the positive side."""
    edges = [*net.positive.edges, *(twig.edge for twig in net.positive.twigs)]
    names = sorted({n for e in edges for n in (e.a, e.b)} | set(given) | set(wanted))
    index = {name: number + 2 for number, name in enumerate(names)}
    size = len(names) + 2
    matrix = np.zeros((size, size), dtype=np.int32)
    for edge in edges:
        if edge is without:
            continue
        capacity = NO_LIMIT
        if isinstance(edge, FuseEdge):
            capacity = whole(fuse_a[edge.run])
        elif isinstance(edge, Link):
            capacity = whole(edge.capacity_a)
        matrix[index[edge.a], index[edge.b]] += capacity
        if not (isinstance(edge, Link) and edge.one_way):
            matrix[index[edge.b], index[edge.a]] += capacity
    for node, limit in given.items():
        matrix[0, index[node]] += whole(limit)
    for node, limit in wanted.items():
        matrix[index[node], 1] += whole(limit)
    found = maximum_flow(csr_matrix(matrix), 0, 1).flow_value
    return inf if found >= NO_LIMIT else float(found)


def outputs(net: CutNetwork) -> dict[str, float]:
    given: dict[str, float] = {}
    for source in net.sources:
        given[source.positive] = given.get(source.positive, 0.0) + source.output_a
    return given


@pytest.mark.parametrize("start", range(0, COUNT, 50))
def test_every_segment_of_random_networks_against_the_library(start: int) -> None:
    compared = 0
    for number in range(start, start + 50):
        net, fuse_a = random_network(Random(number))
        flows = PositiveFlows(net, fuse_a)
        for segment in net.segments:
            if not segment.positive:
                continue
            ours = flows.lasting(segment)
            ends = [
                library_flow(net, fuse_a, outputs(net), {node: inf}, segment)
                for node in (segment.a, segment.b)
            ]
            assert ours.amperes == pytest.approx(max(ends)), (number, segment.id)
            compared += 1
    assert compared > 50


@pytest.mark.parametrize("start", range(0, COUNT, 50))
def test_loads_and_shorts_together_against_the_library(start: int) -> None:
    # several sinks at once, some of the sources: what the ground side is worked out from
    compared = 0
    for number in range(start, start + 50):
        random = Random(number)
        net, fuse_a = random_network(random)
        flows = PositiveFlows(net, fuse_a)
        ids = [s.id for s in net.sources if random.random() < 0.7]
        given: dict[str, float] = {}
        for source in net.sources:
            if source.id in ids:
                given[source.positive] = given.get(source.positive, 0.0) + source.output_a
        wanted = {load.positive: float(random.choice([0, 10, 35])) for load in net.loads}
        if net.loads and random.random() < 0.5:
            wanted[random.choice(net.loads).positive] = inf
        ours = flows.from_sources(frozenset(ids), wanted)
        if not net.positive.edges and not net.positive.twigs:
            continue
        theirs = library_flow(net, fuse_a, given, wanted, None)
        assert ours == pytest.approx(theirs), number
        compared += 1
    assert compared > 30


def test_an_amplifiers_ground_returns_what_reaches_the_amplifier() -> None:
    # conservation: what goes into a short inside an amplifier comes out at its minus
    for number in range(50):
        net, fuse_a = random_network(Random(number))
        flows = PositiveFlows(net, fuse_a)
        grounds = GroundFlows(flows, Currents())
        for load in net.loads:
            into, _ = flows.into(load.positive)
            own = next(s for s in net.segments if not s.positive and s.a == load.negative)
            if into < inf:
                assert max(r.amperes for r in grounds.returned(own)) >= into * (1 - 1e-9)


def parted(net: CutNetwork, without: Segment) -> tuple[set[str], set[str]] | None:
    """Nodes of the ground on either side of a segment; ``None`` where it parts nothing."""
    edges = [*net.ground.edges, *(twig.edge for twig in net.ground.twigs)]
    names = sorted({n for edge in edges for n in (edge.a, edge.b)})
    index = {name: number for number, name in enumerate(names)}
    kept = [edge for edge in edges if edge is not without]
    rows = [index[edge.a] for edge in kept]
    columns = [index[edge.b] for edge in kept]
    _, label = connected_components(
        csr_matrix((np.ones(len(kept)), (rows, columns)), shape=(len(names),) * 2), directed=False
    )
    near, far = label[index[without.a]], label[index[without.b]]
    if near == far:
        return None
    return (
        {n for n in names if label[index[n]] == near},
        {n for n in names if label[index[n]] == far},
    )


def test_what_a_ground_returns_is_what_the_library_finds_for_each_fault() -> None:
    # Sources on one side of a ground, amplifiers on the other: every fault by itself, at every
    # place of the positive side, on the whole uncut graph.
    compared = shared = 0
    for number in range(COUNT // 4):
        random = Random(number)
        net, fuse_a = random_network(random)
        every = [*net.positive.edges, *(twig.edge for twig in net.positive.twigs)]
        if not every or len(net.loads) < 2 or not net.sources:
            continue
        programme, tone = (
            {load.id: float(random.choice(some)) for load in net.loads}
            for some in ((0, 5, 12), (10, 30, 70))
        )
        charge = {s.id: float(random.choice([0, 15])) for s in net.sources if s.battery}
        grounds = GroundFlows(PositiveFlows(net, fuse_a), Currents(programme, tone, charge))
        nodes = {n for edge in every for n in (edge.a, edge.b)}
        nodes |= {load.positive for load in net.loads} | {s.positive for s in net.sources}
        into = {n: library_flow(net, fuse_a, outputs(net), {n: inf}, None) for n in nodes}
        for segment in net.segments:
            sides = None if segment.positive else parted(net, segment)
            if sides is None:
                continue
            itself = worst = 0.0
            twigs = {twig.edge for twig in net.ground.twigs}
            alone = segment in twigs
            for near, far in (sides, sides[::-1]):
                given: dict[str, float] = {}
                for source in net.sources:
                    if source.negative in near:
                        given[source.positive] = given.get(source.positive, 0.0) + source.output_a
                if not given:
                    continue
                loads = [load for load in net.loads if load.negative in far]
                wanted = {load.positive: tone[load.id] for load in loads}
                for s in net.sources:
                    if s.id in charge and s.negative in far:
                        wanted[s.positive] = wanted.get(s.positive, 0.0) + charge[s.id]
                itself = max(itself, library_flow(net, fuse_a, given, wanted, None))
                others = {load.positive: programme[load.id] for load in loads}
                places = sorted(nodes) if STAR in far else sorted(others)
                for place in places:
                    if into[place] < inf:
                        fault = library_flow(net, fuse_a, given, {**others, place: inf}, None)
                        worst = max(worst, fault)
                shared += len(loads) > 1 and STAR not in far
            found = [r for r in grounds.returned(segment) if not r.cause.startswith("block:")]
            ours = max((r.amperes for r in found if not r.cause), default=0.0)
            # What one amplifier draws is taken as solved, whether or not its fuses would carry it.
            assert ours == pytest.approx(itself) or (alone and ours > itself), (number, segment.id)
            ours = max((r.amperes for r in found if r.cause), default=0.0)
            assert ours == pytest.approx(worst), (number, segment.id)
            compared += 1
    assert compared > COUNT // 4
    assert shared > COUNT // 50
