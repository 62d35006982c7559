"""A network with a short in it: what every edge of its core carries.

Sources at their weakest and at their strongest, alternators running or not, isolators closed or
open. An alternator gives its greatest output until its terminal passes the regulated voltage,
and holds that. A battery that would be charged shows its charging resistance. Loads hasten the
fuses that feed them, but what they return heats a ground beside what a short behind another fuse
returns: they are left out, or in as resistances.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf
from typing import NamedTuple

from msgspec import Struct

from domain.electrical.network import elimination
from domain.electrical.network.wiring import STAR
from domain.electrical.protection.cut_network import CutNetwork, Link

LOOSE_SIEMENS = 1e-9
"""Ties a part that nothing else ties [S]."""

LEAST_OHM = 1e-7
"""No edge has less resistance than this [ohm]."""

MOST_TURNS = 12
"""Turns in which alternators and batteries settle on how they work; two or three do."""


class Supply(Struct, frozen=True):
    """A source in one case: open voltage, resistance giving and taking; what it gives at most.

    ``limit_a`` is infinite for a battery. An alternator holds ``volts`` behind ``ohm`` up to that.
    """

    id: str
    volts: float
    ohm: float
    charging_ohm: float
    limit_a: float = inf


class Case(Struct, frozen=True):
    """One set of circumstances: sources by id, edge resistances by id [ohm], isolators open.

    ``loads`` are those at work: which, between which nodes of the core, as what resistance [ohm].
    """

    title: str
    supplies: Mapping[str, Supply]
    ohm: Mapping[str, float]
    opened: frozenset[str] = frozenset()
    loads: tuple[tuple[str, str, str, float], ...] = ()


class Place(Struct, frozen=True):
    """Where a short is, seen from the core.

    It draws at ``at`` (shares of core nodes of the positive side) through the edges ``through``
    (edge id -> share of its length) and gives back at ``back``, a core node of the ground side, or
    of the positive side where two plus points touch. ``split`` names a core segment that it lies
    in, and at what share of it.
    """

    name: str
    at: tuple[tuple[str, float], ...]
    back: str
    through: tuple[tuple[str, float], ...] = ()
    split: tuple[str, float] | None = None


class Seen(Struct, frozen=True):
    """A solved fault [A]: its own current and those of the core's edges, from a to b.

    ``parts`` are both pieces of the split segment, towards the fault.
    """

    fault_a: float
    edge_a: Mapping[str, float]
    parts: tuple[float, float] = (0.0, 0.0)


class _State(Struct, frozen=True):
    """The core eliminated with some fuses open and every source working in one way.

    What elimination left of the matrix, for any short; the voltages without one. ``edges`` are
    those watched that are not open: current without a short [A], both nodes, conductance [S] and
    the current from which on it matters [A]. ``sources``: voltage without a short [V], both nodes,
    and between which voltages it goes on working as it does.
    """

    diagonal: list[float]
    off: list[float]
    open_v: list[float]
    edges: list[tuple[str, float, int, int, float, float]]
    sources: list[tuple[float, int, int, "_Working"]]


class _View(Struct, frozen=True):
    """A state seen from a place: everything there is a straight line over the fault current.

    ``open_v`` and ``lift_ohm`` at the place; ``column`` is what an ampere of fault lowers every
    node by [V]. ``over`` are the watched edges that carry more than their least in some short
    there: their current without a fault, for one ampere of it, and that least [A]; without
    ``split``, the edge that the place lies in. Per source its voltage without a fault, for one
    ampere of it, and between which voltages it goes on working as it does.
    """

    open_v: float
    lift_ohm: float
    state: _State
    column: list[float]
    over: list[tuple[str, float, float, float]]
    split: tuple[str, float, float, float] | None
    sources: list[tuple[float, float, "_Working"]]

    def currents(self, fault_a: float) -> dict[str, float]:
        """What all watched edges carry at a fault current, from a to b [A]."""
        column = self.column
        return {
            id: amperes - fault_a * ((column[i] - column[j]) * siemens)
            for id, amperes, i, j, siemens, _ in self.state.edges
        }


class _Working(NamedTuple):
    """Voltages across a source between which it works in one way [V], and how it does beyond."""

    low_v: float
    high_v: float
    below: int
    above: int


@dataclass(slots=True)
class FaultNetwork:
    """The core of both sides in one case, with what was solved before kept at hand.

    ``watched`` are the ids of the edges whose currents are wanted, and ``least_a`` the current
    from which on they matter [A]. The core is a tree or nearly one: it is eliminated along itself,
    once for each state, and one column answers for a place.
    """

    net: CutNetwork
    case: Case
    watched: frozenset[str]
    least_a: Mapping[str, float] = field(default_factory=dict)
    index: dict[str, int] = field(default_factory=dict)
    _links: tuple[Link, ...] = ()
    _branches: list[tuple[str, int, int, int, float]] = field(default_factory=list)
    _seen: list[tuple[str, int, int, float, float]] = field(default_factory=list)
    _ends: list[tuple[int, int]] = field(default_factory=list)
    _loads: list[tuple[int, int, int, float]] = field(default_factory=list)
    _plan: elimination.EliminationPlan = field(init=False)
    _states: dict[tuple[frozenset[str], tuple[int, ...]], _State] = field(default_factory=dict)
    _views: dict[tuple[frozenset[str], tuple[int, ...], str], _View] = field(default_factory=dict)
    _settled: dict[tuple[frozenset[str], str], tuple[int, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Number the nodes of the core; the star is the reference and comes last."""
        nodes = sorted((self.net.positive.core | self.net.ground.core) - {STAR})
        self.index = {node: number for number, node in enumerate((*nodes, STAR))}
        edges = (*self.net.positive.edges, *self.net.ground.edges)
        self._links = tuple(
            edge for edge in self.net.positive.edges if isinstance(edge, Link) and edge.one_way
        )
        self._ends = [
            (self.index[a], self.index[b])
            for a, b in (
                *((s.positive, s.negative) for s in self.net.sources),
                *((link.a, link.b) for link in self._links),
            )
        ]
        joined = [(self.index[edge.a], self.index[edge.b]) for edge in edges]
        fed = [(self.index[a], self.index[b]) for _, a, b, _ in self.case.loads]
        pairs = {(min(ij), max(ij)) for ij in (*joined, *self._ends, *fed) if len(nodes) not in ij}
        self._plan = elimination.plan(len(nodes), frozenset((i, j) for i, j in pairs if i != j))
        self._branches = [
            (
                *(edge.id, i, j, elimination.slot_of(self._plan, i, j)),
                1 / max(self.case.ohm[edge.id], LEAST_OHM),
            )
            for edge, (i, j) in zip(edges, joined, strict=True)
        ]
        self._loads = [
            (i, j, elimination.slot_of(self._plan, i, j), 1 / max(ohm, LEAST_OHM))
            for (i, j), (*_, ohm) in zip(fed, self.case.loads, strict=True)
        ]
        self._seen = [
            (id, i, j, siemens, self.least_a.get(id, -1.0))
            for id, i, j, _, siemens in self._branches
            if id in self.watched
        ]

    def way_ohm(self, place: Place) -> float:
        """Resistance between the core and a place, beside that of the short itself [ohm]."""
        way = sum(max(self.case.ohm[id], LEAST_OHM) * share for id, share in place.through)
        if place.split:
            id, share = place.split
            way += max(self.case.ohm[id], LEAST_OHM) * share * (1 - share)
        return way

    def solve(self, place: Place, ohm: float, opened: frozenset[str], way_ohm: float) -> Seen:
        """The currents with a short of ``ohm`` [ohm] at a place, these fuses being open."""
        view, fault = self._settle(place, ohm, opened, way_ohm)
        found = view.currents(fault)
        parts = (0.0, 0.0)
        if place.split:
            parts = _parts(place.split[1], found.get(place.split[0], 0.0), fault)
            found[place.split[0]] = max(parts, key=abs)
        return Seen(fault, found, parts)

    def behind(self, place: Place, ohm: float, way_ohm: float) -> tuple[float, float]:
        """What a place is seen as through such a short: open voltage [V] and resistance [ohm].

        Exact for as long as every source works as it does then (Thevenin).
        """
        view, _ = self._settle(place, ohm, frozenset(), way_ohm)
        return view.open_v, view.lift_ohm

    def beyond(
        self, place: Place, ohm: float, opened: frozenset[str], way_ohm: float
    ) -> tuple[float, dict[str, float]]:
        """The fault current of such a short, and the edges that carry more than their least [A].

        Both pieces of a split segment go by its id with "<" and ">".
        """
        view, fault = self._settle(place, ohm, opened, way_ohm)
        found = {}
        for id, amperes, per, least in view.over:
            carried = amperes - fault * per
            if carried > least or -carried > least:
                found[id] = abs(carried)
        if place.split and view.split:
            id, amperes, per, least = view.split
            parts = _parts(place.split[1], amperes - fault * per, fault)
            for mark, part in zip("<>", parts, strict=True):
                if abs(part) > least:
                    found[id + mark] = abs(part)
        return fault, found

    def _settle(
        self, place: Place, ohm: float, opened: frozenset[str], way_ohm: float
    ) -> tuple[_View, float]:
        """The state in which every source works as its voltage has it, and the fault current [A].

        There is one only; it is looked for from the last that was found for the same place.
        """
        start = (0,) * len(self._ends)
        modes = self._settled.get((opened, place.name), start)
        seen: set[tuple[int, ...]] = set()
        for _ in range(MOST_TURNS):
            view = self._view(opened, modes, place)
            fault = max(view.open_v / max(view.lift_ohm + ohm + way_ohm, LEAST_OHM), 0.0)
            seen.add(modes)
            now = modes
            for n, (volts, lift, working) in enumerate(view.sources):
                across = volts - fault * lift
                if across < working.low_v:
                    now = (*now[:n], working.below, *now[n + 1 :])
                elif across > working.high_v:
                    now = (*now[:n], working.above, *now[n + 1 :])
            if now == modes or now in seen:
                break
            modes = now
        self._settled[opened, place.name] = modes
        return view, fault

    def _view(self, opened: frozenset[str], modes: tuple[int, ...], place: Place) -> _View:
        key = (opened, modes, place.name)
        known = self._views.get(key)
        if known is None:
            state = self._state(opened, modes)
            known = self._views[key] = self._look(state, place)
        return known

    def _look(self, state: _State, place: Place) -> _View:
        index = self.index
        column = [0.0] * len(index)
        for node, share in (*place.at, (place.back, -1.0)):
            column[index[node]] += share
        column[-1] = 0.0
        elimination.substitute(self._plan, state.diagonal, state.off, column)

        def at_place(volts: list[float]) -> float:
            found = sum(share * volts[index[node]] for node, share in place.at)
            return found - volts[index[place.back]]

        open_v, lift = at_place(state.open_v), at_place(column)
        most = max(open_v / max(lift, LEAST_OHM), 0.0)
        own = place.split[0] if place.split else ""
        over, split = [], None
        for id, amperes, i, j, siemens, least in state.edges:
            per = (column[i] - column[j]) * siemens
            if id == own:
                split = id, amperes, per, least
            elif abs(amperes) > least or abs(amperes - most * per) > least:
                over.append((id, amperes, per, least))
        sources = [
            (volts, column[i] - column[j], working) for volts, i, j, working in state.sources
        ]
        return _View(open_v, lift, state, column, over, split, sources)

    def half_ohm(self, dead: Seen) -> float:
        """A resistance that takes about a third off the current of a dead short [ohm]."""
        return 0.5 * max(s.volts for s in self.case.supplies.values()) / dead.fault_a

    def ohm_for(self, dead: Seen, other: Seen, fault_a: float) -> float:
        """The resistance through which a short draws so much, from two shorts solved [ohm].

        Exact while every source works the same way: voltage falls straight with the current.
        """
        other_v = other.fault_a * self.half_ohm(dead)
        slope = other_v / (dead.fault_a - other.fault_a)
        return max(slope * (dead.fault_a - fault_a), 0.0) / fault_a

    def _working(self, number: int, mode: int) -> _Working:
        """How long a source goes on working in one way.

        A battery: 0 gives, 1 is charged. An alternator: 0 holds its voltage, 1 gives all it has,
        2 gives nothing. What passes one way works as an alternator does.
        """
        if number >= len(self.net.sources):
            link = self._links[number - len(self.net.sources)]
            most_v = link.capacity_a * max(self.case.ohm[link.id], LEAST_OHM)
            return (
                *(_Working(0.0, most_v, 2, 1), _Working(most_v, inf, 0, 1)),
                _Working(-inf, 0.0, 2, 0),
            )[mode]
        supply = self.case.supplies.get(self.net.sources[number].id)
        if supply is None:
            return _Working(-inf, inf, mode, mode)
        if supply.limit_a == inf:
            way = _Working(-inf, supply.volts, 0, 1), _Working(supply.volts, inf, 0, 1)
            return way[mode]
        least_v = supply.volts - supply.limit_a * supply.ohm
        return (
            *(_Working(least_v, supply.volts, 1, 2), _Working(-inf, least_v, 1, 0)),
            _Working(supply.volts, inf, 0, 2),
        )[mode]

    def _state(self, opened: frozenset[str], modes: tuple[int, ...]) -> _State:
        known = self._states.get((opened, modes))
        if known is None:
            known = self._states[opened, modes] = self._solve_state(opened, modes)
        return known

    def _solve_state(self, opened: frozenset[str], modes: tuple[int, ...]) -> _State:
        case = self.case
        shut = opened | case.opened
        right = [0.0] * len(self.index)
        diagonal = [LOOSE_SIEMENS] * len(self.index)
        off = [0.0] * self._plan.slots
        sources = len(self.net.sources)
        for link, mode, (i, j) in zip(
            self._links, modes[sources:], self._ends[sources:], strict=True
        ):
            if mode and link.id not in shut:
                shut |= {link.id}
                if mode == 1:
                    right[i] -= link.capacity_a
                    right[j] += link.capacity_a
        joined = [
            (i, j, slot, siemens)
            for id, i, j, slot, siemens in self._branches
            if id not in shut and i != j
        ]
        joined += self._loads
        for source, mode, (i, j) in zip(self.net.sources, modes, self._ends, strict=False):
            supply = case.supplies.get(source.id)
            if supply is None:
                continue
            siemens, amperes = 0.0, 0.0
            if supply.limit_a == inf:
                siemens = 1 / (supply.charging_ohm if mode == 1 else supply.ohm)
                amperes = supply.volts * siemens
            elif mode == 0:
                siemens = 1 / supply.ohm
                amperes = supply.volts * siemens
            elif mode == 1:
                amperes = supply.limit_a
            if siemens:
                joined.append((i, j, elimination.slot_of(self._plan, i, j), siemens))
            right[i] += amperes
            right[j] -= amperes
        for i, j, slot, siemens in joined:
            diagonal[i] += siemens
            diagonal[j] += siemens
            off[slot] -= siemens
        right[-1] = 0.0
        elimination.factor(self._plan, diagonal, off)
        volts = elimination.substitute(self._plan, diagonal, off, right)
        shut = opened | case.opened
        edges = [
            (id, (volts[i] - volts[j]) * siemens, i, j, siemens, least)
            for id, i, j, siemens, least in self._seen
            if id not in shut
        ]
        ends = [
            (volts[i] - volts[j], i, j, self._working(n, mode))
            for n, ((i, j), mode) in enumerate(zip(self._ends, modes, strict=True))
        ]
        return _State(diagonal, off, volts, edges, ends)


def _parts(share: float, amperes: float, fault: float) -> tuple[float, float]:
    """What both pieces of a cut wire carry towards the fault [A].

    It divides between them as the opposite piece's share of the length.
    """
    return amperes + fault * (1 - share), -amperes + fault * share


def isolators_of(net: CutNetwork) -> tuple[str, ...]:
    """The isolators in the core that join and part; a diode does neither."""
    links = (e for e in net.positive.edges if isinstance(e, Link) and e.isolator)
    return tuple(e.id for e in links if not (e.one_way and e.capacity_a == inf))
