"""The flat pattern of a part: outline, holes, bends, where each panel lies, area and mass.

``develop`` gives the flat pattern, ``fold`` the finished shape; both come from the same tree of
panels. Flat coordinates [m]: x to the right, y upward, seen on the marked face, the least of
both being 0; the root panel stands upright in them.

Sources: bend allowance as in ``domain.fabrication.shape.bend_allowance``; widths of heated strips:
typical figures, from memory.
"""

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import HoleShape
from domain.build.records import Build, Part
from domain.fabrication.materials.drills import Drill
from domain.fabrication.materials.sheet_materials import Material
from domain.fabrication.shape.cutouts import FlatHole, hole_area_m2, hole_path, hole_reach_m
from domain.fabrication.shape.folding import Folded, PanelFrame, fold
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import (
    Joint,
    NotDeveloped,
    PartRecords,
    Tree,
    build_panel_tree,
    records_by_part,
)
from domain.fabrication.shape.path import (
    Arc,
    Line,
    Outline,
    Path,
    path_area_m2,
    path_bounds,
    path_length_m,
    path_outline,
    rounded,
)
from domain.fabrication.shape.sheet_edge import SheetEdge
from domain.fabrication.shape.unfolding import Placement, corners_round, placements

__all__ = [
    "Arc",
    "BendLine",
    "Flat",
    "FlatHole",
    "Folded",
    "Line",
    "NotDeveloped",
    "Outline",
    "PanelFrame",
    "Path",
    "Placement",
    "develop",
    "develop_part",
    "fold",
    "hole_area_m2",
    "hole_path",
    "hole_reach_m",
    "path_area_m2",
    "path_bounds",
    "path_length_m",
    "path_outline",
]

INNER_CORNER_M = 0.0015875
"""Inner corners of the outline are drilled 1/8 in, touching both edges. Common practice."""

HEATED_THICKNESSES = 4.0
"""Width of the strip that a line heater softens, in thicknesses (3 to 6). Typical."""

_SAME_M = 1e-6
"""Panels that overlap by less than this [m] only touch."""


class BendLine(Struct, frozen=True):
    """The middle of a bend in flat coordinates [m], from end to end.

    ``panel`` is the one that is bent, ``up`` towards the marked face, ``allowance_m`` the sheet
    that the bend takes (half of it to each side of the line), ``heat_m`` the whole width of the
    softened strip about the line (0 for cold bends), ``setback_m`` from a tangent line
    to the outside corner.
    """

    panel: str
    x0: float
    y0: float
    x1: float
    y1: float
    angle_deg: float
    up: bool
    radius_m: float
    allowance_m: float
    score_m: float | None
    heat_m: float
    setback_m: float
    joins: str


class Flat(Struct, frozen=True):
    """The flat pattern of one piece [m, m2, kg]; area and mass are without the holes' sheet.

    ``overlaps`` names pairs of panels that would need the same piece of sheet: then the outline
    crosses itself, and neither it nor the area is of use.
    """

    part: str
    outline: Path
    holes: tuple[FlatHole, ...]
    bends: tuple[BendLine, ...]
    panels: dict[str, Placement]
    width_m: float
    height_m: float
    area_m2: float
    mass_kg: float
    thickness_m: float
    material: str
    overlaps: tuple[tuple[str, str], ...] = ()
    least_corner_m: float = 0.0


def develop(build: Build, part: Part) -> Flat | NotDeveloped:
    """The flat pattern of one part, or why there is none. Never raises for a valid build."""
    records = records_by_part(build).get(part.id) or PartRecords(part, [], [], [])
    return develop_part(build, records)


def develop_part(build: Build, records: PartRecords) -> Flat | NotDeveloped:
    """The flat pattern from records already gathered; as ``develop``."""
    tree = build_panel_tree(records.part, records.panels)
    if isinstance(tree, NotDeveloped):
        return tree
    return lay_out(tree, placed_holes(build, records))


def lay_out(tree: Tree, placed: list[PlacedHole]) -> Flat:
    """The flat pattern of a tree of panels with its holes."""
    part, sheet = tree.part, tree.sheet
    panels = placements(tree)
    corners = [panels[id].at(x, y) for id, x, y in corners_round(tree, tree.root)]
    shift_x, shift_y = -min(x for x, _ in corners), -min(y for _, y in corners)
    panels = {
        id: Placement(p.x_m + shift_x, p.y_m + shift_y, p.turn_deg, p.core)
        for id, p in panels.items()
    }
    corners = [(x + shift_x, y + shift_y) for x, y in corners]
    inner = part.cutter_m / 2 if part.cutter_m else INNER_CORNER_M
    outline = rounded(corners, part.corner_m, inner)
    holes = _on_sheet([_flat_hole(panels[p.panel], p, part) for p in placed], panels, outline)
    area = path_area_m2(outline) - sum(hole_area_m2(hole) for hole in holes if hole.whole)
    area = max(0.0, area)
    return Flat(
        part=part.id,
        outline=outline,
        holes=holes,
        bends=tuple(_bend_line(tree, panels, joint) for joint in tree.joints if joint.angle_deg),
        panels=panels,
        width_m=max(x for x, _ in corners),
        height_m=max(y for _, y in corners),
        area_m2=area,
        mass_kg=area * part.thickness_m * (sheet.density_kg_m3 if sheet else 0.0),
        thickness_m=part.thickness_m,
        material=sheet.name if sheet else part.material,
        overlaps=_overlaps(tree, panels),
        least_corner_m=min(_outer_radii(outline), default=0.0),
    )


def _bend_line(tree: Tree, panels: dict[str, Placement], joint: Joint) -> BendLine:
    place = panels[joint.child]
    y = joint.setback_m - joint.allowance_m / 2
    (x0, y0), (x1, y1) = place.at(joint.span[0], y), place.at(joint.span[1], y)
    thickness = tree.part.thickness_m
    return BendLine(
        panel=joint.child,
        x0=x0,
        y0=y0,
        x1=x1,
        y1=y1,
        angle_deg=joint.angle_deg,
        up=joint.up,
        radius_m=joint.radius_m,
        allowance_m=joint.allowance_m,
        score_m=tree.nodes[joint.child].panel.score_m,
        heat_m=heated_m(tree.sheet, thickness, joint.allowance_m),
        setback_m=joint.setback_m,
        joins=joint.parent,
    )


def heated_m(sheet: Material | None, thickness_m: float, allowance_m: float) -> float:
    """Width of the strip [m] that is soft while a bend is made: 0 for a cold bend.

    Four thicknesses, and never less than the bend itself takes. Typical, from memory.
    """
    if sheet is None or sheet.bends != "hot":
        return 0.0
    return max(HEATED_THICKNESSES * thickness_m, allowance_m)


def _flat_hole(place: Placement, hole: PlacedHole, part: Part) -> FlatHole:
    x, y = place.at(hole.x_m, hole.y_m)
    drill: Drill = hole.drill
    corner = 0.0
    if hole.shape is HoleShape.RECTANGLE:
        corner = part.cutter_m / 2 if part.cutter_m else 0.0
        corner = min(corner, hole.diameter_m / 2, (hole.across_m or hole.diameter_m) / 2)
    return FlatHole(
        id=hole.id,
        x_m=x,
        y_m=y,
        shape=hole.shape,
        diameter_m=hole.diameter_m,
        across_m=hole.across_m,
        turn_deg=hole.turn_deg + place.turn_deg,
        kind=hole.kind,
        thread=hole.thread,
        drill_m=drill.diameter_m,
        panel=hole.panel,
        drill=drill.name,
        corner_m=corner,
    )


def _on_sheet(
    holes: list[FlatHole], panels: dict[str, Placement], outline: Path
) -> tuple[FlatHole, ...]:
    """The holes, each told whether all of it lies on the sheet.

    Nearly all lie in the core of their panel; the outline is asked only about the others.
    """
    sheet_edge: SheetEdge | None = None
    found = []
    for hole in holes:
        x0, y0, x1, y1 = panels[hole.panel].rect
        across, up = hole_reach_m(hole)
        beside = x0 <= hole.x_m - across and hole.x_m + across <= x1
        if not (beside and y0 <= hole.y_m - up and hole.y_m + up <= y1):
            sheet_edge = sheet_edge or SheetEdge(outline)
            found.append(hole if sheet_edge.whole(hole) else replace(hole, whole=False))
        else:
            found.append(hole)
    return tuple(found)


def _overlaps(tree: Tree, panels: dict[str, Placement]) -> tuple[tuple[str, str], ...]:
    """Pairs of panels whose cores or bends lie on the same sheet."""
    rects = [(*place.rect, id) for id, place in panels.items()]
    for joint in tree.joints:
        place = panels[joint.child]
        high = joint.setback_m
        low = high - joint.allowance_m - joint.strip_m
        (ax, ay), (bx, by) = place.at(joint.span[0], low), place.at(joint.span[1], high)
        rects.append((min(ax, bx), min(ay, by), max(ax, bx), max(ay, by), joint.child))
    rects.sort()
    found: dict[tuple[str, str], None] = {}
    for i, (x0, y0, x1, y1, id) in enumerate(rects):
        for ax0, ay0, ax1, ay1, other in rects[i + 1 :]:
            if ax0 >= x1 - _SAME_M:
                break
            wide = min(x1, ax1) - max(x0, ax0) > _SAME_M
            if other != id and wide and min(y1, ay1) - max(y0, ay0) > _SAME_M:
                found[min(id, other), max(id, other)] = None
    return tuple(found)


def _outer_radii(outline: Path) -> list[float]:
    return [a.r for a in outline if isinstance(a, Arc) and a.end_deg > a.start_deg]
