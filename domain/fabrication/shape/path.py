"""Closed paths of lines and arcs: areas, bounds, rounded corners, and points along them.

All lengths in metres, angles in degrees counter-clockwise from the x axis.
"""

from collections.abc import Sequence
from math import atan2, ceil, cos, degrees, floor, hypot, pi, radians, sin

from msgspec import Struct

Point = tuple[float, float]
Outline = tuple[Point, ...]
"""A closed polygon [m], counter-clockwise, its first point not repeated."""

_SAME_M = 1e-9
"""Points closer than this [m] are one."""


class Line(Struct, frozen=True):
    """A straight segment [m]."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def start(self) -> Point:
        """Where it begins [m]."""
        return self.x0, self.y0

    @property
    def end(self) -> Point:
        """Where it ends [m]."""
        return self.x1, self.y1


class Arc(Struct, frozen=True):
    """An arc [m] from ``start_deg`` to ``end_deg``: counter-clockwise where the end is larger."""

    cx: float
    cy: float
    r: float
    start_deg: float
    end_deg: float

    @property
    def start(self) -> Point:
        """Where it begins [m]."""
        return self.at(self.start_deg)

    @property
    def end(self) -> Point:
        """Where it ends [m]."""
        return self.at(self.end_deg)

    def at(self, angle_deg: float) -> Point:
        """The point of its circle at an angle [m]."""
        angle = radians(angle_deg)
        return self.cx + self.r * cos(angle), self.cy + self.r * sin(angle)


Path = tuple[Line | Arc, ...]
"""A closed path: every segment begins where the one before it ends."""


def path_area_m2(path: Path) -> float:
    """Area enclosed [m2], positive counter-clockwise; exact, by Green's theorem."""
    doubled = 0.0
    for each in path:
        if isinstance(each, Line):
            doubled += each.x0 * each.y1 - each.x1 * each.y0
        else:
            turned = radians(each.end_deg - each.start_deg)
            (x0, y0), (x1, y1) = each.start, each.end
            doubled += each.r**2 * turned + each.cx * (y1 - y0) - each.cy * (x1 - x0)
    return doubled / 2


def path_length_m(path: Path) -> float:
    """Length along the path [m]."""
    return sum(
        hypot(each.x1 - each.x0, each.y1 - each.y0)
        if isinstance(each, Line)
        else each.r * abs(radians(each.end_deg - each.start_deg))
        for each in path
    )


def path_bounds(path: Path) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y [m]; arcs count where they bulge."""
    xs: list[float] = []
    ys: list[float] = []
    for each in path:
        for x, y in (each.start, each.end):
            xs.append(x)
            ys.append(y)
        if isinstance(each, Arc):
            low, high = sorted((each.start_deg, each.end_deg))
            for quarter in range(ceil(low / 90), floor(high / 90) + 1):
                x, y = each.at(90 * quarter)
                xs.append(x)
                ys.append(y)
    return min(xs), min(ys), max(xs), max(ys)


def path_outline(path: Path, chord_error_m: float = 1e-5) -> Outline:
    """The path as a polygon [m] whose chords leave the arcs by ``chord_error_m`` at most."""
    points: list[Point] = []
    for each in path:
        points.append(each.start)
        if isinstance(each, Arc) and each.r > chord_error_m:
            turned = each.end_deg - each.start_deg
            step_deg = degrees(2 * (2 * chord_error_m / each.r) ** 0.5)
            steps = max(2, ceil(abs(turned) / step_deg))
            points += [each.at(each.start_deg + turned * i / steps) for i in range(1, steps)]
    return tuple(points)


def polygon_path(points: Sequence[Point]) -> Path:
    """The straight segments of a polygon."""
    return rounded(points, 0.0, 0.0)


def rounded(points: Sequence[Point], outer_m: float, inner_m: float) -> Path:
    """A counter-clockwise polygon with its corners rounded.

    ``outer_m`` is the radius [m] of corners that point outwards, ``inner_m`` of those that
    point inwards. A radius that its two edges have no room for shrinks to what half of the
    shorter edge leaves.
    """
    points = _plain(points)
    count = len(points)
    if count < 3:
        return ()
    lengths = [_apart(points[i], points[(i + 1) % count]) for i in range(count)]
    path: list[Line | Arc] = []
    starts: list[Point] = []
    arcs: list[Arc | None] = []
    ends: list[Point] = []
    for i, (x, y) in enumerate(points):
        before, after = lengths[i - 1], lengths[i]
        ux, uy = (x - points[i - 1][0]) / before, (y - points[i - 1][1]) / before
        following = points[(i + 1) % count]
        vx, vy = (following[0] - x) / after, (following[1] - y) / after
        turn = atan2(ux * vy - uy * vx, ux * vx + uy * vy)
        radius = outer_m if turn > 0 else inner_m
        half_tan = abs(sin(turn) / (1 + cos(turn))) if abs(turn) < pi - 1e-6 else 0.0
        cut = min(radius * half_tan, before / 2, after / 2)
        if cut <= _SAME_M or half_tan == 0:
            starts.append((x, y))
            ends.append((x, y))
            arcs.append(None)
            continue
        radius = cut / half_tan
        side = 1 if turn > 0 else -1
        sx, sy = x - ux * cut, y - uy * cut
        cx, cy = sx - uy * radius * side, sy + ux * radius * side
        begin = degrees(atan2(sy - cy, sx - cx))
        arcs.append(Arc(cx, cy, radius, begin, begin + degrees(turn)))
        starts.append((sx, sy))
        ends.append((x + vx * cut, y + vy * cut))
    for i in range(count):
        arc = arcs[i]
        if arc:
            path.append(arc)
        goal = starts[(i + 1) % count]
        if _apart(ends[i], goal) > _SAME_M:
            path.append(Line(*ends[i], *goal))
    return tuple(path)


def rectangle(width_m: float, height_m: float) -> Outline:
    """A rectangle about the origin [m]."""
    x, y = width_m / 2, height_m / 2
    return (-x, -y), (x, -y), (x, y), (-x, y)


def moved(path: Path, x_m: float, y_m: float, turn_deg: float = 0.0) -> Path:
    """The path turned about the origin and then shifted [m]."""
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))

    def put(x: float, y: float) -> Point:
        return x_m + x * c - y * s, y_m + x * s + y * c

    return tuple(
        Line(*put(*each.start), *put(*each.end))
        if isinstance(each, Line)
        else Arc(*put(each.cx, each.cy), each.r, each.start_deg + turn_deg, each.end_deg + turn_deg)
        for each in path
    )


def _apart(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def _plain(points: Sequence[Point]) -> list[Point]:
    """The polygon without repeated points and without points along a straight edge."""
    kept: list[Point] = []
    for point in points:
        if not kept or _apart(point, kept[-1]) > _SAME_M:
            kept.append(point)
    while len(kept) > 1 and _apart(kept[0], kept[-1]) <= _SAME_M:
        kept.pop()
    found = []
    for i, (x, y) in enumerate(kept):
        (ax, ay), (bx, by) = kept[i - 1], kept[(i + 1) % len(kept)]
        cross = (x - ax) * (by - y) - (y - ay) * (bx - x)
        ahead = (x - ax) * (bx - x) + (y - ay) * (by - y) > 0
        if not (ahead and abs(cross) <= _SAME_M * (abs(bx - ax) + abs(by - ay))):
            found.append((x, y))
    return found
