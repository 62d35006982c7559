"""What can be wrong with a custom part, as findings.

``show`` writes a length [m] in the units of the build's habit.
"""

from collections.abc import Callable

from domain.build import Hole, HoleKind, Panel, Part, UnitHabit, Zone
from domain.fabrication.holes import (
    Drill,
    clearance_drill,
    tap_drill,
    thread_names,
)
from domain.fabrication.layout import FlatPanel
from domain.fabrication.materials import (
    HEAT_MARGIN_K,
    Material,
    material_names,
    min_bend_radius_m,
)
from domain.findings import Finding, Level
from domain.units import format_quantity

Show = Callable[[float], str]

EDGE_DIAMETERS = 2.0
"""Least distance from a screw hole's centre to a free edge, in hole diameters. Common practice."""

DRILL_DIFFERENCE_M = 0.0002
"""An entered diameter this far [m] from the screw's drill is worth a note. Common practice."""

_TOUCH_M = 1e-6
"""Lengths closer than this [m] are equal: typed inches leave such crumbs."""


def finding(
    level: Level, code: str, what: str, why: str, do: str, source: str, at: tuple[str, str, str]
) -> Finding:
    """A finding at (table, id, field)."""
    return Finding(level, code, what, why, do, source, *at)


def check_part(
    part: Part, sheet: Material | None, zone: Zone | None, panels: int, units: UnitHabit
) -> list[Finding]:
    """The part as a whole: its material is known, its zone not too warm, and it has panels."""
    name = part.name or part.id
    found = []
    if not panels:
        found.append(
            finding(
                Level.STOP,
                "part-without-panels",
                f"{name} has no panel",
                "there is nothing to cut",
                "add a panel, or remove the part",
                "geometry",
                ("parts", part.id, "name"),
            )
        )
    if sheet is None:
        found.append(
            finding(
                Level.STOP,
                "material-unknown",
                f"{name}: the material {part.material!r} is not in the table",
                "its mass and its bends cannot be computed",
                f"use one of {', '.join(material_names())}",
                "materials table",
                ("parts", part.id, "material"),
            )
        )
    limit_c = sheet.limit_c if sheet else None
    if sheet and zone and limit_c is not None and zone.ambient_c > limit_c:
        found.append(
            finding(
                Level.FIX,
                "part-too-warm",
                f"{name}: {sheet.name} is too soft for {zone.name or zone.id}",
                f"{format_quantity('temperature', zone.ambient_c, units)} there, at most "
                f"{format_quantity('temperature', limit_c, units)}: heat deflection temperature "
                f"at 1.82 MPa less {HEAT_MARGIN_K:.0f} K",
                "take a material that stands more heat, or mount it elsewhere",
                "common practice, heat deflection temperature typical",
                ("parts", part.id, "material"),
            )
        )
    return found


def check_bends(
    part: Part, sheet: Material | None, panels: list[Panel], show: Show
) -> list[Finding]:
    """Each bend against the material: can it be bent at all, and that tightly."""
    if sheet is None:
        return []
    found = []
    least_m = min_bend_radius_m(sheet, part.thickness_m)
    for panel in panels:
        if not panel.joins or panel.bend_deg == 0:
            continue
        where = f"{panel.name or panel.id} of {part.name or part.id}"
        if sheet.bends == "no":
            found.append(
                finding(
                    Level.STOP,
                    "bend-impossible",
                    f"{where}: {sheet.name} is not bent",
                    f"a bend of {panel.bend_deg:.4g} degrees is asked for",
                    "join two pieces, or take a material that bends",
                    "common practice",
                    ("parts", part.id, "material"),
                )
            )
        elif least_m is not None and panel.bend_radius_m < least_m - _TOUCH_M:
            found.append(
                finding(
                    Level.FIX,
                    "bend-too-tight",
                    f"{where}: the bend is too tight for {sheet.name}",
                    f"inside radius {show(panel.bend_radius_m)}, at least {show(least_m)} "
                    f"for {show(part.thickness_m)} sheet",
                    f"make the inside radius {show(least_m)} or more",
                    _radius_source(sheet),
                    ("panels", panel.id, "bend_radius_m"),
                )
            )
    return found


def check_hole(part: Part, flat: FlatPanel, hole: Hole, drill: Drill, show: Show) -> list[Finding]:
    """One hole: on the panel, away from edges and bends, and its thread known."""
    found = _check_thread(part, flat, hole, drill, show)
    panel = flat.panel
    radius_m = drill.diameter_m / 2
    where = f"hole {hole.id} in {panel.name or panel.id} of {part.name or part.id}"
    off_x = not 0 <= hole.x_m <= panel.width_m
    if off_x or not 0 <= hole.y_m <= panel.length_m:
        found.append(
            finding(
                Level.STOP,
                "hole-off-panel",
                f"{where} is not on the panel",
                f"its centre is {show(hole.x_m)} along and {show(hole.y_m)} up, the panel is "
                f"{show(panel.width_m)} by {show(panel.length_m)}",
                "move the hole, or make the panel larger",
                "geometry",
                ("holes", hole.id, "x_m" if off_x else "y_m"),
            )
        )
        return found
    near, far = flat.near_setback_m, flat.far_setback_m
    in_near = near is not None and near > 0 and hole.y_m - radius_m < near - _TOUCH_M
    in_far = far is not None and far > 0 and hole.y_m + radius_m > panel.length_m - far + _TOUCH_M
    if in_near or in_far:
        setback_m = (near if in_near else far) or 0.0
        found.append(
            finding(
                Level.FIX,
                "hole-in-bend",
                f"{where} runs into the bend",
                f"the bend takes {show(setback_m)} of the panel there",
                f"keep its centre {show(setback_m + radius_m)} from that end",
                "geometry",
                ("holes", hole.id, "y_m"),
            )
        )
    found += _check_edges(where, flat, hole, radius_m, show)
    return found


def _check_edges(
    where: str, flat: FlatPanel, hole: Hole, radius_m: float, show: Show
) -> list[Finding]:
    panel = flat.panel
    edges = [(hole.x_m, "x_m"), (panel.width_m - hole.x_m, "x_m")]
    if flat.near_setback_m is None:
        edges.append((hole.y_m, "y_m"))
    if flat.far_setback_m is None:
        edges.append((panel.length_m - hole.y_m, "y_m"))
    distance_m, field = min(edges)
    at = ("holes", hole.id, field)
    if distance_m < radius_m - _TOUCH_M:
        return [
            finding(
                Level.STOP,
                "hole-breaks-out",
                f"{where} breaks out of the edge",
                f"its centre is {show(distance_m)} from the edge, its radius {show(radius_m)}",
                f"keep its centre {show(2 * radius_m * EDGE_DIAMETERS)} from the edge",
                "geometry",
                at,
            )
        ]
    least_m = 2 * radius_m * EDGE_DIAMETERS
    if distance_m >= least_m - _TOUCH_M:
        return []
    return [
        finding(
            Level.NOTE if hole.kind is HoleKind.PLAIN else Level.FIX,
            "hole-near-edge",
            f"{where} is near the edge",
            f"{show(distance_m)} from centre to edge, two diameters are {show(least_m)}",
            f"keep its centre {show(least_m)} from the edge",
            "common practice",
            at,
        )
    ]


def _check_thread(
    part: Part, flat: FlatPanel, hole: Hole, drill: Drill, show: Show
) -> list[Finding]:
    where = f"hole {hole.id} in {flat.panel.name or flat.panel.id} of {part.name or part.id}"
    tapped = hole.kind is HoleKind.TAPPED
    if hole.kind is HoleKind.PLAIN or (not tapped and not hole.thread):
        return []
    known = tap_drill(hole.thread) if tapped else clearance_drill(hole.thread)
    if known is None:
        return [
            finding(
                Level.FIX,
                "thread-unknown",
                f"{where}: no drill is known for the thread {hole.thread!r}"
                if hole.thread
                else f"{where} is tapped, but no thread is given",
                f"drilled {drill.name}, nearest to the diameter that was entered",
                f"use one of {', '.join(thread_names())}",
                "thread table",
                ("holes", hole.id, "thread"),
            )
        ]
    if abs(known.diameter_m - hole.diameter_m) <= DRILL_DIFFERENCE_M:
        return []
    return [
        finding(
            Level.NOTE,
            "hole-drilled-for-thread",
            f"{where} is drilled {known.name} for {hole.thread}",
            f"{show(hole.diameter_m)} was entered, {show(known.diameter_m)} is used",
            f"enter {show(known.diameter_m)}, or make it a plain hole to keep the diameter",
            "drill and tap chart" if tapped else "ASME B18.2.8 or ISO 273, normal fit",
            ("holes", hole.id, "diameter_m"),
        )
    ]


def _radius_source(sheet: Material) -> str:
    if sheet.stock == "aluminium":
        return "Aluminum Association Table 3-1, 90 degree cold bend"
    return "common practice, 90 degree bend"
