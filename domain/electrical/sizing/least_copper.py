"""The least copper that keeps every amplifier inside its drop: exact on trees.

Each run has a few sizes to choose from, each with a drop and a cost; each amplifier has a budget
that the drops on its way there and back must not exceed. Where the sets of amplifiers behind
the runs are nested (a tree, positive side and ground return together), the cheapest choice is
found exactly: from the twigs inwards, every set keeps only those combinations that are not both
dearer and hungrier than another, for each thickness that what is ahead of it allows. Elsewhere
a local search improves a passing choice.

Drops are whole steps of ``STEP_V``, rounded up, so that "exact" has one meaning. A step is so
small that rounding turns no size away that a meter would let pass.
"""

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from math import ceil, floor

from msgspec import Struct
from msgspec.structs import replace

from domain.electrical.sizing.from_above import FromAbove, wide
from domain.electrical.sizing.fronts import AmplifierSet, Fronts, Option
from domain.electrical.sizing.pairs import Pairs

STEP_V = 1e-6
"""Grid of the drop budget [V]: forty runs one after the other round to 0.04 mV at most."""

MOST_SEARCHED = 40
"""Off a tree, builds with more runs than this are searched downwards only."""


class Problem(Struct, frozen=True):
    """Runs with their options (thin to thick), and each amplifier's path and budget in steps."""

    options: Mapping[str, Sequence[Option]]
    paths: Mapping[str, Sequence[str]]
    budget: Mapping[str, int]


class Choice(Struct, frozen=True):
    """The size taken for each run (index into its options).

    ``exact`` is false where a local search had to do. ``over`` are the amplifiers that no
    choice brings inside their budget, with the steps they are over at best.
    """

    index: dict[str, int]
    cost: int
    exact: bool
    over: dict[str, int]


def steps_up(volts: Iterable[float]) -> list[int]:
    """Drops as whole steps, each rounded up (a hair of rounding error aside)."""
    return [ceil(drop_v / STEP_V - 1e-9) for drop_v in volts]


def steps_down(volts: float) -> int:
    """A budget as whole steps, rounded down (a hair of rounding error aside)."""
    return floor(volts / STEP_V + 1e-9)


def choose(problem: Problem) -> Choice:
    """The cheapest choice; where nothing passes, the cheapest that is least over."""
    cheapest = _cheapest(problem)
    if cheapest is not None:
        return Choice(cheapest, _cost(problem, cheapest), True, {})
    least_drop = {run: _least_drop(options) for run, options in problem.options.items()}
    least = {a: sum(map(least_drop.__getitem__, path)) for a, path in problem.paths.items()}
    over = {a: least[a] - b for a, b in problem.budget.items() if least[a] > b}
    budget = {a: max(b, least[a]) for a, b in problem.budget.items()}
    groups, nested = _tree(tuple((a, tuple(path)) for a, path in problem.paths.items()))
    if nested is None:
        index = _search(problem, budget)
        return Choice(index, _cost(problem, index), False, over)
    index = dict.fromkeys(problem.options, 0)
    fronts = Fronts(problem.options, problem.paths, budget, groups, nested)
    above = FromAbove(fronts)
    if not all(
        (above if wide(fronts, top) else fronts).cheapest(top, index) for top in nested[frozenset()]
    ):  # nothing keeps both the budgets and the ranks: the budgets come first
        unranked = {
            run: [o._replace(rank=0) for o in options] for run, options in problem.options.items()
        }
        return replace(choose(replace(problem, options=unranked)), exact=False)
    used = {run for runs in groups.values() for run in runs}
    for run, options in problem.options.items():
        if run not in used:
            index[run] = _cheapest_of(options)
    return Choice(index, _cost(problem, index), True, over)


def _least_drop(options: Sequence[Option]) -> int:
    if isinstance(options, Pairs):
        return options.least_drop
    return min(option.drop for option in options)


def _cheapest_of(options: Sequence[Option]) -> int:
    if isinstance(options, Pairs):
        return options.cheapest
    return min(range(len(options)), key=lambda i: options[i].cost)


def _cheapest(problem: Problem) -> dict[str, int] | None:
    """The cheapest size of every run, if that already keeps every budget and every rank."""
    index = {run: _cheapest_of(options) for run, options in problem.options.items()}
    for amplifier, path in problem.paths.items():
        taken = [problem.options[run][index[run]] for run in path]
        if sum(option.drop for option in taken) > problem.budget[amplifier]:
            return None
        ranks = [option.rank for option in taken if option.rank]
        if ranks != sorted(ranks):
            return None  # paths run from the amplifier inwards: towards thicker runs
    return index


@lru_cache(maxsize=64)
def _tree(
    paths: tuple[tuple[str, tuple[str, ...]], ...],
) -> tuple[
    dict[AmplifierSet, list[str]],
    dict[AmplifierSet, list[AmplifierSet]] | None,
]:
    """Set of amplifiers -> the runs that lie on the paths of exactly these, and how they nest.

    They follow from the wiring alone, so that they stand from one round and key to the next.
    """
    users: dict[str, set[str]] = {}
    for amplifier, path in paths:
        for run in path:
            users.setdefault(run, set()).add(amplifier)
    groups: dict[AmplifierSet, list[str]] = {frozenset([a]): [] for a, _ in paths}
    for run, amplifiers in users.items():
        groups.setdefault(frozenset(amplifiers), []).append(run)
    return groups, _nest(list(groups))


def _nest(sets: list[AmplifierSet]) -> dict[AmplifierSet, list[AmplifierSet]] | None:
    """Set -> the largest sets inside it; the outermost under the empty set. None if some cross."""
    inside: dict[AmplifierSet, list[AmplifierSet]] = {frozenset(): []}
    placed: list[AmplifierSet] = []
    for each in sorted(sets, key=lambda s: (-len(s), sorted(s))):
        inside[each] = []
        parent: AmplifierSet = frozenset()
        for other in placed:
            if each <= other:
                parent = other
            elif each & other:
                return None
        inside[parent].append(each)
        placed.append(each)
    return inside


def _cost(problem: Problem, index: Mapping[str, int]) -> int:
    return sum(options[index[run]].cost for run, options in problem.options.items())


def _search(problem: Problem, budget: Mapping[str, int]) -> dict[str, int]:
    """Off a tree: a passing choice that no single run made thicker, all others then thinned, beats.

    From all thick, whatever single step down saves most for the room it takes, until none
    passes; then from there with one run thicker, as long as that ends cheaper.
    """
    thick = {
        run: min(range(len(o)), key=lambda i: (o[i].drop, o[i].cost))
        for run, o in problem.options.items()
    }
    best = _thinned(problem, budget, thick)
    cost = _cost(problem, best)
    better = len(best) <= MOST_SEARCHED
    while better:
        better = False
        for run, options in problem.options.items():
            for i in range(len(options)):
                if options[i].drop >= options[best[run]].drop:
                    continue
                tried = _thinned(problem, budget, {**best, run: i}, held=run)
                if _cost(problem, tried) < cost:
                    best, cost, better = tried, _cost(problem, tried), True
    return best


def _thinned(
    problem: Problem, budget: Mapping[str, int], index: Mapping[str, int], held: str = ""
) -> dict[str, int]:
    """From a passing choice: the step down that saves most for the room it takes, till none is.

    The run ``held`` keeps its size.
    """
    index = dict(index)
    users: dict[str, list[str]] = {run: [] for run in problem.options}
    room = dict(budget)
    for amplifier, path in problem.paths.items():
        for run in path:
            users[run].append(amplifier)
            room[amplifier] -= problem.options[run][index[run]].drop
    while True:
        best: tuple[float, str, int] | None = None
        for run, options in problem.options.items():
            if run == held:
                continue
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
