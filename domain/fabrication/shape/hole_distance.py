"""Cut-outs as centre segments with a radius round them, and distances between segments [m]."""

from math import cos, hypot, inf, radians, sin

from domain.build.choices import HoleShape
from domain.fabrication.shape.cutouts import FlatHole
from domain.fabrication.shape.path import Point

Segment = tuple[Point, Point]


def centre_segments(hole: FlatHole, less_m: float = 0.0) -> tuple[list[Segment], float]:
    """A hole, ``less_m`` smaller all round, as segments with a radius about them."""
    c, s = cos(radians(hole.turn_deg)), sin(radians(hole.turn_deg))

    def put(x: float, y: float) -> Point:
        return hole.x_m + c * x - s * y, hole.y_m + s * x + c * y

    radius = hole.diameter_m / 2
    if hole.shape is HoleShape.ROUND:
        return [(put(0, 0), put(0, 0))], radius - less_m
    half = (hole.across_m or hole.diameter_m) / 2
    if hole.shape is HoleShape.SLOT:
        return [(put(radius - half, 0), put(half - radius, 0))], radius - less_m
    x, y = max(half - less_m, 0.0), max(radius - less_m, 0.0)
    corners = [put(-x, -y), put(x, -y), put(x, y), put(-x, y)]
    return [(corners[i - 1], corners[i]) for i in range(4)], 0.0


def least_gap_m(one: FlatHole, other: FlatHole) -> float:
    """A gap [m] that two holes have at least: the widest strip between them along their axes."""
    dx, dy = other.x_m - one.x_m, other.y_m - one.y_m
    least = -inf
    for turn_deg in {one.turn_deg, other.turn_deg}:
        c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
        for x, y in ((c, s), (-s, c)):
            apart = abs(dx * x + dy * y) - _extent_m(one, x, y) - _extent_m(other, x, y)
            least = max(least, apart)
    return least


def _extent_m(hole: FlatHole, x: float, y: float) -> float:
    """How far a hole reaches from its centre along a direction [m]."""
    radius = hole.diameter_m / 2
    if hole.shape is HoleShape.ROUND:
        return radius
    c, s = cos(radians(hole.turn_deg)), sin(radians(hole.turn_deg))
    along, across = abs(c * x + s * y), abs(c * y - s * x)
    half = (hole.across_m or hole.diameter_m) / 2
    if hole.shape is HoleShape.SLOT:
        return (half - radius) * along + radius
    return half * along + radius * across


def gap_m(one: FlatHole, other: FlatHole) -> float:
    """Sheet between two holes [m]; negative or 0 where they run into each other."""
    if one.shape is HoleShape.ROUND and other.shape is HoleShape.ROUND:
        apart = hypot(one.x_m - other.x_m, one.y_m - other.y_m)
        return apart - (one.diameter_m + other.diameter_m) / 2
    first, r1 = centre_segments(one)
    second, r2 = centre_segments(other)
    if _holds(first, second[0][0]) or _holds(second, first[0][0]):
        return -(r1 + r2)
    least = inf
    for a in first:
        for b in second:
            least = min(least, between_m(a, b))
            if not least:
                return -r1 - r2
    return least - r1 - r2


def between_m(one: Segment, other: Segment) -> float:
    """Distance between two segments [m]; 0 where they cross."""
    if cross(one, other):
        return 0.0
    return min(
        to_m(one[0], other),
        to_m(one[1], other),
        to_m(other[0], one),
        to_m(other[1], one),
    )


def cross(one: Segment, other: Segment) -> bool:
    """Whether two segments cross; a touch is none."""

    def side(a: Point, b: Point, p: Point) -> float:
        return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])

    return (
        side(*one, other[0]) * side(*one, other[1]) < 0
        and side(*other, one[0]) * side(*other, one[1]) < 0
    )


def to_m(point: Point, segment: Segment) -> float:
    """Distance from a point to a segment [m]."""
    (ax, ay), (bx, by) = segment
    dx, dy = bx - ax, by - ay
    squared = dx * dx + dy * dy
    share = 0.0
    if squared > 0:
        share = min(1.0, max(0.0, ((point[0] - ax) * dx + (point[1] - ay) * dy) / squared))
    return hypot(point[0] - ax - share * dx, point[1] - ay - share * dy)


def _holds(segments: list[Segment], point: Point) -> bool:
    """A point lies inside a rectangle given by its four sides."""
    if len(segments) < 4:
        return False
    turns = [
        (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]) for a, b in segments
    ]
    return all(turn >= 0 for turn in turns)
