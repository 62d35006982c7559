"""Where a device finds room on a flange, and leaves room for others."""

from collections.abc import Iterable

from domain.build.records import Footprint
from domain.fabrication.checks.placed import placed_devices
from domain.fabrication.materials.shop_practice import screw_stack
from domain.fabrication.part_layout import PartLayout
from domain.fabrication.shape.device_outline import (
    FINGER_ROOM_M,
    box_about,
    free_places,
)
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import Rect, Vector

Spot = tuple[float, float, float]
"""Where a device stands, and turned how far [m, deg]."""

TURNS_DEG = (0.0, 90.0)

ROOMS_M = (FINGER_ROOM_M, 0.0)
"""How far from others, the better first."""

ROOM_FOR = 3
"""Of its own size so many more should find room beside a device, where that can be."""


def free_spot(layout: PartLayout, panel: str, footprint: Footprint) -> Spot | None:
    """Where a device stands best: clear of others and of screws, or of others.

    In the middle, unless another place leaves room for more like it. ``None`` where it has no room.
    """
    core = layout.tree.nodes[panel].core
    others = [corners for _, _, corners in placed_devices(layout, panel)]
    screws = [_square(hole) for hole in layout.placed if hole.panel == panel and not hole.mount]
    size = footprint.length_m, footprint.width_m
    for taken in ([*others, *screws], others):
        for turn_deg in TURNS_DEG:
            for room_m in ROOMS_M:
                spots = free_places(core, size, turn_deg, taken, room_m)
                best = _leaving_most(core, size, turn_deg, taken, spots)
                if best is not None:
                    return (*best, turn_deg)
    return None


def _leaving_most(
    core: Rect,
    size: tuple[float, float],
    turn_deg: float,
    taken: list[tuple[Vector, ...]],
    spots: Iterable[Vector],
) -> Vector | None:
    """The first of the places that leaves room for ``ROOM_FOR`` more, or for the most."""
    best, most = None, -1
    for spot in spots:
        more = _more(core, size, [*taken, box_about(spot, size, turn_deg)])
        if more > most:
            best, most = spot, more
        if more == ROOM_FOR:
            break
    return best


def _more(core: Rect, size: tuple[float, float], taken: list[tuple[Vector, ...]]) -> int:
    """How many more of a size find room, put from a corner on; ``ROOM_FOR`` at most."""
    for count in range(ROOM_FOR):
        found = next(
            (
                box_about(min(places), size, turn_deg)
                for turn_deg in TURNS_DEG
                for room_m in ROOMS_M
                if (places := list(free_places(core, size, turn_deg, taken, room_m)))
            ),
            None,
        )
        if found is None:
            return count
        taken = [*taken, found]
    return ROOM_FOR


def _square(hole: PlacedHole) -> tuple[tuple[float, float], ...]:
    """The square about a hole and the washer of its screw [m]."""
    stack = screw_stack(hole.thread)
    half = max(hole.diameter_m, hole.across_m or 0.0, stack.washer_od_m if stack else 0.0) / 2
    return box_about((hole.x_m, hole.y_m), (2 * half, 2 * half), 0.0)
