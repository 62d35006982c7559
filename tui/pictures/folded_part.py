"""The folded part as text: a line picture in parallel projection that can be turned.

Faces are drawn the furthest first, each wiping out what lies behind it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import asin, cos, degrees, radians, sin, sqrt, tan

from domain.build.records import Build, Part, find
from domain.fabrication.shape.flat_pattern import (
    BendLine,
    Flat,
    Folded,
    NotDeveloped,
    fold,
    hole_path,
    path_outline,
)
from domain.units.show import format_quantity
from tui.pictures.flat_part import MOST_HOLES, flat_of, flat_with_notes
from tui.pictures.raster import Point, Raster, around
from tui.widgets.cell_text import cut, wrap

TURN_DEG = 45.0
TILT_DEG = degrees(asin(1 / sqrt(3)))
"""Isometric: from the front right, all three axes foreshortened alike."""

STRIPS = 3
"""A bend is drawn as so many flat strips."""

LEAST_FOLDED = 20
"""Cells that the folded part takes at least beside the flat pattern."""

Space = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class _Face:
    """Corners in space, which sides are drawn, and the holes in it."""

    corners: tuple[Space, ...]
    drawn: tuple[bool, ...]
    holes: tuple[tuple[Space, ...], ...] = ()


def folded_picture(
    build: Build,
    part_id: str,
    width: int,
    height: int,
    turn_deg: float = TURN_DEG,
    tilt_deg: float = TILT_DEG,
) -> list[str]:
    """The folded part, seen from ``turn_deg`` about the upright axis and ``tilt_deg`` above.

    At most ``height`` lines; the last says how much room it takes.
    """
    flat = flat_of(build, part_id)
    part = find(build, part_id) if part_id else None
    folded = fold(build, part) if isinstance(part, Part) else None
    if isinstance(flat, str) or folded is None or isinstance(folded, NotDeveloped):
        return wrap(flat if isinstance(flat, str) else "It cannot be folded.", max(width, 1))
    seen = [_seen(face, turn_deg, tilt_deg) for face in _faces(flat, folded)]
    raster = Raster(around(p for _, pts, _, _ in seen for p in pts), width, max(height - 1, 2))
    for _, corners, drawn, holes in sorted(seen, key=lambda face: face[0]):
        raster.erase(corners)
        for start, end, shown in zip(corners, (*corners[1:], corners[0]), drawn, strict=True):
            if shown:
                raster.line(start, end)
        for hole in holes:
            raster.lines(hole, closed=True)
    across, along, up = (
        format_quantity("small_length", size, build.header.units) for size in folded.envelope
    )
    room = f"takes {across} across, {along} along, {up} up"
    return [*raster.text(), cut(room, width)]


def both_pictures(build: Build, part_id: str, width: int, height: int, here: str = "") -> list[str]:
    """The flat pattern, with the folded part beside it where there is room."""
    picture, notes = flat_with_notes(build, part_id, width, height, here)
    taken = max((len(line) for line in picture), default=0) + 3
    flat = flat_of(build, part_id)
    if not picture or isinstance(flat, str) or not flat.bends or width - taken < LEAST_FOLDED:
        return [*picture, *notes]
    folded = folded_picture(build, part_id, width - taken, len(picture))
    folded += [""] * (len(picture) - len(folded))
    beside = [
        f"{left.ljust(taken)}{right}".rstrip() for left, right in zip(picture, folded, strict=True)
    ]
    return [*beside, *notes]


def _seen(
    face: _Face, turn_deg: float, tilt_deg: float
) -> tuple[float, list[Point], tuple[bool, ...], list[list[Point]]]:
    """A face as it is seen: how near it is, its corners, sides drawn, and holes."""
    turn, tilt = radians(turn_deg), radians(tilt_deg)
    right = (cos(turn), sin(turn), 0.0)
    up = (-sin(turn) * sin(tilt), cos(turn) * sin(tilt), cos(tilt))
    eye = (sin(turn) * cos(tilt), -cos(turn) * cos(tilt), sin(tilt))

    def page(point: Space) -> Point:
        return _dot(point, right), _dot(point, up)

    depth = sum(_dot(corner, eye) for corner in face.corners) / len(face.corners)
    holes = [[page(point) for point in hole] for hole in face.holes]
    return depth, [page(corner) for corner in face.corners], face.drawn, holes


def _faces(flat: Flat, folded: Folded) -> Iterator[_Face]:
    thick = flat.thickness_m
    every = (True,) * 4
    for id, frame in folded.panels.items():
        x0, y0, x1, y1 = frame.core
        rim = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        holes = _holes(flat, id)
        for z in (0.0, -thick):
            corners = tuple(frame.at(x, y, z) for x, y in rim)
            cuts = tuple(tuple(frame.at(x, y, z) for x, y in hole) for hole in holes)
            yield _Face(corners, every, cuts)
        for (ax, ay), (bx, by) in zip(rim, (*rim[1:], rim[0]), strict=True):
            side = (frame.at(ax, ay), frame.at(bx, by))
            yield _Face((*side, frame.at(bx, by, -thick), frame.at(ax, ay, -thick)), every)
    for bend in flat.bends:
        yield from _bend_faces(flat, folded, bend)


def _holes(flat: Flat, panel: str) -> list[list[Point]]:
    place = flat.panels[panel]
    return [
        [place.back(x, y) for x, y in path_outline(hole_path(hole), 2e-4)]
        for hole in flat.holes[:MOST_HOLES]
        if hole.panel == panel
    ]


def _bend_faces(flat: Flat, folded: Folded, bend: BendLine) -> Iterator[_Face]:
    """Strips round a bend, on both faces of the sheet; only their ends are drawn."""
    child, parent = folded.panels[bend.panel], folded.panels[bend.joins]
    at_child, at_parent = flat.panels[bend.panel], flat.panels[bend.joins]
    half = bend.allowance_m / 2
    for z in (0.0, -flat.thickness_m):
        inside = (z == 0.0) == bend.up
        radius = bend.radius_m if inside else bend.radius_m + flat.thickness_m
        handle = 4 / 3 * tan(radians(bend.angle_deg) / 4) * radius
        rails = []
        for x, y in ((bend.x0, bend.y0), (bend.x1, bend.y1)):
            bx, by = at_child.back(x, y)
            start = parent.at(*at_parent.back(*at_child.at(bx, by - half)), z)
            behind = parent.at(*at_parent.back(*at_child.at(bx, by - half - 1.0)), z)
            out = _plus(start, behind, -1.0)
            rails.append(_curve(start, out, child.at(bx, by + half, z), child.y_axis, handle))
        for i in range(STRIPS):
            corners = (rails[0][i], rails[0][i + 1], rails[1][i + 1], rails[1][i])
            yield _Face(corners, (True, False, True, False))


def _curve(start: Space, out: Space, end: Space, on: Space, handle: float) -> list[Space]:
    """Points along a bend from where it leaves one panel to where it meets the other."""
    one, two = _plus(start, out, handle), _plus(end, on, -handle)
    found = []
    for i in range(STRIPS + 1):
        t = i / STRIPS
        u = 1 - t
        shares = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
        points = (start, one, two, end)
        x, y, z = (sum(s * p[k] for s, p in zip(shares, points, strict=True)) for k in range(3))
        found.append((x, y, z))
    return found


def _plus(a: Space, b: Space, q: float) -> Space:
    return a[0] + b[0] * q, a[1] + b[1] * q, a[2] + b[2] * q


def _dot(a: Space, b: Space) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
