"""Sheets that blanks are laid out on, against a packing library and against the least by an integer
program: 20 sets of blanks drawn at random.
"""

from itertools import combinations, product
from math import ceil
from random import Random

import numpy as np
import pytest
import rectpack
from scipy.optimize import Bounds, LinearConstraint, milp

from domain.fabrication.materials.stock import SheetSize
from domain.fabrication.nesting.blanks import Blank
from domain.fabrication.nesting.sheet_layout import nest

WIDE, LONG = 60, 100
SETS = 20


def drawn(seed: int) -> list[tuple[int, int]]:
    """Six blanks that fill a sheet and a bit, or nearly two."""
    chance = Random(seed)
    return [(chance.randint(15, 45), chance.randint(20, 70)) for _ in range(6)]


def ours(blanks: list[tuple[int, int]]) -> int:
    found = nest(
        [Blank(f"p{i}", w / 100, h / 100) for i, (w, h) in enumerate(blanks)],
        [SheetSize("sheet", WIDE / 100, LONG / 100)],
        0.0,
        False,
    )
    assert not found.too_large
    return len(found.sheets)


def library(blanks: list[tuple[int, int]]) -> int:
    """The fewest sheets by any of the library's ways."""
    best = len(blanks)
    for way, order in product(
        (
            rectpack.MaxRectsBssf,
            rectpack.MaxRectsBaf,
            rectpack.SkylineBlWm,
            rectpack.GuillotineBssfSas,
        ),
        (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI),
    ):
        packer = rectpack.newPacker(pack_algo=way, sort_algo=order, rotation=True)
        for width, height in blanks:
            packer.add_rect(width, height)
        packer.add_bin(WIDE, LONG, count=len(blanks))
        packer.pack()
        best = min(best, len(packer))
    return best


def fit_on(blanks: list[tuple[int, int]], sheets: int) -> bool | None:
    """Whether blanks go on so many sheets; ``None`` where it was not decided in time.

    An integer program: places, turns, which sheet, and for each pair of one sheet on which side one
    lies of the other.
    """
    count = len(blanks)
    pairs = list(combinations(range(count), 2))
    # x, y, turned, sheet choices, then for each pair four sides and "of different sheets"
    x, y, turn = 0, count, 2 * count
    where = 3 * count
    side = where + count * sheets
    apart = side + 4 * len(pairs)
    total = apart + len(pairs)
    rows: list[np.ndarray] = []
    low: list[float] = []
    high: list[float] = []

    def add(terms: dict[int, float], least: float, most: float) -> None:
        row = np.zeros(total)
        for place, factor in terms.items():
            row[place] += factor
        rows.append(row)
        low.append(least)
        high.append(most)

    infinite = np.inf
    for i, (w, h) in enumerate(blanks):
        # width w + (h - w) turned, height the other way
        add({x + i: 1, turn + i: h - w}, -infinite, WIDE - w)
        add({y + i: 1, turn + i: w - h}, -infinite, LONG - h)
        add({where + i * sheets + s: 1 for s in range(sheets)}, 1, 1)
    for k, (i, j) in enumerate(pairs):
        add({**{side + 4 * k + d: 1 for d in range(4)}, apart + k: 1}, 1, infinite)
        for s in range(sheets):
            add({apart + k: 1, where + i * sheets + s: 1, where + j * sheets + s: 1}, -infinite, 2)
        for d, (a, b, axis, big) in enumerate(
            ((i, j, x, WIDE), (j, i, x, WIDE), (i, j, y, LONG), (j, i, y, LONG))
        ):
            w, h = blanks[a]
            size, turned = (w, h - w) if axis == x else (h, w - h)
            # a ends before b begins, if that side is chosen
            add(
                {axis + a: 1, turn + a: turned, axis + b: -1, side + 4 * k + d: big},
                -infinite,
                big - size,
            )
    lower, upper = np.zeros(total), np.ones(total)
    upper[x : x + count], upper[y : y + count] = WIDE, LONG
    whole = np.ones(total)
    whole[: 2 * count] = 0
    found = milp(
        np.zeros(total),
        constraints=LinearConstraint(np.array(rows), low, high),
        bounds=Bounds(lower, upper),
        integrality=whole,
        options={"time_limit": 20},
    )
    return {0: True, 2: False}.get(found.status)


@pytest.mark.parametrize("seed", range(SETS))
def test_no_more_sheets_than_must_be(seed: int) -> None:
    blanks = drawn(seed)
    used = ours(blanks)
    assert used <= library(blanks)
    by_area = ceil(sum(w * h for w, h in blanks) / (WIDE * LONG))
    # second method: one sheet less is enough only where the integer program finds a layout
    if used > by_area:
        assert fit_on(blanks, used - 1) is not True


def test_the_integer_program_knows_a_full_sheet() -> None:
    # four quarters fill one sheet; a fifth does not go on it
    quarter = (WIDE // 2, LONG // 2)
    assert fit_on([quarter] * 4, 1) is True
    assert fit_on([quarter] * 4 + [(10, 10)], 1) is False
