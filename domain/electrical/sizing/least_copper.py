"""The least copper that keeps every amplifier inside its drop: exact on trees.

Each run has a few sizes to choose from, each with a drop and a cost; each amplifier has a budget
that the drops on its way there and back must not exceed. Where the sets of amplifiers behind
the runs are nested (a tree, positive side and ground return together), the cheapest choice is
found exactly: from the twigs inwards, every set keeps only those combinations that are not both
dearer and hungrier than another, for each thickness that what is ahead of it allows. Elsewhere
a local search improves a passing choice.

Drops are whole steps of ``STEP_V``, rounded up, so that "exact" has one meaning.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, floor
from typing import Any

STEP_V = 1e-3
"""Grid of the drop budget [V]."""


@dataclass(frozen=True, slots=True)
class Option:
    """One size that a run may have: its drop in steps and its cost in milligrams (or cents).

    ``rank`` orders the sizes of runs that feed one another: a run is never thicker than one it
    is fed through. Zero leaves a size out of that comparison.
    """

    gauge: str
    drop: int
    cost: int
    rank: int = 0


@dataclass(frozen=True, slots=True)
class Problem:
    """Runs with their options (thin to thick), and each amplifier's path and budget in steps."""

    options: Mapping[str, Sequence[Option]]
    paths: Mapping[str, Sequence[str]]
    budget: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Choice:
    """The size taken for each run (index into its options).

    ``exact`` is false where a local search had to do. ``over`` are the amplifiers that no
    choice brings inside their budget, with the steps they are over at best.
    """

    index: dict[str, int]
    cost: int
    exact: bool
    over: dict[str, int]


def steps_up(volts: float) -> int:
    """A drop as whole steps, rounded up (a hair of rounding error aside)."""
    return ceil(volts / STEP_V - 1e-9)


def steps_down(volts: float) -> int:
    """A budget as whole steps, rounded down (a hair of rounding error aside)."""
    return floor(volts / STEP_V + 1e-9)


def choose(problem: Problem) -> Choice:
    """The cheapest choice; where nothing passes, the cheapest that is least over."""
    found = _choose(
        tuple((run, tuple(options)) for run, options in problem.options.items()),
        tuple((a, tuple(path)) for a, path in problem.paths.items()),
        tuple(problem.budget.items()),
    )
    return replace(found, index=dict(found.index), over=dict(found.over))


@lru_cache(maxsize=64)
def _choose(
    run_options: tuple[tuple[str, tuple[Option, ...]], ...],
    paths: tuple[tuple[str, tuple[str, ...]], ...],
    budgets: tuple[tuple[str, int], ...],
) -> Choice:
    problem = Problem(dict(run_options), dict(paths), dict(budgets))
    cheapest = _cheapest(problem)
    if cheapest is not None:
        return Choice(cheapest, _cost(problem, cheapest), True, {})
    least = {
        a: sum(min(o.drop for o in problem.options[run]) for run in path)
        for a, path in problem.paths.items()
    }
    over = {a: least[a] - b for a, b in problem.budget.items() if least[a] > b}
    budget = {a: max(b, least[a]) for a, b in problem.budget.items()}
    groups = _groups(problem)
    nested = _nest(list(groups))
    if nested is None:
        index = _search(problem, budget)
        return Choice(index, _cost(problem, index), False, over)
    index = dict.fromkeys(problem.options, 0)
    tree = _Tree(problem, budget, groups, nested)
    for top in nested[frozenset()]:
        front = tree.front(top, NO_CAP)
        best = min((e for e in front if e[0] >= 0), key=lambda e: e[1], default=None)
        if best is None:  # nothing keeps both the budgets and the ranks: the budgets come first
            unranked = tuple(
                (run, tuple(replace(o, rank=0) for o in options)) for run, options in run_options
            )
            return replace(_choose(unranked, paths, budgets), exact=False)
        _write(best, index)
    for run, options in problem.options.items():
        if not any(run in runs for runs in groups.values()):
            index[run] = min(range(len(options)), key=lambda i: options[i].cost)
    return Choice(index, _cost(problem, index), True, over)


def _cheapest(problem: Problem) -> dict[str, int] | None:
    """The cheapest size of every run, if that already keeps every budget and every rank."""
    index = {
        run: min(range(len(options)), key=lambda i: options[i].cost)
        for run, options in problem.options.items()
    }
    for amplifier, path in problem.paths.items():
        taken = [problem.options[run][index[run]] for run in path]
        if sum(option.drop for option in taken) > problem.budget[amplifier]:
            return None
        ranks = [option.rank for option in taken if option.rank]
        if ranks != sorted(ranks):
            return None  # paths run from the amplifier inwards: towards thicker runs
    return index


_Entry = tuple[int, int, str, int, tuple[Any, ...]]
"""A combination for a set of amplifiers: the drop ahead of it that it still has room for, its
cost, the run chosen last and the index of its size, and the combinations it stands on."""

NO_CAP = 10**9
"""Rank above every size: nothing ahead limits how thick a run may be."""

_Set = frozenset[str]


def _groups(problem: Problem) -> dict[_Set, list[str]]:
    """Set of amplifiers -> the runs that lie on the paths of exactly these."""
    users: dict[str, set[str]] = {}
    for amplifier, path in problem.paths.items():
        for run in path:
            users.setdefault(run, set()).add(amplifier)
    groups: dict[_Set, list[str]] = {frozenset([a]): [] for a in problem.paths}
    for run, amplifiers in users.items():
        groups.setdefault(frozenset(amplifiers), []).append(run)
    return groups


def _nest(sets: list[_Set]) -> dict[_Set, list[_Set]] | None:
    """Set -> the largest sets inside it; the outermost under the empty set. None if some cross."""
    inside: dict[_Set, list[_Set]] = {frozenset(): []}
    placed: list[_Set] = []
    for each in sorted(sets, key=lambda s: (-len(s), sorted(s))):
        inside[each] = []
        parent: _Set = frozenset()
        for other in placed:
            if each <= other:
                parent = other
            elif each & other:
                return None
        inside[parent].append(each)
        placed.append(each)
    return inside


class _Tree:
    """The nested sets with the runs ahead of each, and the fronts worked out so far."""

    def __init__(
        self,
        problem: Problem,
        budget: Mapping[str, int],
        groups: Mapping[_Set, Sequence[str]],
        nested: Mapping[_Set, Sequence[_Set]],
    ) -> None:
        self._options = problem.options
        self._budget = budget
        # Runs that feed come first, from the battery outwards (paths start at the amplifier), so
        # that their size caps what is behind them.
        far = {run: at for path in problem.paths.values() for at, run in enumerate(path)}
        self._runs = {
            each: sorted(runs, key=lambda run: (not problem.options[run][0].rank, -far[run]))
            for each, runs in groups.items()
        }
        self._nested = nested
        self._ahead = self._least_ahead()
        self._known: dict[tuple[_Set, int, int], list[_Entry]] = {}

    def _least_ahead(self) -> dict[_Set, list[int]]:
        """Set -> the least drop ahead of it, and with each of its own runs ahead too."""
        found: dict[_Set, list[int]] = {}
        waiting = [(top, 0) for top in self._nested[frozenset()]]
        while waiting:
            each, drop = waiting.pop()
            found[each] = [drop]
            for run in self._runs[each]:
                drop += min(option.drop for option in self._options[run])
                found[each].append(drop)
            waiting += [(child, drop) for child in self._nested[each]]
        return found

    def front(self, each: _Set, cap: int, at: int = 0) -> list[_Entry]:
        """The combinations worth keeping for a set, most room first.

        ``cap`` is the rank of the thinnest run ahead, ``at`` how many of the set's own runs are
        already ahead too.
        """
        known = self._known.get((each, cap, at))
        if known is None:
            known = self._known[each, cap, at] = self._front(each, cap, at)
        return known

    def _front(self, each: _Set, cap: int, at: int) -> list[_Entry]:
        runs = self._runs[each]
        if at == len(runs):
            inner = [self.front(child, cap) for child in self._nested[each]]
            if inner:
                return _beside(inner)
            return [(min(self._budget[a] for a in each), 0, "", 0, ())]
        run, options = runs[at], self._options[runs[at]]
        found: list[_Entry] = []
        new = [option.rank for option in options if 0 < option.rank <= cap]
        if new and options[0].rank:
            # What a size allows behind it is the same under every cap: add the thickest one.
            highest = max(new)
            if highest < cap:
                return self.front(each, highest, at)
            found += self.front(each, cap - 1, at) if min(new) < cap else ()
        for i, option in enumerate(options):
            if option.rank not in (0, cap):
                continue
            drop, cost = option.drop, option.cost
            room = self._ahead[each][at] + drop
            for e in self.front(each, option.rank or cap, at + 1):
                if e[0] < room:
                    break
                found.append((e[0] - drop, e[1] + cost, run, i, (e,)))
        return _kept(found)


def _beside(fronts: list[list[_Entry]]) -> list[_Entry]:
    """Several sets fed from the same point: for each room, the cheapest of each that has it."""
    while len(fronts) > 1:
        odd = fronts[-1:] if len(fronts) % 2 else []
        fronts = [_both(*two) for two in zip(fronts[::2], fronts[1::2], strict=False)] + odd
    return fronts[0]


def _both(one: list[_Entry], other: list[_Entry]) -> list[_Entry]:
    """Two sets side by side; both lists go down in room and in cost, and so does what comes out."""
    if not one or not other:
        return []
    found: list[_Entry] = []
    i = j = 0
    room = min(one[0][0], other[0][0])
    while True:
        while i + 1 < len(one) and one[i + 1][0] >= room:
            i += 1
        while j + 1 < len(other) and other[j + 1][0] >= room:
            j += 1
        found.append((room, one[i][1] + other[j][1], "", 0, (one[i], other[j])))
        if i + 1 < len(one) and (j + 1 == len(other) or one[i + 1][0] >= other[j + 1][0]):
            room = one[i + 1][0]
        elif j + 1 < len(other):
            room = other[j + 1][0]
        else:
            return found


def _kept(entries: list[_Entry]) -> list[_Entry]:
    """Only the entries that no other beats in both room and cost; most room first."""
    entries.sort(key=lambda e: (-e[0], e[1]))
    kept: list[_Entry] = []
    for entry in entries:
        if not kept or entry[1] < kept[-1][1]:
            kept.append(entry)
    return kept


def _write(entry: _Entry, index: dict[str, int]) -> None:
    stack = [entry]
    while stack:
        _, _, run, i, inner = stack.pop()
        if run:
            index[run] = i
        stack.extend(inner)


def _cost(problem: Problem, index: Mapping[str, int]) -> int:
    return sum(options[index[run]].cost for run, options in problem.options.items())


def _search(problem: Problem, budget: Mapping[str, int]) -> dict[str, int]:
    """Off a tree: from all thick, take whatever single step down saves most and still passes."""
    index = {
        run: min(range(len(o)), key=lambda i: (o[i].drop, o[i].cost))
        for run, o in problem.options.items()
    }
    users: dict[str, list[str]] = {run: [] for run in problem.options}
    room = dict(budget)
    for amplifier, path in problem.paths.items():
        for run in path:
            users[run].append(amplifier)
            room[amplifier] -= problem.options[run][index[run]].drop
    while True:
        best: tuple[float, str, int] | None = None
        for run, options in problem.options.items():
            here = options[index[run]]
            for i, option in enumerate(options):
                saved, more = here.cost - option.cost, option.drop - here.drop
                if saved <= 0 or any(room[a] < more for a in users[run]):
                    continue
                worth = saved / max(more, 1)
                if best is None or worth > best[0]:
                    best = (worth, run, i)
        if best is None:
            return index
        _, run, i = best
        more = problem.options[run][i].drop - problem.options[run][index[run]].drop
        for amplifier in users[run]:
            room[amplifier] -= more
        index[run] = i
