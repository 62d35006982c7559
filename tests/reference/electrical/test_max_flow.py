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

from domain.build.choices import BlockKind
from domain.electrical.network.wiring import wiring
from domain.electrical.protection.circulation import Currents, GroundFlows
from domain.electrical.protection.cut_network import (
    CutNetwork,
    Edge,
    FuseEdge,
    Link,
    Load,
    Segment,
    Source,
    cut_network,
    network,
)
from domain.electrical.protection.overload import PositiveFlows
from tests.domain.electrical.protection.shaped_builds import shaped

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


def test_plans_with_isolators_of_every_kind_against_the_library() -> None:
    # relays, switches, diodes and chargers with their ratings, as plans have them
    kinds: dict[str, int] = {}
    for number in range(COUNT):
        random = Random(number)
        build = shaped(random, pins=True)
        isolator = next((b for b in build.blocks if b.kind is BlockKind.ISOLATOR), None)
        if isolator is None:
            continue
        net = cut_network(build, wiring(build), {run.id: 2.0 for run in build.runs})
        fuse_a = {f.run: float(random.choice([20, 35, 60, 100, 150, 200])) for f in net.fuses}
        flows = PositiveFlows(net, fuse_a)
        for segment in net.segments:
            if segment.positive:
                ends = [
                    library_flow(net, fuse_a, outputs(net), {node: inf}, segment)
                    for node in (segment.a, segment.b)
                ]
                ours = flows.lasting(segment)
                assert ours.amperes == pytest.approx(max(ends)), (number, segment.id)
        kind = str(isolator.isolates)
        kinds[kind] = kinds.get(kind, 0) + 1
    assert len(kinds) == 6
    assert sum(kinds.values()) > COUNT // 12


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
        nodes = [*sorted(net.positive.core), *(twig.node for twig in net.positive.twigs)]
        for node in random.sample(nodes, min(4, len(nodes))):
            with_fault = flows.from_sources(frozenset(ids), wanted, node)
            theirs = library_flow(net, fuse_a, given, {**wanted, node: inf}, None)
            assert with_fault == pytest.approx(theirs), (number, node)
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


def with_ground_fuses(
    random: Random, net: CutNetwork, fuse_a: dict[str, float]
) -> tuple[CutNetwork, dict[str, float]]:
    """The network with a fuse in some of its ground runs, at the beginning of the wire."""
    ground: list[Edge] = []
    ratings = dict(fuse_a)
    for edge in (*net.ground.edges, *(twig.edge for twig in net.ground.twigs)):
        if isinstance(edge, Segment) and random.random() < 0.4:
            end = f"{edge.run}~1b"
            ratings[edge.run] = float(random.choice([10, 30, 60, 100]))
            ground.append(FuseEdge(edge.run, edge.run, False, edge.a, end, positive=False))
            ground.append(Segment(edge.id, edge.run, False, end, edge.b, 0.0, 1.0))
        else:
            ground.append(edge)
    positive = [*net.positive.edges, *(twig.edge for twig in net.positive.twigs)]
    return network(positive, ground, net.sources, net.loads), ratings


def library_circulation(
    net: CutNetwork,
    fuse_a: dict[str, float],
    segment: Segment,
    arcs: list[tuple[str, str, float]],
) -> float:
    """The greatest circulation through a ground segment by the library, either way.

    ``arcs`` are what loads, charging batteries and a fault pass one way; sources are added.
    """
    edges = [
        edge
        for side in (net.positive, net.ground)
        for edge in (*side.edges, *(twig.edge for twig in side.twigs))
        if edge is not segment
    ]
    arcs = [*arcs, *((s.negative, s.positive, s.output_a) for s in net.sources)]
    names = {n for e in edges for n in (e.a, e.b)} | {n for a, b, _ in arcs for n in (a, b)}
    index = {name: number for number, name in enumerate(sorted(names | {segment.a, segment.b}))}
    matrix = np.zeros((len(index),) * 2, dtype=np.int32)
    for edge in edges:
        capacity = NO_LIMIT
        if isinstance(edge, FuseEdge):
            capacity = whole(fuse_a[edge.run])
        elif isinstance(edge, Link):
            capacity = whole(edge.capacity_a)
        matrix[index[edge.a], index[edge.b]] += capacity
        if not (isinstance(edge, Link) and edge.one_way):
            matrix[index[edge.b], index[edge.a]] += capacity
    for a, b, amperes in arcs:
        matrix[index[a], index[b]] += whole(amperes)
    ends = index[segment.a], index[segment.b]
    ways = (ends, ends[::-1])
    found = max(maximum_flow(csr_matrix(matrix), *way).flow_value for way in ways)
    return inf if found >= NO_LIMIT else float(found)


def test_a_fuse_in_the_ground_passes_its_rating_in_every_fault() -> None:
    # the whole uncut circle, ground and all; every fault by itself, at every place of the plus side
    compared = limited = 0
    for number in range(COUNT // 10):
        random = Random(number)
        net, fuse_a = with_ground_fuses(random, *random_network(random))
        every = [*net.positive.edges, *(twig.edge for twig in net.positive.twigs)]
        if not every or not net.loads or not net.sources or net.ground.ringed:
            continue
        programme, tone = (
            {load.id: float(random.choice(some)) for load in net.loads}
            for some in ((0, 5, 10), (10, 30, 70))
        )
        charge = {s.id: float(random.choice([0, 15])) for s in net.sources if s.battery}
        flows = PositiveFlows(net, fuse_a)
        grounds = GroundFlows(flows, Currents(programme, tone, charge))
        names = {n for edge in every for n in (edge.a, edge.b)}
        names |= {load.positive for load in net.loads} | {s.positive for s in net.sources}
        nodes = sorted(names)
        into = {n: library_flow(net, fuse_a, outputs(net), {n: inf}, None) for n in nodes}
        ends = {load.id: (load.positive, load.negative) for load in net.loads}
        playing = {id: (*ends[id], amperes) for id, amperes in programme.items()}
        at_full = [(*ends[id], amperes) for id, amperes in tone.items()]
        at_full += [(s.positive, s.negative, charge.get(s.id, 0.0)) for s in net.sources]
        faults = [
            [*(arc for each, arc in playing.items() if each != id), (*ends[id], inf)] for id in ends
        ]
        faults += [[*playing.values(), (n, STAR, inf)] for n in nodes if into[n] < inf]
        ratings = [fuse_a[f.run] for f in net.fuses if not f.positive]
        for segment in net.segments:
            if segment.positive:
                continue
            itself = library_circulation(net, fuse_a, segment, at_full)
            each = (library_circulation(net, fuse_a, segment, fault) for fault in faults)
            worst = max(a for a in (0.0, *each) if a < inf)
            found = [r for r in grounds.returned(segment) if not r.cause.startswith("block:")]
            ours = max((r.amperes for r in found if not r.cause), default=0.0)
            # What one amplifier draws is taken as solved, up to a fuse of the ground.
            assert itself <= ours + 1e-9, (number, segment.id)
            assert ours == pytest.approx(itself) or ours in tone.values(), (number, segment.id)
            # Others at their programme are less than the load itself at full output.
            ours = max((r.amperes for r in found if r.cause), default=0.0)
            assert ours == pytest.approx(worst) or ours <= worst <= itself, (number, segment.id)
            compared += 1
            limited += worst in ratings
    assert compared > COUNT // 4
    assert limited > COUNT // 40


def ring_of_grounds(rating_a: float) -> tuple[GroundFlows, CutNetwork]:
    """A battery whose minus comes back two ways to the star, a fuse in one of them."""
    positive: list[Edge] = [
        FuseEdge("r1", "r1", False, "b0_pos", "r1~1b"),
        Segment("r1.1", "r1", True, "r1~1b", "a0_pos", 0.0, 1.0),
    ]
    ground: list[Edge] = [
        Segment("n0.1", "n0", False, "b0_neg", "n0~1a", 0.0, 0.5),
        FuseEdge("n0", "n0", False, "n0~1a", "n0~1b", positive=False),
        Segment("n0.2", "n0", False, "n0~1b", STAR, 0.5, 1.0),
        Segment("n1.1", "n1", False, "b0_neg", STAR, 0.0, 1.0),
        Segment("n2.1", "n2", False, "a0_neg", STAR, 0.0, 1.0),
    ]
    sources, loads = (Source("b0", "b0_pos", "b0_neg"),), (Load("a0", "a0_pos", "a0_neg"),)
    net = network(positive, ground, sources, loads)
    ohm = dict.fromkeys(("n0.1", "n0", "n0.2", "n1.1"), 0.001)
    flows = PositiveFlows(net, {"r1": 120.0, "n0": rating_a})
    return GroundFlows(flows, Currents(), lambda: ohm), net


@pytest.mark.parametrize(
    ("rating_a", "fused_a", "other_a"), [(50.0, 30.0, 90.0), (20.0, 20.0, 120.0)]
)
def test_when_a_fuse_in_a_ring_of_grounds_opens_the_other_way_carries_all(
    rating_a: float, fused_a: float, other_a: float
) -> None:
    # by hand: 120 A come back over 3 mohm beside 1 mohm, 30 and 90 A; a fuse of 20 A opens, and
    # then 120 A come back the other way
    grounds, net = ring_of_grounds(rating_a)
    most = {s.id: max(r.amperes for r in grounds.returned(s)) for s in net.segments[1:]}
    wanted = {"n0.1": fused_a, "n0.2": fused_a, "n1.1": other_a, "n2.1": 120.0}
    assert most == pytest.approx(wanted)


def doubled(net: CutNetwork, segment: Segment) -> CutNetwork:
    """The network with a second wire like this one beside it."""
    beside = Segment(f"{segment.id}b", segment.run, False, segment.a, segment.b, 0.0, 1.0)
    ground = [*net.ground.edges, *(twig.edge for twig in net.ground.twigs), beside]
    positive = [*net.positive.edges, *(twig.edge for twig in net.positive.twigs)]
    return network(positive, ground, net.sources, net.loads)


def test_two_ground_wires_alike_bring_back_half_each() -> None:
    # by symmetry each of two alike wires takes half of what the library lets through one alone:
    # no source gives more than its fuses pass, however many loads ask for it
    compared = equal = 0
    for number in range(COUNT // 2):
        random = Random(number)
        net, fuse_a = random_network(random)
        every = [*net.positive.edges, *(twig.edge for twig in net.positive.twigs)]
        if not every or not net.loads:
            continue
        tone = {load.id: float(random.choice((30, 70, 400))) for load in net.loads}
        for segment in net.segments:
            sides = None if segment.positive else parted(net, segment)
            if sides is None or not any(s.negative == segment.a for s in net.sources):
                continue
            near = sides[0] if segment.a in sides[0] else sides[1]
            given: dict[str, float] = {}
            for source in net.sources:
                if source.negative in near:
                    given[source.positive] = given.get(source.positive, 0.0) + source.output_a
            far = [load for load in net.loads if load.negative not in near]
            wanted = {load.positive: tone[load.id] for load in far}
            itself = library_flow(net, fuse_a, given, wanted, None)
            if itself == inf:
                continue
            twice = doubled(net, segment)
            grounds = GroundFlows(PositiveFlows(twice, fuse_a), Currents({}, tone, {}))
            for wire in (s for s in twice.segments if s.run == segment.run):
                found = grounds.returned(wire)
                ours = max((r.amperes for r in found if not r.cause), default=0.0)
                assert ours >= itself / 2 * (1 - 1e-9), (number, wire.id)
                if len(far) == len(net.loads) and len(given) == 1 and len(near) == 1:
                    others = {s.positive for s in net.sources if s.positive not in given}
                    if not others:
                        assert ours == pytest.approx(itself / 2), (number, wire.id)
                        equal += 1
                compared += 1
    assert compared > COUNT // 5
    assert equal > COUNT // 50
