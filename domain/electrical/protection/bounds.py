"""The least wire that each run must be, once its fuses stand: what the first two proofs ask.

What flows for good into a positive wire depends on how it is joined, on ratings and on outputs,
not on gauges; so these are exact lower bounds, run by run. Sizing takes the thinnest gauge that
meets them, the proofs then say the same of it.
"""

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from math import ceil, inf

from msgspec import Struct

from domain.build.choices import FuseFamily
from domain.build.records import Build
from domain.electrical.protection import coordination
from domain.electrical.protection.any_short import Fuse, worst_return_short, worst_short
from domain.electrical.protection.circulation import (
    CONVENTIONAL,
    MUST_OPEN,
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
        self._over: dict[str, tuple[tuple[str, ...], ...]] = {}
        if before:
            self._fuses, self._over = before._fuses, before._over
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
            if asked == inf or (self.bare_m(segment) <= shop_m() and lasting.through_a < asked):
                asked = lasting.through_a
            through_a = max(through_a, min(asked, lasting.through_a))
            if asked < inf and asked >= amperes:
                amperes, limits = asked, lasting.limits or limits
            own = self.own_fuses(segment)
            if own:
                behind.append(tuple(self.fuse(id) for id in own))
        return Need(amperes, min(through_a, amperes), limits, tuple(behind))

    def bare_m(self, segment: Segment) -> float:
        """Wire from a battery post to a segment's further end, its own length elsewhere [m]."""
        return self.flows.bare_m(segment, self.net.lengths)

    def _ground(self, segment: Segment) -> Need:
        over = self.fuses_over(segment)
        fuses = tuple(tuple(self.fuse(id) for id in each) for each in over)
        beside = tuple(self.beside_a(segment, each) for each in over)
        return Need(0.0, 0.0, (), fuses, beside, self.grounds.returned(segment), False)

    def beside_a(self, segment: Segment, fuses: tuple[str, ...]) -> float:
        """What loads return through a ground segment at full output, not behind these fuses [A].

        In whole amperes, upwards: what was worked out with it serves the next key.
        """
        loads: Iterable[int] = range(len(self.net.loads))
        for node in (segment.a, segment.b):
            twig = self.net.ground.up.get(node)
            if twig and twig.edge.id == segment.id:
                loads = self.grounds.behind(node)
        tone, own = self.currents.tone_a, set(fuses)
        others = [self.net.loads[n].id for n in loads if own.isdisjoint(self._ways[n])]
        if not others:
            return 0.0
        return float(ceil(sum(tone.get(id, 0.0) for id in others)))

    def own_fuses(self, segment: Segment) -> tuple[str, ...]:
        """Runs of the fuses between the core and a twig segment; none for one in the core."""
        side = self.net.positive
        for node, other in ((segment.a, segment.b), (segment.b, segment.a)):
            twig = side.up.get(node)
            if twig and twig.edge.id == segment.id:
                return self.flows.fuses_to(other)
        return ()

    def fuses_over(self, segment: Segment) -> tuple[tuple[str, ...], ...]:
        """Runs of the fuses one of which opens a short that comes back through a ground segment.

        In the ground of a single amplifier: all on its way, which carry that short alike. In one
        of several: the smallest of each amplifier's own way. In the core with one battery:
        the first fuse of every twig, as the battery's whole current comes back there.
        """
        found = self._over.get(segment.id)
        if found is None:
            found = self._over[segment.id] = self._opening_for(segment)
        return found

    def _opening_for(self, segment: Segment) -> tuple[tuple[str, ...], ...]:
        ground = self.net.ground
        for node in (segment.a, segment.b):
            twig = ground.up.get(node)
            if twig and twig.edge.id == segment.id:
                ways = [self._ways[n] for n in self.grounds.behind(node)]
                if len(ways) == 1:
                    return tuple(way for way in ways if way)
                smallest = [min(way, key=lambda id: self.fuse_a[id]) for way in ways if way]
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
    return max(failing or each, key=lambda found: found.amperes, default=Returned(0.0, ""))


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
