"""A branch and the ground run of its amplifier chosen together, the ground no thinner.

Which sizes go together, and what they cost, follows from gauges and lengths alone and stands from
one round and key to the next; only the drops are new. Most combinations are never looked at.
"""

from collections.abc import Iterator, Sequence
from functools import cached_property, lru_cache
from operator import itemgetter
from typing import NamedTuple, overload

from domain.electrical import conductors
from domain.electrical.sizing.fronts import Option


class Row(NamedTuple):
    """The sizes that a run may have, thin to thick, with their costs and ranks."""

    gauges: tuple[str, ...]
    costs: tuple[int, ...]
    ranks: tuple[int, ...]


class Together(NamedTuple):
    """What goes together: places of branch and ground, in the branch's order.

    ``by_cost`` are (cost, rank, place among these, of branch, of ground), the cheapest first.
    """

    places: tuple[tuple[int, int], ...]
    by_cost: tuple[tuple[int, int, int, int, int], ...]


class Pairs(Sequence[Option]):
    """The options of a branch with its ground, made when they are looked at."""

    def __init__(
        self, branch: Row, there: Sequence[int], ground: Row, home: Sequence[int], wires: float
    ) -> None:
        """``there`` and ``home`` are the drops of both in each size, in steps.

        ``wires`` is how many the branch has for each of the ground's.
        """
        self._branch, self._ground = branch, ground
        self._there, self._home = there, home
        self._together = _together(branch, ground.gauges, ground.costs, wires)

    def __len__(self) -> int:
        return len(self._together.places)

    @overload
    def __getitem__(self, index: int) -> Option: ...
    @overload
    def __getitem__(self, index: slice) -> list[Option]: ...
    def __getitem__(self, index: int | slice) -> Option | list[Option]:
        return self._options[index] if isinstance(index, slice) else self._option(index)

    def __iter__(self) -> Iterator[Option]:
        return iter(self._options)

    def _option(self, index: int) -> Option:
        i, j = self._together.places[index]
        branch, cost = self._branch, self._branch.costs[i] + self._ground.costs[j]
        return Option(branch.gauges[i], self._there[i] + self._home[j], cost, branch.ranks[i])

    @cached_property
    def _options(self) -> list[Option]:
        return list(map(self._option, range(len(self))))

    def places(self, index: int) -> tuple[int, int]:
        """Which sizes of branch and ground an option stands for."""
        return self._together.places[index]

    @property
    def cheapest(self) -> int:
        """The place of the cheapest, the first of any alike."""
        return self._together.by_cost[0][2]

    @property
    def least_drop(self) -> int:
        """The least drop of all, in steps."""
        there, home = self._there, self._home
        if home[-1] == min(home):  # the thickest ground is no thinner than any branch it is with
            return min(there) + home[-1]
        return min(there[i] + home[j] for i, j in self._together.places)

    def fitting(self, cap: int, most: int) -> tuple[int, int, int] | None:
        """(cost, drop, place) of the cheapest with at most this rank and drop.

        Of like ones that with the least drop, then with the thinnest branch.
        """
        there, home = self._there, self._home
        best: tuple[int, int, int, int] | None = None
        for cost, rank, at, i, j in self._together.by_cost:
            if best and cost > best[0]:
                break
            if rank <= cap:
                drop = there[i] + home[j]
                if drop <= most and (best is None or (drop, rank) < best[1:3]):
                    best = cost, drop, rank, at
        return (best[0], best[1], best[3]) if best else None


@lru_cache(maxsize=2048)
def _together(
    branch: Row, ground: tuple[str, ...], ground_costs: tuple[int, ...], wires: float
) -> Together:
    wide = _wide_enough(branch.gauges, ground, wires)
    places = tuple((i, j) for i, each in enumerate(wide) for j in each)
    each = (
        (branch.costs[i] + ground_costs[j], branch.ranks[i], at, i, j)
        for at, (i, j) in enumerate(places)
    )
    return Together(places, tuple(sorted(each, key=itemgetter(0, 2))))


@lru_cache(maxsize=1024)
def _wide_enough(
    branch: tuple[str, ...], ground: tuple[str, ...], wires: float
) -> tuple[list[int], ...]:
    """For each gauge of a branch the grounds no thinner, by place; else the last.

    ``wires`` is how many the branch has for each of the ground's.
    """
    found = []
    for gauge in branch:
        area = conductors.area_mm2(gauge) * wires * conductors.SAME_SIZE
        wide = [j for j, back in enumerate(ground) if conductors.area_mm2(back) >= area]
        found.append(wide or [len(ground) - 1])
    return tuple(found)
