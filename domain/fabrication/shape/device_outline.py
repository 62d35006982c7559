"""Outlines of devices on a flange: how far two overlap, how far one hangs over an edge, and where
there is room for one more.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import cos, hypot, radians, sin

from msgspec import Struct

from domain.build.records import Footprint, Mount
from domain.fabrication.shape.hole_placing import stud_place
from domain.fabrication.shape.panel_tree import Node, Rect, Vector

TOUCH_M = 1e-5
"""Outlines that reach into each other by less than this [m] only touch."""

FINGER_ROOM_M = 0.00635
"""A device is put this far from others [m] where there is room. Common practice: 1/4 in."""


class Overhang(Struct, frozen=True):
    """How far [m] a device reaches over an edge, and which way it would move back."""

    over_m: float
    back: Vector


def outline(mount: Mount, footprint: Footprint) -> tuple[Vector, ...]:
    """The four corners of a mounted device on its flange [m], counter-clockwise."""
    long, wide = footprint.length_m, footprint.width_m
    corners = ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    placed = tuple(stud_place(mount, footprint, x, y) for x, y in corners)
    return placed[::-1] if mount.mirrored else placed


def overlap(one: Sequence[Vector], other: Sequence[Vector]) -> tuple[float, Vector]:
    """How far two convex outlines reach into each other [m], and the way the first would move out.

    The least distance that parts them (separating axes); not positive where they are apart.
    """
    least, way = float("inf"), (1.0, 0.0)
    for corners in (one, other):
        for (x0, y0), (x1, y1) in pairwise((*corners, corners[0])):
            long = hypot(x1 - x0, y1 - y0)
            axis = (y1 - y0) / long, (x0 - x1) / long
            a, b = _shadow(one, axis), _shadow(other, axis)
            for depth, sign in ((a[1] - b[0], -1.0), (b[1] - a[0], 1.0)):
                if depth < least:
                    least, way = depth, (sign * axis[0], sign * axis[1])
    return least, way


def holds_point(corners: Sequence[Vector], point: Vector) -> bool:
    """Whether a point lies within a convex outline, by more than a touch."""
    for (x0, y0), (x1, y1) in pairwise((*corners, corners[0])):
        turned = (x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)
        if turned <= TOUCH_M * hypot(x1 - x0, y1 - y0):
            return False
    return True


def overhang(node: Node, corners: Sequence[Vector]) -> Overhang | None:
    """The edge that a device reaches furthest over; ``None`` where it stands on its flange.

    Where the sheet goes on flat there is no edge; where it is bent up, the device runs into it,
    which is told as such.
    """
    long, wide = node.panel.length_m, node.panel.width_m
    no_edge = {
        edge.value
        for edge, joints in node.joints.items()
        if any(joint.up or not joint.angle_deg for joint in joints)
    }
    if node.joint and (node.joint.up or not node.joint.angle_deg):
        no_edge.add("near")
    low_x, high_x = _shadow(corners, (1.0, 0.0))
    low_y, high_y = _shadow(corners, (0.0, 1.0))
    found = [
        Overhang(over, back)
        for edge, over, back in (
            ("left", -low_x, (1.0, 0.0)),
            ("right", high_x - wide, (-1.0, 0.0)),
            ("near", -low_y, (0.0, 1.0)),
            ("far", high_y - long, (0.0, -1.0)),
        )
        if over > TOUCH_M and edge not in no_edge
    ]
    return max(found, key=lambda each: each.over_m, default=None)


def free_place(
    area: Rect, size: tuple[float, float], turn_deg: float, taken: Iterable[Sequence[Vector]]
) -> Vector | None:
    """Where the centre of a device has room in an area, nearest to its middle; ``None``: nowhere.

    ``taken`` are outlines to keep clear of, by ``FINGER_ROOM_M`` if that can be.
    """
    taken = list(taken)
    return next(
        (
            at
            for room_m in (FINGER_ROOM_M, 0.0)
            for at in free_places(area, size, turn_deg, taken, room_m)
        ),
        None,
    )


def free_places(
    area: Rect,
    size: tuple[float, float],
    turn_deg: float,
    taken: Iterable[Sequence[Vector]],
    room_m: float,
) -> Iterator[Vector]:
    """Where the centre of a device has room in an area, those nearest to its middle first.

    In the middle, at the edges, and beside the outlines that are ``taken``, ``room_m`` from each.
    """
    half = _half(size, turn_deg)
    low = area[0] + half[0], area[1] + half[1]
    high = area[2] - half[0], area[3] - half[1]
    if low[0] > high[0] + TOUCH_M or low[1] > high[1] + TOUCH_M:
        return
    middle = (area[0] + area[2]) / 2, (area[1] + area[3]) / 2
    boxes = [(*_shadow(each, (1.0, 0.0)), *_shadow(each, (0.0, 1.0))) for each in taken]
    xs = {low[0], middle[0], high[0]}
    ys = {low[1], middle[1], high[1]}
    for x0, x1, y0, y1 in boxes:
        xs |= {x0 - half[0] - room_m, x1 + half[0] + room_m}
        ys |= {y0 - half[1] - room_m, y1 + half[1] + room_m}
    places = sorted(
        (
            (x, y)
            for x in xs
            for y in ys
            if low[0] - TOUCH_M <= x <= high[0] + TOUCH_M
            and low[1] - TOUCH_M <= y <= high[1] + TOUCH_M
        ),
        key=lambda at: (round(hypot(at[0] - middle[0], at[1] - middle[1]), 6), at),
    )
    for x, y in places:
        if all(
            x + half[0] + room_m <= x0 + TOUCH_M
            or x - half[0] - room_m >= x1 - TOUCH_M
            or y + half[1] + room_m <= y0 + TOUCH_M
            or y - half[1] - room_m >= y1 - TOUCH_M
            for x0, x1, y0, y1 in boxes
        ):
            yield x, y


def _half(size: tuple[float, float], turn_deg: float) -> tuple[float, float]:
    """Half of what a turned device takes along the width and along the length [m]."""
    c, s = abs(cos(radians(turn_deg))), abs(sin(radians(turn_deg)))
    return (c * size[0] + s * size[1]) / 2, (s * size[0] + c * size[1]) / 2


def box_about(at: Vector, size: tuple[float, float], turn_deg: float) -> tuple[Vector, ...]:
    """The rectangle along the edges of the flange that a device takes at a place [m]."""
    (x, y), half = at, _half(size, turn_deg)
    low, high = (x - half[0], y - half[1]), (x + half[0], y + half[1])
    return low, (high[0], low[1]), high, (low[0], high[1])


def _shadow(corners: Iterable[Vector], axis: Vector) -> tuple[float, float]:
    """Least and greatest of an outline along an axis."""
    along = [x * axis[0] + y * axis[1] for x, y in corners]
    return min(along), max(along)
