"""The edge of the flat pattern, and how much sheet stands between it and a cut-out.

The edges are sorted into rows, so that a hole is compared with those beside it only.
"""

from math import floor, inf

from domain.fabrication.shape.cutouts import FlatHole, hole_reach_m
from domain.fabrication.shape.hole_distance import Segment, between_m, centre_segments, cross, to_m
from domain.fabrication.shape.path import Path, Point, path_outline

TOUCH_M = 1e-6
"""A hole that reaches over the edge by less than this [m] only touches it: typed inches and sums of
bends leave such crumbs."""

_CHORD_M = 5e-7
"""Rounded corners are taken as chords this near [m] to their arc."""

_ROWS = 64


class SheetEdge:
    """The outline of a flat pattern as straight edges."""

    def __init__(self, outline: Path) -> None:
        points = path_outline(outline, _CHORD_M)
        heights = [y for _, y in points] or [0.0]
        self._low, high = min(heights), max(heights)
        self._row = max((high - self._low) / _ROWS, TOUCH_M)
        self._edges: list[Segment] = [(points[i - 1], points[i]) for i in range(len(points))]
        self._rows: list[list[int]] = [[] for _ in range(_ROWS + 1)]
        for number, ((_, y0), (_, y1)) in enumerate(self._edges):
            for row in self._span(min(y0, y1), max(y0, y1)):
                self._rows[row].append(number)

    def whole(self, hole: FlatHole) -> bool:
        """The whole hole lies on the sheet; it may touch the edge."""
        segments, radius = centre_segments(hole, TOUCH_M)
        if not all(self._inside(start) for start, _ in segments):
            return False
        near = self._near(hole, 0.0)
        return not any(
            cross(segment, edge) or between_m(segment, edge) < radius
            for segment in segments
            for edge in near
        )

    def clear_m(self, hole: FlatHole, most_m: float) -> float:
        """Sheet between a hole and the edge [m], ``inf`` if more than ``most_m``.

        Negative where the hole breaks out, for how far see ``beyond_m``.
        """
        segments, radius = centre_segments(hole)
        if not all(self._inside(start) for start, _ in segments):
            return -inf
        near = self._near(hole, most_m)
        clear = min(
            (between_m(segment, edge) for segment in segments for edge in near), default=inf
        )
        return clear - radius if clear - radius <= most_m else inf

    def beyond_m(self, hole: FlatHole) -> float:
        """How far a hole that breaks out reaches beyond the sheet [m]."""
        segments, radius = centre_segments(hole)
        points = {point for pair in segments for point in pair}
        out = [point for point in points if not self._inside(point)]
        if out:
            return radius + max(self._nearest_m(point) for point in out)
        return max(0.0, -self.clear_m(hole, 0.0))

    def _nearest_m(self, point: Point) -> float:
        """From a point to the nearest edge [m]: row by row from its own, until none is nearer."""
        y, least = point[1], inf
        first = last = at = self._span(y, y)[0]
        while True:
            for number in self._rows[at]:
                least = min(least, to_m(point, self._edges[number]))
            # edges of no row so far lie wholly below or wholly above those
            below = y - (self._low + first * self._row) if first > 0 else inf
            above = self._low + (last + 1) * self._row - y if last < _ROWS else inf
            if min(below, above) > least + TOUCH_M or below == above == inf:
                return least
            if below <= above:
                first = at = first - 1
            else:
                last = at = last + 1

    def _near(self, hole: FlatHole, more_m: float) -> list[Segment]:
        """The edges that a box round the hole, so much larger, might meet."""
        across, up = (reach + more_m + TOUCH_M for reach in hole_reach_m(hole))
        left, right = hole.x_m - across, hole.x_m + across
        rows = self._span(hole.y_m - up, hole.y_m + up)
        numbers = {number for row in rows for number in self._rows[row]}
        edges = (self._edges[number] for number in sorted(numbers))
        return [
            edge
            for edge in edges
            if max(edge[0][0], edge[1][0]) >= left and min(edge[0][0], edge[1][0]) <= right
        ]

    def _inside(self, point: Point) -> bool:
        """By the number of edges to the right of the point."""
        x, y = point
        inside = False
        for number in self._rows[self._span(y, y)[0]]:
            (ax, ay), (bx, by) = self._edges[number]
            if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
                inside = not inside
        return inside

    def _span(self, low: float, high: float) -> range:
        first = min(max(floor((low - self._low) / self._row), 0), _ROWS)
        last = min(max(floor((high - self._low) / self._row), 0), _ROWS)
        return range(first, last + 1)
