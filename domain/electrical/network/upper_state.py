"""The upper of two stable states.

Where an alternator gives all it has and a battery takes little, loads of constant power can hold
the network at two voltages: with the alternator just able to feed them, or lower, with the
battery giving the rest. A network that is switched on unloaded and then loaded is at the upper.
"""

from collections.abc import Sequence
from math import inf

from msgspec.structs import replace

from domain.electrical.network import elimination, nodal

NEAR_V = 0.001
"""Voltages that differ by less than this are one state [V]."""

MOST_TURNS = 40
"""Turns in which the search from above comes down to the upper state; three or four do."""


def upper_state(
    circuit: nodal.Circuit, siemens: Sequence[float], start: Sequence[float], found: nodal.Solution
) -> nodal.Solution:
    """The upper state of a network that was solved: the one found, or one above it.

    From ``start``, voltages that no node can pass, loads of constant power are held at the current
    that they draw there, which is the least; with it the network is solved, then again with what
    they draw at its voltages. All else takes more the higher the voltage is, so that the voltages
    only fall, and never below those of any state (comparison of M-matrices): where they meet the
    state found, none lies above it.
    """
    if not found.converged:
        return found
    at = nodal.across(circuit, list(start))
    if _alone(circuit, siemens, at, found):
        return found
    volts = list(start)
    for _ in range(MOST_TURNS):
        held = replace(
            circuit,
            elements=tuple(
                _as_held(element, v) for element, v in zip(circuit.elements, at, strict=True)
            ),
        )
        above = nodal.solve(held, siemens, volts)
        if not above.converged:
            return found
        pairs = zip(above.element_v, found.element_v, strict=True)
        if all(high - low < NEAR_V for high, low in pairs):
            return found
        settled = all(abs(a - b) < NEAR_V / 10 for a, b in zip(at, above.element_v, strict=True))
        at, volts = above.element_v, above.volts
        if settled:
            better = nodal.solve(circuit, siemens, volts, near=True)
            higher = better.converged and sum(better.element_v) > sum(found.element_v)
            return better if higher else found
    return found


def _alone(
    circuit: nodal.Circuit,
    siemens: Sequence[float],
    highest_v: Sequence[float],
    found: nodal.Solution,
) -> bool:
    """Whether it is sure, at the cost of one elimination, that no state lies above the one found.

    Between two states with element voltages ``v`` and ``v + d``, the sum of s d^2 over branches and
    elements is zero, where s is a conductance or what an element's current rises by for each volt.
    Taken with the least that each may rise by up to ``highest_v`` [V], a sum that is positive for
    all d leaves no room for a second state.
    """
    diagonal, off = nodal.linear_part(circuit, siemens)
    rows = zip(circuit.elements, highest_v, found.element_v, found.element_a, strict=True)
    for element, high, v, amperes in rows:
        high_a, slope = element.law(high)
        if slope < 0:  # constant power: its current falls the faster, the lower the voltage
            least = (slope - nodal.BLEED_SIEMENS) * (high / v) ** 2 if v > 0 else -inf
        elif element.knees or high <= v:
            least = 0.0
        else:  # it bends downwards at most: no chord from here is flatter than the longest
            least = (high_a - amperes) / (high - v)
        p, n = element.positive, element.negative
        diagonal[p] += least
        diagonal[n] += least
        off[elimination.slot_of(circuit.plan, p, n)] -= least
    elimination.factor(circuit.plan, diagonal, off)
    return all(pivot > nodal.LOOSE_SIEMENS for pivot in diagonal[: circuit.plan.nodes])


def _as_held(element: nodal.Element, volts: float) -> nodal.Element:
    """A load of constant power that draws what it does at a voltage [V]; others as they are."""
    amperes, slope = element.law(volts)
    if slope >= 0:
        return element
    return nodal.Element(element.name, element.positive, element.negative, _held(amperes))


def _held(amperes: float) -> nodal.Law:
    """A load that draws a current whatever its voltage."""

    def law(v: float) -> tuple[float, float]:
        return amperes, nodal.BLEED_SIEMENS

    return law
