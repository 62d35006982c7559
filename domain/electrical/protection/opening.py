"""When a fuse opens: the window between its fastest and slowest time, against current.

Windows by family are those of the ISO 8820 parts as remembered, not read (``SOURCES.md`` says
so); points that the user copies from the sheet of the fuse in hand replace them.
"""

from bisect import bisect_left
from collections.abc import Iterable
from functools import lru_cache
from math import exp, inf, log

from msgspec import Struct

from domain.build.choices import FuseFamily
from domain.reference.csv_tables import load


class Point(Struct, frozen=True):
    """A point of a window: current over rating, fastest and slowest opening time [s].

    ``slowest_s`` is infinite where the fuse need not open at all.
    """

    ratio: float
    fastest_s: float
    slowest_s: float


Window = tuple[Point, ...]


@lru_cache(maxsize=1)
def _tables() -> dict[FuseFamily, Window]:
    columns = ("family", "percent", "fastest_s", "slowest_s")
    found: dict[FuseFamily, list[Point]] = {}
    for row in load("fuse_opening", columns):
        point = Point(
            float(row["percent"]) / 100,
            float(row["fastest_s"] or 0),
            float(row["slowest_s"]) if row["slowest_s"] else inf,
        )
        found.setdefault(FuseFamily(row["family"]), []).append(point)
    return {family: window(points) for family, points in found.items()}


def table_window(family: FuseFamily) -> Window:
    """The window of a family as the tables have it."""
    return _tables()[family]


def window(points: Iterable[Point]) -> Window:
    """Points in rising order of current, contradictions read the safe way.

    Of two points at one current the wider window counts. What takes long at a large current
    takes no less at a smaller one, and what is quick at a small current is no slower at a
    larger one. A time that is not stated says nothing of the others.
    """
    merged: dict[float, Point] = {}
    for p in points:
        old = merged.get(p.ratio, p)
        fast = [t for t in (p.fastest_s, old.fastest_s) if t > 0]
        slow = [t for t in (p.slowest_s, old.slowest_s) if t < inf]
        merged[p.ratio] = Point(p.ratio, min(fast, default=0.0), max(slow, default=inf))
    ordered = [merged[ratio] for ratio in sorted(merged)]
    slowest = 0.0
    for i, p in reversed(list(enumerate(ordered))):
        if p.slowest_s < inf:
            slowest = max(slowest, p.slowest_s)
            ordered[i] = Point(p.ratio, p.fastest_s, slowest)
    fastest = inf
    for i, p in enumerate(ordered):
        if p.fastest_s > 0:
            fastest = min(fastest, p.fastest_s)
            ordered[i] = Point(p.ratio, fastest, p.slowest_s)
    return tuple(ordered)


def slowest_s(points: Window, ratio: float) -> float:
    """Longest time to open [s] at a current of ``ratio`` times the rating.

    Straight on log-log paper between the points; infinite below the first point that must
    open; beyond the last point the heat to melt it stays the same (I^2 t constant).
    """
    return between(slow_side(points), ratio)


def fastest_s(points: Window, ratio: float) -> float:
    """Shortest time to open [s]; infinite below the first point, where it need not open."""
    return between([(p.ratio, p.fastest_s) for p in points if p.fastest_s > 0], ratio)


def slow_side(points: Window) -> list[tuple[float, float]]:
    """Ratio and longest time [s] of the points at which the fuse must open."""
    return [(p.ratio, p.slowest_s) for p in points if p.slowest_s < inf]


def between(points: list[tuple[float, float]], ratio: float) -> float:
    """The time [s] at a ratio, straight on log-log paper between points (ratio, time)."""
    if not points or ratio < points[0][0] * (1 - 1e-12):
        return inf
    last_ratio, last_s = points[-1]
    if ratio >= last_ratio:
        return last_s * (last_ratio / ratio) ** 2
    at = max(1, bisect_left(points, (ratio, -inf)))
    (r0, t0), (r1, t1) = points[at - 1], points[at]
    share = log(ratio / r0) / log(r1 / r0)
    return exp(log(t0) + share * (log(t1) - log(t0)))


def knows_fast_side(points: Window) -> bool:
    """Whether anything is known of how soon the fuse may open."""
    return any(p.fastest_s > 0 for p in points)


def must_open_ratio(points: Window) -> float:
    """The smallest current over rating at which the fuse must open; infinite if at none."""
    return min((p.ratio for p in points if p.slowest_s < inf), default=inf)
