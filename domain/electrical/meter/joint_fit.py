"""The extra resistance of one joint that explains readings best.

Weighted least squares over every state that was read, each reading weighing by its tolerance.
First the network is taken as straight around the planned state, where one joint more is one
back-substitution and a formula (compensation theorem); the best joints are then solved in full,
with Gauss-Newton steps whose slope is the secant of the last two solutions.
"""

from collections.abc import Iterable, Sequence
from math import inf, sqrt

from msgspec import Struct
from msgspec.structs import replace

from domain.electrical import sources
from domain.electrical.meter.probes import Probes
from domain.electrical.network import elimination, nodal, system
from domain.electrical.network.states import Wired, highest_v, parted_in, state_circuit
from domain.reference.planning import planned

TRIED_OHM = tuple(10 ** (-5 + 0.1 * step) for step in range(51))
"""Extra resistances that the first look tries: 0.01 milliohm to 1 ohm, the largest allowed."""

MOST_STEPS = 8
NEAR_ENOUGH = 0.005
"""A step that changes the resistance by less than this share ends the search."""


class Typed(Struct, frozen=True):
    """A typed reading: state, probes, what was shown and how far it may be off [V]."""

    state: str
    where: Probes
    value_v: float
    tolerance_v: float


class Fit(Struct, frozen=True):
    """A joint with the extra resistance that suits it best.

    What remains between readings and network, in units of tolerance: the sum of squares, the
    root of their mean and the largest.
    """

    id: str
    extra_ohm: float
    square: float
    rms: float
    worst: float


class TypedReadings:
    """Typed readings on a planned network, ready to be explained by one joint after the other."""

    def __init__(self, wired: Wired, typed: Iterable[Typed]) -> None:
        by_state: dict[str, list[Typed]] = {}
        for each in typed:
            by_state.setdefault(each.state, []).append(each)
        self._states = [_State(wired, state, rows) for state, rows in by_state.items()]
        self._count = max(sum(len(rows) for rows in by_state.values()), 1)
        self.before = self._fit("", 0.0, [state.missing for state in self._states])

    def first_look(self, id: str) -> tuple[float, float]:
        """Extra resistance of a joint [ohm] and what then remains (rms), on the straight line.

        Zero where more resistance there makes nothing better.
        """
        parts = [part for state in self._states if (part := state.response(id))]
        best_ohm, best_gain = 0.0, 0.0
        for ohm in TRIED_OHM:
            gain = sum(part.gain(ohm) for part in parts)
            if gain > best_gain:
                best_ohm, best_gain = ohm, gain
        left = self.before.square - best_gain
        return best_ohm, sqrt(max(left, 0.0) / self._count)

    def fit(self, id: str, first_ohm: float) -> Fit:
        """The best extra resistance of a joint, the network solved in full at every step."""
        best = replace(self.before, id=id)
        old_ohm, old = 0.0, [state.missing for state in self._states]
        ohm = first_ohm
        for _ in range(MOST_STEPS):
            new = [state.missing_with(id, ohm) for state in self._states]
            tried = self._fit(id, ohm, new)
            if tried.rms == inf:
                ohm /= 2
                continue
            if tried.rms < best.rms:
                best = tried
            ohm_change = ohm - old_ohm
            if not ohm_change:
                break
            slopes = [
                (after - before) / ohm_change
                for a, b in zip(new, old, strict=True)
                for after, before in zip(a, b, strict=True)
            ]
            flat = [value for values in new for value in values]
            curve = sum(slope * slope for slope in slopes)
            if not 0 < curve < inf:
                break
            step = -sum(s * value for s, value in zip(slopes, flat, strict=True)) / curve
            old_ohm, old = ohm, new
            ohm = min(max(ohm + step, ohm / 4), ohm * 4, TRIED_OHM[-1])
            if abs(ohm - old_ohm) < NEAR_ENOUGH * old_ohm:
                break
        return best

    def _fit(self, id: str, ohm: float, missing: Sequence[Sequence[float]]) -> Fit:
        flat = [abs(value) for values in missing for value in values]
        square = sum(value * value for value in flat)
        return Fit(id, ohm, square, sqrt(square / self._count), max(flat, default=0.0))


class _Response(Struct, frozen=True):
    """How one state's readings answer to one joint, on the straight line.

    With R ohm more in a joint of conductance g that carries i, all nodes move along one line by
    g R i / (1 + g R (1 - g u)), u being the joint's own resistance as seen from its ends.
    ``along`` and ``square`` are the sums of movement times difference and of movement squared.
    """

    siemens: float
    amperes: float
    seen_ohm: float
    along: float
    square: float

    def gain(self, ohm: float) -> float:
        """By how much R lowers the sum of squares; negative where it makes things worse."""
        times = self.siemens * ohm
        under = 1 + times * (1 - self.siemens * self.seen_ohm)
        if under <= 0.05:
            return -inf
        move = times * self.amperes / under
        return move * (2 * self.along - move * self.square)


class _State:
    """One state, solved as planned, with what was read in it.

    ``missing`` is reading less network, in units of tolerance.
    """

    def __init__(self, wired: Wired, state: str, typed: Sequence[Typed]) -> None:
        self._wired = wired
        self._typed = typed
        self._circuit, self._siemens = state_circuit(wired, state, parted=parted_in(wired, state))
        start = system.start_volts(wired.wiring, highest_v(wired.build))
        self._solution = nodal.solve(self._circuit, self._siemens, start)
        index = {name: i for i, name in enumerate(wired.wiring.nodes)}
        last = len(index)
        self._ends = [
            (index.get(each.where.red, last), index.get(each.where.black, last)) for each in typed
        ]
        self._branch = {name: i for i, (name, _, _) in enumerate(self._circuit.branches)}
        self._element = {element.name: i for i, element in enumerate(self._circuit.elements)}
        self.missing = self._missing(self._solution)
        self._factor()

    def missing_with(self, id: str, ohm: float) -> list[float]:
        """What is missing with this much more in a joint; very large where nothing solves it."""
        circuit, siemens = self._circuit, self._siemens
        if id in self._branch:
            siemens = siemens.copy()
            place = self._branch[id]
            siemens[place] = 1 / (1 / siemens[place] + ohm)
        elif id in self._element:
            circuit = _with_worse_battery(self._wired, circuit, id, ohm)
        solution = nodal.solve(circuit, siemens, self._solution.volts)
        return self._missing(solution) if solution.converged else [inf] * len(self._typed)

    def response(self, id: str) -> _Response | None:
        """The straight-line answer of the readings to a joint; ``None`` where it is not there."""
        if id in self._branch:
            place = self._branch[id]
            _, a, b = self._circuit.branches[place]
            g, amperes = self._siemens[place], self._solution.branch_a[place]
        elif id in self._element:
            place = self._element[id]
            element = self._circuit.elements[place]
            a, b = element.positive, element.negative
            g = element.law(self._solution.element_v[place])[1]
            amperes = self._solution.element_a[place]
        else:
            return None
        right = [0.0] * self._circuit.plan.nodes
        for node, amount in ((a, 1.0), (b, -1.0)):
            if node >= 0:
                right[node] += amount
        moved = elimination.substitute(self._circuit.plan, self._diagonal, self._off, right)
        moved.append(0.0)
        along = square = 0.0
        for missing, (red, black), turn in zip(self.missing, self._ends, self._turn, strict=True):
            move = turn * (moved[red] - moved[black])
            along += move * missing
            square += move * move
        return _Response(g, amperes, moved[a] - moved[b], along, square)

    def _missing(self, solution: nodal.Solution) -> list[float]:
        volts = [*solution.volts, 0.0]
        return [
            (each.value_v - each.where.shown(volts[red] - volts[black])) / each.tolerance_v
            for each, (red, black) in zip(self._typed, self._ends, strict=True)
        ]

    def _factor(self) -> None:
        """The network's tangent at the planned solution, and each reading's way round."""
        circuit, slots = self._circuit, self._circuit.plan.slot
        diagonal, off = nodal.linear_part(circuit, self._siemens)
        for element, v in zip(circuit.elements, self._solution.element_v, strict=True):
            slope = element.law(v)[1]
            p, n = element.positive, element.negative
            diagonal[p] += slope
            diagonal[n] += slope
            off[slots[(p, n) if p < n else (n, p)]] -= slope
        elimination.factor(circuit.plan, diagonal, off)
        self._diagonal, self._off = diagonal, off
        volts = [*self._solution.volts, 0.0]
        self._turn = []
        for each, (red, black) in zip(self._typed, self._ends, strict=True):
            signed = volts[red] - volts[black]
            turned = each.where.shown(signed) != signed
            self._turn.append((-1.0 if turned else 1.0) / each.tolerance_v)


def _with_worse_battery(wired: Wired, circuit: nodal.Circuit, id: str, ohm: float) -> nodal.Circuit:
    battery = next(b for b in wired.build.batteries if b.id == id)
    charge = planned("state_of_charge")
    law = nodal.battery_law(
        sources.rest_voltage_v(battery.chemistry, charge),
        sources.internal_ohm(battery) + ohm,
        sources.charging_ohm(battery, charge) + ohm,
    )
    elements = tuple(e._replace(law=law) if e.name == id else e for e in circuit.elements)
    return replace(circuit, elements=elements)
