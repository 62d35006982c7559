"""The three proofs together: is every metre of wire protected, against every source?

For every segment of every run: the greatest lasting current against what the wire carries
(``overload``, ``circulation``), any short behind its own fuses (``any_short``), and shorts that
several sources share (``shared_shorts``). ``existing`` means not bought and not resized; it is
judged all the same. Only what the vehicle's maker made is trusted, as long as this plan sends no
more through it and joins nothing to it.
"""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from functools import cached_property, partial
from math import inf

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import FuseFamily
from domain.build.records import Build, Run
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection import circumstances, coordination, unlike
from domain.electrical.protection.any_short import (
    Fuse,
    WorstShort,
    worst_return_short,
    worst_short,
)
from domain.electrical.protection.bounds import (
    HAIR_M,
    Bounds,
    return_holds,
    shop_m,
    spared,
    worst_return,
)
from domain.electrical.protection.circulation import Currents, Returned
from domain.electrical.protection.cut_network import CutNetwork, Segment, cut_network
from domain.electrical.protection.fault_cases import Case, Place
from domain.electrical.protection.overload import ROUNDING, Lasting
from domain.electrical.protection.shared_shorts import Hurt, Stood, Sweep, places
from domain.electrical.protection.withstand import Wire, lasting_a
from domain.reference.planning import planned

NOTHING_A = 1e-6
"""A return that brings back no more than this is not reached by any source [A]."""


class Verdict(StrEnum):
    """What the proofs say of a segment."""

    PROTECTED = "protected"
    DEAD = "no source reaches it"
    TRUSTED = "the vehicle maker's"
    TAIL = "short piece ahead of its fuse"
    LONG_TAIL = "long piece ahead of its fuse"
    UNGUARDED = "no fuse protects it"
    OVERLOAD = "carries less than its fuses let through"
    SHORT = "some short overheats it"
    SHARED = "a short that several sources share overheats it"
    UNKNOWN = "gauge not known"
    HOT = "place hotter than its insulation"


class Harm(StrEnum):
    """How bad a verdict is."""

    NONE = "none"
    FIX = "fix"
    STOP = "stop"


class Proof(Struct, frozen=True):
    """A segment and what was proved of it.

    ``lasting_a`` is the most that can flow into it for good (for a ground: that it returns),
    ``limits`` what limits that, ``cause`` the fault that makes a ground return so much.
    ``short`` is the worst of all shorts behind its own fuses, ``shared`` of those that several
    sources share; ``fuses`` the runs of its own twig's fuses; ``at`` the end where most comes in.
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
    at: str = ""

    @property
    def ahead(self) -> bool:
        """Whether it is a piece ahead of its own run's fuse, seen from where current comes in."""
        if not self.segment.positive or self.verdict is Verdict.DEAD:
            return False
        other = self.segment.b if self.at == self.segment.a else self.segment.a
        return self.lasting_a > self.carries_a and "~" in other

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
        net: CutNetwork | None = None,
    ) -> None:
        """Gauges, ratings [A] and families by run; what loads draw and batteries take.

        ``net`` is the build's network, where it is cut at its fuses already.
        """
        self.build, self.items, self.gauge, self.fuse_a = build, items, gauge, fuse_a
        wire_m = {id: item.wire_m for id, item in items.items()}
        self.net: CutNetwork = net or cut_network(build, wiring, wire_m)
        ohm = partial(circumstances.edge_ohm, self.net, build, items, gauge, fuse_a, True)
        self.bounds = Bounds(build, self.net, fuse_a, family, currents, ohm)
        self._runs = {run.id: run for run in build.runs}
        self._wires: dict[str, Wire] = {}

    def wire(self, run: str) -> Wire:
        """The wire of a run."""
        found = self._wires.get(run)
        if found is None:
            found = self._wires[run] = coordination.wire(self.items[run], self.gauge[run])
        return found

    def judged(self, swept: bool = True) -> tuple[Proof, ...]:
        """Every segment of the first of each run's wires; ``swept``: with the third proof."""
        found = [
            self._positive(segment) if segment.positive else self._ground(segment)
            for segment in self.net.segments
            if not segment.copy
        ]
        if swept and self.bounds.shared:
            hurt = self.sweep(found).run()
            found = [self._with_shared(proof, hurt) for proof in found]
        if swept and any(map(open_to_dead_shorts, found)):
            hurt = self.dead_shorts(found).run()
            found = [self._with_dead(proof, hurt) for proof in found]
        return tuple(found)

    def _positive(self, segment: Segment) -> Proof:
        run = self._runs[segment.run]
        wire, lasting = self.wire(segment.run), self.bounds.flows.lasting(segment)
        bare_m = self.bounds.bare_m(segment)
        verdict, harm = self._verdict(run, wire, lasting, bare_m)
        own = self.bounds.guards.own(segment)
        fuses = tuple(self.bounds.fuse(id) for id in own)
        short = None
        if verdict is Verdict.PROTECTED and own and spared(fuses, wire):
            short = worst_short(fuses, wire)
            if not short.holds:
                verdict, harm = Verdict.SHORT, Harm.FIX
        return Proof(
            *(segment, wire, verdict, harm, lasting.amperes, lasting.limits, ""),
            *(lasting.through_a, bare_m, own, short, None, lasting.at),
        )

    def _verdict(
        self, run: Run, wire: Wire, lasting: Lasting, bare_m: float
    ) -> tuple[Verdict, Harm]:
        carries = wire.ampacity_a * (1 + ROUNDING)
        if lasting.amperes <= 0:
            return Verdict.DEAD, Harm.NONE
        if self._makers_charge_cable(run, wire):
            return Verdict.TRUSTED, Harm.NONE
        if run.existing and run.gauge is None:
            return Verdict.UNKNOWN, Harm.FIX
        if wire.ampacity_a <= 0:
            return Verdict.HOT, Harm.STOP
        if lasting.amperes <= carries:
            return Verdict.PROTECTED, Harm.NONE
        burns = burns_from_a(wire)
        shop = bare_m <= shop_m()
        if lasting.through_a <= carries:
            if shop:
                return Verdict.TAIL, Harm.NONE
            unlimited = lasting.amperes == inf
            most = planned("unprotected_battery_m" if unlimited else "unprotected_sheathed_m")
            # a fuse of its own that is too large for it is not excused by what the wire ends at
            long = bare_m > most + HAIR_M or run.id in lasting.limits
            stop = long and lasting.amperes > burns
            return Verdict.LONG_TAIL, Harm.STOP if stop else Harm.FIX
        amperes = lasting.through_a if shop else lasting.amperes
        if amperes == inf:
            return Verdict.UNGUARDED, Harm.STOP
        return Verdict.OVERLOAD, Harm.STOP if amperes > burns else Harm.FIX

    def _makers_charge_cable(self, run: Run, wire: Wire) -> bool:
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
        returned = worst_return(wire, self.bounds.grounds.returned(segment))
        verdict, harm = self._return_verdict(run, wire, returned)
        own: tuple[str, ...] = ()
        short = None
        if verdict is Verdict.PROTECTED:
            for over in self.bounds.guards.over(segment):
                fuses = tuple(map(self.bounds.fuse, over.fuses))
                each = worst_return_short(fuses, wire, self.bounds.beside_a(over))
                if short is None or each.margin < short.margin:
                    own, short = over.fuses, each
            if short is not None and not short.holds:
                verdict, harm = Verdict.SHORT, Harm.FIX
        return Proof(
            *(segment, wire, verdict, harm, returned.amperes, returned.limits, returned.cause),
            *(returned.amperes, 0.0, own, short),
        )

    def _return_verdict(self, run: Run, wire: Wire, returned: Returned) -> tuple[Verdict, Harm]:
        if returned.amperes <= NOTHING_A:
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

    def sweep(self, judged: Sequence[Proof]) -> Sweep:
        """The third proof over this network, ready to be run."""
        sizes = self.items, self.gauge, self.fuse_a
        cases = circumstances.cases(self.build, self.net, *sizes, self.bounds.currents.tone_a)
        good = {
            proof.segment.run
            for proof in judged
            if proof.verdict in (Verdict.PROTECTED, Verdict.SHORT)
        }
        first = {(p.segment.run, p.segment.start_m): p.verdict for p in judged}
        verdicts = {  # wires side by side are alike: each is as the first
            s.id: first.get((s.run, s.start_m), Verdict.PROTECTED) for s in self.net.segments
        }
        fine = (Verdict.PROTECTED, Verdict.SHORT, Verdict.TAIL)
        wires = {
            s.id: Stood.of(self.wire(s.run))
            for s in self.net.segments
            if verdicts[s.id] in fine  # a short piece ahead of its fuse bears what passes through
        }
        promised = frozenset(
            s.id
            for s in self.net.segments
            if s.positive and s.run in good and verdicts[s.id] in fine[:2]
        )
        side, flows = self.net.positive, self.bounds.flows
        smaller = {}
        for twig in side.twigs:
            if isinstance(twig.edge, Segment):
                own = tuple(self.bounds.fuse(id) for id in flows.fuses_to(twig.parent))
                smaller[twig.edge.id] = bool(own) and spared(own, self.wire(twig.edge.run))
        bare = self._bare(judged)
        where = places(self.net, promised, smaller, bare, self._opening)
        return Sweep(self.net, cases, self._opening, wires, where, self._unlike(bare))

    def dead_shorts(self, judged: Sequence[Proof]) -> Sweep:
        """Dead shorts alone, and what they do to wires that an overload is found to wear out."""
        sizes = self.items, self.gauge, self.fuse_a
        worn = {(p.segment.run, p.segment.start_m) for p in judged if open_to_dead_shorts(p)}
        segments = [s for s in self.net.segments if (s.run, s.start_m) in worn]
        promised = frozenset(s.id for s in segments if s.positive)
        return Sweep(
            self.net,
            circumstances.cases(self.build, self.net, *sizes),
            self._opening,
            {s.id: Stood.of(self.wire(s.run)) for s in segments},
            places(
                *(self.net, promised, dict.fromkeys(promised, False)),
                *(self._bare(judged), self._opening),
            ),
            dead_only=True,
        )

    @cached_property
    def _opening(self) -> dict[str, Fuse]:
        """The fuses of the positive side as they open, by edge id."""
        return {edge.id: self.bounds.fuse(edge.run) for edge in self.net.fuses if edge.positive}

    def _bare(self, judged: Sequence[Proof]) -> frozenset[str]:
        """Core nodes on which nothing was promised: without a limit, or amid a piece let be."""
        tails = {(p.segment.run, p.segment.start_m) for p in judged if p.verdict is Verdict.TAIL}
        judged_ends = {
            node
            for s in self.net.segments
            if (s.run, s.start_m) not in tails
            for node in (s.a, s.b)
        }
        return frozenset(
            node
            for node in self.net.positive.core
            if self.bounds.flows.into(node)[0] == inf or ("~" in node and node not in judged_ends)
        )

    def _unlike(self, bare: frozenset[str]) -> tuple[tuple[Case, tuple[Place, ...]], ...]:
        """Shorts between both sides of an isolator, where both have a source."""
        if len(unlike.sides(self.net)) < 2:
            return ()
        cold = (self.net, self.build, self.items, self.gauge, self.fuse_a, False)
        return unlike.rounds(self.build, self.net, circumstances.edge_ohm(*cold), bare)

    def _with_shared(self, proof: Proof, hurt: Mapping[str, Hurt]) -> Proof:
        found = hurt.get(proof.segment.id)
        if found is None or proof.verdict not in (Verdict.PROTECTED, Verdict.TAIL, Verdict.SHORT):
            return proof
        harm = Harm.FIX if found.ohm > 0 else Harm.STOP
        return replace(proof, verdict=Verdict.SHARED, harm=harm, shared=found)

    def _with_dead(self, proof: Proof, hurt: Mapping[str, Hurt]) -> Proof:
        found = hurt.get(proof.segment.id)
        if found is None or not open_to_dead_shorts(proof):
            return proof
        return replace(proof, harm=Harm.STOP, shared=found)


def open_to_dead_shorts(proof: Proof) -> bool:
    """Whether an overload is to be mended, and it is a stop where a dead short hurts the wire."""
    return proof.verdict is Verdict.OVERLOAD and proof.harm is Harm.FIX
