"""Making a part, in order: machining first, because a flat sheet can be clamped; then bending.

Tool sizes come from the geometry, speeds and temperatures from shop tables (typical figures,
from memory, where the table says so).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot

from domain.build.choices import HoleKind, HoleShape, Into
from domain.build.records import Build, Part
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.inserts import flat_head, insert_for
from domain.fabrication.materials.shop_practice import (
    ANNEAL_C,
    ANNEAL_H_PER_MM,
    ANNEAL_LEAST_H,
    LOCKING,
    Speeds,
    bending_c,
    drying,
    saw_speed,
    speeds,
)
from domain.fabrication.materials.stock import ROOM_C, strength_of
from domain.fabrication.nesting.cut_sheets import rough_cut_m
from domain.fabrication.part_layout import PartLayout, part_layout
from domain.fabrication.shape.cutouts import FlatHole
from domain.fabrication.shape.flat_pattern import INNER_CORNER_M, BendLine
from domain.fabrication.shape.grain import bends_both_ways, grain_of
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import NotDeveloped
from domain.fabrication.shape.path import Arc
from domain.fabrication.strength.behind import behind
from domain.fabrication.strength.fixings import head_radius_m, torque_nm
from domain.units.parse import format_quantity
from domain.units.show import figures, format_taped

_BOARD = "6 mm MDF or hardboard"
"""What a routing template is made of: a bearing eats card. Woodworking magazines (read)."""

_BIT_SPARE_M = 0.002
"""How much longer than the sheet a bit's cutting edge is, at least [m]. Common practice."""

JIG_SPARE_M = 0.05
"""How much longer than the bend a jig and a bar are [m]. Common practice."""

SPRING_DEG = 2.0
"""How far a bend is turned beyond its angle, once to twice, as it springs back. Common practice."""

DIE_THICKNESSES = 8
"""Width of a press brake's die over the sheet's thickness. Common practice."""

_NO_PUNCH = ("acrylic", "polycarbonate")
"""A centre punch stars these. Common practice: no standard says so."""


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
    early, late = _before_and_after(layout)
    made = [
        *_template(layout),
        *_blank(layout),
        *_outline(layout),
        *_drilling(layout, early),
        *_openings(layout),
        _deburr(layout),
        *_bending(layout),
        *_drilling(layout, late),
        *_inserted(layout),
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
        _BATTERY,
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


def _blank(layout: PartLayout) -> Iterator[Row]:
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
        "scriber or fine marker, centre punch" if punch else "fine marker, on the film",
        "" if rough else f"blank {size}",
        "",
        "; ".join(
            (["do not scribe across a bend: a scratch there starts a crack"] if bent else [])
            + ([] if punch else ["no centre punch: it stars this sheet; start holes in a bush"])
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


def _outline(layout: PartLayout) -> Iterator[Row]:
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


def _openings(layout: PartLayout) -> Iterator[Row]:
    """Slots and openings, then the edges of all that wires pass through."""
    routed = [h for h in layout.flat.holes if h.shape is not HoleShape.ROUND]
    if routed:
        yield (
            "cut the slots and openings: a hole at each end, then between them",
            "drill, then router or jigsaw",
            _list(_opening(layout, hole) for hole in routed),
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


def _before_and_after(layout: PartLayout) -> tuple[list[FlatHole], list[FlatHole]]:
    """Round holes drilled before the bends and after: near a bend a hole is drawn out of round.

    Near: within the strip that softens, or cold within two thicknesses and the radius of the line.
    """
    early: list[FlatHole] = []
    late: list[FlatHole] = []
    for hole in layout.flat.holes:
        if hole.shape is not HoleShape.ROUND:
            continue
        near = any(_off_m(bend, hole) < _drawn_m(layout, bend) for bend in layout.flat.bends)
        (late if near else early).append(hole)
    return early, late


def _off_m(bend: BendLine, hole: FlatHole) -> float:
    """From the edge of a hole to a bend line [m]."""
    dx, dy = bend.x1 - bend.x0, bend.y1 - bend.y0
    share = ((hole.x_m - bend.x0) * dx + (hole.y_m - bend.y0) * dy) / (dx * dx + dy * dy)
    share = min(max(share, 0.0), 1.0)
    at = (bend.x0 + share * dx, bend.y0 + share * dy)
    return hypot(hole.x_m - at[0], hole.y_m - at[1]) - hole.diameter_m / 2


def _drawn_m(layout: PartLayout, bend: BendLine) -> float:
    """How far from its line a bend draws the sheet [m]."""
    return max(bend.heat_m / 2, 2 * layout.part.thickness_m + bend.radius_m)


def _drilling(layout: PartLayout, rounds: list[FlatHole]) -> Iterator[Row]:
    cut = speeds(layout.sheet)
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
    yield from _sunk(layout, rounds)
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


def _sunk(layout: PartLayout, rounds: list[FlatHole]) -> Iterator[Row]:
    """Countersinks; depths of holes for inserts follow from the drilling."""
    sunk: dict[str, list[FlatHole]] = {}
    for hole in rounds:
        if hole.kind is HoleKind.COUNTERSUNK and flat_head(hole.thread):
            sunk.setdefault(hole.thread, []).append(hole)
    for thread, holes in sunk.items():
        head = flat_head(thread)
        if head is not None:
            yield (
                f"countersink {_list(hole.id for hole in holes)} on the face of the head, until it "
                "lies flush",
                f"countersink of {head.angle_deg:g} degrees",
                f"{thread}: {layout.show(head.head_m)} across at the top",
                "slow",
                "try it on an offcut: too deep leaves a knife edge",
            )


def _inserted(layout: PartLayout) -> Iterator[Row]:
    """Inserts are set when all cutting and bending is done: heat and a hammer loosen them."""
    found: dict[tuple[HoleKind, str], list[str]] = {}
    for hole in layout.placed:
        if insert_for(hole.kind, hole.thread):
            found.setdefault((hole.kind, hole.thread), []).append(hole.id)
    for (kind, thread), ids in found.items():
        hot = kind is HoleKind.INSERT
        insert = insert_for(kind, thread)
        depth = f", hole {layout.show(insert.depth_m)} deep or through" if insert and hot else ""
        yield (
            f"set the {'inserts' if hot else 'rivet nuts'} {thread} into {_list(ids)}"
            + (", flush, and let them cool under a flat" if hot else ""),
            "soldering iron with a tip for inserts" if hot else "rivet nut tool",
            f"hole as drilled{depth}",
            "",
            "the iron burns; pressed cold, an insert splits the sheet" if hot else "eye protection",
        )


def _bending(layout: PartLayout) -> Iterator[Row]:
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


def _tight(layout: PartLayout) -> Iterator[Row]:
    """How tight the screws of the part are drawn, and what keeps them so."""
    sheet = layout.sheet
    if sheet is None:
        return
    zone = next((z for z in layout.build.zones if z.id == layout.part.zone), None)
    there = strength_of(sheet, soaked_c(zone))
    warm = there if there.fraction else strength_of(sheet, ROOM_C)
    told = {fixing.id: fixing for fixing in layout.records.fixings}
    found: dict[str, list[PlacedHole]] = {}
    for hole in layout.placed:
        if hole.kind is HoleKind.PLAIN:
            continue
        fixing = told.get(hole.fixing)
        back = behind(fixing, hole.thread) if fixing else None
        torque = torque_nm(hole, head_radius_m(hole), layout.part.thickness_m, sheet, warm, back)
        into = f" into {fixing.into.value}" if fixing and fixing.into is not Into.UNKNOWN else ""
        if torque is not None:
            shown = format_quantity("torque", torque, layout.units)
            found.setdefault(f"{hole.thread}{into} to {shown}", []).append(hole)
        elif back is not None:
            seated = f"{hole.thread}{into} by hand until its head is seated, no more"
            found.setdefault(seated, []).append(hole)
    if not found:
        return
    yield (
        "tighten the screws: "
        + "; ".join(f"{text} ({_list(h.id for h in some)})" for text, some in found.items()),
        "torque screwdriver or wrench; a washer under every head and nut",
        "",
        "dry threads",
        LOCKING[sheet.kind == "plastic"],
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
    yield from _tight(layout)
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
