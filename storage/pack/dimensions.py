"""Dimensions round a view: ordinates from one corner, and overall sizes. Millimetres on paper."""

from collections.abc import Iterable
from itertools import pairwise
from math import atan2, cos, pi, sin

from msgspec import Struct

from domain.build.choices import UnitHabit
from storage.pack.ink import THIN, Ink, Style
from storage.pack.pattern import MM, Pattern, small

STANDARD_SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001)
"""Scales for drawings (ISO 5455), the largest first."""

SIZE_PT = 8.5
_PITCH = 3.4
"""Least distance between the figures of two ordinates."""

_FINE = 20
"""With more ordinates than this, no leader lines are drawn across the view."""


class View(Struct, frozen=True):
    """A pattern on the page: where its lower left corner is, and at what scale."""

    x: float
    y: float
    scale: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point of the pattern on the page."""
        return self.x + x * self.scale, self.y + y * self.scale


def standard_scale(width: float, height: float, room_x: float, room_y: float) -> float:
    """The largest standard scale at which a pattern of this size fits the space."""
    for scale in STANDARD_SCALES:
        if width * scale <= room_x and height * scale <= room_y:
            return scale
    return STANDARD_SCALES[-1]


def scale_name(scale: float) -> str:
    """A scale in the usual notation: 1:2, 5:1."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def figure(value: float, units: UnitHabit) -> str:
    """A length [mm] as a bare number in the user's unit."""
    return small(value / MM, units).split(" ", maxsplit=1)[0]


def spread(places: list[float], pitch: float) -> list[float]:
    """Positions moved apart to at least the pitch, each by as little as possible."""
    blocks: list[tuple[float, int]] = []
    for place in places:
        # A block is (sum of wished starts, how many): its figures stand one pitch apart.
        total, count = place, 1
        while blocks:
            before, number = blocks[-1]
            if before / number + number * pitch <= total / count:
                break
            blocks.pop()
            total, count = before + total - count * number * pitch, number + count
        blocks.append((total, count))
    return [total / count + i * pitch for total, count in blocks for i in range(count)]


def draw_overall(ink: Ink, pattern: Pattern, view: View) -> None:
    """Overall width above the view, overall height at its right."""
    units, gap = pattern.units, 6.0
    left, low = view.at(0, 0)
    right, high = view.at(pattern.width, pattern.height)
    ink.style(THIN)
    for x in (left, right):
        ink.line(x, high + 1, x, high + gap + 1.5)
    for y in (low, high):
        ink.line(right + 1, y, right + gap + 1.5, y)
    _arrow_line(ink, left, high + gap, right, high + gap)
    _arrow_line(ink, right + gap, low, right + gap, high)
    middle = ((left + right) / 2, (low + high) / 2)
    width, height = figure(pattern.width, units), figure(pattern.height, units)
    ink.text(middle[0], high + gap + 1, width, 9.5, align=0.5)
    ink.text(right + gap - 1, middle[1], height, 9.5, turn_deg=90, align=0.5)


def draw_ordinates(ink: Ink, pattern: Pattern, view: View, room: float) -> bool:
    """Places of holes and bends from the lower left corner, below and at the left of the view.

    ``room`` is the paper that lies beyond the view at each side. Whether all had room.
    """
    holes = [h for h in pattern.holes if 0 <= h.x <= pattern.width and 0 <= h.y <= pattern.height]
    upright = [b.x0 for b in pattern.bends if abs(b.x0 - b.x1) < 1e-6]
    level = [b.y0 for b in pattern.bends if abs(b.y0 - b.y1) < 1e-6]
    lowest = _first([(h.x, h.y) for h in holes])
    leftmost = _first([(h.y, h.x) for h in holes])
    across = _places([0, pattern.width, *upright, *lowest])
    up = _places([0, pattern.height, *level, *leftmost])
    left, low = view.at(0, 0)
    complete = True
    for places, start, size, starts, along_x in (
        (across, left, pattern.width, lowest, True),
        (up, low, pattern.height, leftmost, False),
    ):
        shown = places
        if (len(places) - 1) * _PITCH > size * view.scale + 2 * room:
            shown, complete = [0.0, size], False
        wished = [start + value * view.scale for value in shown]
        for value, at, put in zip(shown, wished, spread(wished, _PITCH), strict=True):
            words = figure(value, pattern.units)
            reach = starts.get(round(value, 4))
            led = reach * view.scale if reach and len(shown) <= _FINE else 0.0
            _ordinate(ink, (at, put), low if along_x else left, led, along_x, words)
    return complete


def _ordinate(
    ink: Ink, at: tuple[float, float], edge: float, led: float, along_x: bool, words: str
) -> None:
    """A leader from the feature across the edge to its figure, jogged where figures are crowded."""
    place, put = at
    points = [(place, edge - 1), (place, edge - 3), (put, edge - 6), (put, edge - 7)]
    if led:
        ink.style(Style(0.1, (0.8, 0.8), 0.5))
        ends = (place, edge + led), (place, edge)
        ink.line(*_turned(*ends[0], along_x), *_turned(*ends[1], along_x))
    ink.style(THIN)
    for one, other in pairwise(points):
        ink.line(*_turned(*one, along_x), *_turned(*other, along_x))
    x, y = _turned(put + 1.0 if along_x else put - 1.0, edge - 7.5, along_x)
    ink.text(x, y, words, SIZE_PT, turn_deg=90 if along_x else 0, align=1)


def _turned(along: float, aside: float, along_x: bool) -> tuple[float, float]:
    return (along, aside) if along_x else (aside, along)


def _first(pairs: Iterable[tuple[float, float]]) -> dict[float, float]:
    """For each position, the distance from the edge to the feature nearest to it."""
    found: dict[float, float] = {}
    for place, away in pairs:
        key = round(place, 4)
        found[key] = max(found.get(key, 0.0), away)
    return found


def _places(values: Iterable[float]) -> list[float]:
    return sorted({round(value, 4) for value in values})


def _arrow_line(ink: Ink, x0: float, y0: float, x1: float, y1: float) -> None:
    ink.line(x0, y0, x1, y1)
    way = atan2(y1 - y0, x1 - x0)
    for x, y, turn in ((x0, y0, way), (x1, y1, way + pi)):
        ends = [(x + 2 * cos(turn + side), y + 2 * sin(turn + side)) for side in (0.17, -0.17)]
        ink.polygon([(x, y), *ends], 0.0, stroke=False)
