"""The DC network: nodal analysis with constant-power loads.

Nodes are device terminals. Runs and ground paths are conductances between nodes; batteries,
alternators and loads are elements with a law i(v). Newton iteration from the unloaded network
follows the upper, stable solution of a constant-power load; where it will not settle, the
network is followed as if every node had a capacitor (pseudo-transient continuation), which
settles on the state a real network would reach. Below its lowest working voltage a load fades
out, so that a network which cannot carry its loads still has an answer: it says who is off.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from math import isfinite
from operator import call, sub
from typing import NamedTuple

from msgspec import Struct

from domain.electrical.loads import Load, current_a
from domain.electrical.network import elimination
from domain.electrical.network.core import Core, Reduced, Tangent, core

REFERENCE = -1
"""Index of the reference node, the star point of the chassis, at 0 V."""

SETTLED_V = 1e-9
"""An iteration that moves no node by more than this has settled; the step after it is exact
to rounding, Newton's iteration doubling its digits [V]."""

MET_A = 1e-11
"""So much may an element's current differ from its tangent where the equations are met [A]."""

NOTHING_A = 1e-9
"""A branch that carries less carries nothing: so much is left of no current by rounding [A]."""

NEAR_V = 0.5
"""A step that moves no node by more than this is near enough for Newton's full tangent [V]."""

PLAIN_STEPS = 30
"""Newton steps before the network is followed in time instead."""

RISING_STEPS = 90
"""Steps in time where nothing falls; of thousands of random networks that settle none takes 60."""

FALLING_STEPS = 370
"""Steps in time where loads draw the more the lower the voltage is."""

BLEED_SIEMENS = 1e-6
"""Slope that a load of steady current shows to the iteration [S].

It keeps every step solvable and is no part of the current: where the iteration settles, the
load takes what its law says, to the last digit.
"""

LOOSE_SIEMENS = 1e-9
"""What a load that asks for nothing takes, so that a loose node has one definite voltage [S]."""

IDLE_SIEMENS = 1e-3
"""What an alternator that gives nothing takes through its regulator [S]."""

Law = Callable[[float], tuple[float, float]]
"""Voltage across an element [V] -> current into its positive node's side [A], slope [S]."""


class Element(NamedTuple):
    """A source or load between two nodes; current counts from ``positive`` to ``negative``.

    ``knees`` are the voltages at which its law bends, rising; an iteration passes no more than
    one of them at a time, so that a short piece between two knees is never jumped over.
    """

    name: str
    positive: int
    negative: int
    law: Law
    knees: tuple[float, ...] = ()


class _Shape(Struct, frozen=True):
    """The elements of a circuit as an iteration goes through them: those in the core come first.

    ``bent`` are the knees of those that have some, by their place; ``joined`` their nodes and the
    slot of the two in the circuit's plan.
    """

    core: Core
    laws: list[Law]
    bent: list[tuple[int, tuple[float, ...]]]
    joined: list[tuple[int, int, int]]

    @classmethod
    def of(cls, circuit: "Circuit") -> "_Shape":
        elements = circuit.elements
        found = core(
            len(circuit.nodes), circuit.laid, circuit.tied, tuple((e[1], e[2]) for e in elements)
        )
        ordered = [elements[at] for at in found.order]
        bent = [(i, element.knees) for i, element in enumerate(ordered) if element.knees]
        joined = [(p, n, elimination.slot_of(circuit.plan, p, n)) for p, n in found.ends]
        return cls(found, [element.law for element in ordered], bent, joined)

    def across(self, volts: Sequence[float]) -> list[float]:
        """Voltage across every element at these voltages of all nodes and the reference [V]."""
        return [volts[p] - volts[n] for p, n in self.core.ends]

    def tangents(self, at: list[float]) -> list[Tangent]:
        return list(map(call, self.laws, at))

    def limited(
        self, old: list[float], new: list[float], ceiling: float
    ) -> tuple[list[float], bool]:
        """Where to lay the next tangents, and whether that is not yet where the step ended.

        At the new voltages, but past one knee at most, and never above what the sources can give.
        """
        held_back = max(new, default=0.0) > ceiling
        if held_back:
            new = [min(v, ceiling) for v in new]
        for i, knees in self.bent:
            was = sum(old[i] > knee for knee in knees)
            now = sum(new[i] > knee for knee in knees)
            if abs(now - was) > 1:
                piece = was + 1 if now > was else was - 1
                new[i] = (knees[piece - 1] + knees[piece]) / 2
                held_back = True
        return new, held_back


class Circuit(Struct, frozen=True, dict=True):
    """Node names, conductances as (name, node, node), and elements.

    ``laid`` are the conductances as (node, node, slot of the two in the plan).
    """

    nodes: tuple[str, ...]
    branches: tuple[tuple[str, int, int], ...]
    elements: tuple[Element, ...]
    tied: tuple[int, ...]
    plan: elimination.EliminationPlan
    laid: tuple[tuple[int, int, int], ...]

    @cached_property
    def shape(self) -> _Shape:
        """Its elements as an iteration goes through them, for all its solutions."""
        return _Shape.of(self)


class Solution(Struct, frozen=True):
    """Node voltages [V], branch currents from first to second node [A], element currents [A]."""

    volts: list[float]
    branch_a: list[float]
    element_a: list[float]
    element_v: list[float]
    converged: bool


def battery_law(rest_v: float, internal_ohm: float, charging_ohm: float) -> Law:
    """A battery: rest voltage behind one resistance when it gives, another when it takes."""

    def law(v: float) -> tuple[float, float]:
        slope = 1 / (internal_ohm if v <= rest_v else charging_ohm)
        return (v - rest_v) * slope, slope

    return law


def alternator_law(regulated_v: float, droop_ohm: float, limit_a: float) -> Law:
    """An alternator: its regulated voltage up to the current it can give.

    It takes no more than a trace that keeps a loose one at its own voltage.
    """

    def law(v: float) -> tuple[float, float]:
        given = (regulated_v - v) / droop_ohm
        if given <= 0:
            return (v - regulated_v) * IDLE_SIEMENS, IDLE_SIEMENS
        if given >= limit_a:
            return -limit_a, BLEED_SIEMENS
        return -given, 1 / droop_ohm

    return law


def one_way_law(drop_v: float, ohm: float, limit_a: float) -> Law:
    """What passes current one way only: above its drop, behind its resistance, up to a limit.

    Against its way it passes next to nothing.
    """

    def law(v: float) -> tuple[float, float]:
        amperes = (v - drop_v) / ohm
        if amperes <= 0:
            return (v - drop_v) * LOOSE_SIEMENS, LOOSE_SIEMENS
        if amperes >= limit_a:
            return limit_a, BLEED_SIEMENS
        return amperes, 1 / ohm

    return law


def load_law(load: Load) -> Law:
    """An amplifier: constant power (or V squared), capped, fading out below its lowest voltage."""
    lowest_v, cap_a, power_w = load.lowest_v, load.cap_a, load.power_w
    idle_a, square = load.idle_a, load.reference_v**2
    fading = max(current_a(load, lowest_v) / lowest_v, LOOSE_SIEMENS)
    rising = power_w / square + BLEED_SIEMENS

    def regulated(v: float) -> tuple[float, float]:  # ``loads.current_a`` and its slope
        if v < lowest_v:
            return fading * v, fading
        amperes = power_w / v + idle_a
        if amperes >= cap_a:
            return cap_a, BLEED_SIEMENS
        return amperes, BLEED_SIEMENS - power_w / (v * v)

    def unregulated(v: float) -> tuple[float, float]:
        if v < lowest_v:
            return fading * v, fading
        amperes = power_w * v / square + idle_a
        return (cap_a, BLEED_SIEMENS) if amperes >= cap_a else (amperes, rising)

    return regulated if load.regulated else unregulated


def steady_law(amperes: float, lowest_v: float) -> Law:
    """A load of constant current, fading out below ``lowest_v``."""
    fading = max(amperes / lowest_v, LOOSE_SIEMENS)

    def law(v: float) -> tuple[float, float]:
        if v < lowest_v:
            return fading * v, fading
        return amperes, BLEED_SIEMENS

    return law


def held_law(volts: float, ohm: float = 1e-6) -> Law:
    """A source that holds its voltage, behind next to no resistance."""

    def law(v: float) -> tuple[float, float]:
        return (v - volts) / ohm, 1 / ohm

    return law


def circuit(
    nodes: Sequence[str],
    branches: Iterable[tuple[str, int, int]],
    elements: Iterable[Element],
) -> Circuit:
    """Put a circuit together; one node of each part that does not reach the chassis is tied."""
    branches, elements = tuple(branches), tuple(elements)
    links = [(a, b) for _, a, b in branches] + [(e.positive, e.negative) for e in elements]
    pairs = frozenset((min(a, b), max(a, b)) for a, b in links if a != b and min(a, b) >= 0)
    plan = elimination.plan(len(nodes), pairs)
    return Circuit(
        nodes=tuple(nodes),
        branches=branches,
        elements=elements,
        tied=_floating(len(nodes), links),
        plan=plan,
        laid=tuple((a, b, elimination.slot_of(plan, a, b)) for _, a, b in branches),
    )


def _floating(count: int, links: list[tuple[int, int]]) -> tuple[int, ...]:
    """The first node of every part of the network that the reference node is not part of."""
    root = list(range(count + 1))

    def find(n: int) -> int:
        while root[n] != n:
            root[n] = root[root[n]]
            n = root[n]
        return n

    for a, b in links:
        root[find(a % (count + 1))] = find(b % (count + 1))
    grounded = find(count)
    firsts: dict[int, int] = {}
    for node in range(count):
        firsts.setdefault(find(node), node)
    return tuple(node for top, node in firsts.items() if top != grounded)


def solve(
    circuit: Circuit,
    siemens: Sequence[float],
    start: Sequence[float],
    near: bool = False,
    met_a: float = MET_A,
) -> Solution:
    """Node voltages of a circuit with these branch conductances [S].

    ``start`` are the first voltages to try [V]; the highest of them is taken to be above
    any element's voltage but for half as much again. ``near``: it is the
    solution of nearly this network, with every load at work. ``met_a``: with so much missing at an
    element the equations are met [A]. Never raises for want of a solution: ``converged`` says
    whether they are.
    """
    shape = circuit.shape
    reduced = Reduced.of(shape.core, siemens)
    full = [*start, 0.0]
    at = across = shape.across(full)
    laid = shape.tangents(at)
    ceiling = 1.5 * max(start, default=0.0)
    for _ in range(PLAIN_STEPS):
        if not near:
            laid = _rising(laid)
        step = reduced.step(at, laid)
        if not isfinite(sum(step.volts)):
            return _solution(circuit, siemens, full, at, shape.tangents(at), False)
        change = max(map(abs, map(sub, step.across, across)), default=0.0)
        across = step.across
        near = change < NEAR_V
        before, tangents = at, laid
        at, held_back = shape.limited(at, across, ceiling)
        laid = shape.tangents(at)
        if not held_back and (change < SETTLED_V or _met(before, tangents, at, laid, met_a)):
            return _solution(circuit, siemens, reduced.all_volts(step), at, laid, True)
    at_start = shape.tangents(shape.across(full))
    if all(slope >= 0 for _, slope in (*at_start, *laid)):
        return _in_time(circuit, siemens, start, ceiling, RISING_STEPS, False)
    slowly = _in_time(circuit, siemens, start, ceiling, FALLING_STEPS, False)
    if slowly.converged:
        return slowly
    return _in_time(circuit, siemens, start, ceiling, FALLING_STEPS, True)


def _rising(tangents: list[Tangent]) -> list[Tangent]:
    """The falling current of a constant-power load taken as constant.

    Far from the answer its negative slope would lead a step astray where nothing else is stiff.
    """
    return [each if each[1] > 0 else (each[0], 0.0) for each in tangents]


def _in_time(
    circuit: Circuit,
    siemens: Sequence[float],
    start: Sequence[float],
    ceiling: float,
    most_steps: int,
    falling: bool,
) -> Solution:
    """The same with every node holding its voltage against each step, less and less.

    Where no falling slope is taken, a step moves a node the way that what flows into it would, also
    where loads of constant power draw more than a source at its limit gives and voltages fall; it
    creeps where they draw hardly more than a battery can give. ``falling``: steps that are near
    take those slopes too.
    """
    shape, linear = circuit.shape, linear_part(circuit, siemens)
    volts, hold = [*start, 0.0], 1e4
    at = shape.across(volts)
    laid = _rising(shape.tangents(at))
    for _ in range(most_steps):
        new = _held_step(circuit, linear, volts, at, laid, hold)
        if not isfinite(sum(new)):
            break
        change = max(map(abs, map(sub, new, volts)))
        volts = new
        at, held_back = shape.limited(at, shape.across(volts), ceiling)
        laid = shape.tangents(at)
        if not (hold or held_back) and change < SETTLED_V:
            return _solution(circuit, siemens, volts, at, laid, True)
        if not (falling and change < NEAR_V):
            laid = _rising(laid)
        if hold:
            hold = hold / 2 if change < 1.0 else hold * 1.5
            if hold < 1e-6:
                hold = 0.0
    at = shape.across(volts)
    return _solution(circuit, siemens, volts, at, shape.tangents(at), False)


def _met(
    before: list[float],
    tangents: list[Tangent],
    at: list[float],
    laid: list[Tangent],
    met_a: float,
) -> bool:
    """Whether every element takes what its tangent said: then the equations are met."""
    for v, (amperes, slope), now, (taken, _) in zip(before, tangents, at, laid, strict=True):
        if abs(amperes + slope * (now - v) - taken) >= met_a:
            return False
    return True


def all_at_work(circuit: Circuit, solution: Solution, lowest_v: Mapping[str, float]) -> bool:
    """Whether every element named has its lowest working voltage [V]; the next may start there."""
    return solution.converged and all(
        v >= lowest_v.get(element.name, 0.0)
        for element, v in zip(circuit.elements, solution.element_v, strict=True)
    )


def across(circuit: Circuit, volts: list[float]) -> list[float]:
    """Voltage across every element at these node voltages [V]."""
    full = [*volts, 0.0]
    return [full[e.positive] - full[e.negative] for e in circuit.elements]


def linear_part(circuit: Circuit, siemens: Sequence[float]) -> tuple[list[float], list[float]]:
    """The conductances of all branches, which no iteration changes; the reference comes last."""
    diagonal = [0.0] * (circuit.plan.nodes + 1)
    off = [0.0] * circuit.plan.slots
    for node in circuit.tied:
        diagonal[node] += 1.0
    for (a, b, slot), g in zip(circuit.laid, siemens, strict=True):
        diagonal[a] += g
        diagonal[b] += g
        off[slot] -= g
    return diagonal, off


def _held_step(
    circuit: Circuit,
    linear: tuple[list[float], list[float]],
    volts: list[float],
    at: list[float],
    tangents: list[Tangent],
    hold: float,
) -> list[float]:
    """One step of all nodes, every element replaced by its tangent at ``at``."""
    diagonal, off = [g + hold for g in linear[0]], linear[1].copy()
    right = [hold * v for v in volts]
    each = zip(circuit.shape.joined, at, tangents, strict=True)
    for (p, n, slot), v, (current, slope) in each:
        rest = current - slope * v
        diagonal[p] += slope
        diagonal[n] += slope
        right[p] -= rest
        right[n] += rest
        off[slot] -= slope
    elimination.solve(circuit.plan, diagonal, off, right)
    right[-1] = 0.0
    return right


def _solution(
    circuit: Circuit,
    siemens: Sequence[float],
    volts: list[float],
    at: list[float],
    tangents: list[Tangent],
    converged: bool,
) -> Solution:
    branch_a = [
        0.0 if -NOTHING_A < (amperes := (volts[a] - volts[b]) * g) < NOTHING_A else amperes
        for (a, b, _), g in zip(circuit.laid, siemens, strict=True)
    ]
    places = circuit.shape.core.places
    element_a = [tangents[place][0] for place in places]
    element_v = [at[place] for place in places]
    return Solution(volts[:-1], branch_a, element_a, element_v, converged)
