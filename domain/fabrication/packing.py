"""Free space on one sheet, and where the next rectangle goes.

Guillotine and maximal-rectangle rules after J. Jylänki, A Thousand Ways to Pack the Bin (2010),
from memory. Lengths in any one unit.
"""

from enum import Enum
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
        full_height = {
            SplitRule.SHORTER: rest_w >= rest_h,
            SplitRule.LONGER: rest_w < rest_h,
            SplitRule.ACROSS: False,
            SplitRule.ALONG: True,
        }[self.split]
        right = (x + w, y, rest_w, free_h if full_height else h)
        above = (x, y + h, w if full_height else free_w, rest_h)
        self.free += [r for r in (right, above) if r[2] > _NOTHING and r[3] > _NOTHING]
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
            others = (*kept, *cut[i + 1 :])
            inside_earlier = any(_inside(rect, other) and rect != other for other in cut[:i])
            if not inside_earlier and not any(_inside(rect, other) for other in others):
                kept.append(rect)
        self.free = kept
        return x, y, turned


def _best(
    free: list[Rect], width: float, height: float, turns: bool, fit: FitRule
) -> tuple[int, bool] | None:
    best: tuple[float, float] | None = None
    found: tuple[int, bool] | None = None
    ways = ((width, height, False), (height, width, True)) if turns else ((width, height, False),)
    for place, (x, y, free_w, free_h) in enumerate(free):
        for w, h, turned in ways:
            rest_w, rest_h = free_w - w, free_h - h
            if rest_w < -_NOTHING or rest_h < -_NOTHING:
                continue
            if fit is FitRule.SHORT_SIDE:
                score = (min(rest_w, rest_h), max(rest_w, rest_h))
            elif fit is FitRule.LONG_SIDE:
                score = (max(rest_w, rest_h), min(rest_w, rest_h))
            elif fit is FitRule.AREA:
                score = (free_w * free_h - w * h, min(rest_w, rest_h))
            else:
                score = (y + h, x)
            if best is None or score < best:
                best, found = score, (place, turned)
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


def _inside(rect: Rect, other: Rect) -> bool:
    return (
        rect[0] >= other[0] - _NOTHING
        and rect[1] >= other[1] - _NOTHING
        and rect[0] + rect[2] <= other[0] + other[2] + _NOTHING
        and rect[1] + rect[3] <= other[1] + other[3] + _NOTHING
    )
