"""How current that comes back to its sources is shared by ground ways side by side."""

from collections.abc import Callable, Mapping
from functools import cached_property

from domain.electrical.network import dense
from domain.electrical.network.wiring import STAR
from domain.electrical.protection.cut_network import Segment, Side
from domain.electrical.protection.overload import PositiveFlows

LOOSE_SIEMENS = 1e-9
"""Ties a part of the ground that nothing else ties [S]."""

LEAST_OHM = 1e-7
"""A way of less is taken as one of this [ohm]."""

OrderedShares = list[tuple[float, frozenset[str]]]
"""Shares of sources, the greatest first; each with its source and all those before it, by id."""


class GroundShares:
    """The shares of one ground side, by the resistances of its ways."""

    def __init__(self, side: Side, ohm: Callable[[], Mapping[str, float]]) -> None:
        """``ohm`` gives resistances by edge [ohm]; it is asked for the first share."""
        self._side, self._ohm_of = side, ohm
        self._index = {node: n for n, node in enumerate(sorted(side.core - {STAR}))}

    def share(self, segment: Segment, enters: str, leaves: str) -> float:
        """Share of a current between two ground nodes that runs through a segment."""
        a = self._transfer(segment.a, enters) - self._transfer(segment.a, leaves)
        b = self._transfer(segment.b, enters) - self._transfer(segment.b, leaves)
        return (a - b) / self._ohm(segment.id)

    @cached_property
    def _resistances(self) -> Mapping[str, float]:
        return self._ohm_of()

    def _ohm(self, id: str) -> float:
        return max(self._resistances.get(id, 1e-3), LEAST_OHM)

    @cached_property
    def _inverse(self) -> dense.Matrix:
        branches = [(edge.a, edge.b, 1 / self._ohm(edge.id)) for edge in self._side.edges]
        return dense.inverse(dense.conductance_matrix(self._index, branches, LOOSE_SIEMENS))

    def _transfer(self, node: str, at: str) -> float:
        i, j = self._index.get(node, -1), self._index.get(at, -1)
        return self._inverse[i][j] if i >= 0 and j >= 0 else 0.0


def by_share(shares: list[tuple[float, str]]) -> list[OrderedShares]:
    """Of sources whose current comes back one way, and of those with which it comes the other."""
    found = []
    for way in (1.0, -1.0):
        sources: frozenset[str] = frozenset()
        ordered: OrderedShares = []
        for share, source in sorted(((way * s, id) for s, id in shares), reverse=True):
            if share <= 0:
                break
            sources |= {source}
            ordered.append((share, sources))
        found.append(ordered)
    return found


def most_back(
    flows: PositiveFlows,
    shares: list[OrderedShares],
    into: Mapping[str, float],
    fault: str = "",
) -> float:
    """The most of what flows into some places that comes back one way through a segment [A].

    ``into`` is what each takes at most, ``fault`` a node that takes all, ``shares`` are what of
    each source's current comes back there, one way and the other. No source gets back more than it
    gives: those with the greatest shares give all that they can, the next what is then left to
    give. That is the most there is, as the greatest flow grows the less with a further source the
    more there are (it is submodular; Edmonds, 1970).
    """
    most = 0.0
    for way in shares:
        before = total = 0.0
        for share, sources in way:
            now = flows.from_sources(sources, into, fault)
            total += share * (now - before)
            before = now
        most = max(most, total)
    return most
