"""Free space on one sheet, and where the next rectangle goes.

Guillotine and maximal-rectangle rules after J. Jylänki, A Thousand Ways to Pack the Bin (2010),
from memory. Lengths in any one unit.
"""

from collections.abc import Iterable
from enum import Enum
from itertools import chain
from math import inf
from typing import Protocol

Rect = tuple[float, float, float, float]
"""x, y, width, height."""

_NOTHING = 1e-9


class FitRule(Enum):
    """Which free rectangle takes the next piece: the one that leaves least, by this measure."""

    SHORT_SIDE = "short side"
    LONG_SIDE = "long side"
    AREA = "area"
    LOWEST = "lowest"


class SplitRule(Enum):
    """Which way the rest of a free rectangle is cut through."""

    SHORTER = "along the shorter rest"
    LONGER = "along the longer rest"
    ACROSS = "across the width"
    ALONG = "along the length"


class FreeSpace(Protocol):
    """What is still free on a sheet."""

    def __init__(self, width: float, height: float, fit: FitRule, split: SplitRule) -> None: ...

    def insert(self, width: float, height: float, turns: bool) -> tuple[float, float, bool] | None:
        """Place a rectangle: its corner and whether it was turned; ``None`` if it does not fit."""
        ...


class Guillotine:
    """Free rectangles that do not overlap: every piece is freed by cuts right across."""

    def __init__(self, width: float, height: float, fit: FitRule, split: SplitRule) -> None:
        self.free: list[Rect] = [(0.0, 0.0, width, height)]
        self.fit, self.split = fit, split

    def insert(self, width: float, height: float, turns: bool) -> tuple[float, float, bool] | None:
        """See ``FreeSpace``."""
        spot = _best(self.free, width, height, turns, self.fit)
        if spot is None:
            return None
        place, turned = spot
        x, y, free_w, free_h = self.free.pop(place)
        w, h = (height, width) if turned else (width, height)
        rest_w, rest_h = free_w - w, free_h - h
        if self.split is SplitRule.SHORTER:
            full_height = rest_w >= rest_h
        elif self.split is SplitRule.LONGER:
            full_height = rest_w < rest_h
        else:
            full_height = self.split is SplitRule.ALONG
        right_h, above_w = (free_h, w) if full_height else (h, free_w)
        if rest_w > _NOTHING and right_h > _NOTHING:
            self.free.append((x + w, y, rest_w, right_h))
        if rest_h > _NOTHING and above_w > _NOTHING:
            self.free.append((x, y + h, above_w, rest_h))
        return x, y, turned


class MaxRects:
    """All largest free rectangles, overlapping: pieces may interlock."""

    def __init__(self, width: float, height: float, fit: FitRule, split: SplitRule) -> None:
        self.free: list[Rect] = [(0.0, 0.0, width, height)]
        self.fit = fit
        del split

    def insert(self, width: float, height: float, turns: bool) -> tuple[float, float, bool] | None:
        """See ``FreeSpace``."""
        spot = _best(self.free, width, height, turns, self.fit)
        if spot is None:
            return None
        place, turned = spot
        x, y, _, _ = self.free[place]
        w, h = (height, width) if turned else (width, height)
        cut: list[Rect] = []
        kept: list[Rect] = []
        for rect in self.free:
            pieces = _without(rect, (x, y, w, h))
            if pieces is None:
                kept.append(rect)
            else:
                cut += pieces
        for i, rect in enumerate(cut):
            earlier = (other for other in cut[:i] if other != rect)
            if not _inside_any(rect, chain(kept, cut[i + 1 :], earlier)):
                kept.append(rect)
        self.free = kept
        return x, y, turned


def _best(
    free: list[Rect], width: float, height: float, turns: bool, fit: FitRule
) -> tuple[int, bool] | None:
    """Which free rectangle to take, and whether turned; the innermost loop of every layout."""
    least = second = inf
    found: tuple[int, bool] | None = None
    by_short, by_long = fit is FitRule.SHORT_SIDE, fit is FitRule.LONG_SIDE
    by_area = fit is FitRule.AREA
    both = turns and width != height
    ways = ((width, height, False), (height, width, True)) if both else ((width, height, False),)
    for w, h, turned in ways:
        for place, (x, y, free_w, free_h) in enumerate(free):
            rest_w = free_w - w
            if rest_w < -_NOTHING:
                continue
            rest_h = free_h - h
            if rest_h < -_NOTHING:
                continue
            if by_short:
                first, then = (rest_w, rest_h) if rest_w < rest_h else (rest_h, rest_w)
            elif by_long:
                then, first = (rest_w, rest_h) if rest_w < rest_h else (rest_h, rest_w)
            elif by_area:
                first, then = free_w * free_h, rest_w if rest_w < rest_h else rest_h
            else:
                first, then = y + h, x
            if first < least or (first == least and then < second):
                least, second, found = first, then, (place, turned)
    return found


def _without(rect: Rect, piece: Rect) -> list[Rect] | None:
    """What is left of a rectangle beside a piece, as largest rectangles; ``None`` if untouched."""
    x, y, w, h = rect
    px, py, pw, ph = piece
    if px >= x + w - _NOTHING or px + pw <= x + _NOTHING:
        return None
    if py >= y + h - _NOTHING or py + ph <= y + _NOTHING:
        return None
    left = [
        (x, y, px - x, h),
        (px + pw, y, x + w - px - pw, h),
        (x, y, w, py - y),
        (x, py + ph, w, y + h - py - ph),
    ]
    return [r for r in left if r[2] > _NOTHING and r[3] > _NOTHING]


def _inside_any(rect: Rect, others: Iterable[Rect]) -> bool:
    x, y, right, top = rect[0], rect[1], rect[0] + rect[2], rect[1] + rect[3]
    for ox, oy, w, h in others:
        if (
            ox <= x + _NOTHING
            and oy <= y + _NOTHING
            and ox + w >= right - _NOTHING
            and oy + h >= top - _NOTHING
        ):
            return True
    return False
