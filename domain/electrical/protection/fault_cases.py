"""A network with a short in it: what every edge of its core carries.

Sources at their weakest and at their strongest, alternators running or not, isolators closed or
open. An alternator gives its greatest output until its terminal passes the regulated voltage,
and holds that. A battery that would be charged shows its charging resistance. Loads are left
out: they only hasten the fuses.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf

from domain.electrical.network.wiring import STAR
from domain.electrical.protection import dense
from domain.electrical.protection.cut_network import CutNetwork, Link

LOOSE_SIEMENS = 1e-9
"""Ties a part that nothing else ties [S]."""

LEAST_OHM = 1e-7
"""No edge has less resistance than this [ohm]."""

MOST_TURNS = 12
"""Turns in which alternators and batteries settle on how they work; two or three do."""


@dataclass(frozen=True, slots=True)
class Supply:
    """A source in one case: open voltage, resistance giving and taking; what it gives at most.

    ``limit_a`` is infinite for a battery. An alternator holds ``volts`` behind ``ohm`` up to that.
    """

    id: str
    volts: float
    ohm: float
    charging_ohm: float
    limit_a: float = inf


@dataclass(frozen=True, slots=True)
class Case:
    """One set of circumstances: sources by id, edge resistances by id [ohm], isolators open."""

    title: str
    supplies: Mapping[str, Supply]
    ohm: Mapping[str, float]
    opened: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Place:
    """Where a short is, seen from the core.

    It draws at ``at`` (shares of core nodes of the positive side) through ``inside_ohm`` and the
    edges ``through`` (edge id -> share of its length) and gives back at ``back``, a core node of
    the ground side. ``split`` names a core segment that it lies in, and at what share of it.
    """

    name: str
    at: tuple[tuple[str, float], ...]
    back: str
    through: tuple[tuple[str, float], ...] = ()
    split: tuple[str, float] | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """A solved fault [A]: its own current and those of the core's edges, from a to b.

    ``parts`` are both pieces of the split segment, towards the fault.
    """

    fault_a: float
    edge_a: Mapping[str, float]
    parts: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class _State:
    """The core solved with some fuses open and every source working in one way."""

    z: dense.Matrix
    open_v: list[float]


@dataclass(frozen=True, slots=True)
class _View:
    """A state seen from a place: everything there is a straight line over the fault current.

    ``open_v`` and ``lift_ohm`` at the place; per watched edge its current without a fault and for
    one ampere of it; per source its voltage the same way.
    """

    open_v: float
    lift_ohm: float
    edges: tuple[tuple[str, float, float], ...]
    sources: tuple[tuple[float, float], ...]


@dataclass(slots=True)
class FaultNetwork:
    """The core of both sides in one case, with what was solved before kept at hand.

    ``watched`` are the ids of the edges whose currents are wanted.
    """

    net: CutNetwork
    case: Case
    watched: frozenset[str]
    index: dict[str, int] = field(default_factory=dict)
    _links: tuple[Link, ...] = ()
    _states: dict[tuple[frozenset[str], tuple[int, ...]], _State] = field(default_factory=dict)
    _views: dict[tuple[frozenset[str], tuple[int, ...], str], _View] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Number the nodes of the core; the star is the reference."""
        nodes = sorted((self.net.positive.core | self.net.ground.core) - {STAR})
        self.index = {node: number for number, node in enumerate(nodes)}
        self._links = tuple(
            edge for edge in self.net.positive.edges if isinstance(edge, Link) and edge.one_way
        )

    def way_ohm(self, place: Place) -> float:
        """Resistance between the core and a place, beside that of the short itself [ohm]."""
        way = sum(max(self.case.ohm[id], LEAST_OHM) * share for id, share in place.through)
        if place.split:
            id, share = place.split
            way += max(self.case.ohm[id], LEAST_OHM) * share * (1 - share)
        return way

    def solve(self, place: Place, ohm: float, opened: frozenset[str], way_ohm: float) -> Seen:
        """The currents with a short of ``ohm`` [ohm] at a place, these fuses being open."""
        modes = (0,) * (len(self.net.sources) + len(self._links))
        seen: set[tuple[int, ...]] = set()
        for _ in range(MOST_TURNS):
            view = self._view(opened, modes, place)
            fault = max(view.open_v / max(view.lift_ohm + ohm + way_ohm, LEAST_OHM), 0.0)
            seen.add(modes)
            now = tuple(
                self._mode(n, modes[n], volts - fault * lift)
                for n, (volts, lift) in enumerate(view.sources)
            )
            if now == modes or now in seen:
                break
            modes = now
        found = {id: amperes - fault * per for id, amperes, per in view.edges}
        parts = (0.0, 0.0)
        if place.split:
            # the fault divides between both pieces as the opposite piece's share of length
            id, share = place.split
            amperes = found.get(id, 0.0)
            parts = amperes + fault * (1 - share), -amperes + fault * share
            found[id] = max(parts, key=abs)
        return Seen(fault, found, parts)

    def _view(self, opened: frozenset[str], modes: tuple[int, ...], place: Place) -> _View:
        key = (opened, modes, place.name)
        known = self._views.get(key)
        if known is None:
            known = self._views[key] = self._look(self._state(opened, modes), opened, place)
        return known

    def _look(self, state: _State, opened: frozenset[str], place: Place) -> _View:
        index = self.index
        column = [0.0] * len(index)
        for node, share in place.at:
            column = [c + share * z for c, z in zip(column, state.z[index[node]], strict=True)]
        if place.back != STAR:
            back = state.z[index[place.back]]
            column = [c - z for c, z in zip(column, back, strict=True)]

        def across(volts: list[float], a: str, b: str) -> float:
            return (volts[index[a]] if a != STAR else 0.0) - (volts[index[b]] if b != STAR else 0.0)

        def at_place(volts: list[float]) -> float:
            found = sum(share * volts[index[node]] for node, share in place.at)
            return found - (0.0 if place.back == STAR else volts[index[place.back]])

        shut = opened | self.case.opened
        edges = []
        for edge in (*self.net.positive.edges, *self.net.ground.edges):
            if edge.id in self.watched and edge.id not in shut:
                ohm = max(self.case.ohm[edge.id], LEAST_OHM)
                free = across(state.open_v, edge.a, edge.b) / ohm
                edges.append((edge.id, free, across(column, edge.a, edge.b) / ohm))
        sources = tuple(
            (across(state.open_v, s.positive, s.negative), across(column, s.positive, s.negative))
            for s in self.net.sources
        ) + tuple(
            (across(state.open_v, link.a, link.b), across(column, link.a, link.b))
            for link in self._links
        )
        return _View(at_place(state.open_v), at_place(column), tuple(edges), sources)

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

    def _mode(self, number: int, mode: int, across: float) -> int:
        """How a source works at a voltage across it [V].

        A battery: 0 gives, 1 is charged. An alternator: 0 holds its voltage, 1 gives all it has,
        2 gives nothing. What passes one way works as an alternator does.
        """
        if number >= len(self.net.sources):
            link = self._links[number - len(self.net.sources)]
            passed = across / max(self.case.ohm[link.id], LEAST_OHM)
            return _one_way_mode(mode, passed, link.capacity_a)
        source = self.net.sources[number]
        supply = self.case.supplies.get(source.id)
        if supply is None:
            return mode
        if supply.limit_a == inf:
            return 1 if across > supply.volts else 0
        return _one_way_mode(mode, (supply.volts - across) / supply.ohm, supply.limit_a)

    def _state(self, opened: frozenset[str], modes: tuple[int, ...]) -> _State:
        known = self._states.get((opened, modes))
        if known is None:
            known = self._states[opened, modes] = self._solve_state(opened, modes)
        return known

    def _solve_state(self, opened: frozenset[str], modes: tuple[int, ...]) -> _State:
        case = self.case
        shut = opened | case.opened
        right = [0.0] * len(self.index)
        for link, mode in zip(self._links, modes[len(self.net.sources) :], strict=True):
            if mode and link.id not in shut:
                shut |= {link.id}
                if mode == 1:
                    right[self.index[link.a]] -= link.capacity_a
                    right[self.index[link.b]] += link.capacity_a
        branches = [
            (edge.a, edge.b, 1 / max(case.ohm[edge.id], LEAST_OHM))
            for edge in (*self.net.positive.edges, *self.net.ground.edges)
            if edge.id not in shut
        ]
        for source, mode in zip(self.net.sources, modes, strict=False):
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
                branches.append((source.positive, source.negative, siemens))
            right[self.index[source.positive]] += amperes
            right[self.index[source.negative]] -= amperes
        z = dense.inverse(dense.conductance_matrix(self.index, branches, LOOSE_SIEMENS))
        open_v = [sum(a * b for a, b in zip(row, right, strict=True)) for row in z]
        return _State(z, open_v)


def _one_way_mode(mode: int, given_a: float, limit_a: float) -> int:
    """0 while it gives between nothing and its limit, 1 at its limit, 2 when it gives nothing."""
    if mode == 0:
        return 1 if given_a > limit_a else 2 if given_a < 0 else 0
    settled = given_a >= limit_a if mode == 1 else given_a <= 0
    return mode if settled else 0


def isolators_of(net: CutNetwork) -> tuple[str, ...]:
    """The isolators in the core that join and part; a diode does neither."""
    links = (e for e in net.positive.edges if isinstance(e, Link) and e.isolator)
    return tuple(e.id for e in links if not (e.one_way and e.capacity_a == inf))
