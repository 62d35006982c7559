"""Places for labels where they cover neither lines nor one another. Lengths in millimetres."""

from collections.abc import Iterable, Iterator
from itertools import pairwise

from msgspec import Struct, field

from domain.fabrication.shape.flat_pattern import Arc, Line, path_bounds
from storage.pack.fonts import POINT_MM, width_mm
from storage.pack.pattern import Bend, Pattern

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y [mm]."""

_CELL = 12.0

_LEAST_PT = 8.0
"""Smallest type for the label of a short bend."""


class Label(Struct, frozen=True):
    """A line of text from a point on its base line [mm]."""

    x: float
    y: float
    text: str
    size_pt: float
    turn_deg: float
    box: Box


class Crowd(Struct):
    """The occupied boxes, indexed by the grid cells that they touch."""

    cells: dict[tuple[int, int], list[Box]] = field(default_factory=dict)

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        for cell in _cells(box):
            self.cells.setdefault(cell, []).append(box)

    def free(self, box: Box) -> bool:
        """Whether nothing is in a box yet."""
        x0, y0, x1, y1 = box
        return not any(
            x0 < bx1 and bx0 < x1 and y0 < by1 and by0 < y1
            for cell in _cells(box)
            for bx0, by0, bx1, by1 in self.cells.get(cell, ())
        )


def crowded(pattern: Pattern, scale: float = 1.0) -> Crowd:
    """The places taken up by the lines and holes of a pattern drawn at a scale."""
    crowd = Crowd()
    for each in pattern.outline:
        for box in _line_boxes(each, scale):
            crowd.take(box)
    for hole in pattern.holes:
        x0, y0, x1, y1 = (value * scale for value in path_bounds(hole.path))
        crowd.take((x0 - 0.3, y0 - 0.3, x1 + 0.3, y1 + 0.3))
    for bend in pattern.bends:
        for aside in {0.0, bend.heat / 2, -bend.heat / 2}:
            for box in _line_boxes(bend.beside(aside), scale):
                crowd.take(box)
    return crowd


def hole_label(
    crowd: Crowd, x: float, y: float, reach: float, text: str, size_pt: float
) -> Label | None:
    """A label beside a hole, and its place marked as taken; ``None`` if there is no room.

    A little smaller if only that fits: never less than can be read at arm's length.
    """
    for size in (size_pt, min(size_pt, _LEAST_PT)):
        width, height = width_mm(text, size), size * POINT_MM
        for left, low in _places(x, y, reach, width, height):
            box = (left, low, left + width, low + height)
            if crowd.free(box):
                crowd.take(box)
                return Label(left, low + height * 0.22, text, size, 0.0, box)
    return None


def _places(
    x: float, y: float, reach: float, width: float, height: float
) -> tuple[tuple[float, float], ...]:
    """Lower left corners for a label around a hole, the best first."""
    near, corner = reach + 2.8, reach * 0.71 + 0.4
    return (
        (x + near, y - height / 2),
        (x - near - width, y - height / 2),
        (x + corner, y + corner),
        (x + corner, y - corner - height),
        (x - corner - width, y + corner),
        (x - corner - width, y - corner - height),
        (x - width / 2, y + near),
        (x - width / 2, y - near - height),
    )


def bend_labels(
    crowd: Crowd, bend: Bend, size_pt: float, every: float, scale: float = 1.0
) -> Iterator[Label]:
    """The label of a bend along its line, repeated every ``every`` millimetres.

    Smaller on a short line; over other lines only if there is no room at all.
    """
    length = bend.length * scale
    text = bend.words
    if width_mm(text, _LEAST_PT) > length - 1:
        text = text.split(",")[0]
    full = width_mm(text, size_pt)
    if full > length - 1:
        size_pt = max(size_pt * (length - 1) / full, min(size_pt, _LEAST_PT))
    count = max(1, round(length / every))
    for part in range(count):
        yield _bend_label(crowd, bend, text, size_pt, (part, count), scale)


def _bend_label(
    crowd: Crowd, bend: Bend, text: str, size_pt: float, part: tuple[int, int], scale: float
) -> Label:
    width, height = width_mm(text, size_pt), size_pt * POINT_MM
    length = bend.length * scale / part[1]
    room = max(0.0, length - width - 2)
    heat = bend.heat / 2 * scale
    asides = [0.9, -height - 0.9, heat + 0.9, -heat - height - 0.9]
    made: Label | None = None
    for aside in asides:
        for share in (0.5, 0.25, 0.75, 0.1, 0.9, 0.0, 1.0):
            along = part[0] * length + (length - width - room) / 2 + room * share
            made = _turned(bend, text, size_pt, (along, aside), (width, height), scale)
            if crowd.free(made.box):
                crowd.take(made.box)
                return made
    middle = part[0] * length + (length - width) / 2
    made = _turned(bend, text, size_pt, (middle, asides[0]), (width, height), scale)
    crowd.take(made.box)
    return made


def _turned(
    bend: Bend,
    text: str,
    size_pt: float,
    at: tuple[float, float],
    size: tuple[float, float],
    scale: float,
) -> Label:
    along, aside = at
    ends = [
        bend.at((along + x) / scale, (aside + y) / scale)
        for x in (0, size[0])
        for y in (0, size[1])
    ]
    xs, ys = [x * scale for x, _ in ends], [y * scale for _, y in ends]
    x, y = bend.at(along / scale, (aside + size[1] * 0.22) / scale)
    box = (min(xs), min(ys), max(xs), max(ys))
    return Label(x * scale, y * scale, text, size_pt, bend.turn_deg, box)


def _line_boxes(each: Line | Arc, scale: float) -> Iterable[Box]:
    ends = [each.start, each.end]
    if isinstance(each, Arc):
        ends = [each.at(each.start_deg + (each.end_deg - each.start_deg) * i / 6) for i in range(7)]
    for (x0, y0), (x1, y1) in pairwise(ends):
        yield (
            min(x0, x1) * scale - 0.3,
            min(y0, y1) * scale - 0.3,
            max(x0, x1) * scale + 0.3,
            max(y0, y1) * scale + 0.3,
        )


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    x0, y0, x1, y1 = (int(value // _CELL) for value in box)
    for x in range(x0, x1 + 1):
        for y in range(y0, y1 + 1):
            yield x, y
