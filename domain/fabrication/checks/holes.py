"""Holes: on the sheet, away from edges, bends and heat, and drilled right for their screw."""

from collections.abc import Callable
from functools import partial

from msgspec import Struct

from domain.build.choices import HoleKind, HoleShape
from domain.fabrication.materials.drills import thread_names
from domain.fabrication.part_layout import PartLayout, Report, Told
from domain.fabrication.shape.clearance import (
    Required,
    Shortfall,
    Side,
    required,
    safe_box,
    shortfalls,
    sides,
)
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.sheet_edge import TOUCH_M, SheetEdge
from domain.findings import Level
from domain.units.show import figures

DRILL_DIFFERENCE_M = 0.0002
"""An entered diameter this far [m] from the screw's drill is worth a note. Common practice."""

PRACTICE = "common practice"


def check_holes(layout: PartLayout, report: Report) -> None:
    """Every hole of the part by itself."""
    tree = layout.tree
    by_panel = {id: sides(tree, node) for id, node in tree.nodes.items()}
    boxes: dict[tuple[str, Required], tuple[float, float, float, float]] = {}
    sheet_edge: SheetEdge | None = None
    alike: Alike = {}
    for hole, flat in zip(layout.placed, layout.flat.holes, strict=True):
        _check_thread(layout, report, hole)
        _check_cutter(layout, report, hole)
        wanted = required(tree.sheet, tree.part.thickness_m, hole)
        key = hole.panel, wanted
        if key not in boxes:
            boxes[key] = safe_box(tree, by_panel[hole.panel], wanted)
        x0, y0, x1, y1 = boxes[key]
        if x0 <= hole.x_m <= x1 and y0 <= hole.y_m <= y1:
            continue
        if _off(layout, report, hole, boxes[key]):
            continue
        found = shortfalls(tree, by_panel[hole.panel], wanted, (hole.x_m, hole.y_m))
        edges = [shortfall for shortfall in found if shortfall.joint is None]
        bends = [shortfall for shortfall in found if shortfall.joint]
        if bends:
            _at_bend(
                layout, alike, hole, wanted, max(bends, key=lambda shortfall: shortfall.short_m)
            )
        sheet_edge = sheet_edge or SheetEdge(layout.flat.outline)
        gap = sheet_edge.clear_m(flat, wanted.web_m)
        if gap < wanted.web_m - TOUCH_M:
            worst = max(edges, key=lambda shortfall: shortfall.short_m, default=None)
            side = worst.side if worst else None
            if gap < -TOUCH_M:
                _breaks_out(layout, report, hole, wanted, side, partial(sheet_edge.beyond_m, flat))
            else:
                _at_edge(layout, alike, hole, wanted, gap, side)
    for one in alike.values():
        _tell(layout, report, one)


class _Fault(Struct):
    """One fault of one or several holes of a flange; ``words`` are why and what to do, of the
    hole that has least room of them.
    """

    level: Level
    code: str
    text: str
    source: str
    holes: list[PlacedHole]
    field: str
    gap_m: float
    words: tuple[str, str]


Alike = dict[tuple[str, str, Level, str, HoleKind], _Fault]


def _found(alike: Alike, fault: _Fault) -> None:
    """Put a fault with those like it: of the same kind, screw and flange.

    Holes of a device are told with their own device, which moves as one.
    """
    hole = fault.holes[0]
    key = (fault.code, hole.panel, fault.level, f"{hole.mount} {hole.thread}", hole.kind)
    known = alike.setdefault(key, fault)
    if known is fault:
        return
    known.holes.append(hole)
    if fault.gap_m < known.gap_m:
        known.gap_m, known.words = fault.gap_m, fault.words


def _tell(layout: PartLayout, report: Report, fault: _Fault) -> None:
    """One finding for all holes with the same fault: at the first of them, the others named."""
    if report.full(fault.code, fault.level):
        return
    first, ids = fault.holes[0], [hole.id for hole in fault.holes]
    many = len(ids) > 1
    what = (
        f"holes {listed(ids)} in {layout.panel_name(first.panel)}" if many else where(layout, first)
    )
    why, do = fault.words
    report.add(
        fault.level,
        fault.code,
        f"{what} {_PLURAL.get(fault.text, fault.text) if many else fault.text}",
        f"at the nearest: {why}" if many else why,
        do.replace("move it", "move them").replace("keep its", "keep their") if many else do,
        fault.source,
        place_of(first, fault.field),
    )


_MOST_NAMED = 8


def listed(ids: list[str]) -> str:
    """Names of holes in a sentence; of many the first."""
    if len(ids) > _MOST_NAMED:
        return f"{', '.join(ids[:_MOST_NAMED])} and {len(ids) - _MOST_NAMED} more"
    return f"{', '.join(ids[:-1])} and {ids[-1]}"


def where(layout: PartLayout, hole: PlacedHole) -> str:
    """What to call a hole in a sentence."""
    return f"hole {hole.id} in {layout.panel_name(hole.panel)}"


def place_of(hole: PlacedHole, field: str) -> tuple[str, str, str]:
    """The record and field that move a hole: its own, or its mount's."""
    return ("mounts", hole.mount, field) if hole.mount else ("holes", hole.id, field)


def _off(
    layout: PartLayout, report: Report, hole: PlacedHole, box: tuple[float, float, float, float]
) -> bool:
    """Whether its center is not on its flange. ``box``: where it would keep its distances [m]."""
    panel = layout.tree.nodes[hole.panel].panel
    off_x = not 0 <= hole.x_m <= panel.width_m
    if not off_x and 0 <= hole.y_m <= panel.length_m:
        return False
    if not report.full("hole-off-panel", Level.STOP):
        report.add(
            Level.STOP,
            "hole-off-panel",
            f"{where(layout, hole)} is not on the flange",
            f"its center is {layout.show(hole.x_m)} along and {layout.show(hole.y_m)} up, the "
            f"flange is {layout.show(panel.width_m)} by {layout.show(panel.length_m)}",
            _back_on(layout, hole, box),
            "geometry",
            place_of(hole, "x_m" if off_x else "y_m"),
        )
    return True


_ROUNDED_M = 0.00005
"""What a length of a part is shown by may be off by so much [m]: half a tenth of a millimeter."""


def _back_on(layout: PartLayout, hole: PlacedHole, box: tuple[float, float, float, float]) -> str:
    if hole.mount:
        return "move the device that it belongs to, or make the flange larger"
    if min(box[2] - box[0], box[3] - box[1]) < 2 * _ROUNDED_M:
        return "make the flange larger: this hole has room nowhere on it"
    steps = (_ROUNDED_M, _ROUNDED_M, -_ROUNDED_M, -_ROUNDED_M)
    x0, y0, x1, y1 = (layout.show(at + step) for at, step in zip(box, steps, strict=True))
    return f"enter X from {x0} to {x1} and Y from {y0} to {y1}, or make the flange larger"


_BEND_WORDS = {
    "bend": ("hole-in-bend", "runs into the bend", "geometry"),
    "heat": (
        "hole-in-heat",
        "lies in the strip that is heated",
        "common practice: softened over four thicknesses",
    ),
    "form": ("hole-near-bend", "is so near the bend that bending distorts it", PRACTICE),
    "washer": ("washer-on-bend", "is so near the bend that its washer does not lie flat", PRACTICE),
}


_PLURAL = {
    "is near the edge": "are near the edge",
    "runs into the bend": "run into the bend",
    "lies in the strip that is heated": "lie in the strip that is heated",
    "is so near the bend that bending distorts it": "are so near the bend that bending distorts "
    "them",
    "is so near the bend that its washer does not lie flat": "are so near the bend that their "
    "washers do not lie flat",
}


def _at_bend(
    layout: PartLayout, alike: Alike, hole: PlacedHole, wanted: Required, shortfall: Shortfall
) -> None:
    code, text, source = _BEND_WORDS[shortfall.cause]
    level = Level.FIX if wanted.screw or shortfall.cause == "bend" else Level.NOTE
    if shortfall.cause == "heat" and not wanted.tapped:
        level = Level.NOTE
    show = layout.show
    far = shortfall.side.edge.value != "near" or not layout.tree.nodes[hole.panel].joint
    moved = show(shortfall.short_m)
    softens = (
        ", a tapped thread there softens" if wanted.tapped and shortfall.cause == "heat" else ""
    )
    why = (
        f"from its edge to where the bend begins {_signed(show, shortfall.gap_m)}, at least "
        f"{show(shortfall.least_m)}{softens}"
    )
    bend_out = f", or move the bend line out {moved}" if far else ""
    do = f"move it {moved} away from the bend{bend_out}"
    field = "y_m" if shortfall.side.axis else "x_m"
    gap = -shortfall.short_m
    _found(alike, _Fault(level, code, text, source, [hole], field, gap, (why, do)))


def _breaks_out(
    layout: PartLayout,
    report: Report,
    hole: PlacedHole,
    wanted: Required,
    side: Side | None,
    beyond_m: Callable[[], float],
) -> None:
    beyond = beyond_m()

    def told() -> Told:
        return (
            f"{where(layout, hole)} breaks out of the edge",
            f"it reaches {layout.show(beyond)} beyond the sheet",
            _keep(layout, hole, wanted),
            "geometry",
            place_of(hole, _field(side)),
        )

    report.worst(Level.STOP, "hole-breaks-out", beyond, told)


def _at_edge(
    layout: PartLayout,
    alike: Alike,
    hole: PlacedHole,
    wanted: Required,
    gap_m: float,
    side: Side | None,
) -> None:
    level = Level.FIX if wanted.screw else Level.NOTE
    show, least = layout.show, wanted.web_m
    reach, which = _counted(hole, wanted)
    rule = (
        f"{figures((least + reach) / wanted.size_m, 2)} diameters are {show(least + reach)}"
        if reach
        else f"at least {show(least)} of sheet should stand"
    )
    words = (
        f"{show(max(gap_m, 0.0) + reach)} from its {which} to the edge, {rule}",
        _keep(layout, hole, wanted),
    )
    text, field = "is near the edge", _field(side)
    gap = gap_m - least
    _found(alike, _Fault(level, "hole-near-edge", text, PRACTICE, [hole], field, gap, words))


def _counted(hole: PlacedHole, wanted: Required) -> tuple[float, str]:
    """Distances of a round screw hole are counted from its centre, of others from their side."""
    round_screw = wanted.screw and hole.shape is HoleShape.ROUND
    return (hole.diameter_m / 2, "centre") if round_screw else (0.0, "side")


def _keep(layout: PartLayout, hole: PlacedHole, wanted: Required) -> str:
    reach, which = _counted(hole, wanted)
    return f"keep its {which} {layout.show(wanted.web_m + reach)} from the edge"


def _field(side: Side | None) -> str:
    return "x_m" if side is None or side.axis == 0 else "y_m"


def _check_thread(layout: PartLayout, report: Report, hole: PlacedHole) -> None:
    tapped = hole.kind is HoleKind.TAPPED
    if hole.kind is HoleKind.PLAIN or (not hole.kind.threaded and not hole.thread):
        return
    table, id = ("studs", hole.stud) if hole.stud else ("holes", hole.id)
    kind = "tapped" if tapped else f"for a {hole.kind.value}"
    if not hole.known:
        if not report.full("thread-unknown", Level.FIX):
            report.add(
                Level.FIX,
                "thread-unknown",
                f"{where(layout, hole)}: no drill is known for the thread {hole.thread!r}"
                if hole.thread
                else f"{where(layout, hole)} is {kind}, but no thread is given",
                f"drilled {hole.drill.name}, nearest to the diameter that was entered",
                f"use one of {', '.join(thread_names())}",
                "thread table",
                (table, id, "thread"),
            )
        return
    if hole.entered_m is None or hole.shape is not HoleShape.ROUND:
        return
    if abs(hole.drill.diameter_m - hole.entered_m) <= DRILL_DIFFERENCE_M:
        return
    if not report.full("hole-drilled-for-thread", Level.NOTE):
        drilled = layout.show(hole.drill.diameter_m)
        report.add(
            Level.NOTE,
            "hole-drilled-for-thread",
            f"{where(layout, hole)} is drilled {hole.drill.name} for {hole.thread}",
            f"{layout.show(hole.entered_m)} was entered, {drilled} is used",
            f"enter {drilled}, or make it a plain hole to keep the diameter",
            "drill and tap chart" if tapped else "ASME B18.2.8 or ISO 273, normal fit",
            ("holes", hole.id, "diameter_m"),
        )


def _check_cutter(layout: PartLayout, report: Report, hole: PlacedHole) -> None:
    """A routed slot or rectangle must be wider than the cutter."""
    cutter = layout.part.cutter_m
    if hole.shape is HoleShape.ROUND or cutter is None or cutter <= hole.diameter_m + TOUCH_M:
        return
    if not report.full("cutter-too-large", Level.FIX):
        report.add(
            Level.FIX,
            "cutter-too-large",
            f"{where(layout, hole)} is narrower than the cutter",
            f"it is {layout.show(hole.diameter_m)} wide, the cutter {layout.show(cutter)}",
            f"make it {layout.show(cutter)} wide, or take a smaller cutter",
            "geometry",
            ("holes", hole.id, "diameter_m"),
        )


def _signed(show: Callable[[float], str], length_m: float) -> str:
    text = show(abs(length_m))
    return f"minus {text}" if length_m < -TOUCH_M else text
