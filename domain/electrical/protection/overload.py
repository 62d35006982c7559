"""First proof, overload: the most that can flow for good into any point of a wire.

A chafed wire is a load of any size at any point. What counts is the greatest flow from all
sources to each of a segment's ends, the segment taken out: a fuse passes its rating, an
alternator its greatest output, a battery without a fuse has no limit. Rule: IEC 60364-4-43
433.1 (from memory), rating no larger than ampacity; yardstick 33 CFR 183.455, 150 %.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, lru_cache
from heapq import heappop, heappush
from math import inf
from typing import NamedTuple

from msgspec import Struct

from domain.electrical.protection.cut_network import (
    Capacity,
    CutNetwork,
    Edge,
    FuseEdge,
    Link,
    Segment,
    Side,
    Twig,
    capacities,
)
from domain.electrical.protection.max_flow import Flow, FlowNetwork, Routed
from domain.ties import first_most, more

ROUNDING = 1e-4
"""A wire that is over by less than this share of its ampacity is not over."""


class Lasting(Struct, frozen=True):
    """What can flow for good into one segment.

    ``amperes`` is the greatest flow into a fault in it (infinite: nothing limits it), ``at`` the
    end where it comes in, ``limits`` what limits it: runs by their fuses, alternators and
    links by id. ``through_a`` is the most that passes through the segment while the fault
    is elsewhere.
    """

    amperes: float
    at: str
    limits: tuple[str, ...]
    through_a: float


MOST_KEPT = 300
"""Flows to what amplifiers draw that one network keeps."""


class PositiveFlows:
    """Greatest flows on the positive side with one set of fuses."""

    def __init__(self, net: CutNetwork, fuse_a: Mapping[str, float]) -> None:
        """``fuse_a`` are ratings by run [A]; a run without one passes without limit."""
        self.net, self.fuse_a = net, fuse_a
        self.side: Side = net.positive
        self.capacity: Capacity = capacities(fuse_a)
        self.outputs: dict[str, float] = {}
        for source in net.sources:
            known = self.outputs.get(source.positive, 0.0)
            self.outputs[source.positive] = known + source.output_a
        self._core = core_flow(self.side, self.capacity)
        self._number = {edge.id: number for number, edge in enumerate(self.side.edges)}
        self._into: dict[str, tuple[float, tuple[str, ...]]] = {}
        self._lasting: dict[str, Lasting] = {}
        self._given: dict[tuple[frozenset[str], tuple[tuple[str, float], ...]], _Given] = {}

    def into(self, node: str) -> tuple[float, tuple[str, ...]]:
        """Greatest flow into a fault at a node [A], and what limits it."""
        known = self._into.get(node)
        if known is not None:
            return known
        for twig in reversed(self.side.to_core(node)):
            self._into[twig.node] = self._beyond(twig, self.into(twig.parent))
        if node not in self._into:
            self._into[node] = self._read(self._core.greatest(self.outputs, {node: inf}))
        return self._into[node]

    def _beyond(
        self, twig: Twig, ahead: tuple[float, tuple[str, ...]]
    ) -> tuple[float, tuple[str, ...]]:
        limit = self._from(twig.edge, twig.parent)
        return (limit, (_name(twig.edge),)) if more(ahead[0], limit) else ahead

    def _from(self, edge: Edge, node: str) -> float:
        """What an edge passes from one of its ends to the other [A]."""
        return 0.0 if _one_way(edge) and edge.b == node else self.capacity(edge)

    def _read(self, flow: Flow[str], without: str = "") -> tuple[float, tuple[str, ...]]:
        if flow.amperes == inf:
            return inf, ()
        limits = []
        for edge in self.side.edges:
            across = (edge.a in flow.inside) != (edge.b in flow.inside)
            if across and edge.id != without and self.capacity(edge) < inf:
                limits.append(_name(edge))
        limits += [
            source.id
            for source in self.net.sources
            if source.positive not in flow.inside and source.output_a > 0
        ]
        return flow.amperes, tuple(dict.fromkeys(limits))

    def lasting(self, segment: Segment) -> Lasting:
        """What can flow for good into a segment."""
        found = self._lasting.get(segment.id)
        if found is None:
            found = self._lasting[segment.id] = self._work_out(segment)
        return found

    def _work_out(self, segment: Segment) -> Lasting:
        number = self._number.get(segment.id)
        if number is None:
            twig = self.side.up[self._outer(segment)]
            into, limits = self.into(twig.parent)
            through = min(into, self._out(twig.node, segment))
            return Lasting(into, twig.parent, limits, through)
        each = []
        for node in (segment.a, segment.b):
            flow = self._core.greatest(self.outputs, {node: inf}, number)
            each.append((*self._read(flow, segment.id), node))
        worst = first_most(each, lambda found: found[0])
        (from_a, _, _), (from_b, _, _) = each
        through = max(
            min(from_a, self._out(segment.b, segment)), min(from_b, self._out(segment.a, segment))
        )
        return Lasting(worst[0], worst[2], worst[1], through)

    def _outer(self, segment: Segment) -> str:
        """The end of a twig segment that is further from the core."""
        twig = self.side.up.get(segment.a)
        return segment.a if twig and twig.edge.id == segment.id else segment.b

    def _out(self, start: str, without: Segment) -> float:
        """What can leave a place into all that is joined to it without a fuse [A].

        The sum of the fuses there and of the amplifiers' own; without limit where a battery is
        joined to it.
        """
        loads = {load.positive: load.onboard_a for load in self.net.loads}
        total, seen, waiting = 0.0, {start}, [start]
        while waiting:
            node = waiting.pop()
            total += self.outputs.get(node, 0.0) + loads.get(node, 0.0)
            for edge in self._at.get(node, ()):
                if edge.id == without.id:
                    continue
                other = edge.b if edge.a == node else edge.a
                limit = self._from(edge, node)
                if limit < inf:
                    total += 0.0 if other in seen else limit
                elif other not in seen:
                    seen.add(other)
                    waiting.append(other)
        return total

    @cached_property
    def _at(self) -> dict[str, list[Edge]]:
        found: dict[str, list[Edge]] = {}
        for edge in (*self.side.edges, *(twig.edge for twig in self.side.twigs)):
            found.setdefault(edge.a, []).append(edge)
            found.setdefault(edge.b, []).append(edge)
        return found

    def bare_m(self, segment: Segment, lengths: Mapping[str, float]) -> float:
        """Wire from a battery post to a segment's further end [m].

        As far as it is joined to a post without any fuse; the segment's own length elsewhere.
        ``lengths`` are those of all segments, by id.
        """
        own = lengths[segment.id]
        lasting = self.lasting(segment)
        if lasting.amperes < inf:
            return own
        waiting, seen = [(0.0, lasting.at)], {lasting.at}
        while waiting:
            metres, node = heappop(waiting)
            if self.outputs.get(node) == inf:
                return metres + own
            for edge in self._at.get(node, ()):
                other = edge.b if edge.a == node else edge.a
                if edge.id == segment.id or self._from(edge, other) < inf or other in seen:
                    continue
                seen.add(other)
                heappush(waiting, (metres + lengths.get(edge.id, 0.0), other))
        return own

    def from_sources(
        self, sources: frozenset[str], demands: Mapping[str, float], fault: str = ""
    ) -> float:
        """Greatest flow from some of the sources, by id, to demands at nodes of any twig [A].

        ``fault`` is a node that takes all that flows into it beside. Loads behind one fuse share
        that fuse. Flows that were asked for are kept: rings of grounds ask for the same ones at
        every gauge, and with each fault.
        """
        asked = sources, tuple(demands.items())
        found = self._given.get(asked)
        if found is None:
            if len(self._given) >= MOST_KEPT:
                self._given.clear()
            found = self._given[asked] = self._served(sources, demands)
        return found.with_fault(self.side.to_core(fault), fault) if fault else found.flow.amperes

    def _served(self, sources: frozenset[str], demands: Mapping[str, float]) -> "_Given":
        wanted = dict(demands)
        taken: dict[str, float] = {}
        for node, parent, most in self._inwards:
            amperes = wanted.pop(node, 0.0)
            if amperes > 0:
                taken[node] = amperes
                wanted[parent] = wanted.get(parent, 0.0) + (amperes if amperes < most else most)
        outputs: dict[str, float] = {}
        for source in self.net.sources:
            if source.id in sources:
                outputs[source.positive] = outputs.get(source.positive, 0.0) + source.output_a
        return _Given(self._core.routed(outputs, wanted), taken, self._from)

    @cached_property
    def _inwards(self) -> list[tuple[str, str, float]]:
        """Twigs from the outermost in: node, the one it hangs on, and what passes to it [A]."""
        return [
            (twig.node, twig.parent, self._from(twig.edge, twig.parent))
            for twig in reversed(self.side.twigs)
        ]

    @cached_property
    def first_places(self) -> list[tuple[str, str]]:
        """Places behind the first limit of each twig, and core places behind limits: (run, node).

        A limit is a fuse, or what joins two places with a rating.
        """
        places = []
        seen: set[str] = set()
        for twig in self.side.twigs:
            if twig.parent in seen:
                seen.add(twig.node)
            elif self.capacity(twig.edge) < inf:
                places.append((_name(twig.edge), twig.node))
                seen.add(twig.node)
        for node in sorted(self.side.core):  # of two that are alike always the same is named
            into, limits = self.into(node)
            if into < inf:
                places.append((limits[0] if limits else "", node))
        return [(run, node) for run, node in places if self.into(node)[0] < inf]

    def fuses_to(self, node: str) -> tuple[str, ...]:
        """Runs whose fuses lie on a twig's only way from the core to a node, the nearest first."""
        way = self.side.to_core(node)
        return tuple(twig.edge.run for twig in way if isinstance(twig.edge, FuseEdge))


class _Given(NamedTuple):
    """What sources give to some demands; ``taken`` is what nodes of twigs ask for [A]."""

    flow: Routed[str]
    taken: dict[str, float]
    passes: Callable[[Edge, str], float]

    def with_fault(self, way: Sequence[Twig], node: str) -> float:
        """The same with a fault at a node, from which a way leads to the core [A]."""
        more = inf
        for twig in way:
            most, taken = self.passes(twig.edge, twig.parent), self.taken.get(twig.node, 0.0)
            more = max(min(taken + more, most) - min(taken, most), 0.0)
            node = twig.parent
        return self.flow.amperes + (min(more, self.flow.beside(node)) if more > 0 else 0.0)


def positive_flows(net: CutNetwork, fuse_a: Mapping[str, float]) -> PositiveFlows:
    """The flows of a network with these fuses; those of the last networks are kept.

    They depend on what is joined to what, on ratings and on outputs, not on lengths and gauges.
    """
    return _kept(net, tuple(sorted(fuse_a.items())))


@lru_cache(maxsize=64)
def _kept(net: CutNetwork, fuse_a: tuple[tuple[str, float], ...]) -> PositiveFlows:
    return PositiveFlows(net, dict(fuse_a))


def core_flow(side: Side, capacity: Capacity) -> FlowNetwork[str]:
    """The core of a side as a network of flows, its edges in the same order."""
    return FlowNetwork(
        (edge.a, edge.b, capacity(edge), 0.0 if _one_way(edge) else capacity(edge))
        for edge in side.edges
    )


def _one_way(edge: Edge) -> bool:
    return isinstance(edge, Link) and edge.one_way


def _name(edge: Edge) -> str:
    return edge.run if isinstance(edge, FuseEdge) else edge.id
