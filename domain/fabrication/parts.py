"""Custom parts: from panels and holes to flat pattern, area, mass, drills and findings."""

from functools import partial
from math import pi

from domain.build import Build, Hole, HoleKind, Panel, Part
from domain.fabrication.bends import k_factor
from domain.fabrication.checks import check_bends, check_hole, check_part, finding
from domain.fabrication.holes import Drill, clearance_drill, nearest_drill, tap_drill
from domain.fabrication.layout import FlatPanel, FlatPattern, NotDeveloped, develop
from domain.fabrication.materials import Material, material
from domain.findings import Finding, Level
from domain.sheet import HoleResult, PartResult
from domain.units import format_quantity


def fabricate(build: Build) -> tuple[tuple[PartResult, ...], tuple[Finding, ...]]:
    """Every part's flat pattern, area [m2] and mass [kg] of one piece, and what is wrong.

    A part that cannot be laid out keeps its line, with zero sizes and a finding that says why;
    one of an unknown material has its area but mass 0. Nothing in a build raises.
    """
    panels: dict[str, list[Panel]] = {}
    for panel in build.panels:
        panels.setdefault(panel.part, []).append(panel)
    holes: dict[str, list[Hole]] = {}
    for hole in build.holes:
        holes.setdefault(hole.panel, []).append(hole)
    findings = _orphans(panels, holes)
    results = []
    for part in build.parts:
        own = panels.get(part.id, [])
        results.append(_fabricate_one(build, part, own, holes, findings))
    return tuple(results), tuple(findings)


def hole_drill(build: Build, hole: Hole) -> Drill:
    """The drill for a hole: by its thread where a table has it, else nearest to its diameter."""
    drill = None
    if hole.kind is HoleKind.TAPPED:
        drill = tap_drill(hole.thread)
    elif hole.kind is HoleKind.CLEARANCE:
        drill = clearance_drill(hole.thread)
    return drill or nearest_drill(hole.diameter_m, build.header.units)


def _fabricate_one(
    build: Build,
    part: Part,
    panels: list[Panel],
    holes: dict[str, list[Hole]],
    findings: list[Finding],
) -> PartResult:
    show = partial(format_quantity, "small_length", units=build.header.units)
    sheet = material(part.material)
    zone = next((zone for zone in build.zones if zone.id == part.zone), None)
    findings += check_part(part, sheet, zone, len(panels), build.header.units)
    pattern = None
    if panels:
        findings += check_bends(part, sheet, panels, show)
        try:
            pattern = develop(panels, part.thickness_m, _k(sheet))
        except NotDeveloped as error:
            panel = next(panel for panel in panels if panel.id == error.id)
            findings.append(_not_developed(part, panel, error))
    if pattern is None:
        return _result(part, sheet, None, "no panels" if not panels else "not developed", (), 0.0)
    drilled: list[HoleResult] = []
    removed = 0.0
    for flat in pattern.panels:
        for hole in holes.get(flat.panel.id, []):
            drill = hole_drill(build, hole)
            x_m, y_m = flat.place(hole.x_m, hole.y_m)
            drilled.append(HoleResult(hole.id, x_m, y_m, drill.diameter_m, drill.name))
            findings += check_hole(part, flat, hole, drill, show)
            if _inside(flat, hole, drill):
                removed += pi / 4 * drill.diameter_m**2
    return _result(part, sheet, pattern, _shape(pattern), tuple(drilled), removed)


def _result(
    part: Part,
    sheet: Material | None,
    pattern: FlatPattern | None,
    shape: str,
    holes: tuple[HoleResult, ...],
    removed_m2: float,
) -> PartResult:
    area = max(0.0, pattern.area_m2 - removed_m2) if pattern else 0.0
    density = sheet.density_kg_m3 if sheet else 0.0
    return PartResult(
        id=part.id,
        name=part.name,
        shape=shape,
        material=sheet.name if sheet else part.material,
        thickness_m=part.thickness_m,
        flat_length_m=pattern.length_m if pattern else 0.0,
        flat_width_m=pattern.width_m if pattern else 0.0,
        area_m2=area,
        mass_kg=area * part.thickness_m * density,
        bends=pattern.bends if pattern else 0,
        bend_allowance_m=pattern.bend_allowance_m if pattern else 0.0,
        holes=holes,
        quantity=part.quantity,
    )


def _k(sheet: Material | None) -> float:
    """K of the material; half the thickness where there is none (unknown, or never bent)."""
    if sheet is None or sheet.k_class == "none":
        return 0.5
    return k_factor(sheet.k_class)


def _shape(pattern: FlatPattern) -> str:
    count = len(pattern.panels)
    if count > 3:
        return f"{count} panels in a line"
    return {1: "plate", 2: "L", 3: "U or Z"}[count]


def _inside(flat: FlatPanel, hole: Hole, drill: Drill) -> bool:
    """The whole hole lies in its panel, so that its area comes off once and only once."""
    radius = drill.diameter_m / 2
    panel = flat.panel
    across = radius <= hole.x_m <= panel.width_m - radius
    return across and radius <= hole.y_m <= panel.length_m - radius


def _not_developed(part: Part, panel: Panel, error: NotDeveloped) -> Finding:
    return finding(
        Level.STOP,
        "part-not-developed",
        f"{part.name or part.id} is not developed yet: no flat pattern",
        f"{panel.name or panel.id}: {error}",
        "join the panels in one line, each to one before it, long enough for its bends",
        "geometry",
        ("panels", panel.id, error.field),
    )


def _orphans(panels: dict[str, list[Panel]], holes: dict[str, list[Hole]]) -> list[Finding]:
    """Panels of no part and holes in no panel: they are in nothing that is made."""
    found = [
        finding(
            Level.FIX,
            "panel-without-part",
            f"{panel.name or panel.id} belongs to no part",
            "it is in no flat pattern and not in the materials",
            "choose its part, or remove it",
            "common practice",
            ("panels", panel.id, "part"),
        )
        for panel in panels.get("", [])
    ]
    found += [
        finding(
            Level.FIX,
            "hole-without-panel",
            f"hole {hole.id} is in no panel",
            "it is in no flat pattern",
            "choose its panel, or remove it",
            "common practice",
            ("holes", hole.id, "panel"),
        )
        for hole in holes.get("", [])
    ]
    return found
