"""What is free on one sheet, against counting squares, and where the next piece goes."""

from collections.abc import Callable
from itertools import product
from random import Random

import pytest

from domain.fabrication.nesting.free_rectangles import (
    FitRule,
    Guillotine,
    MaxRects,
    Rect,
    SplitRule,
)

WIDE, HIGH = 6, 5


def empty(taken: set[tuple[int, int]], rect: tuple[int, int, int, int]) -> bool:
    x, y, w, h = rect
    return taken.isdisjoint(product(range(x, x + w), range(y, y + h)))


def largest(taken: set[tuple[int, int]]) -> set[tuple[int, int, int, int]]:
    """Every empty rectangle of whole squares that no larger empty one holds, by counting."""
    found = [
        (x, y, w, h)
        for x, y in product(range(WIDE), range(HIGH))
        for w, h in product(range(1, WIDE - x + 1), range(1, HIGH - y + 1))
        if empty(taken, (x, y, w, h))
    ]
    return {
        (x, y, w, h)
        for x, y, w, h in found
        if not any(
            other != (x, y, w, h)
            and other[0] <= x
            and other[1] <= y
            and other[0] + other[2] >= x + w
            and other[1] + other[3] >= y + h
            for other in found
        )
    }


def rest(rect: Rect, w: float, h: float) -> tuple[float, float]:
    return rect[2] - w, rect[3] - h


MEASURES: dict[FitRule, Callable[[Rect, float, float], float]] = {
    FitRule.SHORT_SIDE: lambda rect, w, h: min(rest(rect, w, h)),
    FitRule.LONG_SIDE: lambda rect, w, h: max(rest(rect, w, h)),
    FitRule.AREA: lambda rect, w, h: rect[2] * rect[3] - w * h,
    FitRule.LOWEST: lambda rect, w, h: rect[1] + h,
}


@pytest.mark.parametrize("rule", FitRule)
@pytest.mark.parametrize("kind", [Guillotine, MaxRects])
def test_pieces_go_where_the_least_is_left(
    rule: FitRule, kind: type[Guillotine] | type[MaxRects]
) -> None:
    # second method: squares that are counted, and the rule's measure of every place there is
    for seed in range(8):
        chance = Random(seed)
        space = kind(WIDE, HIGH, rule, chance.choice(list(SplitRule)))
        taken: set[tuple[int, int]] = set()
        while True:
            w, h, turns = chance.randint(1, 3), chance.randint(1, 3), chance.random() < 0.5
            ways = [(w, h), (h, w)] if turns else [(w, h)]
            least = min(
                (
                    MEASURES[rule](rect, *way)
                    for rect in space.free
                    for way in ways
                    if min(rest(rect, *way)) >= 0
                ),
                default=None,
            )
            before = list(space.free)
            spot = space.insert(w, h, turns)
            if spot is None:
                assert least is None
                break
            x, y, turned = spot
            w, h = (h, w) if turned else (w, h)
            here = [rect for rect in before if rect[:2] == (x, y) and min(rest(rect, w, h)) >= 0]
            assert least in [MEASURES[rule](rect, w, h) for rect in here]
            squares = set(product(range(int(x), int(x) + w), range(int(y), int(y) + h)))
            assert len(squares) == w * h
            assert taken.isdisjoint(squares)
            taken |= squares
            free = {(int(a), int(b), int(c), int(d)) for a, b, c, d in space.free}
            if kind is MaxRects:
                assert free == largest(taken)
            else:
                # no square is lost, and none is free twice
                assert sum(c * d for *_, c, d in space.free) == WIDE * HIGH - len(taken)
                assert all(empty(taken, rect) for rect in free)


def test_of_equal_places_the_one_that_leaves_less_the_other_way() -> None:
    # by hand: a piece 2 by 2 leaves nothing beside it in a strip 2 by 5 and in one 2 by 3
    space = Guillotine(10, 10, FitRule.SHORT_SIDE, SplitRule.ALONG)
    space.free = [(0, 0, 2, 5), (4, 0, 2, 3), (7, 0, 3, 4)]
    assert space.insert(2, 2, False) == (4, 0, False)
