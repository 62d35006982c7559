"""From the card to a cut sheet: template, blank, outline, openings, edges.

Tool sizes come from the geometry, speeds from shop tables (typical figures, from memory, where
the table says so).
"""

from collections.abc import Iterator

from domain.build.choices import HoleShape
from domain.fabrication.making.step import BATTERY_OFF, Row, drill_speed, listed
from domain.fabrication.materials.shop_practice import (
    saw_speed,
    speeds,
)
from domain.fabrication.nesting.cut_sheets import rough_cut_m
from domain.fabrication.part_layout import PartLayout
from domain.fabrication.shape.cutouts import FlatHole
from domain.fabrication.shape.flat_pattern import INNER_CORNER_M
from domain.fabrication.shape.grain import bends_both_ways, grain_of
from domain.fabrication.shape.path import Arc
from domain.units.show import format_taped

_BOARD = "6 mm MDF or hardboard"
"""What a routing template is made of: a bearing eats card. Woodworking magazines (read)."""

_BIT_SPARE_M = 0.002
"""How much longer than the sheet a bit's cutting edge is, at least [m]. Common practice."""

_NO_PUNCH = ("acrylic", "polycarbonate")
"""A centre punch stars these. Common practice: no standard says so."""


def template(layout: PartLayout) -> Iterator[Row]:
    """The card template, fitted in the vehicle; a routing template of it where a router cuts."""
    bent = bool(layout.flat.bends)
    if layout.records.mounts or layout.part.carries:
        yield (
            "take the feet of the device off the real thing: lay paper on them and rub, or put "
            "transfer punches into its holes; compare with the drawing",
            "paper and pencil, transfer punches, rule",
            "",
            "",
            "",
        )
    yield (
        "print the template full size, check its bar with a rule, glue it to card and cut it out",
        "knife, steel rule",
        "",
        "",
        "",
    )
    yield (
        "fit the card in the vehicle" + (", folded on its bend lines" if bent else ""),
        "card template",
        "",
        "",
        BATTERY_OFF,
    )
    if layout.part.cutter_m:
        long = layout.part.thickness_m + _BIT_SPARE_M
        yield (
            f"make a routing template of {_BOARD} from the fitted card, its edges true and smooth",
            "jigsaw, file, sanding block",
            f"as large as the part: the bearing is as wide as the bit, {_cutter(layout)}, which "
            f"cuts {layout.show(long)} long or more",
            "",
            "a bearing follows every dent, and eats card",
        )


def blank(layout: PartLayout) -> Iterator[Row]:
    """The blank out of the sheet, its grain along the right side, the card transferred to it."""
    sheet, build = layout.sheet, layout.build
    rough = rough_cut_m(build)
    sides = layout.flat.height_m + 2 * rough, layout.flat.width_m + 2 * rough
    size = format_taped(sides, layout.units)
    metal = sheet is not None and sheet.kind == "metal"
    if rough:
        yield (
            f"cut the blank out of the sheet, {layout.show(rough)} outside the line all round"
            + _grain(layout),
            "jigsaw with a metal blade, or shears" if metal else "table saw, jigsaw or band saw",
            f"blank {size}" + (", 3 teeth in the thickness" if metal else ""),
            saw_speed(sheet),
            "clamp both sides, guard on, eye protection; a saw kicks when the sheet lifts",
        )
    punch = sheet is not None and sheet.name not in _NO_PUNCH
    bent = bool(layout.flat.bends)
    yield (
        f"transfer the card to the sheet, marked face up{'' if rough else _grain(layout)}: "
        f"outline, hole centres{', bend lines' if bent else ''}",
        "scriber or fine marker, center punch" if punch else "fine marker, on the film",
        "" if rough else f"blank {size}",
        "",
        "; ".join(
            (["do not scribe across a bend: a scratch there starts a crack"] if bent else [])
            + ([] if punch else ["no center punch: it stars this sheet; start holes in a bush"])
        ),
    )


def _grain(layout: PartLayout) -> str:
    way = grain_of(layout.sheet, layout.flat)
    if not way or layout.sheet is None:
        return ""
    side = "length" if way == "length" else "width"
    if layout.sheet.kind == "metal":
        both = ", which it does not all" if bends_both_ways(layout.flat) else ""
        return f", its {side} along the rolling direction: bends lie across it{both}"
    return f", its {side} along the face grain"


def _cutter(layout: PartLayout) -> str:
    return layout.show(layout.part.cutter_m or 0.0)


def outline(layout: PartLayout) -> Iterator[Row]:
    """Inner corners, edges and corners brought to the line."""
    sheet, part, show = layout.sheet, layout.part, layout.show
    cut = speeds(sheet)
    metal = sheet is not None and sheet.kind == "metal"
    arcs = [each for each in layout.flat.outline if isinstance(each, Arc)]
    inner = any(arc.end_deg < arc.start_deg for arc in arcs)
    if inner and part.cutter_m is None:
        yield (
            "drill the inner corners, touching both edges",
            "drill",
            show(2 * INNER_CORNER_M),
            drill_speed(cut, 2 * INNER_CORNER_M),
            "a sharp inner corner starts a crack",
        )
    if part.cutter_m:
        rpm = f"about {cut.router_rpm} per minute" if cut.router_rpm else "lowest speed"
        yield (
            "rout the edges to the template",
            "router with a bearing-guided straight cutter",
            f"cutter {show(part.cutter_m)}",
            f"{rpm}, against the turn of the cutter",
            "a router kicks when fed with the turn: feed against it, small bites, both hands",
        )
    else:
        yield (
            "bring the edges to the line",
            "file" if metal else "block plane, file, sanding block",
            "",
            "",
            "gloves off near turning tools, on for handling sharp sheet",
        )
    if part.corner_m:
        yield "round the corners", "file or disc sander", f"radius {show(part.corner_m)}", "", ""


def openings(layout: PartLayout) -> Iterator[Row]:
    """Slots and openings, then the edges of all that wires pass through."""
    routed = [h for h in layout.flat.holes if h.shape is not HoleShape.ROUND]
    if routed:
        yield (
            "cut the slots and openings: a hole at each end, then between them",
            "drill, then router or jigsaw",
            listed(_opening(layout, hole) for hole in routed),
            speeds(layout.sheet).note,
            "the offcut may jump when it comes free",
        )
    if layout.part.edge_m:
        yield (
            "round over the edges where wires pass, both faces",
            "round-over cutter or file",
            f"radius {layout.show(layout.part.edge_m)}",
            "",
            "",
        )


def _opening(layout: PartLayout, hole: FlatHole) -> str:
    across = hole.across_m or hole.diameter_m
    return f"{hole.id} {layout.show(across)} by {layout.show(hole.diameter_m)}"


def deburr(layout: PartLayout) -> Row:
    """Before any bend, for a burr on its outside starts a crack. Common practice."""
    why = "a burr on the outside of a bend starts a crack; " if layout.flat.bends else ""
    return (
        "deburr all edges and holes",
        "deburring tool, countersink by hand",
        "",
        "",
        f"{why}sharp until it is done",
    )
