"""Devices on a flange: none where another stands, none over the edge, none of sizes unmeasured."""

from itertools import combinations

from domain.build.records import Footprint, Mount
from domain.fabrication.footprints.device_sizes import sizes_assumed
from domain.fabrication.part_layout import PartLayout, Report
from domain.fabrication.shape.device_outline import (
    TOUCH_M,
    holds_point,
    outline,
    overhang,
    overlap,
)
from domain.fabrication.shape.panel_tree import Vector
from domain.findings import Level
from domain.units.show import format_size

PRACTICE = "common practice"

Placed = tuple[Mount, Footprint, tuple[Vector, ...]]


def check_placed(layout: PartLayout, report: Report) -> None:
    """Every device that is placed on the part: its sizes, its edge, and its neighbors."""
    placed = placed_devices(layout)
    told: set[str] = set()
    for mount, footprint, corners in placed:
        if not sizes_assumed(layout.build, footprint):
            _hangs_over(layout, report, mount, footprint, corners)
        elif footprint.id not in told:
            told.add(footprint.id)
            _assumed(layout, report, footprint)
    for one, other in combinations(placed, 2):
        if one[0].panel == other[0].panel:
            _beside(layout, report, one, other)


def placed_devices(layout: PartLayout, panel: str = "") -> list[Placed]:
    """The devices on a flange, or on the whole part, with their outlines [m]."""
    footprints = {footprint.id: footprint for footprint in layout.build.footprints}
    return [
        (mount, footprints[mount.footprint], outline(mount, footprints[mount.footprint]))
        for mount in layout.records.mounts
        if mount.footprint in footprints
        and mount.panel in layout.tree.nodes
        and (not panel or mount.panel == panel)
    ]


def _assumed(layout: PartLayout, report: Report, footprint: Footprint) -> None:
    if report.full("device-size-assumed", Level.NOTE):
        return
    called = footprint.name or footprint.id
    sizes = footprint.length_m, footprint.width_m, footprint.height_m
    report.add(
        Level.NOTE,
        "device-size-assumed",
        f"the size of {called} is assumed",
        f"{format_size('small_length', sizes, layout.units)} holds its place: nobody has entered "
        "what it measures, and where its screws go follows from that",
        f"measure {called} and enter length, width and height before you drill for it",
        PRACTICE,
        ("footprints", footprint.id, "length_m"),
    )


def _hangs_over(
    layout: PartLayout,
    report: Report,
    mount: Mount,
    footprint: Footprint,
    corners: tuple[Vector, ...],
) -> None:
    """What its screws hold on the flange may reach over it; not what stands on its corners, nor
    what has its middle beyond the edge.
    """
    node = layout.tree.nodes[mount.panel]
    over = overhang(node, corners)
    if over is None:
        return
    screwed = any(hole.mount == mount.id for hole in layout.placed)
    panel = node.panel
    middle_on = 0 <= mount.x_m <= panel.width_m and 0 <= mount.y_m <= panel.length_m
    level = Level.NOTE if screwed and middle_on else Level.FIX
    if report.full("device-over-edge", level):
        return
    called, by = footprint.name or footprint.id, layout.show(over.over_m)
    report.add(
        level,
        "device-over-edge",
        f"{called} reaches {by} over the edge of {layout.panel_name(mount.panel)}",
        f"it is {layout.show(footprint.length_m)} by {layout.show(footprint.width_m)}"
        + (
            ", and its screws hold it on the flange: look what it reaches there"
            if level is Level.NOTE
            else ", and its middle lies beyond the edge"
            if not middle_on
            else ", and no screw holds it on the flange"
        ),
        f"move it {by} back, turn it, or make the flange larger",
        PRACTICE,
        ("mounts", mount.id, "x_m" if over.back[0] else "y_m"),
    )


def _beside(layout: PartLayout, report: Report, one: Placed, other: Placed) -> None:
    """Two devices on one face share no room; through the sheet, no screw ends under a device."""
    (mount, footprint, corners), (mount_2, footprint_2, corners_2) = one, other
    depth, way = overlap(corners_2, corners)
    if depth <= TOUCH_M:
        return
    names = footprint.name or footprint.id, footprint_2.name or footprint_2.id
    under = [
        hole.id
        for hole in layout.placed
        if (hole.mount == mount.id and holds_point(corners_2, (hole.x_m, hole.y_m)))
        or (hole.mount == mount_2.id and holds_point(corners, (hole.x_m, hole.y_m)))
    ]
    where = layout.panel_name(mount.panel)
    covered = f"{len(under)} screw{' lies' if len(under) == 1 else 's lie'} under the other device"
    back_to_back = mount.mirrored != mount_2.mirrored
    if back_to_back and not under:
        return
    code = "screws-under-device" if back_to_back else "devices-overlap"
    if report.full(code, Level.FIX):
        return
    by = layout.show(depth)
    field = "x_m" if abs(way[0]) >= abs(way[1]) else "y_m"
    report.add(
        Level.FIX,
        code,
        f"{names[0]} and {names[1]} stand back to back on {where}, with screws under each other"
        if back_to_back
        else f"{names[0]} and {names[1]} overlap by {by} on {where}",
        f"{names[0]} is {_size(layout, footprint)}, {names[1]} {_size(layout, footprint_2)}"
        + (f"; {covered}" if under else ""),
        f"move one of them {by}, turn it, or make the flange larger",
        "geometry",
        ("mounts", mount_2.id, field),
    )


def _size(layout: PartLayout, footprint: Footprint) -> str:
    assumed = ", which is assumed" if sizes_assumed(layout.build, footprint) else ""
    return f"{layout.show(footprint.length_m)} by {layout.show(footprint.width_m)}{assumed}"
