"""Fuses in the ground: what they leave of a return, on the whole network.

Grounds without fuses are worked out on cores and twigs (``circulation``). Where a fuse in a ground
run is smaller than what comes back there, the circle is looked at as a whole: out of a source's
plus, through the positive side, through loads and one fault, and back through the ground, in which
a fuse passes its rating. The greatest circulation through a segment is the greatest flow from its
one end to the other, the segment taken out.
"""

from collections.abc import Mapping
from math import inf

from msgspec import Struct, field

from domain.electrical.protection.cut_network import (
    Capacity,
    CutNetwork,
    Edge,
    Link,
    Segment,
    Side,
    network,
)
from domain.electrical.protection.max_flow import FlowNetwork
from domain.ties import first_most

Arc = tuple[str, str, float, float]
"""Node, node, and what passes there and back [A]."""


class Fault(Struct, frozen=True):
    """One state of the loads: currents of loads from plus to minus by id, and what is short [A].

    ``short`` are two nodes that touch, a plus and a minus or the star; ``charge_a`` is what the
    batteries take, by id.
    """

    load_a: Mapping[str, float]
    charge_a: Mapping[str, float] = field(default_factory=dict)
    short: tuple[str, str] | None = None


class Circulation:
    """The greatest circulations of a network, both sides whole."""

    def __init__(self, net: CutNetwork, capacity: Capacity) -> None:
        """``capacity`` says what an edge passes for good [A], on either side."""
        self.net = net
        self._arcs: list[tuple[str, Arc]] = []
        for edge in _edges(net):
            there = capacity(edge)
            back = 0.0 if isinstance(edge, Link) and edge.one_way else there
            name = edge.id if isinstance(edge, Link) else edge.run
            self._arcs.append((name, (edge.a, edge.b, there, back)))
        self._place = {e.id: n for n, e in enumerate(_edges(net))}
        for source in net.sources:
            arc = source.negative, source.positive, source.output_a, 0.0
            self._arcs.append((source.id, arc))

    def through(self, segment: Segment, fault: Fault) -> tuple[float, tuple[str, ...]]:
        """The most that a ground segment carries for good in one state, either way [A].

        And what limits it: runs by their fuses, alternators and links by id. Infinite where nothing
        does, and beside another way back without a fuse.
        """
        own = self._place[segment.id]
        arcs = [arc for _, arc in self._arcs]
        for source in self.net.sources:
            taken = fault.charge_a.get(source.id, 0.0)
            if taken > 0:
                arcs.append((source.positive, source.negative, taken, 0.0))
        for load in self.net.loads:
            amperes = fault.load_a.get(load.id, 0.0)
            if amperes > 0:
                arcs.append((load.positive, load.negative, amperes, 0.0))
        if fault.short:
            arcs.append((*fault.short, inf, 0.0))
        flows = FlowNetwork(arcs)
        found = [
            flows.greatest({a: inf}, {b: inf}, own)
            for a, b in ((segment.a, segment.b), (segment.b, segment.a))
        ]
        most = first_most(found, lambda flow: flow.amperes)
        limits = [
            name
            for number, (name, (a, b, there, back)) in enumerate(self._arcs)
            if number != own
            and ((a in most.inside) != (b in most.inside))
            and 0 < (there if a in most.inside else back) < inf
        ]
        return most.amperes, tuple(dict.fromkeys(limits))


def _edges(net: CutNetwork) -> tuple[Edge, ...]:
    return (*every_edge(net.positive), *every_edge(net.ground))


def every_edge(side: Side) -> tuple[Edge, ...]:
    """The edges of core and twigs of a side."""
    return (*side.edges, *(twig.edge for twig in side.twigs))


def with_open(net: CutNetwork, opened: frozenset[str]) -> CutNetwork:
    """The network with these fuses of the ground open, by edge id."""
    ground = [edge for edge in every_edge(net.ground) if edge.id not in opened]
    return network(list(every_edge(net.positive)), ground, net.sources, net.loads)
