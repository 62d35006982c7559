"""The most that can flow from sources to sinks through edges that pass so much and no more.

Shortest augmenting paths (Edmonds and Karp, J. ACM 19, 1972). Networks here have tens of nodes.
"""

from collections import deque
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from math import inf
from typing import Generic, TypeVar

Node = TypeVar("Node", bound=Hashable)

LEAST_A = 1e-9
"""A rest of capacity below this is rounding [A]."""


@dataclass(frozen=True, slots=True)
class Flow(Generic[Node]):
    """The greatest flow [A], and the nodes on the sources' side of the narrowest cut."""

    amperes: float
    inside: frozenset[Node]


class FlowNetwork(Generic[Node]):
    """Edges with capacities; the same network answers for many sources and sinks."""

    def __init__(self, edges: Iterable[tuple[Node, Node, float, float]]) -> None:
        """Edges as (node, node, capacity there, capacity back) [A]."""
        self._to: list[Node] = []
        self._capacity: list[float] = []
        self._at: dict[Node, list[int]] = {}
        for a, b, there, back in edges:
            self._add(a, b, there, back)

    def _add(self, a: Node, b: Node, there: float, back: float) -> None:
        number = len(self._to)
        self._to += [b, a]
        self._capacity += [there, back]
        self._at.setdefault(a, []).append(number)
        self._at.setdefault(b, []).append(number + 1)

    def greatest(
        self,
        sources: Mapping[Node, float],
        sinks: Mapping[Node, float],
        without: int | None = None,
    ) -> Flow[Node]:
        """The greatest flow from all sources, each up to its limit [A], to all sinks up to theirs.

        ``without`` is the number of an edge, in the order given, that is taken out. Infinite where
        an unlimited source reaches an unlimited sink without any limit on the way.
        """
        rest = self._capacity.copy()
        if without is not None:
            rest[2 * without] = rest[2 * without + 1] = 0.0
        given = {node: limit for node, limit in sources.items() if limit > LEAST_A}
        wanted = {node: limit for node, limit in sinks.items() if limit > LEAST_A}
        total = 0.0
        while True:
            came: dict[Node, int] = dict.fromkeys(given, -1)
            queue = deque(given)
            end: Node | None = None
            while queue:
                node = queue.popleft()
                if node in wanted:
                    end = node
                    break
                for number in self._at.get(node, ()):
                    if rest[number] > LEAST_A and self._to[number] not in came:
                        came[self._to[number]] = number
                        queue.append(self._to[number])
            if end is None:
                return Flow(total, frozenset(came))
            way: list[int] = []
            node = end
            while came[node] >= 0:
                way.append(came[node])
                node = self._to[came[node] ^ 1]
            push = min(given[node], wanted[end], *(rest[n] for n in way), inf)
            if push == inf:
                return Flow(inf, frozenset(came))
            total += push
            for number in way:
                rest[number] -= push
                rest[number ^ 1] += push
            for limits, at in ((given, node), (wanted, end)):
                limits[at] -= push
                if limits[at] <= LEAST_A:
                    del limits[at]
