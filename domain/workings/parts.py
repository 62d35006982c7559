"""Workings of custom parts: flat pattern, area, mass and holes."""

from math import pi

from domain.build.records import Part
from domain.document.records import find
from domain.fabrication.materials.sheet_materials import Material, material
from domain.fabrication.part_layout import PartLayout, part_layout
from domain.fabrication.shape.bend_allowance import bend_allowance
from domain.fabrication.shape.cutouts import hole_area_m2
from domain.fabrication.shape.flat_pattern import Flat
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import Joint, NotDeveloped, neutral_k
from domain.fabrication.shape.path import Arc
from domain.sheet import HoleResult, PartResult
from domain.workings.cited import ENTERED, GEOMETRY, PRACTICE, cite, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def _laid(c: Context, id: str) -> tuple[Part, Material | None, PartLayout | None]:
    part = find(c.build, id)
    assert isinstance(part, Part)
    layout = part_layout(c.build, part)
    return part, material(part.material), None if isinstance(layout, NotDeveloped) else layout


def _k_source(sheet: Material | None) -> str:
    if sheet is None or sheet.k_class == "none":
        return PRACTICE
    return row_source("bend_allowance", k_class=sheet.k_class)


def _none(title: str, unit: str) -> Working:
    steps = ("there is no flat pattern: see the findings",)
    return Working(title, "none", (), steps, 0.0, unit, GEOMETRY)


def _allowance_m(layout: PartLayout, joint: Joint) -> float:
    k = neutral_k(layout.sheet)
    return bend_allowance(joint.angle_deg, joint.radius_m, layout.part.thickness_m, k)


def _in_line(layout: PartLayout) -> list[Input]:
    """Flats and bends from the lower end to the upper, where all panels stand in one line."""
    found = []
    for id, node in layout.tree.nodes.items():
        _, y0, _, y1 = node.core
        found.append(Input(f"F {id}", "flat of the flange: less what its bends take", y1 - y0, "m"))
    for joint in layout.tree.joints:
        taken = _allowance_m(layout, joint)
        found.append(Input(f"BA {joint.child}", "bend allowance", taken, "m"))
    return found


def _span(flat: Flat, axis: int) -> list[Input]:
    """How far the pattern reaches from the root's corner, up (right) and down (left)."""
    root = next(iter(flat.panels.values()))
    corner = (root.x_m, root.y_m)[axis]
    top = max(flat.panels, key=lambda id: flat.panels[id].rect[axis + 2])
    low = min(flat.panels, key=lambda id: flat.panels[id].rect[axis])
    ahead, behind = ("up", "down") if axis else ("right", "left")
    start = "from the root's lower left corner"
    return [
        Input(f"E {top}", f"{start} {ahead}", flat.panels[top].rect[axis + 2] - corner, "m"),
        Input(f"D {low}", f"{start} {behind}", corner - flat.panels[low].rect[axis], "m"),
    ]


def flat_length_m(c: Context, r: PartResult, _: str) -> Working:
    """Length of the flat pattern."""
    _part, _sheet, layout = _laid(c, r.id)
    title = "Length of the flat pattern"
    if layout is None:
        return _none(title, "m")
    inputs = _in_line(layout)
    formula = "L = sum of F + sum of BA, F = length - tan(angle/2) (r + t) at each bend"
    if abs(sum(float(i.value) for i in inputs) - layout.flat.height_m) > 1e-9:
        inputs, formula = _span(layout.flat, 1), "L = E + D"
    return Working(
        title,
        formula,
        tuple(inputs),
        (),
        sum(float(i.value) for i in inputs),
        "m",
        cite("MH31A-1421", "AC43-4-14") if layout.flat.bends else GEOMETRY,
    )


def flat_width_m(c: Context, r: PartResult, _: str) -> Working:
    """Width of the flat pattern."""
    layout = _laid(c, r.id)[2]
    title = "Width of the flat pattern"
    if layout is None:
        return _none(title, "m")
    inputs = _span(layout.flat, 0)
    value = sum(float(i.value) for i in inputs)
    return Working(title, "W = E + D", tuple(inputs), (), value, "m", GEOMETRY)


def bend_allowance_m(c: Context, r: PartResult, _: str) -> Working:
    """Sheet that the bends take."""
    part, sheet, layout = _laid(c, r.id)
    title = "Bend allowance of all bends"
    if layout is None:
        return _none(title, "m")
    inputs = [
        Input("t", "thickness", part.thickness_m, "m"),
        Input("K", "neutral line over thickness", neutral_k(sheet)),
    ]
    for joint in layout.tree.joints:
        inputs.append(Input(f"angle {joint.child}", "turned through", joint.angle_deg, "deg"))
        inputs.append(Input(f"r {joint.child}", "inside radius", joint.radius_m, "m"))
    return Working(
        title,
        "BA = sum of angle (r + K t), angle in radians",
        tuple(inputs),
        (),
        sum(_allowance_m(layout, joint) for joint in layout.tree.joints),
        "m",
        cite("MH31A-1421", _k_source(sheet)),
    )


def bends(c: Context, r: PartResult, _: str) -> Working:
    """How many bends."""
    layout = _laid(c, r.id)[2]
    if layout is None:
        return _none("Bends", "-")
    joints = layout.tree.joints
    inputs = tuple(Input(j.child, "turned through", j.angle_deg, "deg") for j in joints)
    value = sum(joint.angle_deg > 0 for joint in joints)
    return Working("Bends", "count of angles over 0", inputs, (), value, "-", GEOMETRY)


def _area(layout: PartLayout | None) -> tuple[list[Input], float]:
    """Flats and bends, less what holes and rounded corners take: no use of the outline."""
    if layout is None:
        return [], 0.0
    inputs = []
    for id, node in layout.tree.nodes.items():
        x0, y0, x1, y1 = node.core
        inputs.append(Input(f"A {id}", "flat times width", (x1 - x0) * (y1 - y0), "m2"))
    for joint in layout.tree.joints:
        area = (_allowance_m(layout, joint) + joint.strip_m) * (joint.span[1] - joint.span[0])
        inputs.append(Input(f"B {joint.child}", "bend allowance times its length", area, "m2"))
    plus = sum(float(i.value) for i in inputs)
    lost = [
        Input(f"H {hole.id}", f"hole, {hole.shape}", hole_area_m2(hole), "m2")
        for hole in layout.flat.holes
        if hole.whole
    ]
    rounding = 0.0
    for arc in layout.flat.outline:
        if isinstance(arc, Arc):
            side = 1 if arc.end_deg > arc.start_deg else -1
            rounding += side * (1 - pi / 4) * arc.r**2
    if rounding:
        text = "rounded corners, (1 - pi/4) r^2 each; inner ones are left standing"
        lost.append(Input("H corners", text, rounding, "m2"))
    return [*inputs, *lost], max(0.0, plus - sum(float(i.value) for i in lost))


def area_m2(c: Context, r: PartResult, _: str) -> Working:
    """Area of one piece."""
    inputs, value = _area(_laid(c, r.id)[2])
    if not inputs:
        return _none("Area of one piece", "m2")
    formula = "sum of A + sum of B - sum of H"
    return Working("Area of one piece", formula, tuple(inputs), (), value, "m2", GEOMETRY)


def mass_kg(c: Context, r: PartResult, _: str) -> Working:
    """Mass of one piece."""
    part, sheet, layout = _laid(c, r.id)
    area = _area(layout)[1]
    density = sheet.density_kg_m3 if sheet else 0.0
    return Working(
        "Mass of one piece",
        "m = A t rho",
        (
            Input("A", "area", area, "m2"),
            Input("t", "thickness", part.thickness_m, "m"),
            Input("rho", sheet.name if sheet else "unknown material", density, "kg/m3"),
        ),
        (),
        area * part.thickness_m * density,
        "kg",
        row_source("materials", material=sheet.name) if sheet else ENTERED,
    )


def _hole(c: Context, r: HoleResult) -> tuple[PlacedHole, Flat]:
    panel = find(c.build, r.panel)
    assert panel is not None
    layout = _laid(c, panel.part)[2]
    assert layout is not None
    return next(hole for hole in layout.placed if hole.id == r.id), layout.flat


_ACROSS = {0: ("x", 1), 90: ("y", -1), 180: ("x", -1), 270: ("y", 1)}
_ALONG = {0: ("y", 1), 90: ("x", 1), 180: ("y", -1), 270: ("x", -1)}
"""Which of a panel's coordinates counts in the pattern, by how the panel is turned there."""


def x_m(c: Context, r: HoleResult, _: str) -> Working:
    """Hole across the pattern."""
    hole, flat = _hole(c, r)
    place = flat.panels[r.panel]
    return _placed("Hole, across", "X", place.x_m, hole, _ACROSS[place.turn_deg])


def y_m(c: Context, r: HoleResult, _: str) -> Working:
    """Hole along the pattern."""
    hole, flat = _hole(c, r)
    place = flat.panels[r.panel]
    return _placed("Hole, along", "Y", place.y_m, hole, _ALONG[place.turn_deg])


def _placed(
    title: str, symbol: str, corner_m: float, hole: PlacedHole, counts: tuple[str, int]
) -> Working:
    name, sign = counts
    value = hole.x_m if name == "x" else hole.y_m
    words = "along its flange's width" if name == "x" else "from its flange's bend, finished part"
    inputs = (
        Input(symbol, "outside corner of its flange, laid flat", corner_m, "m"),
        Input(name, words, value, "m"),
    )
    formula = f"{symbol} {'+' if sign > 0 else '-'} {name}"
    source = cite(GEOMETRY, "AC43-4-14")
    return Working(title, formula, inputs, (), corner_m + sign * value, "m", source)


def diameter_m(c: Context, r: HoleResult, _: str) -> Working:
    """Drill of a hole, or the width of a slot or opening."""
    hole, _flat = _hole(c, r)
    entered = hole.drill.diameter_m if hole.entered_m is None else hole.entered_m
    inputs = (
        Input("kind", "of hole", hole.kind.value),
        Input("thread", "of what goes in", hole.thread or "none"),
        Input("d", "entered", entered, "m"),
    )
    formula = "by its thread where a table has it, else the drill nearest to d"
    if hole.shape.value != "round":
        formula = "by its thread where a table has it, else d"
    return Working(
        "Drill" if hole.shape.value == "round" else "Width",
        formula,
        inputs,
        (f"drill {hole.drill.name}",),
        hole.diameter_m,
        "m",
        "DTC + BDW + FCH + ANSI-drill",
    )


WORKINGS: Makers = {
    "part_result": {
        "flat_length_m": flat_length_m,
        "flat_width_m": flat_width_m,
        "area_m2": area_m2,
        "mass_kg": mass_kg,
        "bends": bends,
        "bend_allowance_m": bend_allowance_m,
    },
    "hole_result": {"x_m": x_m, "y_m": y_m, "diameter_m": diameter_m},
}
