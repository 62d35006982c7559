"""The combinations worth keeping on a tree of runs, as lists of whole numbers.

A front lists, for a set of amplifiers, every combination of sizes that no other beats both in the
drop that it leaves room for and in cost. One number stands for a combination: its room in steps
above, what is left of the greatest cost below, so that a size is added by one subtraction, and the
better of two is the larger. What was chosen is read back from the fronts at the end.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

BITS = 48
"""Room for costs: 2.8e14 milligrams or cents."""

LEFT = (1 << BITS) - 1
"""What is left of the greatest cost where nothing has been chosen yet."""

NO_CAP = 10**9
"""Rank above every size: nothing ahead limits how thick a run may be."""

AmplifierSet = frozenset[str]


class Option(NamedTuple):
    """One size that a run may have: its drop in steps and its cost in milligrams (or cents).

    ``rank`` orders the sizes of runs that feed one another: a run is never thicker than one it
    is fed through. Zero leaves a size out of that comparison. A plain tuple, because hundreds are
    made and compared at a key.
    """

    gauge: str
    drop: int
    cost: int
    rank: int = 0


class Fronts:
    """The nested sets with the runs ahead of each, and the fronts worked out so far."""

    def __init__(
        self,
        options: Mapping[str, Sequence[Option]],
        paths: Mapping[str, Sequence[str]],
        budget: Mapping[str, int],
        groups: Mapping[AmplifierSet, Sequence[str]],
        nested: Mapping[AmplifierSet, Sequence[AmplifierSet]],
    ) -> None:
        """``groups``: set -> runs on the paths of exactly these; ``nested``: set -> sets inside."""
        self.options = options
        self._paths, self._budget = paths, budget
        far = {run: at for path in paths.values() for at, run in enumerate(path)}

        def outwards(run: str) -> tuple[bool, int]:
            return not options[run][0].rank, -far[run]

        # Runs that feed come first, from the battery outwards (paths start at the amplifier), so
        # that their size caps what is behind them.
        self.runs = {
            each: runs if len(runs) < 2 else sorted(runs, key=outwards)
            for each, runs in groups.items()
        }
        self.nested = nested
        self._ranks: dict[str, list[int]] = {}
        self._twigs: dict[AmplifierSet, list[tuple[int, int]]] = {}
        self._known: dict[tuple[AmplifierSet, int, int], list[int]] = {}

    def is_twig(self, each: AmplifierSet) -> bool:
        """Whether a set has one run and nothing behind it; most sets are such."""
        return len(self.runs[each]) == 1 and not self.nested[each]

    def room(self, each: AmplifierSet) -> int:
        """The least budget of a set's amplifiers."""
        return min(self._budget[a] for a in each)

    def cheapest(self, top: AmplifierSet, index: dict[str, int]) -> bool:
        """Write run -> index of its size for an outermost set; whether anything passes."""
        front = self.front(top, NO_CAP, 0)
        if not front or front[0] < 0:
            return False
        self.read(top, NO_CAP, front[last(front, 0)], index)
        return True

    @cached_property
    def _ahead(self) -> dict[AmplifierSet, list[int]]:
        """Set -> the least drop ahead of it, and with each of its own runs ahead too."""
        found: dict[AmplifierSet, list[int]] = {}
        waiting = [(top, 0) for top in self.nested[frozenset()]]
        while waiting:
            each, drop = waiting.pop()
            found[each] = [drop]
            for run in self.runs[each]:
                drop += min(option.drop for option in self.options[run])
                found[each].append(drop)
            waiting += [(child, drop) for child in self.nested[each]]
        return found

    def _twig(self, each: AmplifierSet) -> list[tuple[int, int]]:
        """The combinations of a twig, with their ranks.

        Its front under any cap is what is left of this one list.
        """
        found = self._twigs.get(each)
        if found is None:
            start = (self.room(each) << BITS) + LEFT
            least = self._ahead[each][0] << BITS
            keys = [
                (start - (option.drop << BITS) - option.cost, option.rank)
                for option in self.options[self.runs[each][0]]
            ]
            found = sorted((pair for pair in keys if pair[0] >= least), reverse=True)
            self._twigs[each] = found
        return found

    def _ranks_of(self, run: str) -> list[int]:
        """The ranks of a run's options, rising; none where it is not compared."""
        found = self._ranks.get(run)
        if found is None:
            options = self.options[run]
            ranked = {option.rank for option in options if option.rank}
            found = self._ranks[run] = sorted(ranked) if options[0].rank else []
        return found

    def front(self, each: AmplifierSet, cap: int, at: int) -> list[int]:
        """The combinations worth keeping for a set, most room first.

        ``cap`` is the rank of the thinnest run ahead, ``at`` how many of the set's own runs are
        already ahead too.
        """
        known = self._known.get((each, cap, at))
        if known is None:
            known = self._known[each, cap, at] = self._worked_out(each, cap, at)
        return known

    def _worked_out(self, each: AmplifierSet, cap: int, at: int) -> list[int]:
        if at == 0 and self.is_twig(each):
            return _kept([key for key, rank in self._twig(each) if rank <= cap])
        runs = self.runs[each]
        if at == len(runs):
            inner = [self.front(child, cap, 0) for child in self.nested[each]]
            if inner:
                return inner[0] if len(inner) == 1 else _beside(inner)
            return [(self.room(each) << BITS) + LEFT]
        options = self.options[runs[at]]
        cap, less = _under(self._ranks_of(runs[at]), cap)
        if less is None:  # what a size allows behind it is the same under every cap above it
            return self.front(each, cap, at)
        found = list(self.front(each, less, at)) if less else []
        ahead = self._ahead[each][at]
        for option in options:
            if option.rank not in (0, cap):
                continue
            behind = self.front(each, option.rank or cap, at + 1)
            less_by = (option.drop << BITS) + option.cost
            enough = last(behind, ahead + option.drop) + 1
            found += [key - less_by for key in behind[:enough]]
        return _kept(found)

    def _read_twig(self, each: AmplifierSet, cap: int, key: int) -> int:
        """Index of the option of a twig's run that a combination is, the thinnest of any alike."""
        start = (self.room(each) << BITS) + LEFT
        options = enumerate(self.options[self.runs[each][0]])
        return min(
            (option.rank, i)
            for i, option in options
            if option.rank <= cap and start - (option.drop << BITS) - option.cost == key
        )[1]

    def read(self, each: AmplifierSet, cap: int, key: int, index: dict[str, int]) -> None:
        """Find the sizes that a combination of a set's front was put together from."""
        waiting = [(each, cap, 0, key)]
        while waiting:
            each, cap, at, key = waiting.pop()
            runs = self.runs[each]
            if at == len(runs):
                for child in self.nested[each]:
                    front = self.front(child, cap, 0)
                    waiting.append((child, cap, 0, front[last(front, key >> BITS)]))
                continue
            options = self.options[runs[at]]
            if at == 0 and self.is_twig(each):
                index[runs[0]] = self._read_twig(each, cap, key)
                continue
            cap, less = _under(self._ranks_of(runs[at]), cap)
            if less is None or (less and _has(self.front(each, less, at), key)):
                waiting.append((each, cap if less is None else less, at, key))
                continue
            for i, option in enumerate(options):
                if option.rank not in (0, cap):
                    continue
                behind = key + (option.drop << BITS) + option.cost
                if _has(self.front(each, option.rank or cap, at + 1), behind):
                    index[runs[at]] = i
                    waiting.append((each, option.rank or cap, at + 1, behind))
                    break


def _under(ranks: Sequence[int], cap: int) -> tuple[int, int | None]:
    """The cap that matters to a run with options of these ranks, and the next one below that does.

    ``ranks`` rise; there are none where the run is not compared. ``None`` where the run's thickest
    size lies below the cap: the front is that of a lower cap; zero where no thinner size is ranked.
    """
    fitting = bisect_right(ranks, cap)
    if not fitting:
        return cap, 0
    highest = ranks[fitting - 1]
    if highest < cap:
        return highest, None
    return cap, cap - 1 if fitting > 1 else 0


def last(front: list[int], room: int) -> int:
    """Index of the last, so the cheapest, combination with at least this room; -1 if none."""
    return bisect_right(front, -(room << BITS), key=int.__neg__) - 1


def _has(front: list[int], key: int) -> bool:
    at = bisect_left(front, -key, key=int.__neg__)
    return at < len(front) and front[at] == key


def _beside(fronts: list[list[int]]) -> list[int]:
    """Several sets fed from the same point: for each room, the cheapest of each that has it."""
    if not all(fronts):
        return []
    room = min(front[0] >> BITS for front in fronts)
    left = LEFT
    steps = []
    for front in fronts:
        first = last(front, room)
        before = front[first] & LEFT
        left -= LEFT - before
        for key in front[first + 1 :]:
            here = key & LEFT
            steps.append(key - before)  # room above, and by how much it is cheaper below
            before = here
    steps.sort(reverse=True)
    found = [(room << BITS) + left]
    for step in steps:
        room_here, cheaper = step >> BITS, step & LEFT
        left += cheaper
        if room_here == room:
            found[-1] += cheaper
        else:
            room = room_here
            found.append((room << BITS) + left)
    return found


def _kept(keys: list[int]) -> list[int]:
    """Only the combinations that no other beats in both room and cost; most room first."""
    keys.sort(reverse=True)
    kept = []
    most = -1
    for key in keys:
        left = key & LEFT
        if left > most:
            kept.append(key)
            most = left
    return kept
