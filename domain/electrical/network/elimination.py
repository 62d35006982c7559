"""Solving the nodal equations: symmetric elimination along the wiring itself.

A wiring network is a tree or nearly one, so that eliminating its nodes from the twigs inwards
fills in next to nothing and the work grows with the number of runs. The order and the fill
depend on the wiring alone and are kept from one solve to the next.
"""

from dataclasses import dataclass
from functools import lru_cache
from heapq import heapify, heappop, heappush

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class EliminationPlan:
    """How to eliminate: ``slot`` numbers the node pairs that are or become connected.

    Each step is (node, ((slot, neighbour), ...), ((slot, slot, slot to change), ...)).
    """

    nodes: int
    slot: dict[Pair, int]
    steps: tuple[tuple[int, tuple[Pair, ...], tuple[tuple[int, int, int], ...]], ...]


@lru_cache(maxsize=64)
def plan(nodes: int, pairs: frozenset[Pair]) -> EliminationPlan:
    """The elimination plan for these connected node pairs (low, high); least degree first."""
    slot = {pair: index for index, pair in enumerate(sorted(pairs))}
    near: list[set[int]] = [set() for _ in range(nodes)]
    for a, b in pairs:
        near[a].add(b)
        near[b].add(a)
    waiting = [(len(around), node) for node, around in enumerate(near)]
    heapify(waiting)
    left = set(range(nodes))
    steps = []
    while left:
        degree, node = heappop(waiting)
        if node not in left or degree != len(near[node]):
            continue  # it stands further back with its degree of today
        left.remove(node)
        around = sorted(near[node])
        updates = []
        for i, p in enumerate(around):
            near[p].discard(node)
            for q in around[i + 1 :]:
                near[p].add(q)
                near[q].add(p)
                target = slot.setdefault((p, q), len(slot))
                updates.append((slot[_pair(node, p)], slot[_pair(node, q)], target))
        for p in around:
            heappush(waiting, (len(near[p]), p))
        steps.append((node, tuple((slot[_pair(node, p)], p) for p in around), tuple(updates)))
    return EliminationPlan(nodes, slot, tuple(steps))


def _pair(a: int, b: int) -> Pair:
    return (a, b) if a < b else (b, a)


def solve(
    plan: EliminationPlan, diagonal: list[float], off: list[float], right: list[float]
) -> list[float]:
    """Solve the symmetric system; the three lists are used up.

    ``off`` has one value per slot of the plan.
    """
    for node, around, updates in plan.steps:
        pivot = diagonal[node] or 1e-12
        diagonal[node] = pivot
        share = right[node] / pivot
        for slot, other in around:
            value = off[slot]
            diagonal[other] -= value * value / pivot
            right[other] -= value * share
        for first, second, target in updates:
            off[target] -= off[first] * off[second] / pivot
    return _backwards(plan, diagonal, off, right)


def factor(plan: EliminationPlan, diagonal: list[float], off: list[float]) -> None:
    """Eliminate in place; afterwards ``substitute`` takes any number of right-hand sides.

    A pivot of exactly zero (a network on the very edge of collapse) is nudged, the caller's
    iteration takes care of the rest.
    """
    for node, around, updates in plan.steps:
        pivot = diagonal[node] or 1e-12
        diagonal[node] = pivot
        for slot, other in around:
            value = off[slot]
            diagonal[other] -= value * value / pivot
        for first, second, target in updates:
            off[target] -= off[first] * off[second] / pivot


def substitute(
    plan: EliminationPlan, diagonal: list[float], off: list[float], right: list[float]
) -> list[float]:
    """Solve for one right-hand side, in place, with what ``factor`` left."""
    for node, around, _ in plan.steps:
        share = right[node] / diagonal[node]
        for slot, other in around:
            right[other] -= off[slot] * share
    return _backwards(plan, diagonal, off, right)


def _backwards(
    plan: EliminationPlan, diagonal: list[float], off: list[float], right: list[float]
) -> list[float]:
    for node, around, _ in reversed(plan.steps):
        value = right[node]
        for slot, other in around:
            value -= off[slot] * right[other]
        right[node] = value / diagonal[node]
    return right
