"""Third proof, shorts that several sources share: fuses opening one after the other.

A sweep over places and resistances on the core of the network. Each fuse adds up the time that
it has stood a current against the longest it may take to open at it; the first to be full opens,
and the others keep their sum. Each wire adds up its heat. Places where nothing was promised (a
bare post, a wire that the first proof calls unguarded) are left out: one cause, one finding.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import exp, inf

from msgspec import Struct
from msgspec.structs import replace

from domain.electrical.network.wiring import STAR
from domain.electrical.protection.any_short import Fuse
from domain.electrical.protection.circulation import CONVENTIONAL
from domain.electrical.protection.cut_network import (
    CutNetwork,
    FuseEdge,
    Segment,
    Twig,
    copy_mark,
    is_copy,
)
from domain.electrical.protection.fault_cases import Case, FaultNetwork, Place, Seen
from domain.electrical.protection.withstand import (
    ADIABATIC_S,
    Wire,
    adiabatic_k,
    adiabatic_limit_a,
    lasting_a,
    limit_c,
)

STAGES = 12
"""Fuses that may open one after the other before a story is broken off."""

TOLERANCE = 1e-6
"""Shares of heat and of time that differ by less are alike: two fuses in a row open at once."""

ALONG = (0.25, 0.5, 0.75)
"""Places looked at along a core segment, beside its ends."""

JUST_BELOW = 1e-6
"""So much below a current, as a share of it, is just below it."""

AT_START = 0.02
"""Share of a twig's wire that a short at its start goes through."""

NEAR = 0.96
"""A current within this share of another is not looked at apart."""

MOST_CURRENTS = 14
"""Resistances looked at, at one place in one case, beside a dead short."""


class Stood(Struct, frozen=True):
    """What a wire stands: I^2 t in five seconds, and where its temperature ends.

    ``heat`` is (k A)^2 [A2 s]; ``carries_a`` its ampacity, ``lasting_a`` the current that ends at
    the limit temperature [A]; ``tau_s`` joins both [s].
    """

    heat: float
    carries_a: float
    lasting_a: float
    tau_s: float
    step_a: float

    @classmethod
    def of(cls, wire: Wire) -> "Stood":
        """What a wire stands, by the formulas of ``withstand``."""
        k = adiabatic_k(wire.metal, wire.initial_c(), limit_c(wire.insulation))
        heat, lasting = (k * wire.area_mm2) ** 2, lasting_a(wire)
        rise = lasting**2 - wire.ampacity_a**2
        tau = heat / rise if rise > 0 else inf
        return cls(heat, wire.ampacity_a, lasting, tau, adiabatic_limit_a(wire))


class Heat(Struct):
    """What a wire has taken so far: time [s], I^2 t [A2 s], and its rise as a square current."""

    stood: Stood
    time_s: float = 0.0
    taken: float = 0.0
    taken_early: float = 0.0
    rise: float = 0.0
    worst: float = 0.0

    def __post_init__(self) -> None:
        """A wire starts as warm as its class allows."""
        self.rise = self.stood.carries_a**2

    def add(self, current_a: float, time_s: float) -> None:
        """A current for a time; an overload counts nothing, the first proof has judged it."""
        if current_a <= CONVENTIONAL * self.stood.carries_a:
            return
        square = current_a * current_a
        early = min(max(ADIABATIC_S - self.time_s, 0.0), time_s)
        self.taken_early += square * early
        self.time_s += time_s
        if self.stood.tau_s == inf:
            self.taken += square * time_s
            self.worst = max(self.worst, self.taken / self.stood.heat if self.stood.heat else inf)
            return
        self.rise = square + (self.rise - square) * exp(-time_s / self.stood.tau_s)
        room = self.stood.lasting_a**2 - self.stood.carries_a**2
        self.worst = max(
            self.worst,
            self.taken_early / self.stood.heat,
            (self.rise - self.stood.carries_a**2) / room,
        )

    def for_good(self, current_a: float) -> None:
        """A current that nothing ends any more."""
        if current_a > CONVENTIONAL * self.stood.carries_a:
            over = (current_a / self.stood.lasting_a) ** 2 if self.stood.lasting_a else inf
            if over > 1:
                self.worst = max(self.worst, over)


class Hurt(Struct, frozen=True):
    """A wire that some shared short hurts.

    ``times`` is how often the heat that it stands it takes, ``place`` and ``ohm`` where the short
    is and through what, ``current_a`` what the wire carries first, ``opened`` the runs whose fuses
    open, in order, with the time [s] of each.
    """

    segment: str
    times: float
    place: str
    ohm: float
    fault_a: float
    current_a: float
    opened: tuple[tuple[str, float], ...]
    case: str


class Story(Struct, frozen=True):
    """What one short does: the currents at first, what wires take, and when which fuse opens [s].

    Wires that are not overloaded take nothing and are left out; fuses by edge id. Of a short that
    hurts nothing ``first`` is the fault current alone.
    """

    first: Seen
    heat: Mapping[str, Heat]
    opened: tuple[tuple[str, float], ...]


_Guard = tuple[Fuse | None, Stood | None, float]
"""An edge as a fuse or as a wire, and the current beyond which it opens or gets hot [A]."""

NO_GUARD: _Guard = None, None, inf


@dataclass
class Sweep:
    """All that a sweep needs to know: the network, its cases, its fuses and wires.

    ``fuses`` by edge id; ``wires`` by segment id, only those that were promised protection.
    ``places`` are looked at in every case, those of ``more`` in one case of their own;
    ``dead_only`` leaves out shorts through some resistance.
    """

    net: CutNetwork
    cases: tuple[Case, ...]
    fuses: Mapping[str, Fuse]
    wires: Mapping[str, Stood]
    places: tuple[Place, ...]
    more: tuple[tuple[Case, tuple[Place, ...]], ...] = ()
    dead_only: bool = False
    worst: dict[str, Hurt] = field(default_factory=dict)

    def run(self) -> dict[str, Hurt]:
        """The worst short of every wire that some short hurts, by segment."""
        watched = frozenset((*self.fuses, *self.wires))
        matters = self.matters_a
        least = min((s.carries_a for s in self.wires.values()), default=inf) * CONVENTIONAL
        for case, places in (*((case, self.places) for case in self.cases), *self.more):
            if not case.supplies:
                continue
            for part, some in self._beside_loads(case, places):
                faults = FaultNetwork(self.net, part, watched, matters)
                for place in some:
                    way = faults.way_ohm(place)
                    for ohm, fault in self._resistances(faults, place, way):
                        if fault > least or part.loads:
                            story = self.story(faults, place, ohm)
                            if any(taken.worst > 1 for taken in story.heat.values()):
                                self._note(case, place, ohm, story)
        self._of_copies()
        return {id: hurt for id, hurt in self.worst.items() if hurt.times > 1 + TOLERANCE}

    def _beside_loads(
        self, case: Case, places: Iterable[Place]
    ) -> Iterable[tuple[Case, Iterable[Place]]]:
        """A case with the loads that play beside a short at each place.

        Those behind the fuse that clears it are left out: their current passes that fuse too, as
        a part of what is swept there.
        """
        if not case.loads:
            return [(case, places)]
        groups: dict[frozenset[str], list[Place]] = {}
        for place in places:
            fuse = next((id for id, _ in place.through if id in self.fuses), None)
            groups.setdefault(self._behind.get(fuse or "", frozenset()), []).append(place)
        return [
            (replace(case, loads=tuple(load for load in case.loads if load[0] not in gone)), some)
            for gone, some in groups.items()
        ]

    @cached_property
    def _behind(self) -> dict[str, frozenset[str]]:
        """Loads behind the fuses of twigs, by the fuse's edge."""
        found: dict[str, set[str]] = {}
        for load in self.net.loads:
            for twig in self.net.positive.to_core(load.positive):
                found.setdefault(twig.edge.id, set()).add(load.id)
        return {edge: frozenset(loads) for edge, loads in found.items()}

    def _of_copies(self) -> None:
        """Note for the first of wires side by side what a short in it does to the others.

        They are alike: a short in one of the others does as much to the first.
        """
        first = {(s.run, s.start_m): s.id for s in self.net.segments if not s.copy}
        for segment in self.net.segments:
            hurt = self.worst.get(segment.id)
            if not segment.copy or hurt is None:
                continue
            own = first[segment.run, segment.start_m]
            known = self.worst.get(own)
            if hurt.times > (known.times if known else 1.0):
                place = _swapped(hurt.place, segment.run, copy_mark(segment.copy))
                self.worst[own] = replace(hurt, segment=own, place=place)

    def _resistances(
        self, faults: FaultNetwork, place: Place, way: float
    ) -> list[tuple[float, float]]:
        """None, and every one at which a fuse or a wire passes a corner [ohm], with its current.

        Currents are straight lines over the fault current.
        """
        dead = faults.solve(place, 0.0, frozenset(), way)
        if dead.fault_a <= 0:
            return []
        if self.dead_only:
            return [(0.0, dead.fault_a)]
        half = faults.solve(place, faults.half_ohm(dead), frozenset(), way)
        if half.fault_a >= dead.fault_a:
            return [(0.0, dead.fault_a)]
        less = dict(self._carried(place, half))
        targets: list[float] = []
        for id, amperes in self._carried(place, dead):
            full, fewer = abs(amperes), abs(less.get(id, 0.0))
            slope = (full - fewer) / (dead.fault_a - half.fault_a)
            if slope < 1e-9:
                continue
            for wanted in self._corners(id):
                fault = half.fault_a + (wanted - fewer) / slope
                if 0 < fault < dead.fault_a * 0.999:
                    targets.append(fault)
        kept: list[float] = []
        for fault in sorted(targets, reverse=True):
            if not kept or fault < kept[-1] * NEAR:
                kept.append(fault)
        if len(kept) > MOST_CURRENTS:
            step = len(kept) / MOST_CURRENTS
            kept = [kept[int(i * step)] for i in range(MOST_CURRENTS)]
        return [
            (0.0, dead.fault_a),
            *((faults.ohm_for(dead, half, fault), fault) for fault in kept),
        ]

    def _corners(self, id: str) -> tuple[float, ...]:
        """Currents at which the rule for an edge changes [A].

        Just below the first at which a fuse must open it holds for good: the worst there is.
        """
        if id in self.fuses:
            fuse = self.fuses[id]
            first, *others = (p.ratio * fuse.rating_a for p in fuse.points if p.slowest_s < inf)
            return first * (1 - JUST_BELOW), *others
        stood = self.wires.get(id)
        if stood is None:
            return ()
        low = CONVENTIONAL * stood.carries_a * 1.001
        return low, low * 1.08, stood.step_a * 1.0001

    def _carried(self, place: Place, seen: Seen) -> Iterable[tuple[str, float]]:
        yield from seen.edge_a.items()
        for id, _ in place.through:
            yield id, seen.fault_a

    @property
    def matters_a(self) -> dict[str, float]:
        """Current up to which a fuse need not open and a wire is not overloaded, by id [A]."""
        fuses = {
            id: max(fuse.rating_a, fuse.must_open_a() * (1 - 1e-9))
            for id, fuse in self.fuses.items()
        }
        return fuses | {id: CONVENTIONAL * wire.carries_a for id, wire in self.wires.items()}

    @cached_property
    def _guards(self) -> dict[str, "_Guard"]:
        """What an edge is, by its id; of a wire that a short lies in, both pieces too."""
        found: dict[str, _Guard] = {}
        for id, wire in self.wires.items():
            most_a = CONVENTIONAL * wire.carries_a
            found |= dict.fromkeys((id, f"{id}<", f"{id}>"), (None, wire, most_a))
        return found | {id: (fuse, None, fuse.rating_a) for id, fuse in self.fuses.items()}

    def story(self, faults: FaultNetwork, place: Place, ohm: float) -> "Story":
        """One short from its beginning until nothing opens any more."""
        way = faults.way_ohm(place)
        own = {id for id, _ in place.through if id in self.fuses}
        opened: frozenset[str] = frozenset()
        stood: dict[str, float] = {}
        heat: dict[str, Heat] = {}
        order: list[tuple[str, float]] = []
        time_s, first_a = 0.0, -1.0
        for _ in range(STAGES):
            fault_a, over = faults.beyond(place, ohm, opened, way)
            first_a = fault_a if first_a < 0 else first_a
            for id, _ in place.through:
                over[id] = fault_a
            rates = []
            hot = []
            for id, amperes in over.items():
                fuse, wire, most_a = self._guards.get(id, NO_GUARD)
                if amperes <= most_a:
                    continue
                if fuse:
                    slowest = fuse.slowest_s(amperes)
                    if slowest < inf:
                        rates.append((id, 1 / slowest))
                elif wire:
                    taken = heat.get(id)
                    if taken is None:
                        taken = heat[id] = Heat(wire)
                    hot.append((taken, amperes))
            if not rates:
                for taken, amperes in hot:
                    taken.for_good(amperes)
                break
            left = [(id, max(1 - stood.get(id, 0.0), 0.0) / rate) for id, rate in rates]
            lasts = min(wait for _, wait in left)
            for taken, amperes in hot:
                taken.add(amperes, lasts)
            time_s += lasts
            for id, rate in rates:
                stood[id] = stood.get(id, 0.0) + rate * lasts
            now = {id for id, wait in left if wait <= lasts * (1 + TOLERANCE)}
            order += [(id, time_s) for id in sorted(now)]
            if now & own:
                break
            opened |= now
        hurts = any(taken.worst > 1 for taken in heat.values())
        first = faults.solve(place, ohm, frozenset(), way) if hurts else Seen(first_a, {})
        return Story(first, heat, tuple(order))

    def _wires_in(self, place: Place, seen: Seen) -> Iterable[tuple[str, float]]:
        for id, amperes in seen.edge_a.items():
            if id in self.wires:
                if place.split and place.split[0] == id:
                    yield f"{id}<", abs(seen.parts[0])
                    yield f"{id}>", abs(seen.parts[1])
                else:
                    yield id, abs(amperes)
        for id, _ in place.through:
            if id in self.wires:
                yield id, seen.fault_a

    def _note(self, case: Case, place: Place, ohm: float, story: "Story") -> None:
        carried = dict(self._wires_in(place, story.first))
        opened = tuple((self.fuses[id].run, time_s) for id, time_s in story.opened)
        for id, taken in story.heat.items():
            segment = _wire(id)
            known = self.worst.get(segment)
            if taken.worst > (known.times if known else 1.0):
                self.worst[segment] = Hurt(
                    *(segment, taken.worst, place.name, ohm, story.first.fault_a),
                    *(carried.get(id, 0.0), opened, case.title),
                )


def _wire(id: str) -> str:
    return id.rstrip("<>")


def _swapped(place: str, run: str, mark: str) -> str:
    """A place seen with the first of a run's wires and the one of this mark changed over."""

    def other(found: re.Match[str]) -> str:
        here = found[1] or ""
        return run + {"": mark, mark: ""}.get(here, here)

    return re.sub(rf"\b{run}(#\d+)?(?=[~.])", other, place)


def places(
    net: CutNetwork,
    promised: frozenset[str],
    smaller: Mapping[str, bool],
    bare: frozenset[str],
    fuses: Mapping[str, Fuse],
) -> tuple[Place, ...]:
    """Where shorts are put.

    Of wires side by side the first alone is looked at: the others are as it is. ``promised`` are
    the segments that must stand every short, ``bare`` core nodes on which nothing
    was promised; ``smaller`` says of twig segments whether a fuse of their own twig spares them,
    so that the second proof has judged them; of fuses that open alike one is looked behind.
    """
    found: list[Place] = []
    side = net.positive
    for node in sorted(side.core - bare):
        if is_copy(node):
            continue  # as the same place in the first of the wires side by side
        found.append(Place(node, ((node, 1.0),), STAR))
    for edge in side.edges:
        if isinstance(edge, Segment) and edge.id in promised and not edge.copy:
            for share in ALONG:
                at = ((edge.a, 1 - share), (edge.b, share))
                found.append(Place(f"{edge.id} at {share:.0%}", at, STAR, (), (edge.id, share)))
    kinds: set[tuple[str, object, float]] = set()
    for twig in side.twigs:
        way = side.to_core(twig.node)
        root = side.root[twig.node]
        edges = tuple((step.edge.id, 1.0) for step in way)
        here = isinstance(twig.edge, Segment) and twig.edge.id in promised and not twig.edge.copy
        if here and not smaller.get(twig.edge.id, True):
            found.append(Place(f"{twig.edge.id} at its end", ((root, 1.0),), STAR, edges))
            begins = (twig.edge.id, AT_START), *edges[1:]
            found.append(Place(f"{twig.edge.id} at its start", ((root, 1.0),), STAR, begins))
        passed = sum(isinstance(step.edge, FuseEdge) for step in way)
        if isinstance(twig.edge, FuseEdge) and passed == 1:
            fuse = fuses[twig.edge.id]
            kind = root, fuse.points, fuse.rating_a
            if kind not in kinds:
                kinds.add(kind)
                found.append(Place(f"behind {twig.edge.run}", ((root, 1.0),), STAR, edges))
    for load in net.loads:
        if load.positive not in side.root and load.positive not in side.core:
            continue
        if load.negative not in net.ground.root and load.negative not in net.ground.core:
            continue
        if net.ground.root.get(load.negative, load.negative) == STAR:
            continue  # as a short to the body, but through more wire
        root = side.root.get(load.positive, load.positive)
        if root in bare and not side.to_core(load.positive):
            continue
        through = _way(side.to_core(load.positive)) + _way(net.ground.to_core(load.negative))
        back = net.ground.root.get(load.negative, load.negative)
        found.append(Place(f"inside {load.id}", ((root, 1.0),), back, through))
    return tuple(found)


def _way(twigs: list[Twig]) -> tuple[tuple[str, float], ...]:
    return tuple((twig.edge.id, 1.0) for twig in twigs)
