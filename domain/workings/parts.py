"""Workings of custom parts: flat pattern, area, mass and holes."""

from itertools import pairwise
from math import pi

from domain.build import Hole, Panel, Part, find
from domain.fabrication.bends import bend_allowance, k_factor
from domain.fabrication.layout import FlatPanel, FlatPattern, NotDeveloped, develop
from domain.fabrication.materials import Material, material
from domain.fabrication.parts import _inside, hole_drill
from domain.sheet import HoleResult, PartResult
from domain.workings.cited import ENTERED, GEOMETRY, PRACTICE, cite, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working

UNBENT_K = 0.5
"""Neutral line of a material with no figure of its own: half the thickness."""


def _part(c: Context, id: str) -> tuple[Part, Material | None, FlatPattern | None]:
    part = find(c.build, id)
    assert isinstance(part, Part)
    sheet = material(part.material)
    own = [panel for panel in c.build.panels if panel.part == id]
    try:
        return part, sheet, develop(own, part.thickness_m, _k(sheet)) if own else None
    except NotDeveloped:
        return part, sheet, None


def _k(sheet: Material | None) -> float:
    if sheet is None or sheet.k_class == "none":
        return UNBENT_K
    return k_factor(sheet.k_class)


def _k_source(sheet: Material | None) -> str:
    if sheet is None or sheet.k_class == "none":
        return PRACTICE
    return row_source("bend_allowance", k_class=sheet.k_class)


def _none(title: str, unit: str) -> Working:
    steps = ("there is no flat pattern: see the findings",)
    return Working(title, "none", (), steps, 0.0, unit, GEOMETRY)


def _bends(pattern: FlatPattern) -> list[tuple[Panel, float]]:
    """The panel that carries each bend, and the narrower of the two widths that meet [m]."""
    found = []
    for one, other in pairwise(pattern.panels):
        a, b = one.panel, other.panel
        found.append((b if b.joins == a.id else a, min(a.width_m, b.width_m)))
    return found


def _allowances(part: Part, sheet: Material | None, pattern: FlatPattern) -> list[float]:
    k = _k(sheet)
    return [
        bend_allowance(bend.bend_deg, bend.bend_radius_m, part.thickness_m, k)
        for bend, _ in _bends(pattern)
    ]


def _flats(pattern: FlatPattern) -> list[Input]:
    return [
        Input(
            f"F {flat.panel.id}",
            "flat of the panel: less what its bends take",
            flat.end_m - flat.start_m,
            "m",
        )
        for flat in pattern.panels
    ]


def flat_length_m(c: Context, r: PartResult, _: str) -> Working:
    """Length of the flat pattern."""
    part, sheet, pattern = _part(c, r.id)
    title = "Length of the flat pattern"
    if pattern is None:
        return _none(title, "m")
    flats, allowances = _flats(pattern), _allowances(part, sheet, pattern)
    bends = [
        Input(f"BA {bend.id}", "bend allowance", taken, "m")
        for (bend, _), taken in zip(_bends(pattern), allowances, strict=True)
    ]
    return Working(
        title,
        "L = sum of F + sum of BA, F = length - tan(angle/2) (r + t) at each bend",
        (*flats, *bends),
        (),
        sum(float(i.value) for i in (*flats, *bends)),
        "m",
        cite("MH31A-1421", "AC43-4-14") if bends else GEOMETRY,
    )


def flat_width_m(c: Context, r: PartResult, _: str) -> Working:
    """Width of the flat pattern."""
    pattern = _part(c, r.id)[2]
    title = "Width of the flat pattern"
    if pattern is None:
        return _none(title, "m")
    widths = {flat.panel.id: flat.panel.width_m for flat in pattern.panels}
    inputs = tuple(Input(f"W {id}", "width of the panel", w, "m") for id, w in widths.items())
    value = max(widths.values())
    return Working(title, "the widest panel", inputs, (), value, "m", GEOMETRY)


def bend_allowance_m(c: Context, r: PartResult, _: str) -> Working:
    """Sheet that the bends take."""
    part, sheet, pattern = _part(c, r.id)
    title = "Bend allowance of all bends"
    if pattern is None:
        return _none(title, "m")
    inputs = [
        Input("t", "thickness", part.thickness_m, "m"),
        Input("K", "neutral line over thickness", _k(sheet)),
    ]
    for bend, _width in _bends(pattern):
        inputs.append(Input(f"angle {bend.id}", "turned through", bend.bend_deg, "deg"))
        inputs.append(Input(f"r {bend.id}", "inside radius", bend.bend_radius_m, "m"))
    return Working(
        title,
        "BA = sum of angle (r + K t), angle in radians",
        tuple(inputs),
        (),
        sum(_allowances(part, sheet, pattern)),
        "m",
        cite("MH31A-1421", _k_source(sheet)),
    )


def bends(c: Context, r: PartResult, _: str) -> Working:
    """How many bends."""
    pattern = _part(c, r.id)[2]
    if pattern is None:
        return _none("Bends", "-")
    turned = [flat.panel for flat in pattern.panels if flat.panel.joins]
    inputs = tuple(Input(p.id, "turned through", p.bend_deg, "deg") for p in turned)
    value = sum(p.bend_deg > 0 for p in turned)
    return Working("Bends", "count of angles over 0", inputs, (), value, "-", GEOMETRY)


def _holes(c: Context, pattern: FlatPattern) -> dict[str, float]:
    """Area of every hole that lies in its panel [m2]."""
    found = {}
    for flat in pattern.panels:
        for hole in c.build.holes:
            drill = hole_drill(c.build, hole)
            if hole.panel == flat.panel.id and _inside(flat, hole, drill):
                found[hole.id] = pi / 4 * drill.diameter_m**2
    return found


def _area(c: Context, id: str) -> tuple[list[Input], float]:
    part, sheet, pattern = _part(c, id)
    if pattern is None:
        return [], 0.0
    inputs = [
        Input(f"A {f.panel.id}", "flat times width", (f.end_m - f.start_m) * f.panel.width_m, "m2")
        for f in pattern.panels
    ]
    allowances = _allowances(part, sheet, pattern)
    for (bend, width), taken in zip(_bends(pattern), allowances, strict=True):
        inputs.append(Input(f"B {bend.id}", "bend allowance times width", taken * width, "m2"))
    plus = sum(float(i.value) for i in inputs)
    holes = _holes(c, pattern)
    inputs += [Input(f"H {hole}", "hole, pi/4 d^2", area, "m2") for hole, area in holes.items()]
    return inputs, max(0.0, plus - sum(holes.values()))


def area_m2(c: Context, r: PartResult, _: str) -> Working:
    """Area of one piece."""
    inputs, value = _area(c, r.id)
    if not inputs:
        return _none("Area of one piece", "m2")
    formula = "sum of A + sum of B - sum of H"
    return Working("Area of one piece", formula, tuple(inputs), (), value, "m2", GEOMETRY)


def mass_kg(c: Context, r: PartResult, _: str) -> Working:
    """Mass of one piece."""
    part, sheet, _pattern = _part(c, r.id)
    area = _area(c, r.id)[1]
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


def _hole(c: Context, id: str) -> tuple[Hole, FlatPanel]:
    hole = find(c.build, id)
    assert isinstance(hole, Hole)
    panel = find(c.build, hole.panel)
    assert isinstance(panel, Panel)
    pattern = _part(c, panel.part)[2]
    assert pattern is not None
    return hole, next(flat for flat in pattern.panels if flat.panel.id == panel.id)


def x_m(c: Context, r: HoleResult, _: str) -> Working:
    """Hole across the pattern."""
    hole, flat = _hole(c, r.id)
    inputs = (
        Input("X", "left edge of its panel", flat.left_m, "m"),
        Input("x", "along the panel's width", hole.x_m, "m"),
    )
    value = flat.place(hole.x_m, hole.y_m)[0]
    return Working("Hole, across", "X + x", inputs, (), value, "m", GEOMETRY)


def y_m(c: Context, r: HoleResult, _: str) -> Working:
    """Hole along the pattern."""
    hole, flat = _hole(c, r.id)
    edge = flat.start_m if flat.upward else flat.end_m
    inputs = (
        Input("Y", "where its panel's flat begins", edge, "m"),
        Input("y", "from the bend, on the finished part", hole.y_m, "m"),
        Input("s", "what the bend takes of that", flat.near_setback_m or 0.0, "m"),
    )
    formula = "Y + (y - s)" if flat.upward else "Y - (y - s)"
    value = flat.place(hole.x_m, hole.y_m)[1]
    return Working("Hole, along", formula, inputs, (), value, "m", cite(GEOMETRY, "AC43-4-14"))


def diameter_m(c: Context, r: HoleResult, _: str) -> Working:
    """Drill of a hole."""
    hole, _flat = _hole(c, r.id)
    drill = hole_drill(c.build, hole)
    inputs = (
        Input("kind", "of hole", hole.kind.value),
        Input("thread", "of what goes in", hole.thread or "none"),
        Input("d", "entered", hole.diameter_m, "m"),
    )
    return Working(
        "Drill",
        "by its thread where a table has it, else the drill nearest to d",
        inputs,
        (f"drill {drill.name}",),
        drill.diameter_m,
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
