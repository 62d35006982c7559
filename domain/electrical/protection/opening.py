"""When a fuse opens: the window between its fastest and slowest time, against current.

Windows by family are those of the ISO 8820 parts as remembered, not read (``SOURCES.md`` says
so); points that the user copies from the sheet of the fuse in hand replace them.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from math import exp, inf, log

from msgspec import Struct

from domain.build.choices import FuseFamily
from domain.document.kept import kept
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


class Curve:
    """A time [s] against the ratio of current to rating, straight on log-log paper between points.

    Infinite below the first point; beyond the last the heat to melt it stays the same (I^2 t
    constant).
    """

    def __init__(self, points: Sequence[tuple[float, float]]) -> None:
        """Points are of ratio and time, in rising order of ratio."""
        self._ratios = [ratio for ratio, _ in points]
        self._first = self._ratios[0] * (1 - 1e-12) if points else inf
        self._last = points[-1] if points else (inf, inf)
        self._melts = self._last[0] if len(points) > 1 else self._first
        self._lines = [
            (log(r0), log(t0), (log(t1) - log(t0)) / (log(r1) - log(r0)))
            for (r0, t0), (r1, t1) in pairwise(points)
        ]

    def at(self, ratio: float) -> float:
        """The time at a ratio [s]."""
        if ratio < self._first:
            return inf
        if ratio >= self._melts:
            last_ratio, last_s = self._last
            return last_s * (last_ratio / ratio) ** 2
        start, time, slope = self._lines[max(0, bisect_left(self._ratios, ratio) - 1)]
        return exp(time + (log(ratio) - start) * slope)


@kept(256)
def slow_side(points: Window) -> Curve:
    """The longest time to open at every current; infinite below the first that must open."""
    return Curve([(p.ratio, p.slowest_s) for p in points if p.slowest_s < inf])


@kept(256)
def fast_side(points: Window) -> Curve:
    """The shortest time to open; infinite below the first point, where it need not open."""
    return Curve([(p.ratio, p.fastest_s) for p in points if p.fastest_s > 0])


def slowest_s(points: Window, ratio: float) -> float:
    """Longest time to open [s] at a current of ``ratio`` times the rating."""
    return slow_side(points).at(ratio)


def fastest_s(points: Window, ratio: float) -> float:
    """Shortest time to open [s] at a current of ``ratio`` times the rating."""
    return fast_side(points).at(ratio)


def knows_fast_side(points: Window) -> bool:
    """Whether anything is known of how soon the fuse may open."""
    return any(p.fastest_s > 0 for p in points)


def must_open_ratio(points: Window) -> float:
    """The smallest current over rating at which the fuse must open; infinite if at none."""
    return min((p.ratio for p in points if p.slowest_s < inf), default=inf)
