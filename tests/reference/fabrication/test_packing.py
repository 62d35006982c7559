"""Nesting against published packing instances and lower bounds by area."""

from math import ceil
from random import Random

import pytest

from domain.fabrication.materials.stock import SheetSize
from domain.fabrication.nesting.blanks import Blank
from domain.fabrication.nesting.sheet_layout import nest

# source: Hopper and Turton, EJOR 128 (2000), categories C1 and C2, problem 1: perfect packings
C1 = "2x12 7x12 8x6 3x6 3x5 5x5 3x12 3x7 5x7 2x6 3x2 4x2 3x4 4x4 9x2 11x2"
C2 = (
    "11x3 13x3 9x2 7x2 9x3 7x3 11x2 13x2 11x4 13x4 3x5 11x2 2x2 11x3 2x3 5x4 6x4 12x2 1x2 3x5 13x5 "
    "12x4 1x4 5x2 6x2"
)
WITHIN = 0.10
"""Strip heights come within this of the published optimum."""


def pieces(text: str) -> list[Blank]:
    sides = [tuple(int(side) for side in piece.split("x")) for piece in text.split()]
    return [Blank(f"p{i}", w / 100, h / 100) for i, (w, h) in enumerate(sides)]


def strip_height(blanks: list[Blank], width: int, straight: bool) -> int:
    """Least whole height of a sheet this wide that takes all pieces."""
    height = ceil(sum(b.width_m * b.length_m for b in blanks) * 1e4 / width - 1e-6)
    while True:
        found = nest(blanks, [SheetSize("strip", width / 100, height / 100)], 0.0, straight)
        if not found.too_large and len(found.sheets) == 1:
            return height
        height += 1


@pytest.mark.parametrize(("text", "width", "best", "area"), [(C1, 20, 20, 400), (C2, 40, 15, 600)])
@pytest.mark.parametrize("straight", [True, False])
def test_strip_packing(text: str, width: int, best: int, area: int, straight: bool) -> None:
    blanks = pieces(text)
    assert sum(b.width_m * b.length_m for b in blanks) * 1e4 == pytest.approx(area)
    height = strip_height(blanks, width, straight)
    assert best <= height <= best * (1 + WITHIN)


@pytest.mark.parametrize("seed", range(6))
def test_sheets_cut_up_at_random_come_together_again(seed: int) -> None:
    # second method: three sheets cut up by straight cuts, so that three are known to be enough;
    # one more is allowed, which holds for any order of first fit
    chance = Random(seed)
    rects = [(1.2, 2.4)] * 3
    while len(rects) < 40:
        k = max(range(len(rects)), key=lambda i: rects[i][0] * rects[i][1])
        w, h = rects.pop(k)
        cut = chance.uniform(0.3, 0.7)
        rects += [(w * cut, h), (w * (1 - cut), h)] if w > h else [(w, h * cut), (w, h * (1 - cut))]
    blanks = [Blank(f"p{i}", w, h) for i, (w, h) in enumerate(rects)]
    found = nest(blanks, [SheetSize("whole", 1.2, 2.4)], 0.0)
    area = sum(w * h for w, h in rects)
    assert ceil(area / (1.2 * 2.4) - 1e-9) == 3
    assert 3 <= len(found.sheets) <= 4


def test_kerf_costs_what_it_must() -> None:
    # by hand: twelve 100 mm squares of a 300 x 400 sheet without a kerf, with 3 mm only 2 x 3
    blanks = [Blank("p1", 0.1, 0.1, 12)]
    sheet = SheetSize("sheet", 0.3, 0.4)
    assert len(nest(blanks, [sheet], 0.0).sheets) == 1
    assert [len(s.blanks) for s in nest(blanks, [sheet], 0.003).sheets] == [6, 6]
