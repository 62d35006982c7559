"""Custom parts: from panels and holes to flat pattern, area, mass, drills and findings."""

from functools import lru_cache

from msgspec.structs import replace

from domain.build.choices import PanelEdge, UnitHabit
from domain.build.records import (
    Build,
    Fixing,
    Footprint,
    Header,
    Hole,
    Mount,
    Panel,
    Part,
    Stud,
    Zone,
)
from domain.fabrication.checks.bends import check_bends
from domain.fabrication.checks.carried import check_carried
from domain.fabrication.checks.fixings import check_fixings
from domain.fabrication.checks.heat_growth import check_heat_growth
from domain.fabrication.checks.hole_spacing import check_spacing
from domain.fabrication.checks.holes import check_holes
from domain.fabrication.checks.inserts import check_inserts
from domain.fabrication.checks.placed import check_placed
from domain.fabrication.checks.screw_lengths import check_screws
from domain.fabrication.checks.strength import strength_findings
from domain.fabrication.checks.whole_part import check_material, check_shape
from domain.fabrication.materials.sheet_materials import Material, material
from domain.fabrication.other_hand import pieces
from domain.fabrication.part_layout import MOST_ALIKE, PartLayout, Report, layout_of_records
from domain.fabrication.shape.grain import grain_of
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import (
    NotDeveloped,
    PartRecords,
    Tree,
    build_panel_tree,
    records_by_part,
)
from domain.fabrication.strength.part_strength import strength
from domain.fabrication.strength.screws import screw_findings, screw_strength
from domain.findings import Finding, Level
from domain.sheet import HoleResult, PartResult


def fabricate(build: Build) -> tuple[tuple[PartResult, ...], tuple[Finding, ...]]:
    """Every part's flat pattern, area [m2] and mass [kg] of one piece, and what is wrong.

    A part that cannot be laid out keeps its line, with zero sizes and a finding that says why;
    one of an unknown material has its area but mass 0. Nothing in a build raises.
    """
    if not build.parts and not build.panels and not build.holes and not build.mounts:
        return (), ()
    findings = _orphans(build)
    zones = {zone.id: zone for zone in build.zones}
    results = []
    for records in records_by_part(build).values():
        feet = {mount.footprint for mount in records.mounts}
        result, found = _made(
            records.part,
            tuple(records.panels),
            tuple(records.holes),
            tuple(records.mounts),
            tuple(records.fixings),
            tuple(f for f in build.footprints if f.id in feet),
            tuple(s for s in build.studs if s.footprint in feet),
            zones.get(records.part.zone),
            build.header.units,
        )
        results.append(result)
        findings += found
    return tuple(results), tuple(findings)


@lru_cache(maxsize=256)
def _made(
    part: Part,
    panels: tuple[Panel, ...],
    holes: tuple[Hole, ...],
    mounts: tuple[Mount, ...],
    fixings: tuple[Fixing, ...],
    footprints: tuple[Footprint, ...],
    studs: tuple[Stud, ...],
    zone: Zone | None,
    units: UnitHabit,
) -> tuple[PartResult, tuple[Finding, ...]]:
    """One part with all its checks, from the records that bear on it: kept from edit to edit."""
    alone = Build(
        header=Header(units=units),
        zones=(zone,) if zone else (),
        parts=(part,),
        panels=panels,
        fixings=fixings,
        holes=holes,
        footprints=footprints,
        studs=studs,
        mounts=mounts,
    )
    records = records_by_part(alone)[part.id]
    placed = placed_holes(alone, records)
    result, found = _fabricate_one(alone, records, placed, zone)
    result = replace(result, strength=strength(alone, part, records, placed))
    found += strength_findings(alone, part, result.strength)
    tree = build_panel_tree(part, records.panels)
    if not isinstance(tree, NotDeveloped):
        report = Report(part, units)
        check_fixings(alone, records, tree, placed, result.strength, report)
        found += report.findings()
    found += screw_findings(alone, part, screw_strength(alone, part, records, placed))
    return result, tuple(found)


def _fabricate_one(
    build: Build, records: PartRecords, holes: list[PlacedHole], zone: Zone | None
) -> tuple[PartResult, list[Finding]]:
    part = records.part
    sheet = material(part.material)
    report = Report(part, build.header.units)
    if not records.panels:
        _no_panels(report, part)
        check_material(report, part, sheet, zone, build.header.units)
        return _empty(part, sheet, "no flanges"), report.findings()
    check_material(report, part, sheet, zone, build.header.units)
    check_carried(build, records, report)
    layout = layout_of_records(build, records, holes)
    if isinstance(layout, NotDeveloped):
        _not_developed(report, part, layout, records)
        return _empty(part, sheet, "not developed"), report.findings()
    check_bends(layout, report)
    check_holes(layout, report)
    check_spacing(layout, report)
    check_inserts(layout, report)
    check_heat_growth(layout, report)
    check_screws(layout, report)
    check_placed(layout, report)
    check_shape(layout, report)
    return _result(layout), report.findings()


def _result(layout: PartLayout) -> PartResult:
    part, sheet, flat = layout.part, layout.sheet, layout.flat
    return PartResult(
        id=part.id,
        name=part.name,
        shape=shape_of(layout.tree),
        material=sheet.name if sheet else part.material,
        thickness_m=part.thickness_m,
        flat_length_m=flat.height_m,
        flat_width_m=flat.width_m,
        area_m2=flat.area_m2,
        mass_kg=flat.mass_kg,
        bends=len(flat.bends),
        bend_allowance_m=sum(bend.allowance_m for bend in flat.bends),
        holes=tuple(
            HoleResult(
                id=hole.id,
                x_m=hole.x_m,
                y_m=hole.y_m,
                diameter_m=hole.diameter_m,
                drill=hole.drill,
                panel=hole.panel,
                kind=hole.kind.value,
                thread=hole.thread,
                shape=hole.shape.value,
            )
            for hole in flat.holes
        ),
        quantity=pieces(part),
        envelope_m=layout.folded.envelope,
        grain=grain_of(sheet, flat),
    )


def _empty(part: Part, sheet: Material | None, shape: str) -> PartResult:
    return PartResult(
        id=part.id,
        name=part.name,
        shape=shape,
        material=sheet.name if sheet else part.material,
        thickness_m=part.thickness_m,
        flat_length_m=0.0,
        flat_width_m=0.0,
        area_m2=0.0,
        mass_kg=0.0,
        bends=0,
        bend_allowance_m=0.0,
        holes=(),
        quantity=pieces(part),
    )


_OPPOSITE = (
    {PanelEdge.FAR, PanelEdge.NEAR},
    {PanelEdge.LEFT, PanelEdge.RIGHT},
    {PanelEdge.FAR},
    {PanelEdge.NEAR},
    {PanelEdge.LEFT},
    {PanelEdge.RIGHT},
)

_LINES = {
    (): "plate",
    (True,): "L",
    (True, True): "U",
    (True, False): "Z",
    (True, False, False, True): "hat",
}


def shape_of(tree: Tree) -> str:
    """What the shop calls the shape: plate, L, Z, U, hat, tray, or how many panels it has."""
    count = len(tree.nodes)
    root = tree.nodes[tree.root]
    arms = [joint for joints in root.joints.values() for joint in joints]
    same = len({joint.up for joint in arms}) == 1
    if count == 5 and len(arms) == 4 and len(root.joints) == 4 and same:
        return "tray"
    if not arms:
        return "plate"
    straight = set(root.joints) in _OPPOSITE and all(
        len(joints) == 1 and (node is root or edge is PanelEdge.FAR)
        for node in tree.nodes.values()
        for edge, joints in node.joints.items()
    )
    if not straight:
        return f"{count} flanges"
    turns = [*reversed(_arm(tree, arms[1].child) if len(arms) > 1 else [])]
    turns += _arm(tree, arms[0].child)
    if not turns:
        return "plate"
    line = tuple(turn == turns[0] for turn in turns)
    return _LINES.get(line, f"{count} flanges in a line")


def _arm(tree: Tree, id: str) -> list[bool]:
    """The bends from a child of the root outwards, up or down; flat joints are none."""
    found = []
    while True:
        node = tree.nodes[id]
        if node.joint and node.joint.angle_deg:
            found.append(node.joint.up)
        if PanelEdge.FAR not in node.joints:
            return found
        id = node.joints[PanelEdge.FAR][0].child


def _no_panels(report: Report, part: Part) -> None:
    report.add(
        Level.STOP,
        "part-without-panels",
        f"{part.name or part.id} has no flange",
        "there is nothing to cut",
        "add a flange, or remove the part",
        "geometry",
        ("parts", part.id, "name"),
    )


def _not_developed(report: Report, part: Part, why: NotDeveloped, records: PartRecords) -> None:
    panel = next((panel for panel in records.panels if panel.id == why.id), None)
    name = (panel.name or panel.id) if panel else (part.name or part.id)
    report.add(
        Level.STOP,
        "part-not-developed",
        f"{part.name or part.id} is not developed yet: no flat pattern",
        f"{name}: {why.why}",
        "join each flange to a free edge of another, long and wide enough for its bends",
        "geometry",
        (why.table, why.id, why.field),
    )


_LOST = (
    ("panels", "part", "panel", "belongs to no part", "its part"),
    ("holes", "panel", "hole", "is in no flange", "its flange"),
    ("mounts", "panel", "mount", "is on no flange", "its flange"),
    ("mounts", "footprint", "mount", "places no hole pattern", "its hole pattern"),
    ("fixings", "part", "fixing", "holds no part", "its part"),
)


def _orphans(build: Build) -> list[Finding]:
    """Panels of no part, holes and footprints in no panel: they are in nothing that is made."""
    found = []
    for table, field, noun, text, choose in _LOST:
        lost = [record for record in getattr(build, table) if not getattr(record, field)]
        for place, record in enumerate(lost[:MOST_ALIKE], 1):
            hidden = len(lost) - place if place == MOST_ALIKE else 0
            more = f", and so are {hidden} more" if hidden else ""
            called = build.name_of(record)
            called = f"flange {called}" if called == record.id else called
            found.append(
                Finding(
                    Level.FIX,
                    f"{noun}-without-{field}",
                    f"{called} {text}",
                    f"it is in no flat pattern and not in the materials{more}",
                    f"choose {choose}, or remove it",
                    "common practice",
                    table,
                    record.id,
                    field,
                )
            )
    return found
