"""Holes, slots and rectangular cut-outs in the flat pattern: outline, area and reach."""

from math import cos, pi, radians, sin

from msgspec import Struct

from domain.build.choices import HoleKind, HoleShape
from domain.fabrication.shape.path import Arc, Path, moved, rectangle, rounded


class FlatHole(Struct, frozen=True):
    """A hole in flat coordinates [m]; ``turn_deg`` there too.

    ``diameter_m`` is what is cut (the drill's, where a thread decides), the width of a slot or
    rectangle; ``across_m`` its overall length, ``None`` for a round hole. ``id`` is the hole's,
    or mount and stud as "o1.u2". ``drill_m`` and ``drill`` are the drill for it. ``corner_m``
    rounds a rectangle's corners; ``whole`` is whether all of it lies on the sheet, so that its
    area comes off.
    """

    id: str
    x_m: float
    y_m: float
    shape: HoleShape
    diameter_m: float
    across_m: float | None
    turn_deg: float
    kind: HoleKind
    thread: str
    drill_m: float
    panel: str
    drill: str
    corner_m: float = 0.0
    whole: bool = True


def hole_path(hole: FlatHole) -> Path:
    """The outline of a hole in flat coordinates [m], counter-clockwise."""
    radius = hole.diameter_m / 2
    if hole.shape is HoleShape.ROUND:
        return (Arc(hole.x_m, hole.y_m, radius, 0.0, 360.0),)
    across = hole.across_m or hole.diameter_m
    if hole.shape is HoleShape.SLOT and across - hole.diameter_m <= 1e-9:
        return (Arc(hole.x_m, hole.y_m, radius, 0.0, 360.0),)
    corner = radius if hole.shape is HoleShape.SLOT else hole.corner_m
    return moved(
        rounded(rectangle(across, hole.diameter_m), corner, 0.0),
        hole.x_m,
        hole.y_m,
        hole.turn_deg,
    )


def hole_area_m2(hole: FlatHole) -> float:
    """Area of a hole [m2]."""
    if hole.shape is HoleShape.ROUND:
        return pi / 4 * hole.diameter_m**2
    across = hole.across_m or hole.diameter_m
    corner = hole.diameter_m / 2 if hole.shape is HoleShape.SLOT else hole.corner_m
    corner = min(corner, hole.diameter_m / 2, across / 2)
    return across * hole.diameter_m - (4 - pi) * corner**2


def hole_reach_m(hole: FlatHole) -> tuple[float, float]:
    """Half the width and half the height of the box round a hole in flat coordinates [m]."""
    return box_reach_m(hole.shape, hole.diameter_m, hole.across_m, hole.turn_deg)


def box_reach_m(
    shape: HoleShape, diameter_m: float, across_m: float | None, turn_deg: float
) -> tuple[float, float]:
    """Half the width and half the height of the box round a cut-out turned so [m]."""
    radius = diameter_m / 2
    if shape is HoleShape.ROUND:
        return radius, radius
    half = (across_m or diameter_m) / 2
    c, s = abs(cos(radians(turn_deg))), abs(sin(radians(turn_deg)))
    if shape is HoleShape.SLOT:
        return (half - radius) * c + radius, (half - radius) * s + radius
    return half * c + radius * s, half * s + radius * c
