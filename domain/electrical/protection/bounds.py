"""The least wire that each run must be, once its fuses stand: what the first two proofs ask.

What flows for good into a positive wire depends on how it is joined, on ratings and on outputs,
not on gauges; so these are exact lower bounds, run by run. Sizing takes the thinnest gauge that
meets them, the proofs then say the same of it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from math import ceil, inf
from typing import NamedTuple

from msgspec import Struct

from domain.build.choices import FuseFamily
from domain.build.records import Build
from domain.document.kept import kept
from domain.electrical.protection import coordination
from domain.electrical.protection.any_short import Fuse, worst_return_short, worst_short
from domain.electrical.protection.circulation import (
    CONVENTIONAL,
    MUST_OPEN,
    NOTHING_RETURNED,
    Currents,
    GroundFlows,
    Returned,
)
from domain.electrical.protection.cut_network import (
    CutNetwork,
    FuseEdge,
    Segment,
)
from domain.electrical.protection.overload import (
    ROUNDING,
    PositiveFlows,
    positive_flows,
)
from domain.electrical.protection.withstand import Wire, lasting_a
from domain.reference.planning import planned
from domain.ties import first_most

HAIR_M = 0.0005
"""A length is over a limit when it is by more than a tape can tell [m]."""


class Need(Struct, frozen=True):
    """What a run's wire must stand, of all its segments together.

    ``carries_a`` is the ampacity that it must have (0: nothing asks for one), ``limits`` what lets
    so much through; ``through_a`` is what it must carry where a piece ahead of a fuse is too long
    whatever its size, so that the fuse has to move. ``behind`` are sets of fuses that in each case
    one of must open before the wire is hurt, ``beside_a`` what a ground carries beside each of
    them [A]; ``returned`` is what it must bring back.
    """

    carries_a: float = 0.0
    through_a: float = 0.0
    limits: tuple[str, ...] = ()
    behind: tuple[tuple[Fuse, ...], ...] = ()
    beside_a: tuple[float, ...] = ()
    returned: tuple[Returned, ...] = ()
    line: bool = True

    def holds(self, wire: Wire) -> bool:
        """Whether a wire meets it."""
        if wire.ampacity_a * (1 + ROUNDING) < self.carries_a:
            return False
        for each in self.returned:
            if each.amperes > 0 and not return_holds(wire, each):
                return False
        if self.line:
            for fuses in self.behind:
                if spared(fuses, wire) and not worst_short(fuses, wire).holds:
                    return False
            return True
        for fuses, beside_a in zip(self.behind, self.beside_a, strict=True):
            if not worst_return_short(fuses, wire, beside_a).holds:
                return False
        return True


class Over(NamedTuple):
    """Runs of the fuses one of which opens a short that comes back through a ground segment.

    ``beside`` are the loads that return through it too and are behind none of them.
    """

    fuses: tuple[str, ...]
    beside: tuple[str, ...]


class Guards:
    """Which fuses stand between the sources and each segment.

    That follows from how all is joined and from ratings alone, so that it stands at most keys.
    """

    def __init__(self, flows: PositiveFlows) -> None:
        self.net, self.flows = flows.net, flows
        self._own: dict[str, tuple[str, ...]] = {}
        self._over: dict[str, tuple[Over, ...]] = {}

    def own(self, segment: Segment) -> tuple[str, ...]:
        """Runs of the fuses between the core and a twig segment; none for one in the core."""
        found = self._own.get(segment.id)
        if found is None:
            found = self._own[segment.id] = self._looked_up(segment)
        return found

    def _looked_up(self, segment: Segment) -> tuple[str, ...]:
        side = self.net.positive
        for node, other in ((segment.a, segment.b), (segment.b, segment.a)):
            twig = side.up.get(node)
            if twig and twig.edge.id == segment.id:
                return self.flows.fuses_to(other)
        return ()

    def over(self, segment: Segment) -> tuple[Over, ...]:
        """The fuses over a ground segment, every set that opens some short.

        In the ground of a single amplifier: all on its way, which carry that short alike. In one
        of several: the smallest of each amplifier's own way. In the core with one battery:
        the first fuse of every twig, as the battery's whole current comes back there.
        """
        found = self._over.get(segment.id)
        if found is None:
            through = self._through(segment)
            loads = range(len(self.net.loads)) if through is None else through
            found = self._over[segment.id] = tuple(
                Over(fuses, self._beside(loads, fuses)) for fuses in self._opening(segment, through)
            )
        return found

    def _through(self, segment: Segment) -> Sequence[int] | None:
        """The loads, by their place, that return through a twig; ``None`` in the core."""
        for node in (segment.a, segment.b):
            twig = self.net.ground.up.get(node)
            if twig and twig.edge.id == segment.id:
                return self.net.returning.get(node, ())
        return None

    def _beside(self, loads: Iterable[int], fuses: tuple[str, ...]) -> tuple[str, ...]:
        own = set(fuses)
        return tuple(self.net.loads[n].id for n in loads if own.isdisjoint(self._ways[n]))

    def _opening(
        self, segment: Segment, through: Sequence[int] | None
    ) -> tuple[tuple[str, ...], ...]:
        if through is not None:
            ways = [self._ways[n] for n in through]
            if len(ways) == 1:
                return tuple(way for way in ways if way)
            smallest = [min(way, key=self.flows.fuse_a.__getitem__) for way in ways if way]
            return tuple((id,) for id in dict.fromkeys(smallest))
        if self.shared:
            return ()
        batteries = {s.negative for s in self.net.sources if s.battery}
        ends = {node for s in self.net.of_run.get(segment.run, ()) for node in (s.a, s.b)}
        if not batteries & ends:
            return ()
        first = [
            twig.edge.run
            for twig in self.net.positive.twigs
            if isinstance(twig.edge, FuseEdge) and len(self.flows.fuses_to(twig.node)) == 1
        ]
        return tuple((id,) for id in dict.fromkeys(first))

    @cached_property
    def _ways(self) -> list[tuple[str, ...]]:
        """Runs of the fuses on each load's own way, in the order of the loads."""
        return [self.flows.fuses_to(load.positive) for load in self.net.loads]

    @cached_property
    def shared(self) -> bool:
        """Whether a short is fed through fuses in the core, so that the third proof is needed."""
        if any(isinstance(edge, FuseEdge) for edge in self.net.positive.edges):
            return True
        return self.net.ground.ringed


@kept(64)
def guards(flows: PositiveFlows) -> Guards:
    """The guards of a network with these fuses."""
    return Guards(flows)


class Bounds:
    """What the first two proofs ask of every run, for one set of fuses."""

    def __init__(
        self,
        build: Build,
        net: CutNetwork,
        fuse_a: Mapping[str, float],
        family: Mapping[str, FuseFamily],
        currents: Currents,
        ohm: Callable[[], Mapping[str, float]] = dict,
        before: "Bounds | None" = None,
    ) -> None:
        """Ratings [A] and families by run; ``ohm`` gives those of ground edges, for rings [ohm].

        ``before``: bounds of the same network with the same fuses, at other currents.
        """
        self.build, self.net = build, net
        self.fuse_a, self.family, self.currents = fuse_a, family, currents
        self.flows: PositiveFlows = positive_flows(net, fuse_a)
        self._ohm = ohm
        self._fuses: dict[str, Fuse] = {}
        self._needs: dict[str, Need] = {}
        self.guards: Guards = guards(self.flows)
        if before:
            self._fuses = before._fuses
            self._needs = {id: need for id, need in before._needs.items() if need.line}

    def fuse(self, run: str) -> Fuse:
        """The fuse of a run, as it opens."""
        found = self._fuses.get(run)
        if found is None:
            rating = self.fuse_a[run]
            points, _ = coordination.window_of(self.build, self.family[run], rating)
            found = self._fuses[run] = Fuse(run, points, rating)
        return found

    @cached_property
    def grounds(self) -> GroundFlows:
        """The circulations through the ground side."""
        return GroundFlows(self.flows, self.currents, self._ohm)

    def need(self, run: str) -> Need:
        """What a run's wire must stand; nothing where it is not laid or no source reaches it."""
        found = self._needs.get(run)
        if found is None:
            found = self._needs[run] = self._need(run)
        return found

    def _need(self, run: str) -> Need:
        segments = self.net.of_run.get(run, [])
        if segments and not segments[0].positive:
            return self._ground(segments[0])
        amperes = through_a = 0.0
        limits: tuple[str, ...] = ()
        behind: list[tuple[Fuse, ...]] = []
        for segment in segments:
            lasting = self.flows.lasting(segment)
            asked = lasting.amperes
            if asked == inf or (lasting.through_a < asked and self.bare_m(segment) <= shop_m()):
                asked = lasting.through_a
            through_a = max(through_a, min(asked, lasting.through_a))
            if asked < inf and asked >= amperes:
                amperes, limits = asked, lasting.limits or limits
            own = self.guards.own(segment)
            if own:
                behind.append(tuple(self.fuse(id) for id in own))
        return Need(amperes, min(through_a, amperes), limits, tuple(behind))

    def bare_m(self, segment: Segment) -> float:
        """Wire from a battery post to a segment's further end, its own length elsewhere [m]."""
        return self.flows.bare_m(segment, self.net.lengths)

    def _ground(self, segment: Segment) -> Need:
        over = self.guards.over(segment)
        fuses = tuple(tuple(map(self.fuse, each.fuses)) for each in over)
        beside = tuple(map(self.beside_a, over))
        return Need(0.0, 0.0, (), fuses, beside, self.grounds.returned(segment), False)

    def beside_a(self, over: Over) -> float:
        """What loads return through a ground segment at full output, not behind these fuses [A].

        In whole amperes, upwards: what was worked out with it serves the next key.
        """
        if not over.beside:
            return 0.0
        tone = self.currents.tone_a
        return float(ceil(sum(tone.get(id, 0.0) for id in over.beside)))

    @property
    def shared(self) -> bool:
        """As of ``Guards``."""
        return self.guards.shared


def shop_m() -> float:
    """Wire that may lie ahead of a fuse by the trade's practice, and a hair [m]."""
    return planned("unprotected_shop_m") + HAIR_M


def spared(fuses: tuple[Fuse, ...], wire: Wire) -> bool:
    """Whether the smallest of a wire's own fuses is no larger than its ampacity."""
    most_a = wire.ampacity_a * (1 + ROUNDING)
    return any(fuse.rating_a <= most_a for fuse in fuses)


def worst_return(wire: Wire, each: tuple[Returned, ...]) -> Returned:
    """What a ground wire fails by, else the most that it returns."""
    failing = [found for found in each if not return_holds(wire, found)]
    found = failing or each
    return first_most(found, lambda one: one.amperes) if found else NOTHING_RETURNED


def return_holds(wire: Wire, returned: Returned) -> bool:
    """Whether a ground wire carries what it may have to return for good.

    A fault ends when a fuse must open, at 1.35 of its rating: within 1.45 of ampacity (IEC
    60364-4-43 433.1, from memory) or below the limit temperature. The load itself, and a short
    between blocks, must stay below the limit temperature.
    """
    if returned.amperes <= 0:
        return True
    limit = lasting_a(wire)
    if not returned.cause or returned.cause.startswith("block:"):
        return returned.amperes <= max(limit, wire.ampacity_a) * (1 + ROUNDING)
    most = max(CONVENTIONAL * wire.ampacity_a, limit)
    return returned.amperes * MUST_OPEN <= most * (1 + ROUNDING)
