"""The part as a whole: material, heat, outline, edges, its own panels, the space."""

from domain.build.choices import HoleKind, UnitHabit
from domain.build.records import Part, Zone
from domain.fabrication.materials.heat import soaked_c, soaks
from domain.fabrication.materials.sheet_materials import HEAT_MARGIN_K, Material, material_names
from domain.fabrication.part_layout import PartLayout, Report
from domain.fabrication.shape.path import Arc
from domain.findings import Level
from domain.units.parse import format_quantity

WIRE_HOLE_M = 0.00635
"""A plain hole of this diameter [m] or more may be there for wire to pass. Common practice."""

LEAST_EDGE_M = 0.0254 / 32
"""Edges that wire touches are rounded to at least 1/32 in. Common practice."""

_TOUCH_M = 1e-6


def check_material(
    report: Report, part: Part, sheet: Material | None, zone: Zone | None, units: UnitHabit
) -> None:
    """The material is known, and its zone is not too warm for it."""
    name = part.name or part.id
    if sheet is None:
        report.add(
            Level.STOP,
            "material-unknown",
            f"{name}: the material {part.material!r} is not in the table",
            "its mass and its bends cannot be computed",
            f"use one of {', '.join(material_names())}",
            "materials table",
            ("parts", part.id, "material"),
        )
        return
    limit_c = sheet.limit_c
    if zone and limit_c is not None and soaked_c(zone) > limit_c:
        when = " after a hot soak" if soaks(zone) else ""
        report.add(
            Level.FIX,
            "part-too-warm",
            f"{name}: {sheet.name} is too soft for {zone.name or zone.id}",
            f"{format_quantity('temperature', soaked_c(zone), units)} there{when}, at most "
            f"{format_quantity('temperature', limit_c, units)}: heat deflection temperature "
            f"at 1.82 MPa less {HEAT_MARGIN_K:.0f} K",
            "take a material that stands more heat, or mount it elsewhere",
            "common practice, heat deflection temperature typical",
            ("parts", part.id, "material"),
        )


def check_shape(layout: PartLayout, report: Report) -> None:
    """Panels that cross, the outline's corners, edges for wire and the space."""
    _crossing(layout, report)
    _corners(layout, report)
    _bit(layout, report)
    _edges(layout, report)
    _space(layout, report)


def _crossing(layout: PartLayout, report: Report) -> None:
    for one, other in layout.flat.overlaps:
        if not report.full("panels-overlap", Level.STOP):
            report.add(
                Level.STOP,
                "panels-overlap",
                f"{layout.panel_name(other)} lies over {_short(layout, one)} in the flat pattern",
                "both would be cut from the same piece of sheet",
                "put it at another edge, shift or shorten it, or make two parts",
                "geometry",
                ("panels", other, "edge"),
            )
    known = {frozenset(pair) for pair in layout.flat.overlaps}
    for one, other in layout.folded.clashes:
        if frozenset((one, other)) not in known and not report.full("panels-clash", Level.STOP):
            report.add(
                Level.STOP,
                "panels-clash",
                f"{layout.panel_name(other)} runs into {_short(layout, one)} when folded",
                "both would be in the same place",
                "shorten one of them, or change its bend",
                "geometry",
                ("panels", other, "length_m"),
            )


def _corners(layout: PartLayout, report: Report) -> None:
    wanted, least = layout.part.corner_m, layout.flat.least_corner_m
    if not wanted or least >= wanted - _TOUCH_M:
        return
    report.add(
        Level.NOTE,
        "corner-too-large",
        f"{_name(layout)}: not every corner has room for its radius",
        f"{layout.show(wanted)} is asked for, the smallest that fits is {layout.show(least)}",
        f"make the corner radius {layout.show(least)}, or leave the smaller ones",
        "geometry",
        ("parts", layout.part.id, "corner_m"),
    )


def tightest_inner_m(layout: PartLayout) -> float | None:
    """Radius of the tightest inner corner or slit of the outline [m]; ``None`` if it has none."""
    arcs = (each for each in layout.flat.outline if isinstance(each, Arc))
    return min((arc.r for arc in arcs if arc.end_deg < arc.start_deg), default=None)


def _bit(layout: PartLayout, report: Report) -> None:
    """Does the router bit go into every inner corner and slit of the outline?"""
    bit, tightest = layout.part.cutter_m, tightest_inner_m(layout)
    if bit is None or tightest is None or tightest >= bit / 2 - _TOUCH_M:
        return
    report.add(
        Level.FIX,
        "bit-too-large",
        f"{_name(layout)}: the router bit does not go into every inner corner",
        f"the bit is {layout.show(bit)}, the tightest inner corner or slit takes "
        f"{layout.show(2 * tightest)}",
        f"take a bit of {layout.show(2 * tightest)} or less, or make the corner or slit wider",
        "geometry",
        ("parts", layout.part.id, "cutter_m"),
    )


def _edges(layout: PartLayout, report: Report) -> None:
    part = layout.part
    if part.edge_m > part.thickness_m + _TOUCH_M:
        report.add(
            Level.FIX,
            "edge-too-round",
            f"{_name(layout)}: the round-over is larger than the sheet is thick",
            f"{layout.show(part.edge_m)} on {layout.show(part.thickness_m)} sheet",
            f"make it {layout.show(part.thickness_m / 2)} or less to do both faces",
            "geometry",
            ("parts", part.id, "edge_m"),
        )
    if part.edge_m >= LEAST_EDGE_M - _TOUCH_M:
        return
    passing = [
        hole
        for hole in layout.placed
        if hole.kind is HoleKind.PLAIN and hole.diameter_m >= WIRE_HOLE_M - _TOUCH_M
    ]
    if passing:
        largest = max(passing, key=lambda hole: hole.diameter_m)
        count = f"hole {largest.id}" if len(passing) == 1 else f"{len(passing)} plain holes"
        report.add(
            Level.NOTE,
            "edge-sharp",
            f"{_name(layout)}: a wire through {count} would lie on a sharp edge",
            f"up to {layout.show(largest.diameter_m)} wide, edges rounded "
            f"{layout.show(part.edge_m)}, at least {layout.show(LEAST_EDGE_M)} for wire",
            f"round the edges over {layout.show(2 * LEAST_EDGE_M)}, or fit a grommet",
            "common practice",
            ("parts", part.id, "edge_m"),
        )


def _space(layout: PartLayout, report: Report) -> None:
    part = layout.part
    dx, dy, dz = layout.folded.envelope
    for size, space, field, way in (
        (dy, part.box_length_m, "box_length_m", "along"),
        (dx, part.box_width_m, "box_width_m", "across"),
        (dz, part.box_height_m, "box_height_m", "up"),
    ):
        if space is None or size <= space + _TOUCH_M:
            continue
        spaces = (part.box_length_m, part.box_width_m, part.box_height_m)
        turned = _fits_turned((dx, dy, dz), spaces)
        report.add(
            Level.FIX,
            "part-outside-space",
            f"{_name(layout)} is larger than the measured space: {way}",
            f"it is {layout.show(size)} {way}, the space {layout.show(space)}"
            + (": it would fit turned" if turned else ""),
            "mount it turned" if turned else f"make it {layout.show(size - space)} smaller {way}",
            "measured on the car",
            ("parts", part.id, field),
        )


def _fits_turned(sizes: tuple[float, float, float], spaces: tuple[float | None, ...]) -> bool:
    known = [space for space in spaces if space is not None]
    return len(known) == 3 and all(
        size <= space + _TOUCH_M for size, space in zip(sorted(sizes), sorted(known), strict=True)
    )


def _name(layout: PartLayout) -> str:
    return layout.part.name or layout.part.id


def _short(layout: PartLayout, id: str) -> str:
    return layout.tree.nodes[id].panel.name or id
