"""The most that can flow from sources to sinks through edges that pass so much and no more.

Shortest augmenting paths (Edmonds and Karp, J. ACM 19, 1972). Networks here have tens of nodes.
"""

from collections import deque
from collections.abc import Hashable, Iterable, Mapping
from math import inf
from typing import Generic, TypeVar

from msgspec import Struct, field

Node = TypeVar("Node", bound=Hashable)

LEAST_A = 1e-9
"""A rest of capacity below this is rounding [A]."""


class Flow(Struct, Generic[Node], frozen=True):
    """The greatest flow [A], and the nodes on the sources' side of the narrowest cut."""

    amperes: float
    inside: frozenset[Node]


class _Joined(Struct, Generic[Node]):
    """A network of which nodes that nothing limits between them are one; edges side by side too.

    Edge ``n`` goes to ``to[n]`` and passes ``capacity[n]``; the same edge back is ``n ^ 1``.
    """

    of: dict[Node, Node]
    """Every node's place in it."""
    members: dict[Node, list[Node]]
    to: list[Node] = field(default_factory=list)
    capacity: list[float] = field(default_factory=list)
    at: dict[Node, list[int]] = field(default_factory=dict)

    @classmethod
    def made(cls, edges: Iterable[tuple[Node, Node, float, float]]) -> "_Joined[Node]":
        """Edges as (node, node, capacity there, capacity back) [A]."""
        of: dict[Node, Node] = {}
        members: dict[Node, list[Node]] = {}
        limited = []
        for edge in edges:
            a, b, there, back = edge
            for node in (a, b):
                if node not in of:
                    of[node], members[node] = node, [node]
            if not there == back == inf:
                limited.append(edge)
            elif of[a] != of[b]:
                more, fewer = sorted((of[a], of[b]), key=lambda n: len(members[n]), reverse=True)
                for node in members[fewer]:
                    of[node] = more
                members[more] += members.pop(fewer)
        found = cls(of, members)
        known: dict[tuple[Node, Node], int] = {}
        for a, b, there, back in limited:
            ends = of[a], of[b]
            if ends[0] != ends[1]:
                found._add(*ends, there, back, known)
        return found

    def _add(
        self, a: Node, b: Node, there: float, back: float, known: dict[tuple[Node, Node], int]
    ) -> None:
        number = known.get((a, b))
        if number is None:
            number = known[a, b] = len(self.to)
            known[b, a] = number + 1
            self.to += [b, a]
            self.capacity += [0.0, 0.0]
            self.at.setdefault(a, []).append(number)
            self.at.setdefault(b, []).append(number + 1)
        self.capacity[number] += there
        self.capacity[number ^ 1] += back

    def limits(self, amperes: Mapping[Node, float]) -> dict[Node, float]:
        """What nodes give or take [A], at their places."""
        found: dict[Node, float] = {}
        for node, limit in amperes.items():
            if limit > LEAST_A:
                place = self.of.get(node, node)
                found[place] = found.get(place, 0.0) + limit
        return found

    def nodes(self, places: Iterable[Node]) -> frozenset[Node]:
        """The nodes at these places."""
        return frozenset(n for place in places for n in self.members.get(place, (place,)))


class FlowNetwork(Generic[Node]):
    """Edges with capacities; the same network answers for many sources and sinks.

    Wire that passes without limit is most of a network: what it joins is one place for a flow.
    """

    def __init__(self, edges: Iterable[tuple[Node, Node, float, float]]) -> None:
        """Edges as (node, node, capacity there, capacity back) [A]."""
        self._edges = list(edges)
        self._joined: dict[int | None, _Joined[Node]] = {}

    def _without(self, number: int | None) -> _Joined[Node]:
        found = self._joined.get(number)
        if found is None:
            left = (edge for at, edge in enumerate(self._edges) if at != number)
            found = self._joined[number] = _Joined.made(left)
        return found

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
        joined = self._without(without)
        given, wanted = joined.limits(sources), joined.limits(sinks)
        amperes, reached = _augmented(joined, joined.capacity.copy(), given, wanted)
        return Flow(amperes, joined.nodes(reached))

    def routed(self, sources: Mapping[Node, float], sinks: Mapping[Node, float]) -> "Routed[Node]":
        """The greatest flow between them, that more can be added to."""
        joined = self._without(None)
        given, rest = joined.limits(sources), joined.capacity.copy()
        amperes, _ = _augmented(joined, rest, given, joined.limits(sinks))
        return Routed(joined, rest, given, amperes)


class Routed(Generic[Node]):
    """A greatest flow, and what sources can send beside it.

    A further sink takes nothing from those that are served: the paths that serve them stay or are
    led another way (Ford and Fulkerson, Can. J. Math. 8, 1956).
    """

    def __init__(
        self,
        joined: _Joined[Node],
        rest: list[float],
        given: dict[Node, float],
        amperes: float,
    ) -> None:
        """``rest`` is what edges pass yet, ``given`` what sources give yet [A]."""
        self._joined, self._rest, self._given, self.amperes = joined, rest, given, amperes
        self._beside: dict[Node, float] = {}

    def beside(self, node: Node) -> float:
        """The most that flows beside it into a node that takes all [A]."""
        place = self._joined.of.get(node, node)
        found = self._beside.get(place)
        if found is None:
            rest, given = self._rest.copy(), self._given.copy()
            found = self._beside[place] = _augmented(self._joined, rest, given, {place: inf})[0]
        return found


def _augmented(
    joined: _Joined[Node], rest: list[float], given: dict[Node, float], wanted: dict[Node, float]
) -> tuple[float, dict[Node, int]]:
    """Flow until no way is left, and the places that sources reach yet.

    What edges pass yet, what sources give and what sinks want are changed by it.
    """
    to, at = joined.to, joined.at
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
            for number in at.get(node, ()):
                if rest[number] > LEAST_A and to[number] not in came:
                    came[to[number]] = number
                    queue.append(to[number])
        if end is None:
            return total, came
        way: list[int] = []
        node = end
        while came[node] >= 0:
            way.append(came[node])
            node = to[came[node] ^ 1]
        push = min(given[node], wanted[end], *(rest[n] for n in way), inf)
        if push == inf:
            return inf, came
        total += push
        for number in way:
            rest[number] -= push
            rest[number ^ 1] += push
        for limits, place in ((given, node), (wanted, end)):
            limits[place] -= push
            if limits[place] <= LEAST_A:
                del limits[place]
