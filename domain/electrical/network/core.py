"""A network without the loads at the ends of their wires.

A load with a wire on either side that serves nothing else hangs between two nodes of the core, as
do nearly all. One after the other conduct with 1/g = 1/g1 + 1/g2, and behind that the tangent
I = s v + r of the load at its voltage v takes G V + J at the voltage V between those two nodes:
v = V - I / g gives G = s g / (g + s) and J = r g / (g + s). Only the nodes of the core are solved
for; what is at the loads follows from them.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from msgspec import Struct

from domain.electrical.network import elimination

Tangent = tuple[float, float]
"""Current [A] and slope [S] of an element at a voltage."""

Joint = tuple[int, int]
"""Two nodes, the positive one first; the reference is -1."""


class Core(Struct, frozen=True):
    """What of a circuit is solved for, and what hangs between two nodes of it.

    ``nodes`` are those that stay, by their number in the circuit, with the reference last: their
    places here number them in all that follows. ``laid`` are the conductances between them as
    (node, node, slot, place in the circuit), ``joined`` the elements as (node, node, slot),
    ``hanging`` those that hang as (node, node, slot), ``wires`` the places of the conductances on
    either side of each.
    ``order`` gives the elements, those joined before those that hang, by their place in the
    circuit, ``places`` the other way round, and ``ends`` the nodes of the circuit that each is
    between, in that order.
    """

    plan: elimination.EliminationPlan
    nodes: tuple[int, ...]
    tied: tuple[int, ...]
    laid: tuple[tuple[int, int, int, int], ...]
    joined: tuple[tuple[int, int, int], ...]
    hanging: tuple[tuple[int, int, int], ...]
    wires: tuple[Joint, ...]
    order: tuple[int, ...]
    places: tuple[int, ...]
    ends: tuple[Joint, ...]


@lru_cache(maxsize=64)
def core(
    count: int,
    laid: tuple[tuple[int, int, int], ...],
    tied: tuple[int, ...],
    elements: tuple[Joint, ...],
) -> Core:
    """The core of a circuit of so many nodes, with these conductances and elements between them."""
    hung = _hung(count, laid, tied, elements)
    gone = {node for at in hung for node in elements[at]}
    nodes = (*(node for node in range(count) if node not in gone), -1)
    number = {node: at for at, node in enumerate(nodes)}
    stay = [at for at in range(len(elements)) if at not in hung]
    branches = [
        (number[a], number[b], at)
        for at, (a, b, _) in enumerate(laid)
        if a not in gone and b not in gone
    ]
    joints = [(number[elements[at][0]], number[elements[at][1]]) for at in stay]
    hanging = [(number[p], number[n]) for p, n, _, _ in hung.values()]
    last = len(nodes) - 1
    linked = [(a, b) for a, b, *_ in (*branches, *joints, *hanging)]
    pairs = {(min(a, b), max(a, b)) for a, b in linked if a != b and last not in (a, b)}
    plan = elimination.plan(last, frozenset(pairs))
    order = (*stay, *hung)
    places = {at: place for place, at in enumerate(order)}
    return Core(
        plan=plan,
        nodes=nodes,
        tied=tuple(number[node] for node in tied),
        laid=tuple((a, b, elimination.slot_of(plan, a, b), at) for a, b, at in branches),
        joined=tuple((p, n, elimination.slot_of(plan, p, n)) for p, n in joints),
        hanging=tuple((p, n, elimination.slot_of(plan, p, n)) for p, n in hanging),
        wires=tuple((there, back) for _, _, there, back in hung.values()),
        order=order,
        places=tuple(places[at] for at in range(len(elements))),
        ends=tuple(elements[at] for at in order),
    )


def _hung(
    count: int,
    laid: tuple[tuple[int, int, int], ...],
    tied: tuple[int, ...],
    elements: tuple[Joint, ...],
) -> dict[int, tuple[int, int, int, int]]:
    """Element -> (node, node, conductance, conductance) for those that hang.

    The nodes and the conductances that it hangs on, its positive side first.
    """
    around: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    for at, (a, b, _) in enumerate(laid):
        for node, other in ((a, b), (b, a)):
            if node >= 0:
                around[node].append((other, at))
    busy = set(tied)
    used: set[int] = set()
    for joint in elements:
        busy.update(node for node in joint if node in used)
        used.update(joint)
    found: dict[int, tuple[int, int, int, int]] = {}
    held: set[int] = set()
    for at, (p, n) in enumerate(elements):
        free = all(
            node >= 0 and node not in busy and node not in held and len(around[node]) == 1
            for node in (p, n)
        )
        if not free or p == n:
            continue
        (one, there), (two, back) = around[p][0], around[n][0]
        if there != back and one != two and not {one, two} & {p, n}:
            found[at] = one, two, there, back
            held.update(node for node in (one, two) if node >= 0)
    return {at: hangs for at, hangs in found.items() if not held.intersection(elements[at])}


class Reduced(Struct, frozen=True):
    """A core with its conductances [S]; ``series`` are those of what hangs, both sides in one."""

    core: Core
    diagonal: list[float]
    off: list[float]
    series: list[float]
    sides: list[tuple[float, float]]

    @classmethod
    def of(cls, core: Core, siemens: Sequence[float]) -> "Reduced":
        """With the conductances of the circuit."""
        diagonal, off = [0.0] * len(core.nodes), [0.0] * core.plan.slots
        for node in core.tied:
            diagonal[node] += 1.0
        for a, b, slot, at in core.laid:
            g = siemens[at]
            diagonal[a] += g
            diagonal[b] += g
            off[slot] -= g
        sides = [(siemens[there], siemens[back]) for there, back in core.wires]
        return cls(core, diagonal, off, [g * h / (g + h) for g, h in sides], sides)

    def step(self, at: list[float], tangents: list[Tangent]) -> "Step":
        """Every element replaced by its tangent at the voltage ``at`` [V]."""
        core = self.core
        diagonal, off = self.diagonal.copy(), self.off.copy()
        right = [0.0] * len(diagonal)
        each = zip(at, tangents, strict=True)
        for (p, n, slot), (v, (current, slope)) in zip(core.joined, each, strict=False):
            rest = current - slope * v
            diagonal[p] += slope
            diagonal[n] += slope
            right[p] -= rest
            right[n] += rest
            off[slot] -= slope
        taken = []
        for (p, n, slot), g, (v, (current, slope)) in zip(
            core.hanging, self.series, each, strict=True
        ):
            share = g / ((g + slope) or 1e-12)
            conducts, passed = slope * share, (current - slope * v) * share
            diagonal[p] += conducts
            diagonal[n] += conducts
            right[p] -= passed
            right[n] += passed
            off[slot] -= conducts
            taken.append((conducts, passed))
        elimination.solve(core.plan, diagonal, off, right)
        right[-1] = 0.0
        across = [right[p] - right[n] for p, n, _ in core.joined]
        for (p, n, _), g, (conducts, passed) in zip(core.hanging, self.series, taken, strict=True):
            volts = right[p] - right[n]
            across.append(volts - (conducts * volts + passed) / g)
        return Step(right, across)

    def all_volts(self, step: "Step") -> list[float]:
        """Voltages of all nodes of the circuit and the reference after a step [V]."""
        core, volts = self.core, step.volts
        full = [0.0] * (len(core.nodes) + 2 * len(core.hanging))
        for node, v in zip(core.nodes, volts, strict=True):
            full[node] = v
        stay = len(core.joined)
        for (p, n, _), (there, back), (a, b), v in zip(
            core.hanging, self.sides, core.ends[stay:], step.across[stay:], strict=True
        ):
            from_v, to_v = volts[p], volts[n]
            lost = (from_v - to_v - v) / (there + back)  # each side loses as the other conducts
            full[a], full[b] = from_v - lost * back, to_v + lost * there
        return full


class Step(NamedTuple):
    """Voltages of a core's nodes and across every element [V]."""

    volts: list[float]
    across: list[float]
