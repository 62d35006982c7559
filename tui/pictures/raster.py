"""Dots to scale in character cells: lines, dashes, shading, filled faces, words over them.

A cell holds two dots across and four up, and a terminal's cell is about twice as high as it is
wide, so that a dot is square and a picture is to scale.
"""

from collections.abc import Iterable, Sequence
from math import ceil, floor
from typing import Any

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""

DASH_DOT = (1, 1, 1, 1, 1, 0, 0, 1, 0, 0)
"""Pattern of a bend line."""

DOTTED = (1, 0, 0)
"""Pattern of a score line."""


class Raster:
    """A picture of a box, as large as the cells allow; ``columns`` and ``rows`` are the cells used.

    Points are in the box's own unit, y upward. ``sideways`` turns everything clockwise by a
    quarter, so that its lower edge is on the left.
    """

    def __init__(self, box: Box, columns: int, rows: int, *, sideways: bool = False) -> None:
        x0, y0, x1, y1 = box
        self._sideways = sideways
        if sideways:
            x0, y0, x1, y1 = y0, -x1, y1, -x0
        wide, high = max(x1 - x0, 1e-9), max(y1 - y0, 1e-9)
        self.per_unit = min((2 * columns - 1) / wide, (4 * rows - 1) / high)
        self._x0, self._y0 = x0, y0
        self.columns = min(columns, max(1, ceil((wide * self.per_unit + 1) / 2 - 1e-6)))
        self.rows = min(rows, max(1, ceil((high * self.per_unit + 1) / 4 - 1e-6)))
        self.width, self.height = 2 * self.columns, 4 * self.rows
        self._dots = bytearray(self.width * self.height)
        self._words: list[tuple[int, int, str]] = []

    def place(self, point: Point) -> tuple[int, int]:
        """The dot of a point: columns from the left, rows from the bottom."""
        x, y = (point[1], -point[0]) if self._sideways else point
        return round((x - self._x0) * self.per_unit), round((y - self._y0) * self.per_unit)

    def line(self, start: Point, end: Point, pattern: Sequence[int] = (1,)) -> None:
        """A straight line; ``pattern`` repeats along it and says which dots are set."""
        (x0, y0), (x1, y1) = self.place(start), self.place(end)
        steps = max(abs(x1 - x0), abs(y1 - y0))
        if steps > 100_000:
            return
        for i in range(steps + 1):
            if pattern[i % len(pattern)]:
                share = i / steps if steps else 0.0
                self._set(round(x0 + (x1 - x0) * share), round(y0 + (y1 - y0) * share))

    def lines(self, points: Sequence[Point], *, closed: bool = False) -> None:
        """A line through these points."""
        ends = [*points[1:], *(points[:1] if closed else [])]
        for start, end in zip(points, ends, strict=False):
            self.line(start, end)

    def shade(self, box: Box) -> None:
        """A sparse pattern of dots over an upright box."""
        x0, y0 = self.place((box[0], box[1]))
        x1, y1 = self.place((box[2], box[3]))
        x0, x1, y0, y1 = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
        for y in range(max(y0, 0), min(y1 + 1, self.height)):
            for x in range(max(x0, 0), min(x1 + 1, self.width)):
                if y % 2 == 0 and (x + y) % 4 == 0:
                    self._set(x, y)

    def erase(self, corners: Sequence[Point]) -> None:
        """Clear a polygon and its outline."""
        dots = [self.place(corner) for corner in corners]
        sides = list(zip(dots, [*dots[1:], dots[0]], strict=True))
        for y in range(
            max(min(y for _, y in dots), 0), min(max(y for _, y in dots) + 1, self.height)
        ):
            crossed = [
                x0 + (x1 - x0) * (y - y0) / (y1 - y0)
                for (x0, y0), (x1, y1) in sides
                if y0 != y1 and min(y0, y1) <= y <= max(y0, y1)
            ]
            crossed += [float(x) for (x0, y0), (x1, y1) in sides if y0 == y1 == y for x in (x0, x1)]
            if crossed:
                first = max(floor(min(crossed)), 0)
                last = min(ceil(max(crossed)), self.width - 1)
                if last >= first:
                    start = (self.height - 1 - y) * self.width + first
                    self._dots[start : start + last - first + 1] = bytes(last - first + 1)

    def word(self, point: Point, text: str, *, middle: bool = False) -> None:
        """A word in the cells at a point, over the dots; left out if there is no room."""
        x, y = self.place(point)
        column, row = x // 2, (self.height - 1 - y) // 4
        if middle:
            column -= len(text) // 2
        column = min(max(column, 0), self.columns - len(text))
        row = min(max(row, 0), self.rows - 1)
        if column >= 0 and not any(
            r == row and c < column + len(t) and column < c + len(t) for c, r, t in self._words
        ):
            self._words.append((column, row, text))

    def text(self) -> list[str]:
        """The picture as lines."""
        # Late: the first screen draws no picture.
        from plotille import Canvas

        canvas: Any = Canvas(self.columns, self.rows)
        canvas.braille_image(self._dots, threshold=1)
        # A blank is one byte over the line, an empty braille cell three.
        lines = [list(line) for line in canvas.plot("\n").replace("\u2800", " ").split("\n")]
        for column, row, word in self._words:
            lines[row][column : column + len(word)] = word
        return ["".join(line).rstrip() for line in lines]

    def _set(self, x: int, y: int) -> None:
        if 0 <= x < self.width and 0 <= y < self.height:
            self._dots[(self.height - 1 - y) * self.width + x] = 1


def around(points: Iterable[Point]) -> Box:
    """The bounding box of one or more points."""
    found = list(points)
    xs, ys = [x for x, _ in found], [y for _, y in found]
    return min(xs), min(ys), max(xs), max(ys)
