"""The three proofs together: is every metre of wire protected, against every source?

For every segment of every run: the greatest lasting current against what the wire carries
(``overload``, ``circulation``), any short behind its own fuses (``any_short``), and shorts that
several sources share (``shared_shorts``). ``existing`` means not bought and not resized; it is
judged all the same. Only what the vehicle's maker made is trusted, as long as this plan sends no
more through it and joins nothing to it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from math import inf

from domain.build.choices import FuseFamily
from domain.build.records import Build, Run
from domain.electrical.network.system import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection import circumstances, coordination
from domain.electrical.protection.any_short import Fuse, WorstShort, worst_short
from domain.electrical.protection.circulation import (
    CONVENTIONAL,
    MUST_OPEN,
    Currents,
    GroundFlows,
    Returned,
)
from domain.electrical.protection.cut_network import CutNetwork, FuseEdge, Segment, cut_network
from domain.electrical.protection.overload import ROUNDING, Lasting, PositiveFlows
from domain.electrical.protection.shared_shorts import Hurt, Stood, Sweep, places
from domain.electrical.protection.withstand import Wire, lasting_a
from domain.reference.planning import planned

HAIR_M = 0.0005
"""A length is over a limit when it is by more than a tape can tell [m]."""


class Verdict(StrEnum):
    """What the proofs say of a segment."""

    PROTECTED = "protected"
    DEAD = "no source reaches it"
    TRUSTED = "the vehicle maker's"
    TAIL = "short piece ahead of its fuse"
    LONG_TAIL = "long piece ahead of its fuse"
    UNGUARDED = "no fuse guards it"
    OVERLOAD = "carries less than its fuses let through"
    SHORT = "some short hurts it"
    SHARED = "a short that several sources share hurts it"
    UNKNOWN = "gauge not known"
    HOT = "place hotter than its insulation"


class Harm(StrEnum):
    """How bad a verdict is."""

    NONE = "none"
    FIX = "fix"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Proof:
    """A segment and what was proved of it.

    ``lasting_a`` is the most that can flow into it for good (for a ground: that it returns),
    ``limits`` what limits that, ``cause`` the fault that makes a ground return so much.
    ``short`` is the worst of all shorts behind its own fuses, ``shared`` of those that several
    sources share; ``fuses`` the runs of its own twig's fuses.
    """

    segment: Segment
    wire: Wire
    verdict: Verdict
    harm: Harm
    lasting_a: float
    limits: tuple[str, ...]
    cause: str
    through_a: float
    bare_m: float
    fuses: tuple[str, ...]
    short: WorstShort | None = None
    shared: Hurt | None = None

    @property
    def carries_a(self) -> float:
        """What the wire carries for good [A]."""
        return self.wire.ampacity_a


def burns_from_a(wire: Wire) -> float:
    """Lasting current above which a wire is stopped: 150 %, or its limit temperature [A].

    33 CFR 183.455; above the second no fuse need ever open before the insulation is hurt.
    """
    return min(planned("overcurrent_fraction") * wire.ampacity_a, lasting_a(wire))


class Proofs:
    """The proofs of one build with its gauges and fuses."""

    def __init__(
        self,
        build: Build,
        wiring: Wiring,
        items: Mapping[str, Conductor],
        gauge: Mapping[str, str],
        fuse_a: Mapping[str, float],
        family: Mapping[str, FuseFamily],
        currents: Currents,
    ) -> None:
        """Gauges, ratings [A] and families by run; what loads draw and batteries take."""
        self.build, self.items, self.gauge = build, items, gauge
        self.fuse_a, self.family, self.currents = fuse_a, family, currents
        wire_m = {id: item.wire_m for id, item in items.items()}
        self.net: CutNetwork = cut_network(build, wiring, wire_m)
        self.flows = PositiveFlows(self.net, fuse_a)
        self._runs = {run.id: run for run in build.runs}
        self._wires: dict[str, Wire] = {}
        self._fuses: dict[str, Fuse] = {}

    def wire(self, run: str) -> Wire:
        """The wire of a run."""
        found = self._wires.get(run)
        if found is None:
            found = self._wires[run] = coordination.wire(self.items[run], self.gauge[run])
        return found

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

    @cached_property
    def _ohm(self) -> dict[str, float]:
        return circumstances.edge_ohm(
            self.net, self.build, self.items, self.gauge, self.fuse_a, True
        )

    def judged(self, swept: bool = True) -> tuple[Proof, ...]:
        """Every segment of the first of each run's wires; ``swept``: with the third proof."""
        found = [
            self._positive(segment) if segment.positive else self._ground(segment)
            for segment in self.net.segments
            if not segment.copy
        ]
        if swept and self.shared:
            hurt = self._sweep(found).run()
            found = [self._with_shared(proof, hurt) for proof in found]
        return tuple(found)

    @property
    def shared(self) -> bool:
        """Whether any short is fed through fuses in the core, so that the third proof is needed."""
        core = self.net.positive.edges
        return any(isinstance(edge, FuseEdge) for edge in core) or self._ground_rings

    @property
    def _ground_rings(self) -> bool:
        ground = self.net.ground
        nodes = {node for edge in ground.edges for node in (edge.a, edge.b)}
        return len(ground.edges) >= max(len(nodes), 1)

    def _positive(self, segment: Segment) -> Proof:
        run = self._runs[segment.run]
        wire, lasting = self.wire(segment.run), self.flows.lasting(segment)
        verdict, harm = self._verdict(segment, run, wire, lasting)
        own = self._own_fuses(segment)
        short = None
        if verdict is Verdict.PROTECTED and own and self._spared(own, wire):
            short = worst_short(tuple(self.fuse(id) for id in own), wire)
            if not short.holds:
                verdict, harm = Verdict.SHORT, Harm.FIX
        return Proof(
            *(segment, wire, verdict, harm, lasting.amperes, lasting.limits, ""),
            *(lasting.through_a, lasting.bare_m, own, short),
        )

    def _own_fuses(self, segment: Segment) -> tuple[str, ...]:
        """Runs of the fuses between the core and a twig segment; none for one in the core."""
        side = self.net.positive
        for node, other in ((segment.a, segment.b), (segment.b, segment.a)):
            twig = side.up.get(node)
            if twig and twig.edge is segment:
                return self.flows.fuses_to(other)
        return ()

    def _spared(self, own: tuple[str, ...], wire: Wire) -> bool:
        return min(self.fuse_a[id] for id in own) <= wire.ampacity_a * (1 + ROUNDING)

    def _verdict(
        self, segment: Segment, run: Run, wire: Wire, lasting: Lasting
    ) -> tuple[Verdict, Harm]:
        carries = wire.ampacity_a * (1 + ROUNDING)
        if lasting.amperes <= 0:
            return Verdict.DEAD, Harm.NONE
        if self._makers_charge_cable(run, wire, lasting):
            return Verdict.TRUSTED, Harm.NONE
        if run.existing and run.gauge is None:
            return Verdict.UNKNOWN, Harm.FIX
        if wire.ampacity_a <= 0:
            return Verdict.HOT, Harm.STOP
        if lasting.amperes <= carries:
            return Verdict.PROTECTED, Harm.NONE
        burns = burns_from_a(wire)
        shop = lasting.bare_m <= planned("unprotected_shop_m") + HAIR_M
        if lasting.through_a <= carries:
            if shop:
                return Verdict.TAIL, Harm.NONE
            unlimited = lasting.amperes == inf
            most = planned("unprotected_battery_m" if unlimited else "unprotected_sheathed_m")
            stop = lasting.bare_m > most + HAIR_M and lasting.amperes > burns
            return Verdict.LONG_TAIL, Harm.STOP if stop else Harm.FIX
        amperes = lasting.through_a if shop else lasting.amperes
        if amperes == inf:
            return Verdict.UNGUARDED, Harm.STOP
        return Verdict.OVERLOAD, Harm.STOP if amperes > burns else Harm.FIX

    def _makers_charge_cable(self, run: Run, wire: Wire, lasting: Lasting) -> bool:
        """Whether it is the vehicle maker's charge cable, and this plan leaves it as it was."""
        if not run.existing or run.fused or run.far_fused or not self.build.batteries:
            return False
        ends = {run.source, run.target}
        outputs = {g.id: g.rated_a for g in self.build.alternators}
        alternator = next((id for id in ends if id in outputs), None)
        if alternator is None or self.build.batteries[0].id not in ends:
            return False
        return self._unchanged(run, alternator, outputs[alternator], wire)

    def _makers_strap(self, run: Run, wire: Wire) -> bool:
        """Whether it is the maker's engine strap, and this plan leaves it as it was."""
        if not run.existing:
            return False
        outputs = {g.id: g.rated_a for g in self.build.alternators}
        alternator = next((id for id in (run.source, run.target) if id in outputs), None)
        if alternator is None:
            return False
        return self._unchanged(run, alternator, outputs[alternator], wire)

    def _unchanged(self, run: Run, alternator: str, output_a: float, wire: Wire) -> bool:
        alone = all(
            other.id == run.id
            for other in self.build.runs
            if other.polarity is run.polarity and alternator in (other.source, other.target)
        )
        known = run.gauge is not None
        return alone and (not known or output_a <= lasting_a(wire) * (1 + ROUNDING))

    def _ground(self, segment: Segment) -> Proof:
        run, wire = self._runs[segment.run], self.wire(segment.run)
        returned = worst_return(wire, self.grounds.returned(segment))
        verdict, harm = self._return_verdict(run, wire, returned)
        own: tuple[str, ...] = ()
        short = None
        if verdict is Verdict.PROTECTED:
            for id in self._fuses_over(segment):
                each = worst_short((self.fuse(id),), wire, False)
                if short is None or each.margin < short.margin:
                    own, short = (id,), each
            if short is not None and not short.holds:
                verdict, harm = Verdict.SHORT, Harm.FIX
        return Proof(
            *(segment, wire, verdict, harm, returned.amperes, returned.limits, returned.cause),
            *(returned.amperes, 0.0, own, short),
        )

    def _fuses_over(self, segment: Segment) -> tuple[str, ...]:
        """Runs whose fuses alone open a short that comes back through a ground segment.

        In a twig: the smallest fuse of each amplifier's own way. In the core with one battery:
        the first fuse of every twig, as the battery's whole current comes back there.
        """
        ground = self.net.ground
        for node in (segment.a, segment.b):
            twig = ground.up.get(node)
            if twig and twig.edge is segment:
                ways = [
                    self.flows.fuses_to(load.positive)
                    for load in self.net.loads
                    if any(step.node == node for step in ground.to_core(load.negative))
                ]
                smallest = [min(way, key=lambda id: self.fuse_a[id]) for way in ways if way]
                return tuple(dict.fromkeys(smallest))
        if self.shared:
            return ()
        batteries = {s.negative for s in self.net.sources if s.battery}
        if not batteries & {segment.a, segment.b}:
            return ()
        side = self.net.positive
        first = [
            twig.edge.run
            for twig in side.twigs
            if isinstance(twig.edge, FuseEdge) and len(self.flows.fuses_to(twig.node)) == 1
        ]
        return tuple(dict.fromkeys(first))

    def _return_verdict(self, run: Run, wire: Wire, returned: Returned) -> tuple[Verdict, Harm]:
        if returned.amperes <= 0:
            return Verdict.DEAD, Harm.NONE
        if self._makers_strap(run, wire):
            return Verdict.TRUSTED, Harm.NONE
        if run.existing and run.gauge is None:
            return Verdict.UNKNOWN, Harm.FIX
        if wire.ampacity_a <= 0:
            return Verdict.HOT, Harm.STOP
        if return_holds(wire, returned):
            return Verdict.PROTECTED, Harm.NONE
        stop = returned.amperes > burns_from_a(wire) or returned.cause.startswith("block:")
        return Verdict.OVERLOAD, Harm.STOP if stop else Harm.FIX

    def _sweep(self, judged: list[Proof]) -> Sweep:
        """The third proof over this network."""
        cases = circumstances.cases(self.build, self.net, self.items, self.gauge, self.fuse_a)
        good = {
            proof.segment.run
            for proof in judged
            if proof.verdict in (Verdict.PROTECTED, Verdict.SHORT)
        }
        verdicts = {proof.segment.id: proof.verdict for proof in judged}
        fine = (Verdict.PROTECTED, Verdict.SHORT, Verdict.TAIL)
        wires = {
            s.id: Stood.of(self.wire(s.run))
            for s in self.net.segments
            if verdicts.get(s.id, Verdict.PROTECTED) in fine and s.run in good
        }
        promised = frozenset(
            s.id
            for s in self.net.segments
            if s.positive and s.run in good and verdicts.get(s.id, Verdict.PROTECTED) in fine[:2]
        )
        fuses = {edge.id: self.fuse(edge.run) for edge in self.net.fuses}
        side = self.net.positive
        smaller = {}
        for twig in side.twigs:
            if isinstance(twig.edge, Segment):
                own = self.flows.fuses_to(twig.parent)
                smaller[twig.edge.id] = bool(own) and self._spared(own, self.wire(twig.edge.run))
        bare = frozenset(node for node in side.core if self.flows.into(node)[0] == inf)
        alike = {edge.id: fuses[edge.id] for edge in self.net.fuses}
        where = places(self.net, promised, smaller, bare, alike)
        return Sweep(self.net, cases, fuses, wires, where)

    def _with_shared(self, proof: Proof, hurt: Mapping[str, Hurt]) -> Proof:
        found = hurt.get(proof.segment.id)
        if found is None or proof.verdict not in (Verdict.PROTECTED, Verdict.TAIL, Verdict.SHORT):
            return proof
        harm = Harm.FIX if found.ohm > 0 else Harm.STOP
        return replace(proof, verdict=Verdict.SHARED, harm=harm, shared=found)


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
    limit = lasting_a(wire)
    if not returned.cause or returned.cause.startswith("block:"):
        return returned.amperes <= max(limit, wire.ampacity_a) * (1 + ROUNDING)
    most = max(CONVENTIONAL * wire.ampacity_a, limit)
    return returned.amperes * MUST_OPEN <= most * (1 + ROUNDING)
