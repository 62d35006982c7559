"""First proof on the ground side: what a return must carry for good.

Current flows in circles: out of a source's plus, through a load or a short, and back to its
minus. One thing goes wrong at a time: one amplifier is short inside, or one place behind a fuse
touches the body, while every other amplifier plays its programme; and, apart from that, all
play at full output while the batteries charge. A return may be thinner than its line, because a
fault lasts only as long as a fuse takes (IEC 60364-4-43 431.2, from memory).

A fuse in a ground run passes its rating (``ground_fuses``). When one in a ring opens, the other
ways back carry all.
"""

from collections.abc import Callable, Mapping
from functools import cached_property
from math import inf
from typing import NamedTuple

from msgspec import Struct, field

from domain.electrical.network.wiring import STAR
from domain.electrical.protection.cut_network import CutNetwork, Edge, FuseEdge, Load, Segment
from domain.electrical.protection.ground_fuses import Circulation, Fault, with_open
from domain.electrical.protection.ground_shares import GroundShares, by_share, most_back
from domain.electrical.protection.overload import PositiveFlows
from domain.ties import more

MUST_OPEN = 1.35
"""A fuse must open from here on: every family of ISO 8820 (from memory), over its rating."""

CONVENTIONAL = 1.45
"""Current over ampacity that counts as an overload, not as a short (IEC 60364-4-43 433.1)."""

MOST_OPENINGS = 16
"""Sets of fuses of ground rings that are looked at as open."""


class Currents(Struct, frozen=True):
    """What amplifiers draw in the programme and at full output, what batteries take in charging.

    By id [A].
    """

    programme_a: Mapping[str, float] = field(default_factory=dict)
    tone_a: Mapping[str, float] = field(default_factory=dict)
    charge_a: Mapping[str, float] = field(default_factory=dict)


class Returned(NamedTuple):
    """The most that a ground segment carries for good [A].

    ``cause`` is the amplifier that is short, "run:" and the run behind whose fuse the short to the
    body is, "block:" and the feeding block that touches the ground block beside it, or "" where
    it is the load itself. ``limits`` names what limits it.
    """

    amperes: float
    cause: str
    limits: tuple[str, ...] = ()


NOTHING_RETURNED = Returned(0.0, "")


class GroundFlows:
    """Greatest circulations through the ground side."""

    def __init__(
        self,
        flows: PositiveFlows,
        currents: Currents,
        ohm: Callable[[], Mapping[str, float]] = dict,
        net: CutNetwork | None = None,
    ) -> None:
        """``ohm`` gives the resistances of ground edges, by id, that rings share current by.

        It is asked for the first ring alone: most grounds have none. ``net``: the network that the
        ground is taken from, where it is not that of the flows.
        """
        self.flows = flows
        self.net: CutNetwork = net or flows.net
        self.side = self.net.ground
        self.currents = currents
        self._ohm_of = ohm
        self._number = {edge.id: n for n, edge in enumerate(self.side.edges)}
        self._shares = GroundShares(self.side, ohm)

    def returned(self, segment: Segment) -> tuple[Returned, ...]:
        """What a ground segment carries at most for good: as a load, in a fault, between blocks."""
        if not self.net.ground_fuses:
            return self._unfused(segment)
        if segment.id in self._number and segment.b in self._reach(segment):
            return self._beside_fuses(segment)
        found = self._unfused(segment)
        if max(r.amperes for r in found) <= self._smallest_a:
            return found
        return self._through_fuses(segment)

    @cached_property
    def _smallest_a(self) -> float:
        """What a return may be without any fuse of the ground limiting it [A].

        Nothing where a load has no limit on its plus side: its ground's fuse alone is one then.
        """
        if any(self.flows.into(load.positive)[0] == inf for load in self.net.loads):
            return 0.0
        return min((self._rating(fuse) for fuse in self.net.ground_fuses), default=inf)

    def _through_fuses(self, segment: Segment) -> tuple[Returned, ...]:
        """What fuses in the ground leave of each fault, where it has one way back only."""
        whole = Circulation(self.net, self.flows.capacity)
        programme = self.currents.programme_a
        playing = Fault(self.currents.tone_a, self.currents.charge_a)
        itself, by = whole.through(segment, playing)
        faults = [
            (load.id, Fault(_without(programme, load.id), {}, (load.positive, load.negative)))
            for load in self.net.loads
        ]
        faults += [
            (f"run:{run}", Fault(programme, {}, (node, STAR)))
            for run, node in self.flows.first_places
        ]
        faults += [(f"block:{a}", Fault({}, {}, (a, b))) for a, b in self.net.beside]
        worst = between = Returned(0.0, "")
        for cause, fault in faults:
            amperes, limits = whole.through(segment, fault)
            if amperes < inf and cause.startswith("block:"):
                between = _worse(between, Returned(amperes, cause, limits))
            elif amperes < inf:
                worst = _worse(worst, Returned(amperes, cause, limits))
        return Returned(itself, "", by), worst, between

    def _beside_fuses(self, segment: Segment) -> tuple[Returned, ...]:
        """A segment of a ring with every set of fuses that may open; its own passes its rating."""
        most = min(
            (self._rating(f) for f in self.net.ground_fuses if _same_wire(f, segment)), default=inf
        )
        found = list(self._unfused(segment))
        for ground in self._opened:
            found += ground._unfused(segment)
        return tuple(r._replace(amperes=min(r.amperes, most)) for r in found)

    @cached_property
    def _opened(self) -> list["GroundFlows"]:
        """The ground with fuses of its rings open, one after the other, as each is overloaded."""
        inside = {edge.id for edge in self.side.edges}
        fuses = [fuse for fuse in self.net.ground_fuses if fuse.id in inside]
        known = {frozenset[str](): self}
        waiting = [frozenset[str]()]
        while waiting and len(known) <= MOST_OPENINGS:
            opened = waiting.pop(0)
            ground = known[opened]
            for fuse in fuses:
                more = opened | {fuse.id}
                if more not in known and ground._overloads(fuse):
                    net = with_open(self.net, more)
                    known[more] = GroundFlows(self.flows, self.currents, self._ohm_of, net)
                    waiting.append(more)
        return list(known.values())[1:]

    def _overloads(self, fuse: FuseEdge) -> bool:
        own = next((s for s in self.net.segments if _same_wire(fuse, s)), None)
        if own is None:
            return False
        return max(r.amperes for r in self._unfused(own)) > self._rating(fuse)

    def _rating(self, fuse: FuseEdge) -> float:
        return self.flows.capacity(fuse)

    def _unfused(self, segment: Segment) -> tuple[Returned, ...]:
        """The same where no fuse lies in the ground."""
        if segment.id not in self._number:
            twig = self.side.up.get(segment.a)
            outer = segment.a if twig and twig.edge.id == segment.id else segment.b
            behind = self.behind(outer)
            everything = self._everything
            beyond = self._nodes_beyond(outer) if self.net.beside else frozenset[str]()
            return self._of_loads(everything, behind, beyond)
        near = self._reach(segment)
        if segment.b in near:
            return self._in_ring(segment)
        found: tuple[Returned, ...] = ()
        for part in (near, self.side.core - near):
            sources = frozenset(s.id for s in self.net.sources if s.negative in part)
            found += self._across(sources, self.side.core - part)
        return found

    @cached_property
    def _everything(self) -> frozenset[str]:
        """All sources."""
        return frozenset(source.id for source in self.net.sources)

    def behind(self, node: str) -> list[int]:
        """The loads, by their place, that return through a twig node."""
        return self.net.returning.get(node, [])

    def _nodes_beyond(self, outer: str) -> frozenset[str]:
        """A twig node of the ground and all that hangs on it."""
        found = {outer}
        for twig in self.side.twigs:
            if twig.parent in found:
                found.add(twig.node)
        return frozenset(found)

    def _of_loads(
        self, sources: frozenset[str], behind: list[int], beyond: frozenset[str]
    ) -> tuple[Returned, ...]:
        """Loads that all return one way: one of them short, the others at their programme."""
        loads = [self.net.loads[n] for n in behind]
        if len(loads) == 1 and sources is self._everything and not self.net.beside:
            return self._of_one(loads[0])
        programme = {load.positive: self.currents.programme_a.get(load.id, 0.0) for load in loads}
        load_itself = Returned(self._tone(sources, behind), "")
        worst = Returned(0.0, "")
        beside = self.flows.from_sources(sources, programme) if len(loads) > 1 else 0.0
        for load in loads:
            into, limits = self.flows.into(load.positive)
            if into == inf:
                continue  # nothing was promised there; its own wire is found unguarded
            if into + beside <= worst.amperes:
                continue  # no more than both together can flow
            amperes = into
            if len(loads) > 1 or len(sources) < len(self.net.sources):
                amperes = self.flows.from_sources(sources, programme, load.positive)
            worst = _worse(worst, Returned(amperes, load.id, limits))
        between = Returned(0.0, "")
        for feeding, ground in self.net.beside:
            into, limits = self.flows.into(feeding)
            if ground in beyond and between.amperes < into < inf and sources:
                amperes = self.flows.from_sources(sources, {}, feeding)
                between = Returned(amperes, f"block:{feeding}", limits)
        return load_itself, worst, between

    def _of_one(self, load: Load) -> tuple[Returned, ...]:
        """The same of a single load that all sources feed, as most grounds have."""
        itself = self.currents.tone_a.get(load.id, 0.0) if self.net.sources else 0.0
        into, limits = self.flows.into(load.positive)
        known = 0.0 < into < inf
        return (
            Returned(itself, ""),
            Returned(into, load.id, limits) if known else NOTHING_RETURNED,
            NOTHING_RETURNED,
        )

    def _tone(self, sources: frozenset[str], behind: list[int]) -> float:
        loads = [self.net.loads[n] for n in behind]
        tone = {load.positive: self.currents.tone_a.get(load.id, 0.0) for load in loads}
        if len(loads) == 1 and len(sources) == len(self.net.sources):
            return tone[loads[0].positive] if sources else 0.0
        return self.flows.from_sources(sources, tone)

    def _across(self, sources: frozenset[str], part: frozenset[str]) -> tuple[Returned, ...]:
        """From sources on one side of a cut of the ground to loads and shorts on the other."""
        if not sources:
            return ()
        root = self.side.root
        behind = [
            n
            for n, load in enumerate(self.net.loads)
            if root.get(load.negative, load.negative) in part
        ]
        programme = {
            self.net.loads[n].positive: self.currents.programme_a.get(self.net.loads[n].id, 0.0)
            for n in behind
        }
        charged = {
            s.positive: self.currents.charge_a.get(s.id, 0.0)
            for s in self.net.sources
            if s.battery and s.negative in part
        }
        tone = {
            self.net.loads[n].positive: self.currents.tone_a.get(self.net.loads[n].id, 0.0)
            for n in behind
        }
        load_itself = Returned(self.flows.from_sources(sources, {**charged, **tone}), "")
        if STAR not in part:
            beyond = frozenset((*part, *(n for n, r in root.items() if r in part)))
            return load_itself, *self._of_loads(sources, behind, beyond)
        worst = Returned(0.0, "")
        beside = self.flows.from_sources(sources, programme)
        for run, node in self.flows.first_places:
            if self.flows.into(node)[0] + beside <= worst.amperes:
                continue  # no more than both together can flow
            amperes = self.flows.from_sources(sources, programme, node)
            worst = _worse(worst, Returned(amperes, f"run:{run}", (run,)))
        return load_itself, worst

    def _reach(self, without: Segment) -> frozenset[str]:
        """Core nodes of the ground joined to the segment's first end, the segment taken out."""
        at: dict[str, list[Edge]] = {}
        for edge in self.side.edges:
            if edge.id != without.id:
                at.setdefault(edge.a, []).append(edge)
                at.setdefault(edge.b, []).append(edge)
        seen, waiting = {without.a}, [without.a]
        while waiting:
            node = waiting.pop()
            for edge in at.get(node, ()):
                other = edge.b if edge.a == node else edge.a
                if other not in seen:
                    seen.add(other)
                    waiting.append(other)
        return frozenset(seen)

    def _in_ring(self, segment: Segment) -> tuple[Returned, ...]:
        """A segment beside another way back: its share by resistance of each fault."""
        root = self.side.root
        lands = [root.get(load.negative, load.negative) for load in self.net.loads]
        shares = {
            place: [
                (self._shares.share(segment, place, s.negative), s.id) for s in self.net.sources
            ]
            for place in {STAR, *lands}
        }
        placed = list(zip(self.net.loads, lands, strict=True))

        def together(amperes: Mapping[str, float], but: str = "") -> float:
            """What loads return through it together, all fed by the source that sends most."""
            each = (
                sum(
                    abs(shares[at][n][0]) * amperes.get(a.id, 0.0)
                    for a, at in placed
                    if a.id != but
                )
                for n in range(len(self.net.sources))
            )
            return max(each, default=0.0)

        ordered = {place: by_share(each) for place, each in shares.items()}
        greatest = by_share(
            [
                (max(abs(shares[at][n][0]) for at in shares), s.id)
                for n, s in enumerate(self.net.sources)
            ]
        )
        programme, tone = (
            {load.positive: amperes.get(load.id, 0.0) for load in self.net.loads}
            for amperes in (self.currents.programme_a, self.currents.tone_a)
        )

        def with_others(node: str, amperes: float, others: float) -> float:
            """A fault's current beside the programme: no more than sources give for both [A]."""
            if amperes + others <= worst.amperes:
                return 0.0
            return min(amperes + others, most_back(self.flows, greatest, programme, node))

        worst = Returned(0.0, "")
        for load, place in placed:
            into, limits = self.flows.into(load.positive)
            if into < inf:
                amperes = most_back(self.flows, ordered[place], {}, load.positive)
                others = together(self.currents.programme_a, load.id)
                amperes = with_others(load.positive, amperes, others)
                worst = _worse(worst, Returned(amperes, load.id, limits))
        others = together(self.currents.programme_a)
        for run, node in self.flows.first_places:
            amperes = with_others(node, most_back(self.flows, ordered[STAR], {}, node), others)
            worst = _worse(worst, Returned(amperes, f"run:{run}", (run,)))
        load_itself = min(together(self.currents.tone_a), most_back(self.flows, greatest, tone))
        return Returned(load_itself, ""), worst


def _without(amperes: Mapping[str, float], id: str) -> Mapping[str, float]:
    return {each: value for each, value in amperes.items() if each != id}


def _same_wire(fuse: FuseEdge, segment: Segment) -> bool:
    return (fuse.run, fuse.copy) == (segment.run, segment.copy)


def _worse(one: Returned, other: Returned) -> Returned:
    """The one that brings back more; the first where both bring the same."""
    return other if more(other.amperes, one.amperes) else one
