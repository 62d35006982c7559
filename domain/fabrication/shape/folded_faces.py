"""The folded part as faces in space, and the view of them that every picture is painted from."""

from collections.abc import Iterator
from math import asin, cos, degrees, radians, sin, sqrt, tan

from msgspec import Struct

from domain.fabrication.shape.cutouts import hole_path
from domain.fabrication.shape.flat_pattern import BendLine, Flat
from domain.fabrication.shape.folding import Folded
from domain.fabrication.shape.path import path_outline
from domain.fabrication.shape.space import Space, along, dot, less

Point = tuple[float, float]

TURN_DEG = 45.0
TILT_DEG = degrees(asin(1 / sqrt(3)))
"""Isometric: from the front right, all three axes foreshortened alike."""

_EVERY = (True, True, True, True)
_ENDS = (True, False, True, False)
"""The first and the third edge of a face: the ends of a strip of a bend."""

_SIDES = (False, True, False, True)


class Face(Struct, frozen=True):
    """Four corners in world axes [m], which of the edges from each are drawn, and holes in it.

    The corners of an ``outward`` face run anticlockwise as seen from outside the sheet.
    """

    corners: tuple[Space, ...]
    drawn: tuple[bool, ...] = _EVERY
    holes: tuple[tuple[Space, ...], ...] = ()
    outward: bool = False


class SeenFace(Struct, frozen=True):
    """A face as it is seen [m]: its corners, the edges to draw, the holes in it."""

    corners: tuple[Point, ...]
    edges: tuple[tuple[Point, Point], ...]
    holes: tuple[tuple[Point, ...], ...]


def seen_faces(
    flat: Flat,
    folded: Folded,
    *,
    turn_deg: float = TURN_DEG,
    tilt_deg: float = TILT_DEG,
    strips: int = 6,
    chord_error_m: float = 1e-4,
    most_holes: int | None = None,
) -> list[SeenFace]:
    """The faces that look towards the eye, the furthest first: each hides what came before it.

    A parallel projection from ``turn_deg`` about the upright axis and ``tilt_deg`` above the root
    panel. A bend is a few flat strips; holes beyond the first ``most_holes`` are left out.
    """
    turn, tilt = radians(turn_deg), radians(tilt_deg)
    right = (cos(turn), sin(turn), 0.0)
    up = (-sin(turn) * sin(tilt), cos(turn) * sin(tilt), cos(tilt))
    eye = (sin(turn) * cos(tilt), -cos(turn) * cos(tilt), sin(tilt))

    def page(points: tuple[Space, ...]) -> tuple[Point, ...]:
        return tuple((dot(point, right), dot(point, up)) for point in points)

    found = []
    for face in folded_faces(flat, folded, strips, chord_error_m, most_holes):
        corners = page(face.corners)
        ends = (*corners[1:], corners[0])
        sides = list(zip(corners, ends, strict=True))
        if face.outward and sum(ax * by - bx * ay for (ax, ay), (bx, by) in sides) <= 1e-15:
            continue
        edges = tuple(side for side, drawn in zip(sides, face.drawn, strict=True) if drawn)
        depth = sum(dot(corner, eye) for corner in face.corners)
        found.append((depth, SeenFace(corners, edges, tuple(map(page, face.holes)))))
    return [face for _, face in sorted(found, key=lambda each: each[0])]


def folded_faces(
    flat: Flat, folded: Folded, strips: int, chord_error_m: float, most_holes: int | None = None
) -> Iterator[Face]:
    """Both faces and the free sides of every panel, and the strips and ends of every bend."""
    back = -flat.thickness_m
    joined = _joined_sides(flat)
    for id, frame in folded.panels.items():
        x0, y0, x1, y1 = frame.core
        rim = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        holes = _holes(flat, id, chord_error_m, most_holes)
        for z, corners in ((0.0, rim), (back, rim[::-1])):
            cuts = tuple(tuple(frame.at(x, y, z) for x, y in hole) for hole in holes)
            yield Face(tuple(frame.at(x, y, z) for x, y in corners), _EVERY, cuts, outward=True)
        for i, (ax, ay) in enumerate(rim):
            bx, by = rim[(i + 1) % 4]
            side = (frame.at(ax, ay), frame.at(ax, ay, back), frame.at(bx, by, back))
            if (id, i) not in joined:
                yield Face((*side, frame.at(bx, by)), outward=True)
    for bend in flat.bends:
        yield from _bend_faces(flat, folded, bend, strips)


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


def _holes(flat: Flat, panel: str, chord_error_m: float, most: int | None) -> list[list[Point]]:
    place = flat.panels[panel]
    return [
        [place.back(x, y) for x, y in path_outline(hole_path(hole), chord_error_m)]
        for hole in flat.holes[:most]
        if hole.panel == panel
    ]


def _bend_faces(flat: Flat, folded: Folded, bend: BendLine, strips: int) -> Iterator[Face]:
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
            px, py = at_parent.back(*at_child.at(bx, by - half))
            start = parent.at(px, py, z)
            out = less(start, parent.at(*at_parent.back(*at_child.at(bx, by - half - 1.0)), z))
            # Beside a larger bend at the same edge, sheet of the parent lies before this one.
            core = parent.at(min(max(px, x0), x1), min(max(py, y0), y1), z)
            pair.append([core, *_curve(start, out, end, child.y_axis, handle, strips)])
        rails.append(pair)
    for i in range(strips + 1):
        (a, b), (c, d) = ([rail[i], rail[i + 1]] for rail in rails[0])
        (e, f), (g, h) = ([rail[i], rail[i + 1]] for rail in rails[1])
        yield Face((a, c, d, b), _SIDES)
        yield Face((e, f, h, g), _ENDS)
        yield Face((a, b, f, e), _ENDS)
        yield Face((c, g, h, d), _SIDES)


def _curve(
    start: Space, out: Space, end: Space, on: Space, handle: float, strips: int
) -> list[Space]:
    """Points along a bend from where it leaves one panel to where it meets the other."""
    points = (start, along(start, out, handle), along(end, on, -handle), end)
    found = []
    for i in range(strips + 1):
        t = i / strips
        u = 1 - t
        shares = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
        x, y, z = (sum(s * p[k] for s, p in zip(shares, points, strict=True)) for k in range(3))
        found.append((x, y, z))
    return found
