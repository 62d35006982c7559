"""Bending: scored, dried, tried on an offcut, bent from outside in, annealed.

Temperatures come from shop tables (typical figures, from memory, where the table says so).
"""

from collections.abc import Iterator

from domain.fabrication.making.step import Row
from domain.fabrication.materials.shop_practice import (
    ANNEAL_C,
    ANNEAL_H_PER_MM,
    ANNEAL_LEAST_H,
    bending_c,
    drying,
)
from domain.fabrication.materials.stock import ROOM_C, strength_of
from domain.fabrication.part_layout import PartLayout
from domain.fabrication.shape.flat_pattern import BendLine
from domain.units.parse import format_quantity
from domain.units.show import figures

JIG_SPARE_M = 0.05
"""How much longer than the bend a jig and a bar are [m]. Common practice."""

SPRING_DEG = 2.0
"""How far a bend is turned beyond its angle, once to twice, as it springs back. Common practice."""

DIE_THICKNESSES = 8
"""Width of a press brake's die over the sheet's thickness. Common practice."""

_FUMES = "fumes: open the door, stop when it smokes; gloves; no flame near solvents"

_PVC = "PVC gives off hydrogen chloride when overheated: do not heat it without extraction"
"""Its first breakdown product on overheating. From memory, safety data sheets of PVC sheet."""


def bending(layout: PartLayout) -> Iterator[Row]:
    """Every score first, while the sheet lies flat; then a try; then the bends, outermost first."""
    sheet, show = layout.sheet, layout.show
    order = _bend_order(layout)
    hot = sheet is not None and sheet.bends == "hot"
    for bend in order:
        if bend.score_m:
            face = "the marked face" if bend.up else "the back"
            yield (
                f"score the bend line of {_name(layout, bend)} on {face}, the inside of the bend",
                "scoring knife along a straight edge",
                f"{show(bend.score_m)} deep",
                "",
                "no deeper: a deep score becomes the crack",
            )
    if order and sheet is not None:
        dry = drying(sheet, layout.part.thickness_m)
        if dry is not None:
            oven = format_quantity("temperature", dry.oven_c, layout.units)
            yield (
                "dry the sheet, film off: damp sheet blows bubbles when it is heated",
                "oven with a fan, sheets apart",
                "",
                f"{figures(dry.hours)} hours at {oven}; bend within ten hours",
                "",
            )
        yield (
            "bend an offcut of the same sheet first and measure it: correct the bend lines by what "
            "it shows",
            "strip heater, rule" if hot else "bending brake, rule",
            f"{show(2 * layout.part.thickness_m + order[0].radius_m)} or more to each side",
            "",
            "",
        )
    for bend in order:
        yield _bend(layout, bend, hot)
    if sheet is not None and sheet.name == "acrylic":
        oven = format_quantity("temperature", ANNEAL_C, layout.units)
        hours = max(ANNEAL_LEAST_H, layout.part.thickness_m * 1000 * ANNEAL_H_PER_MM)
        yield (
            "anneal it after all cutting and bending, then let it cool in the oven",
            "oven with a fan",
            "",
            f"{figures(hours, 2)} hours at {oven}",
            "not annealed, it cracks later at holes and bends, sooner where a solvent touches it",
        )


def _bend(layout: PartLayout, bend: BendLine, hot: bool) -> Row:
    sheet, show = layout.sheet, layout.show
    name = _name(layout, bend)
    way = f"{figures(bend.angle_deg, 4)} degrees {'up' if bend.up else 'down'}"
    long = abs(bend.x1 - bend.x0) + abs(bend.y1 - bend.y0)
    leg = layout.tree.nodes[bend.panel].panel.length_m
    if not hot or sheet is None:
        return (
            f"bend {name} {way}; the bend takes {show(bend_deduction_m(bend))} off the sum of both "
            "outside legs",
            "bending brake, vice with two bars, or press brake",
            f"nose radius {show(bend.radius_m)}; bars {show(long + JIG_SPARE_M)} long or more; "
            + _press(layout, long),
            "turn a few degrees too far, it springs back",
            "fingers clear of the clamp; sharp edges",
        )
    range_c = bending_c(sheet)
    heat = ""
    if range_c:
        low, usual, high = (
            format_quantity("temperature", celsius, layout.units) for celsius in range_c
        )
        heat = f"sheet at {usual}, between {low} and {high}"
    both = " from both faces" if layout.part.thickness_m > 0.004 else ""
    return (
        f"peel the film off a strip {show(bend.heat_m)} wide about the bend line of {name}, heat "
        f"the strip{both}, bend {way} round {show(bend.radius_m)}, hold until cool",
        "strip heater or heat gun with a slit; jig of two boards on a hinge, with a stop",
        f"jig: boards {show(long + JIG_SPARE_M)} by {show(leg)} and as much behind, a former of "
        f"radius {show(bend.radius_m)} on the edge, stop at {bend.angle_deg + SPRING_DEG:.3g} to "
        f"{bend.angle_deg + 2 * SPRING_DEG:.3g} degrees, clamps {show(bend.heat_m)} apart",
        heat,
        f"{_PVC}; {_FUMES}" if "PVC" in sheet.name else _FUMES,
    )


def _press(layout: PartLayout, long_m: float) -> str:
    """The die and the force of a press brake, by its usual rule."""
    sheet, thick = layout.sheet, layout.part.thickness_m
    if sheet is None:
        return ""
    die = DIE_THICKNESSES * thick
    force_n = press_force_n(strength_of(sheet, ROOM_C).strength_pa, long_m, thick, die)
    return f"die {layout.show(die)} wide, {figures(force_n / 1000, 2)} kN"


def bend_deduction_m(bend: BendLine) -> float:
    """What a bend takes off the sum of both outside legs [m]: 2 setbacks less its allowance."""
    return 2 * bend.setback_m - bend.allowance_m


def press_force_n(strength_pa: float, long_m: float, thickness_m: float, die_m: float) -> float:
    """Force of air bending in a V die [N]: 1.33 Rm L t2/V. Machine shop handbooks, from memory.

    Yield stands for the tensile strength, with a fifth more for what lies between them.
    """
    return 1.33 * 1.2 * strength_pa * long_m * thickness_m**2 / die_m


def _name(layout: PartLayout, bend: BendLine) -> str:
    return layout.tree.nodes[bend.panel].panel.name or bend.panel


def _bend_order(layout: PartLayout) -> list[BendLine]:
    """The outermost bends first: what is already bent does not get in the way."""
    depth: dict[str, int] = {}
    for id, node in layout.tree.nodes.items():
        depth[id] = depth[node.panel.joins] + 1 if node.joint else 0
    return sorted(layout.flat.bends, key=lambda bend: -depth[bend.panel])
