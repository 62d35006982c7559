"""Making a part, in order: machining first, because a flat sheet can be clamped; then bending.

Tool sizes come from the geometry, speeds and temperatures from shop tables (typical figures,
from memory, where the table says so).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from domain.build.choices import HoleKind, HoleShape
from domain.build.records import Build, Part
from domain.fabrication.materials.shop_practice import Speeds, bending_c, speeds
from domain.fabrication.part_layout import PartLayout, part_layout
from domain.fabrication.shape.cutouts import FlatHole
from domain.fabrication.shape.flat_pattern import INNER_CORNER_M, BendLine
from domain.fabrication.shape.panel_tree import NotDeveloped
from domain.fabrication.shape.path import Arc
from domain.units.parse import format_quantity

_ROUGH_M = 0.003175
"""What is left standing outside the line by a rough cut [m]. Common practice."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of making a part.

    ``size`` names the drill, tap or cutter; ``speed`` is advice; ``caution`` what hurts people
    or the work. Any of the three may be empty.
    """

    order: int
    what: str
    tool: str
    size: str = ""
    speed: str = ""
    caution: str = ""


def steps(build: Build, part: Part) -> tuple[Step, ...]:
    """The steps that make a part, in order; none where it cannot be laid out."""
    layout = part_layout(build, part)
    if isinstance(layout, NotDeveloped):
        return ()
    made = [
        *_template(layout),
        *_outline(layout),
        *_drilling(layout),
        _deburr(layout),
        *_bending(layout),
        *_finish(layout),
    ]
    return tuple(Step(order, *row) for order, row in enumerate(made, 1))


Row = tuple[str, str, str, str, str]
"""What, tool, size, speed, caution."""

_BATTERY = (
    "battery negative off before you work near its wiring; wait as the vehicle maker says before "
    "working near airbags or their wiring"
)

_FUMES = "fumes: open the door, stop when it smokes; gloves; no flame near solvents"
_PVC = "PVC gives off hydrogen chloride when overheated: do not heat it without extraction"
"""Its first breakdown product on overheating. From memory, safety data sheets of PVC sheet."""


def _template(layout: PartLayout) -> Iterator[Row]:
    bent = bool(layout.flat.bends)
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
        _BATTERY,
    )
    sheet = layout.sheet
    size = f"{layout.show(layout.flat.height_m)} by {layout.show(layout.flat.width_m)}"
    grain = ""
    if sheet and sheet.stock == "plywood":
        grain = ", face grain along the longer side"
    if sheet and sheet.kind == "metal" and bent:
        grain = ", bends across the rolling direction"
    yield (
        f"transfer it to the sheet, marked face up{grain}: outline, hole centres, bend lines",
        "scriber or fine marker, centre punch",
        f"blank {size}",
        "",
        "do not scribe across a bend: a scratch there starts a crack" if bent else "",
    )


def _outline(layout: PartLayout) -> Iterator[Row]:
    sheet, part, show = layout.sheet, layout.part, layout.show
    cut = speeds(sheet)
    metal = sheet is not None and sheet.kind == "metal"
    yield (
        f"rough cut {show(_ROUGH_M)} outside the line",
        "jigsaw with a metal blade, or shears" if metal else "jigsaw or band saw",
        "3 teeth in the thickness" if metal else "",
        "" if metal else "slow stroke, no orbit: a fast blade welds plastic shut",
        "clamp both sides, guard on, eye protection; a saw kicks when the sheet lifts",
    )
    arcs = [each for each in layout.flat.outline if isinstance(each, Arc)]
    inner = any(arc.end_deg < arc.start_deg for arc in arcs)
    if inner and part.cutter_m is None:
        yield (
            "drill the inner corners, touching both edges",
            "drill",
            show(2 * INNER_CORNER_M),
            _drill_speed(cut, 2 * INNER_CORNER_M),
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
    routed = [h for h in layout.flat.holes if h.shape is not HoleShape.ROUND]
    if routed:
        yield (
            "cut the slots and openings: a hole at each end, then between them",
            "drill, then router or jigsaw",
            _list(_opening(layout, hole) for hole in routed),
            cut.note,
            "the offcut may jump when it comes free",
        )
    if part.edge_m:
        yield (
            "round over the edges where wires pass, both faces",
            "round-over cutter or file",
            f"radius {show(part.edge_m)}",
            "",
            "",
        )


def _drilling(layout: PartLayout) -> Iterator[Row]:
    cut = speeds(layout.sheet)
    rounds = [hole for hole in layout.flat.holes if hole.shape is HoleShape.ROUND]
    drills: dict[str, list[FlatHole]] = {}
    for hole in sorted(rounds, key=lambda hole: hole.drill_m):
        drills.setdefault(hole.drill, []).append(hole)
    for name, holes in drills.items():
        plural = "hole" if len(holes) == 1 else "holes"
        yield (
            f"drill {len(holes)} {plural}: {_list(hole.id for hole in holes)}",
            "hole saw" if name.startswith("hole saw") else "drill",
            name,
            f"{_drill_speed(cut, holes[0].drill_m)}; {cut.note}",
            "eye protection, gloves off; clamp on scrap wood, never hold the sheet by hand: "
            "a drill that grabs spins it",
        )
    threads: dict[str, list[FlatHole]] = {}
    for hole in rounds:
        if hole.kind is HoleKind.TAPPED and hole.thread:
            threads.setdefault(hole.thread, []).append(hole)
    for thread, holes in threads.items():
        yield (
            f"tap {_list(hole.id for hole in holes)}",
            "hand tap in a guide block",
            thread,
            "by hand, half a turn back for each turn",
            "tap square to the sheet: a leaning thread strips",
        )


def _bending(layout: PartLayout) -> Iterator[Row]:
    sheet, show = layout.sheet, layout.show
    hot = sheet is not None and sheet.bends == "hot"
    for bend in _bend_order(layout):
        name = layout.tree.nodes[bend.panel].panel.name or bend.panel
        face = "the marked face" if bend.up else "the back"
        if bend.score_m:
            yield (
                f"score the bend line of {name} on {face}, the inside of the bend",
                "scoring knife along a straight edge",
                f"{show(bend.score_m)} deep",
                "",
                "no deeper: a deep score becomes the crack",
            )
        way = f"{bend.angle_deg:.4g} degrees {'up' if bend.up else 'down'}"
        if hot and sheet:
            range_c = bending_c(sheet)
            heat = ""
            if range_c:
                low, usual, high = (
                    format_quantity("temperature", celsius, layout.units) for celsius in range_c
                )
                heat = f"sheet at {usual}, between {low} and {high}"
            both = " from both faces" if layout.part.thickness_m > 0.004 else ""
            yield (
                f"heat a strip {show(bend.heat_m)} wide about the bend line of {name}{both}, "
                f"bend {way} round {show(bend.radius_m)}, hold until cool",
                "strip heater or heat gun with a slit, bending jig",
                f"former of radius {show(bend.radius_m)}; turn 1 to 4 degrees too far",
                heat,
                f"{_PVC}; {_FUMES}" if "PVC" in sheet.name else _FUMES,
            )
        else:
            yield (
                f"bend {name} {way}",
                "bending brake, or vice with two bars",
                f"nose radius {show(bend.radius_m)}",
                "turn a few degrees too far, it springs back",
                "fingers clear of the clamp; sharp edges",
            )


def _bend_order(layout: PartLayout) -> list[BendLine]:
    """The outermost bends first: what is already bent does not get in the way."""
    depth: dict[str, int] = {}
    for id, node in layout.tree.nodes.items():
        depth[id] = depth[node.panel.joins] + 1 if node.joint else 0
    return sorted(layout.flat.bends, key=lambda bend: -depth[bend.panel])


def _deburr(layout: PartLayout) -> Row:
    """Before any bend, for a burr on its outside starts a crack. Common practice."""
    why = "a burr on the outside of a bend starts a crack; " if layout.flat.bends else ""
    return (
        "deburr all edges and holes",
        "deburring tool, countersink by hand",
        "",
        "",
        f"{why}sharp until it is done",
    )


def _finish(layout: PartLayout) -> Iterator[Row]:
    metal = layout.sheet is not None and layout.sheet.kind == "metal"
    yield (
        "test fit with the device and its screws",
        "screws by hand first",
        "",
        "",
        f"look behind the panel before you drill into the vehicle; {_BATTERY}",
    )
    wood = layout.sheet is not None and layout.sheet.kind == "wood"
    coat = "prime and paint" if metal else "seal and paint" if wood else "paint or cover"
    yield (
        f"finish: clean, {coat}, mask the ground contact faces"
        if metal
        else f"finish: clean, {coat}",
        "scouring pad, paint for this material",
        "",
        "",
        "" if metal or wood else "solvents craze bent plastic: try on an offcut",
    )


def _opening(layout: PartLayout, hole: FlatHole) -> str:
    across = hole.across_m or hole.diameter_m
    return f"{hole.id} {layout.show(across)} by {layout.show(hole.diameter_m)}"


def _drill_speed(cut: Speeds, diameter_m: float) -> str:
    return f"about {cut.drill_rpm(diameter_m)} per minute"


def _list(names: Iterable[str]) -> str:
    found = list(names)
    return ", ".join(found[:12]) + (f" and {len(found) - 12} more" if len(found) > 12 else "")
