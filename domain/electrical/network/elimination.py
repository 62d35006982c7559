"""Solving the nodal equations: symmetric elimination along the wiring itself.

A wiring network is a tree or nearly one, so that eliminating its nodes from the twigs inwards
fills in next to nothing and the work grows with the number of runs. The order and the fill
depend on the wiring alone and are kept from one solve to the next.
"""

from functools import cached_property, lru_cache
from heapq import heapify, heappop, heappush

from msgspec import Struct

Pair = tuple[int, int]


class EliminationPlan(Struct, frozen=True, dict=True):
    """How to eliminate: ``slot`` numbers the node pairs that are or become connected.

    Nodes with no more than two neighbours come first, as nearly all of a wiring do: each of
    ``light`` is (node, slot, neighbour, slot, neighbour, slot of the two), and a neighbour that it
    lacks is the node itself by the spare slot, which holds zero. Each of ``steps`` after them is
    (node, ((slot, neighbour), ...), ((slot, slot, slot to change), ...)). ``slots`` is how many
    values a matrix has off its diagonal: those of the pairs, the spare one, and at the end one
    that nothing reads, for what joins a node to the reference. ``above`` gives each node its (slot,
    neighbour) among those eliminated after it, ``place`` when it is.
    """

    nodes: int
    slot: dict[Pair, int]
    slots: int
    light: tuple[tuple[int, int, int, int, int, int], ...]
    steps: tuple[tuple[int, tuple[Pair, ...], tuple[tuple[int, int, int], ...]], ...]
    above: tuple[tuple[Pair, ...], ...]
    place: tuple[int, ...]

    @cached_property
    def _climbed(self) -> dict[int, tuple[int, ...]]:
        return {}

    def climbed(self, node: int) -> tuple[int, ...]:
        """A node and all above it, in the order of elimination."""
        known = self._climbed.get(node)
        if known is None:
            found, waiting = {node}, [node]
            while waiting:
                for _, other in self.above[waiting.pop()]:
                    if other not in found:
                        found.add(other)
                        waiting.append(other)
            known = self._climbed[node] = tuple(sorted(found, key=self.place.__getitem__))
        return known


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
    first_heavy = next((i for i, (_, around, _) in enumerate(steps) if len(around) > 2), len(steps))
    spare = len(slot)
    light = []
    for node, neighbours, changes in steps[:first_heavy]:
        (one, p), (two, q) = (*neighbours, (spare, node), (spare, node))[:2]
        light.append((node, one, p, two, q, changes[0][2] if changes else spare))
    above, place = {}, {}
    for at, (node, neighbours, _) in enumerate(steps):
        above[node], place[node] = neighbours, at
    return EliminationPlan(
        *(nodes, slot, spare + 2, tuple(light), tuple(steps[first_heavy:])),
        above=tuple(above[node] for node in range(nodes)),
        place=tuple(place[node] for node in range(nodes)),
    )


def _pair(a: int, b: int) -> Pair:
    return (a, b) if a < b else (b, a)


def slot_of(plan: EliminationPlan, a: int, b: int) -> int:
    """The slot of a pair of nodes; the last one, which nothing reads, for a pair that is none."""
    return plan.slot.get((a, b) if a < b else (b, a), -1)


def solve(
    plan: EliminationPlan, diagonal: list[float], off: list[float], right: list[float]
) -> list[float]:
    """Solve the symmetric system; the three lists are used up.

    ``off`` has one value per slot of the plan.
    """
    for node, one, p, two, q, both in plan.light:
        pivot = diagonal[node] or 1e-12
        diagonal[node] = pivot
        share = right[node] / pivot
        to_p, to_q = off[one], off[two]
        diagonal[p] -= to_p * to_p / pivot
        right[p] -= to_p * share
        diagonal[q] -= to_q * to_q / pivot
        right[q] -= to_q * share
        off[both] -= to_p * to_q / pivot
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
    for node, one, p, two, q, both in plan.light:
        pivot = diagonal[node] or 1e-12
        diagonal[node] = pivot
        to_p, to_q = off[one], off[two]
        diagonal[p] -= to_p * to_p / pivot
        diagonal[q] -= to_q * to_q / pivot
        off[both] -= to_p * to_q / pivot
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
    for node, one, p, two, q, _ in plan.light:
        if right[node]:  # most nodes of a unit current have nothing to pass on
            share = right[node] / diagonal[node]
            right[p] -= off[one] * share
            right[q] -= off[two] * share
    for node, around, _ in plan.steps:
        share = right[node] / diagonal[node]
        for slot, other in around:
            right[other] -= off[slot] * share
    return _backwards(plan, diagonal, off, right)


class Column:
    """The solution for one unit at a node, by node, with what ``factor`` left.

    Only what is asked for is worked out: a unit is passed on along the nodes above its own, and a
    node's value follows from those above it. On a tree these are few.
    """

    def __init__(
        self, plan: EliminationPlan, diagonal: list[float], off: list[float], node: int
    ) -> None:
        self._plan, self._diagonal, self._off = plan, diagonal, off
        self._right = right = {node: 1.0}
        above = plan.above
        for each in plan.climbed(node):
            share = right.get(each, 0.0) / diagonal[each]
            for slot, other in above[each]:
                right[other] = right.get(other, 0.0) - off[slot] * share
        self._found: dict[int, float] = {}

    def __getitem__(self, node: int) -> float:
        found = self._found
        if node not in found:
            above, off = self._plan.above, self._off
            for each in reversed(self._plan.climbed(node)):
                if each not in found:  # all above one that is known are known
                    value = self._right.get(each, 0.0)
                    for slot, other in above[each]:
                        value -= off[slot] * found[other]
                    found[each] = value / self._diagonal[each]
        return found[node]


def _backwards(
    plan: EliminationPlan, diagonal: list[float], off: list[float], right: list[float]
) -> list[float]:
    for node, around, _ in reversed(plan.steps):
        value = right[node]
        for slot, other in around:
            value -= off[slot] * right[other]
        right[node] = value / diagonal[node]
    for node, one, p, two, q, _ in reversed(plan.light):
        right[node] = (right[node] - off[one] * right[p] - off[two] * right[q]) / diagonal[node]
    return right
