"""Cut list on stock sheets: the blanks of all parts, sheet by sheet, with the saw's kerf.

A saw cuts from edge to edge, so by default every sheet can be cut up by straight cuts right across
what is left (guillotine cuts). For a router or laser, where that does not matter, freer layouts
are tried as well. Many orders and rules are tried in a fixed sequence, so that the same parts give
the same layout everywhere; the least sheet bought wins, then the fewest sheets, then the largest
offcut. The registry's packing library that suits (rectpack) has not been kept up since 2021, and
misses published optima by 5 to 15 %, and others need a newer Python or draw at random.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from random import Random

from domain.fabrication.packing import FitRule, FreeSpace, Guillotine, MaxRects, SplitRule
from domain.fabrication.stock import SAW_KERF_M, SheetSize

_FIT_M = 1e-7
"""A blank this much [m] larger than the space still goes in: typed inches leave such crumbs."""

_EFFORT = 25000
"""Pieces placed over all tries: 40 parts then take well under a second."""

_MOST_TRIES = 1500

Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle to cut ``quantity`` times [m].

    ``grain``: its length must lie along the sheet's length, so that it is not turned.
    """

    id: str
    width_m: float
    length_m: float
    quantity: int = 1
    grain: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """One blank on a sheet [m], from the sheet's lower left corner; ``turned`` by 90 degrees."""

    id: str
    x_m: float
    y_m: float
    width_m: float
    length_m: float
    turned: bool


@dataclass(frozen=True, slots=True)
class CutSheet:
    """One sheet and what is cut from it."""

    size: SheetSize
    blanks: tuple[Placed, ...]

    @property
    def used_m2(self) -> float:
        """Area of its blanks [m2]."""
        return sum(blank.width_m * blank.length_m for blank in self.blanks)


@dataclass(frozen=True, slots=True)
class Nest:
    """The sheets to buy and cut.

    ``too_large`` are blanks that go on no sheet. ``finished`` is ``False`` where it was broken off:
    then the layout is whole and valid, but fewer tries were made.
    """

    sheets: tuple[CutSheet, ...]
    too_large: tuple[Blank, ...]
    kerf_m: float
    finished: bool = True

    @property
    def bought_m2(self) -> float:
        """Area of the sheets [m2]."""
        return sum(sheet.size.area_m2 for sheet in self.sheets)

    @property
    def used_m2(self) -> float:
        """Area of the blanks on them [m2]."""
        return sum(sheet.used_m2 for sheet in self.sheets)

    @property
    def waste(self) -> float:
        """Fraction of the sheet bought that is not blanks, 0 to 1; 0 without sheets."""
        return 1 - self.used_m2 / self.bought_m2 if self.sheets else 0.0


@dataclass(frozen=True, slots=True)
class _Try:
    """One way to lay out: an order of the blanks and rules of placing."""

    order: tuple[int, ...]
    space: type[FreeSpace]
    fit: FitRule
    split: SplitRule


def nest(
    blanks: Iterable[Blank],
    sizes: Sequence[SheetSize],
    kerf_m: float = SAW_KERF_M,
    straight_cuts: bool = True,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Nest:
    """Lay blanks out on sheets.

    ``progress(done, total)`` is called as tries are made; ``cancelled()`` is asked between them
    and ends the work with the best layout so far. A blank larger than every sheet is reported in
    ``too_large``. Raises ``ValueError`` for a blank without size or a negative kerf.
    """
    if kerf_m < 0:
        raise ValueError(f"the kerf must be 0 or more, not {kerf_m:g} m")
    wanted: list[Blank] = []
    too_large: list[Blank] = []
    for blank in blanks:
        if min(blank.width_m, blank.length_m) <= 0:
            raise ValueError(f"blank {blank.id} must have a width and a length above 0")
        fits = any(_fits(blank, size) for size in sizes)
        (wanted if fits else too_large).append(blank)
    wanted = [blank for blank in wanted if blank.quantity > 0]
    best: tuple[tuple[float, ...], list[CutSheet]] | None = None
    finished = True
    if wanted:
        total = _tries_allowed(wanted)
        for done, (attempt, size) in enumerate(_tries(wanted, sizes, straight_cuts, total)):
            if best is not None and cancelled is not None and cancelled():
                finished = False
                break
            sheets = _lay(wanted, size, sizes, kerf_m, attempt)
            score = _score(sheets)
            if best is None or score < best[0]:
                best = (score, sheets)
            if progress is not None:
                progress(done + 1, total)
    return Nest(tuple(best[1]) if best else (), tuple(too_large), kerf_m, finished)


def _fits(blank: Blank, size: SheetSize) -> bool:
    w, h = blank.width_m - _FIT_M, blank.length_m - _FIT_M
    straight = w <= size.width_m and h <= size.length_m
    return straight or (not blank.grain and h <= size.width_m and w <= size.length_m)


def _tries_allowed(blanks: list[Blank]) -> int:
    pieces = sum(blank.quantity for blank in blanks)
    return max(8, min(_MOST_TRIES, _EFFORT // pieces))


_KEYS: tuple[Callable[[Blank], tuple[float, ...]], ...] = (
    lambda b: (b.width_m * b.length_m, max(b.width_m, b.length_m)),
    lambda b: (max(b.width_m, b.length_m), min(b.width_m, b.length_m)),
    lambda b: (min(b.width_m, b.length_m), max(b.width_m, b.length_m)),
    lambda b: (b.length_m, b.width_m),
    lambda b: (b.width_m, b.length_m),
)


def _tries(
    blanks: list[Blank], sizes: Sequence[SheetSize], straight_cuts: bool, total: int
) -> Iterator[tuple[_Try, SheetSize]]:
    """Orders and rules, plain ones first, then orders mixed a little; every size in turn.

    ``size`` is the one to fill first; blanks that it cannot take go on the next larger one.
    """
    useful = [size for size in sizes if any(_fits(blank, size) for blank in blanks)]
    useful.sort(key=lambda size: -size.area_m2)
    numbers = range(len(blanks))
    orders = [
        tuple(sorted(numbers, key=[key(blank) for blank in blanks].__getitem__, reverse=True))
        for key in _KEYS
    ]
    rules: list[tuple[type[FreeSpace], FitRule, SplitRule]] = [
        (Guillotine, fit, split) for fit, split in product(FitRule, SplitRule)
    ]
    if not straight_cuts:
        rules = [(MaxRects, fit, SplitRule.SHORTER) for fit in FitRule] + rules
    made = 0
    plain = [_Try(order, *rule) for rule, order in product(rules, orders)]
    for attempt, size in product(plain, useful):
        if made >= total:
            return
        made += 1
        yield attempt, size
    chance = Random(1)
    while made < total:
        order = list(orders[made % len(orders)])
        for _ in range(1 + made % 4):
            a, b = chance.randrange(len(order)), chance.randrange(len(order))
            order[a], order[b] = order[b], order[a]
        made += 1
        yield _Try(tuple(order), *rules[chance.randrange(len(rules))]), useful[made % len(useful)]


def _score(sheets: list[CutSheet]) -> tuple[float, ...]:
    """Least area bought, then fewest sheets, then the emptiest sheet as empty as can be."""
    bought = round(sum(sheet.size.area_m2 for sheet in sheets), 9)
    emptiest = min((sheet.used_m2 / sheet.size.area_m2 for sheet in sheets), default=0.0)
    return (bought, len(sheets), round(emptiest, 9))


def _lay(
    blanks: list[Blank],
    size: SheetSize,
    sizes: Sequence[SheetSize],
    kerf: float,
    attempt: _Try,
) -> list[CutSheet]:
    """All blanks on sheets, one sheet after another; each then on the smallest that will do."""
    left = {i: blanks[i].quantity for i in attempt.order}
    larger = sorted(sizes, key=lambda other: other.area_m2)
    sheets: list[CutSheet] = []
    while left:
        first = size
        if not any(_fits(blanks[i], first) for i in left):
            first = next(s for s in larger if any(_fits(blanks[i], s) for i in left))
        filled, used = _fill(blanks, left, first, kerf, attempt)
        times = min(left[i] // count for i, count in used.items())
        only = dict(used)
        for smaller in larger:
            if smaller.area_m2 >= first.area_m2:
                break
            if smaller.area_m2 * (1 + 1e-9) < filled.used_m2:
                continue
            tried, took = _fill(blanks, only, smaller, kerf, attempt)
            if took == only:
                filled = tried
                break
        sheets += [filled] * times
        for i, count in used.items():
            left[i] -= count * times
            if not left[i]:
                del left[i]
    return sheets


def _fill(
    blanks: list[Blank], left: dict[int, int], size: SheetSize, kerf: float, attempt: _Try
) -> tuple[CutSheet, dict[int, int]]:
    """One sheet filled with what is left, in order. Blank and sheet are both larger by a kerf."""
    space = attempt.space(
        size.width_m + kerf + _FIT_M, size.length_m + kerf + _FIT_M, attempt.fit, attempt.split
    )
    placed: list[Placed] = []
    used: dict[int, int] = {}
    for i in attempt.order:
        blank = blanks[i]
        for _ in range(left.get(i, 0)):
            spot = space.insert(blank.width_m + kerf, blank.length_m + kerf, not blank.grain)
            if spot is None:
                break
            x, y, turned = spot
            w, h = blank.width_m, blank.length_m
            if turned:
                w, h = h, w
            placed.append(Placed(blank.id, x, y, w, h, turned))
            used[i] = used.get(i, 0) + 1
    return CutSheet(size, tuple(placed)), used
