"""The least copper that keeps every amplifier inside its drop: exact on trees.

Each run has a few sizes to choose from, each with a drop and a cost; each amplifier has a budget
that the drops on its way there and back must not exceed. Where the sets of amplifiers behind
the runs are nested (a tree, positive side and ground return together), the cheapest choice is
found exactly: from the twigs inwards, every set keeps only those combinations that are not both
dearer and hungrier than another. Elsewhere a local search improves a passing choice.

Drops are whole steps of ``STEP_V``, rounded up, so that "exact" has one meaning.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

STEP_V = 1e-3
"""Grid of the drop budget [V]."""


@dataclass(frozen=True, slots=True)
class Option:
    """One size that a run may have: its drop in steps and its cost in milligrams (or cents)."""

    gauge: str
    drop: int
    cost: int


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
    """A budget as whole steps, rounded down."""
    return int(volts // STEP_V) if volts >= 0 else -ceil(-volts / STEP_V)


def choose(problem: Problem) -> Choice:
    """The cheapest choice; where nothing passes, the cheapest that is least over."""
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
    for top in nested[frozenset()]:
        front = _front(top, nested, groups, problem, budget)
        best = min((e for e in front if e.room >= 0), key=lambda e: e.cost)
        _write(best, index)
    for run, options in problem.options.items():
        if not any(run in runs for runs in groups.values()):
            index[run] = min(range(len(options)), key=lambda i: options[i].cost)
    return Choice(index, _cost(problem, index), True, over)


@dataclass(frozen=True, slots=True)
class _Entry:
    """A combination for a set of amplifiers: the drop ahead of it that it still has room for."""

    room: int
    cost: int
    taken: tuple[tuple[str, int], ...]
    inner: tuple["_Entry", ...]


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


def _front(
    each: _Set,
    nested: Mapping[_Set, Sequence[_Set]],
    groups: Mapping[_Set, Sequence[str]],
    problem: Problem,
    budget: Mapping[str, int],
) -> list[_Entry]:
    """The combinations worth keeping for a set, most room first."""
    inner = [_front(child, nested, groups, problem, budget) for child in nested[each]]
    front = _beside(inner) if inner else [_Entry(min(budget[a] for a in each), 0, (), ())]
    for run in groups[each]:
        front = _behind(run, problem.options[run], front)
    return front


def _beside(fronts: list[list[_Entry]]) -> list[_Entry]:
    """Several sets fed from the same point: for each room, the cheapest of each that has it."""
    if len(fronts) == 1:
        return fronts[0]
    found = []
    at = [0] * len(fronts)
    lowest = min(front[0].room for front in fronts)
    for room in sorted({e.room for front in fronts for e in front if e.room <= lowest})[::-1]:
        for i, front in enumerate(fronts):
            while at[i] + 1 < len(front) and front[at[i] + 1].room >= room:
                at[i] += 1
        taken = tuple(front[at[i]] for i, front in enumerate(fronts))
        found.append(_Entry(room, sum(e.cost for e in taken), (), taken))
    return _kept(found)


def _behind(run: str, options: Sequence[Option], front: list[_Entry]) -> list[_Entry]:
    """A run ahead of a set: every size of it with every combination, the poor ones dropped."""
    return _kept(
        [
            _Entry(e.room - o.drop, e.cost + o.cost, ((run, i),), (e,))
            for i, o in enumerate(options)
            for e in front
        ]
    )


def _kept(entries: list[_Entry]) -> list[_Entry]:
    """Only the entries that no other beats in both room and cost; most room first."""
    entries.sort(key=lambda e: (-e.room, e.cost))
    kept: list[_Entry] = []
    for entry in entries:
        if not kept or entry.cost < kept[-1].cost:
            kept.append(entry)
    return kept


def _write(entry: _Entry, index: dict[str, int]) -> None:
    stack = [entry]
    while stack:
        each = stack.pop()
        index.update(each.taken)
        stack.extend(each.inner)


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
