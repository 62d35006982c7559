"""The folded part as a picture: its faces in the order in which they hide one another.

Isometric, seen from the front right and above the root panel's marked face. Lengths in
millimetres on the page before scaling; further faces come first.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import radians, sqrt, tan

from domain.fabrication.shape.flat_pattern import (
    BendLine,
    Flat,
    Folded,
    NotDeveloped,
    fold,
    hole_path,
    path_outline,
)
from storage.pack.pattern import MM, Pattern

Space = tuple[float, float, float]
Point = tuple[float, float]

_EYE = (1 / sqrt(3), -1 / sqrt(3), 1 / sqrt(3))
_RIGHT = (1 / sqrt(2), 1 / sqrt(2), 0.0)
_UP = (-1 / sqrt(6), 1 / sqrt(6), 2 / sqrt(6))

_STRIPS = 6
"""A bend is drawn as so many flat strips."""


@dataclass(frozen=True, slots=True)
class Face:
    """A face on the page: its corners, which of its edges are drawn, and the holes in it."""

    corners: tuple[Point, ...]
    edges: tuple[tuple[Point, Point], ...]
    holes: tuple[tuple[Point, ...], ...]
    depth: float


def faces(pattern: Pattern) -> list[Face]:
    """The faces that look towards the eye, the furthest first; none where it cannot be folded."""
    folded = fold(pattern.build, pattern.part)
    if isinstance(folded, NotDeveloped):
        return []
    flat = pattern.flat
    found = list(_all_faces(flat, folded))
    return sorted(found, key=lambda face: face.depth)


def _all_faces(flat: Flat, folded: Folded) -> Iterator[Face]:
    thick = flat.thickness_m
    joined = _joined_sides(flat)
    for id, frame in folded.panels.items():
        x0, y0, x1, y1 = frame.core
        rim = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        holes = [_hole_points(flat, id, i) for i in _holes_of(flat, id)]
        for z in (0.0, -thick):
            corners = [frame.at(x, y, z) for x, y in rim]
            if _looks_here(corners if z == 0 else corners[::-1]):
                yield _face(corners, [[frame.at(x, y, z) for x, y in hole] for hole in holes])
        for i in range(4):
            (ax, ay), (bx, by) = rim[i], rim[(i + 1) % 4]
            side = [frame.at(ax, ay), frame.at(ax, ay, -thick)]
            side += [frame.at(bx, by, -thick), frame.at(bx, by)]
            if (id, i) not in joined and _looks_here(side):
                yield _face(side, [])
    for bend in flat.bends:
        yield from _bend_faces(flat, folded, bend)


def _joined_sides(flat: Flat) -> set[tuple[str, int]]:
    """Sides of panels (near, right, far, left from 0) that a bend takes up, inside the sheet."""
    found = set()
    for bend in flat.bends:
        for id in (bend.panel, bend.joins):
            place = flat.panels[id]
            (ax, ay), (bx, by) = place.back(bend.x0, bend.y0), place.back(bend.x1, bend.y1)
            x0, y0, x1, y1 = place.core
            if abs(ay - by) < 1e-6 and abs(bx - ax) > 0.99 * (x1 - x0):
                found.add((id, 0 if ay < (y0 + y1) / 2 else 2))
            if abs(ax - bx) < 1e-6 and abs(by - ay) > 0.99 * (y1 - y0):
                found.add((id, 3 if ax < (x0 + x1) / 2 else 1))
    return found


def _holes_of(flat: Flat, id: str) -> list[int]:
    return [i for i, hole in enumerate(flat.holes) if hole.panel == id]


def _hole_points(flat: Flat, id: str, index: int) -> list[Point]:
    place = flat.panels[id]
    outline = path_outline(hole_path(flat.holes[index]), chord_error_m=1e-4)
    return [place.back(x, y) for x, y in outline]


def _bend_faces(flat: Flat, folded: Folded, bend: BendLine) -> Iterator[Face]:
    """Strips round a bend on both faces of the sheet, and its two ends."""
    child, parent = folded.panels[bend.panel], folded.panels[bend.joins]
    at_child, at_parent = flat.panels[bend.panel], flat.panels[bend.joins]
    half = bend.allowance_m / 2
    x0, y0, x1, y1 = parent.core
    rails: list[list[list[Space]]] = []
    for z in (0.0, -flat.thickness_m):
        inside = (z == 0.0) == bend.up
        radius = bend.radius_m if inside else bend.radius_m + flat.thickness_m
        handle = 4 / 3 * tan(radians(bend.angle_deg) / 4) * radius
        pair = []
        for x, y in ((bend.x0, bend.y0), (bend.x1, bend.y1)):
            bx, by = at_child.back(x, y)
            end = child.at(bx, by + half, z)
            ox, oy = at_child.at(bx, by - half)
            px, py = at_parent.back(ox, oy)
            tx, ty = at_parent.back(*at_child.at(bx, by - half - 1.0))
            start = parent.at(px, py, z)
            out = _less(start, parent.at(tx, ty, z))
            # Beside a larger bend at the same edge, sheet of the parent lies before this one.
            core = parent.at(min(max(px, x0), x1), min(max(py, y0), y1), z)
            pair.append([core, *_curve(start, out, end, child.y_axis, handle)])
        rails.append(pair)
    for i in range(_STRIPS + 1):
        (a, b), (c, d) = ([rail[i], rail[i + 1]] for rail in rails[0])
        (e, f), (g, h) = ([rail[i], rail[i + 1]] for rail in rails[1])
        yield _face([a, c, d, b], [], (0, 1, 0, 1))
        yield _face([e, f, h, g], [], (1, 0, 1, 0))
        yield _face([a, b, f, e], [], (1, 0, 1, 0))
        yield _face([c, g, h, d], [], (0, 1, 0, 1))


def _curve(start: Space, out: Space, end: Space, on: Space, handle: float) -> list[Space]:
    """Points along a bend from where it leaves one panel to where it meets the other."""
    one = _plus(start, out, handle)
    two = _plus(end, on, -handle)
    found = []
    for i in range(_STRIPS + 1):
        t = i / _STRIPS
        u = 1 - t
        shares = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
        points = (start, one, two, end)
        x, y, z = (
            sum(share * point[k] for share, point in zip(shares, points, strict=True))
            for k in range(3)
        )
        found.append((x, y, z))
    return found


def _looks_here(corners: list[Space]) -> bool:
    """The corners run counter-clockwise on the page."""
    flat = [_page(corner) for corner in corners]
    turned = sum(
        ax * by - bx * ay for (ax, ay), (bx, by) in zip(flat, (*flat[1:], flat[0]), strict=True)
    )
    return turned > 1e-9


def _face(
    corners: list[Space], holes: list[list[Space]], drawn: tuple[int, int, int, int] = (1, 1, 1, 1)
) -> Face:
    flat = [_page(corner) for corner in corners]
    edges = tuple((flat[i], flat[(i + 1) % 4]) for i in range(4) if drawn[i])
    depth = sum(_dot(corner, _EYE) for corner in corners) / len(corners)
    through = tuple(tuple(_page(point) for point in hole) for hole in holes)
    return Face(tuple(flat), edges, through, depth)


def _page(point: Space) -> Point:
    return _dot(point, _RIGHT) * MM, _dot(point, _UP) * MM


def _plus(a: Space, b: Space, q: float) -> Space:
    return a[0] + b[0] * q, a[1] + b[1] * q, a[2] + b[2] * q


def _less(a: Space, b: Space) -> Space:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _dot(a: Space, b: Space) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
