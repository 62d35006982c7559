"""Cut list on stock sheets: the blanks of all parts, sheet by sheet, with the saw's kerf.

A saw cuts from edge to edge, so by default every sheet can be cut up by straight cuts right across
what is left (guillotine cuts). For a router or laser, where that does not matter, freer layouts
are tried as well. Many orders and rules are tried in a fixed sequence, so that the same parts give
the same layout everywhere; the least sheet bought wins, then the fewest sheets, then the largest
offcut. The registry's packing library that suits (rectpack) has not been kept up since 2021, and
misses published optima by 5 to 15 %, and others need a newer Python or draw at random.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import ceil, gcd, inf

from msgspec.structs import replace

from domain.fabrication.materials.stock import SAW_KERF_M, SheetSize
from domain.fabrication.nesting.blanks import FIT_M, Blank, CutSheet, Nest, Placed, fits
from domain.fabrication.nesting.layout_heuristics import Try, tries

_EFFORT = 25000
"""Pieces placed over all tries: 40 parts then take well under a second."""

_MOST_TRIES = 1500
_LEAST_TRIES = 8

_QUICK_EFFORT = 400
"""The same for a quick layout: 40 parts take some milliseconds."""

_QUICK_TRIES = 40
_LEAST_QUICK = 4

_ASKED_EVERY = 64
"""Pieces between two looks at whether to stop."""

_TINY_M2 = 1e-8
"""Areas of sheets are whole numbers of this: tenths of a millimetre squared."""

_CRUMBS_M2 = 1e-5
"""Blanks on a sheet are no larger together than it is by this: see ``FIT_M``."""

_MOST_UNITS = 200_000

Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]


class _Stopped(Exception):
    """Stopped in the middle of a try."""


def nest(
    blanks: Iterable[Blank],
    sizes: Sequence[SheetSize],
    kerf_m: float = SAW_KERF_M,
    straight_cuts: bool = True,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    quick: bool = False,
) -> Nest:
    """Lay blanks out on sheets.

    ``progress(done, total)`` is called as tries are made; ``cancelled()`` is asked meanwhile and
    ends the work with the best layout so far, or without one before the first is whole. ``quick``
    makes only the first few of the same tries, and stops where no layout can buy less: it never
    buys less than the full one. A blank larger than every sheet is reported in ``too_large``.
    Raises ``ValueError`` for a blank without size or a negative kerf.
    """
    if kerf_m < 0:
        raise ValueError(f"the kerf must be 0 or more, not {kerf_m:g} m")
    wanted: list[Blank] = []
    too_large: list[Blank] = []
    for blank in blanks:
        if min(blank.width_m, blank.length_m) <= 0:
            raise ValueError(f"blank {blank.id} must have a width and a length above 0")
        (wanted if any(fits(blank, size) for size in sizes) else too_large).append(blank)
    wanted = [blank for blank in wanted if blank.quantity > 0]
    best: tuple[tuple[float, ...], list[CutSheet]] | None = None
    finished, least = True, (0.0, 0)
    if wanted:
        total = _tries_allowed(wanted, quick)
        least = _least(wanted, sizes)
        stop = cancelled or _never
        alike = _alike(wanted)
        larger = sorted(sizes, key=lambda size: size.area_m2)
        takes = {size: _takes(wanted, size) for size in larger}
        seen: set[Try] = set()
        for done, attempt in enumerate(tries(wanted, sizes, straight_cuts, total), 1):
            same = replace(attempt, order=tuple(alike[i] for i in attempt.order))
            if same not in seen:
                seen.add(same)
                try:
                    most_m2 = _worth(best[0]) if best else inf
                    sheets = _lay(wanted, takes, kerf_m, attempt, stop, most_m2)
                except _Stopped:
                    finished = False
                    break
                if sheets and (best is None or _score(sheets) < best[0]):
                    best = (_score(sheets), sheets)
            if progress is not None:
                progress(done, total)
            if quick and best and _no_less(best[0], least):
                break
    no_less = best is not None and _no_less(best[0], least)
    return Nest(tuple(best[1]) if best else (), tuple(too_large), kerf_m, finished, no_less)


def _never() -> bool:
    return False


def _takes(blanks: Sequence[Blank], size: SheetSize) -> frozenset[int]:
    """The blanks that go on a sheet of this size."""
    return frozenset(i for i, blank in enumerate(blanks) if fits(blank, size))


def _alike(blanks: Sequence[Blank]) -> list[int]:
    """For each blank the first that is cut to the same size as often, which is as good as it."""
    first: dict[Blank, int] = {}
    return [first.setdefault(replace(blank, id=""), i) for i, blank in enumerate(blanks)]


def _tries_allowed(blanks: list[Blank], quick: bool) -> int:
    pieces = sum(blank.quantity for blank in blanks)
    if quick:
        return max(_LEAST_QUICK, min(_QUICK_TRIES, _QUICK_EFFORT // pieces))
    return max(_LEAST_TRIES, min(_MOST_TRIES, _EFFORT // pieces))


def _least(blanks: list[Blank], sizes: Sequence[SheetSize]) -> tuple[float, int]:
    """Less sheet [m2] than this, and of that fewer sheets, cannot be bought.

    The sheet that the largest blank takes, or the least sum of sheets' areas that the blanks' area
    goes into, all in their common measure.
    """
    largest = max(size.area_m2 for size in sizes)
    least_m2 = max(min(size.area_m2 for size in sizes if fits(b, size)) for b in blanks)
    areas = [round(size.area_m2 / _TINY_M2) for size in sizes]
    unit = gcd(*areas)
    needed = ceil(sum(blank.area_m2 for blank in blanks) / _TINY_M2 / unit - 1e-6)
    most = needed + max(areas) // unit
    if most <= _MOST_UNITS:
        sums = 1  # bit n: sheets of n units together are to be had
        for area in areas:
            step = area // unit
            while step <= most:
                sums |= sums << step
                sums &= (2 << most) - 1
                step *= 2
        above = sums >> needed
        units = needed + (above & -above).bit_length() - 1
        least_m2 = max(least_m2, units * unit * _TINY_M2)
    elif needed * unit * _TINY_M2 > least_m2:
        return 0.0, 0
    return least_m2 * (1 + 1e-9), ceil(least_m2 / largest - 1e-9)


def _no_less(score: tuple[float, ...], least: tuple[float, int]) -> bool:
    return score[0] <= least[0] and score[1] <= least[1]


def _worth(score: tuple[float, ...]) -> float:
    """Sheet [m2] beyond which no layout has a better score: on a single sheet, only less is."""
    bought_m2, count, _ = score
    return bought_m2 + (_CRUMBS_M2 if count > 1 else -_TINY_M2)


def _score(sheets: list[CutSheet]) -> tuple[float, ...]:
    """Least area bought, then fewest sheets, then the emptiest sheet as empty as can be."""
    bought = round(sum(sheet.size.area_m2 for sheet in sheets), 9)
    emptiest = min((sheet.used_m2 / sheet.size.area_m2 for sheet in sheets), default=0.0)
    return (bought, len(sheets), round(emptiest, 9))


def _lay(
    blanks: list[Blank],
    takes: Mapping[SheetSize, frozenset[int]],
    kerf: float,
    attempt: Try,
    stop: Cancelled,
    most_m2: float = inf,
) -> list[CutSheet] | None:
    """All blanks on sheets, one sheet after another; each then on the smallest that will do.

    ``takes`` are the blanks that go on each size, from the smallest.
    ``None`` as soon as it is sure to buy more than ``most_m2``: the sheets so far, and as much as
    the blanks that are left.
    """
    left = {i: blanks[i].quantity for i in attempt.order}
    sheets: list[CutSheet] = []
    room_m2 = most_m2 - sum(blank.area_m2 for blank in blanks)
    while left:
        first = attempt.size
        if takes[first].isdisjoint(left):
            first = next(size for size, taken in takes.items() if not taken.isdisjoint(left))
        filled, used = _fill(blanks, left, first, kerf, attempt, stop)
        times = min(left[i] // count for i, count in used.items())
        used_m2 = filled.used_m2
        for smaller, taken in takes.items():
            if (smaller.area_m2 - used_m2) * times > room_m2:
                return None
            if smaller.area_m2 >= first.area_m2:
                break
            if smaller.area_m2 * (1 + 1e-9) < used_m2:
                continue
            if not taken.issuperset(used):
                continue
            tried, took = _fill(blanks, used, smaller, kerf, attempt, stop, whole=True)
            if took == used:
                filled = tried
                break
        sheets += [filled] * times
        room_m2 -= (filled.size.area_m2 - used_m2) * times
        for i, count in used.items():
            left[i] -= count * times
            if not left[i]:
                del left[i]
    return sheets


def _fill(
    blanks: list[Blank],
    left: dict[int, int],
    size: SheetSize,
    kerf: float,
    attempt: Try,
    stop: Cancelled,
    whole: bool = False,
) -> tuple[CutSheet, dict[int, int]]:
    """One sheet filled with what is left, in order; ``whole``: up to the first that does not go on.

    Blank and sheet are both larger by a kerf.
    """
    space = attempt.space(
        size.width_m + kerf + FIT_M, size.length_m + kerf + FIT_M, attempt.fit, attempt.split
    )
    placed: list[Placed] = []
    used: dict[int, int] = {}
    for number, i in enumerate(attempt.order):
        if number % _ASKED_EVERY == 0 and stop():
            raise _Stopped
        if i not in left:
            continue
        blank = blanks[i]
        w, h = blank.width_m, blank.length_m
        count = 0
        while count < left[i]:
            spot = space.insert(w + kerf, h + kerf, not blank.grain)
            if spot is None:
                break
            if len(placed) % _ASKED_EVERY == _ASKED_EVERY - 1 and stop():
                raise _Stopped
            x, y, turned = spot
            size_m = (h, w) if turned else (w, h)
            placed.append(Placed(blank.id, x, y, *size_m, turned))
            count += 1
        if count:
            used[i] = count
        if whole and count < left[i]:
            break
    return CutSheet(size, tuple(placed)), used
