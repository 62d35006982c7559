"""Screws of mounted devices: long enough for what they hold, not so long that they foul.

The stack is the device's foot, a washer, the sheet, and behind a clearance hole a washer, a nut
and one pitch more. Common practice; washers and nuts of ASME B18.21.1 and B18.2.2, ISO 7089 and
ISO 4032.
"""

from math import cos, radians, sin

from domain.build.choices import HoleKind
from domain.build.records import Footprint, Mount, Stud
from domain.fabrication.materials.shop_practice import screw_range_m, screw_stack
from domain.fabrication.part_layout import PartLayout, Report
from domain.fabrication.shape.folding import panel_solids
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.solid_boxes import Axes, Solid, boxes_meet
from domain.findings import Level

_TOUCH_M = 1e-6
_THIN_M = 0.001
"""A screw's tip is tested as a box at least this wide [m]."""


def check_screws(layout: PartLayout, report: Report) -> None:
    """Every screw of every mounted footprint, and each device against the folded panels."""
    if not layout.records.mounts:
        return
    footprints = {footprint.id: footprint for footprint in layout.build.footprints}
    studs = {stud.id: stud for stud in layout.build.studs}
    mounts = {mount.id: mount for mount in layout.records.mounts}
    solids = panel_solids(layout.tree, layout.folded.panels)
    for hole in layout.placed:
        if hole.mount:
            stud, mount = studs[hole.stud], mounts[hole.mount]
            _length(layout, report, hole, stud, footprints[mount.footprint])
            _tip(layout, report, hole, stud, footprints[mount.footprint], solids)
    for mount in layout.records.mounts:
        footprint = footprints.get(mount.footprint)
        if footprint:
            _device(layout, report, mount, footprint, solids)


def _length(
    layout: PartLayout, report: Report, hole: PlacedHole, stud: Stud, feet: Footprint
) -> None:
    if stud.screw_m is None:
        return
    tapped = stud.kind is HoleKind.TAPPED
    useful = screw_range_m(stud.thread, feet.foot_m, layout.part.thickness_m, tapped)
    if useful is None:
        return
    least, most = useful
    stack = "foot, washer and sheet" if tapped else "foot, washers, sheet, nut and a pitch"
    show = layout.show
    if stud.screw_m < least - _TOUCH_M:
        if not report.full("screw-too-short", Level.FIX):
            report.add(
                Level.FIX,
                "screw-too-short",
                f"screw {stud.id} of {feet.name or feet.id} is too short",
                f"{show(stud.screw_m)} long; {stack} take {show(least)}",
                f"take a screw of {show(most)}",
                "common practice, stack of standard parts",
                ("studs", stud.id, "screw_m"),
            )
    elif stud.screw_m > most + _TOUCH_M and not report.full("screw-too-long", Level.NOTE):
        report.add(
            Level.NOTE,
            "screw-too-long",
            f"screw {stud.id} of {feet.name or feet.id} stands out behind",
            f"{show(stud.screw_m)} long; {stack} take {show(least)}",
            f"take a screw of {show(most)}, and look what is behind",
            "common practice, stack of standard parts",
            ("studs", stud.id, "screw_m"),
        )


def _tip(
    layout: PartLayout,
    report: Report,
    hole: PlacedHole,
    stud: Stud,
    feet: Footprint,
    solids: dict[str, Solid],
) -> None:
    """Does what stands out behind the sheet run into another panel of the part?"""
    stack = screw_stack(stud.thread)
    if stud.screw_m is None or stack is None:
        return
    thickness = layout.part.thickness_m
    out = stud.screw_m - feet.foot_m - stack.washer_m - thickness
    if out <= _TOUCH_M:
        return
    frame = layout.folded.panels[hole.panel]
    half = max(hole.diameter_m / 2, _THIN_M / 2)
    centre = frame.at(hole.x_m, hole.y_m, -thickness - out / 2)
    axes = (frame.x_axis, frame.y_axis, frame.normal)
    for id, solid in solids.items():
        if id != hole.panel and boxes_meet((centre, axes, (half, half, out / 2)), solid):
            if not report.full("screw-fouls", Level.FIX):
                report.add(
                    Level.FIX,
                    "screw-fouls",
                    f"screw {stud.id} of {feet.name or feet.id} runs into "
                    f"{layout.tree.nodes[id].panel.name or id}",
                    f"it stands out {layout.show(out)} behind the sheet",
                    "take a shorter screw, or move the device",
                    "geometry",
                    ("studs", stud.id, "screw_m"),
                )
            return


def _device(
    layout: PartLayout, report: Report, mount: Mount, feet: Footprint, solids: dict[str, Solid]
) -> None:
    """Does the device, standing on the marked face, run into another panel of the part?"""
    frame = layout.folded.panels[mount.panel]
    c, s = cos(radians(mount.turn_deg)), sin(radians(mount.turn_deg))
    x, y = frame.x_axis, frame.y_axis
    axes: Axes = (
        (x[0] * c + y[0] * s, x[1] * c + y[1] * s, x[2] * c + y[2] * s),
        (y[0] * c - x[0] * s, y[1] * c - x[1] * s, y[2] * c - x[2] * s),
        frame.normal,
    )
    centre = frame.at(mount.x_m, mount.y_m, feet.height_m / 2)
    half = (feet.length_m / 2, feet.width_m / 2, feet.height_m / 2)
    for id, solid in solids.items():
        if id != mount.panel and boxes_meet((centre, axes, half), solid):
            if not report.full("device-fouls", Level.FIX):
                report.add(
                    Level.FIX,
                    "device-fouls",
                    f"{feet.name or feet.id} on {layout.panel_name(mount.panel)} runs into "
                    f"{layout.tree.nodes[id].panel.name or id}",
                    f"it is {layout.show(feet.length_m)} by {layout.show(feet.width_m)} and "
                    f"{layout.show(feet.height_m)} high",
                    "move or turn it, or make the flange larger",
                    "geometry",
                    ("mounts", mount.id, "x_m"),
                )
            return
