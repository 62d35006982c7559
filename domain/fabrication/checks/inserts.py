"""Countersunk holes and inserts: whether the sheet is right for them."""

from domain.build.choices import HoleKind
from domain.fabrication.checks.holes import where
from domain.fabrication.materials.inserts import KNIFE_EDGE, flat_head, insert_for
from domain.fabrication.part_layout import PartLayout, Report
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.findings import Level

_TOUCH_M = 1e-6


def check_inserts(layout: PartLayout, report: Report) -> None:
    """Every hole with a flat head or an insert in it."""
    for hole in layout.placed:
        if hole.kind is HoleKind.COUNTERSUNK:
            _countersunk(layout, report, hole)
        elif hole.kind is HoleKind.INSERT:
            _heat_set(layout, report, hole)
        elif hole.kind is HoleKind.RIVET_NUT:
            _rivet_nut(layout, report, hole)


def _at(hole: PlacedHole) -> tuple[str, str, str]:
    return ("studs", hole.stud, "kind") if hole.stud else ("holes", hole.id, "kind")


def _countersunk(layout: PartLayout, report: Report, hole: PlacedHole) -> None:
    head, thick = flat_head(hole.thread), layout.part.thickness_m
    if layout.sheet is not None and layout.sheet.kind == "plastic":
        if not report.full("countersunk-in-plastic", Level.FIX):
            report.add(
                Level.FIX,
                "countersunk-in-plastic",
                f"{where(layout, hole)}: a flat head splits {layout.sheet.name}",
                "its cone wedges the hole open as it is drawn tight, and the sheet cracks",
                "make it a clearance hole: a pan head with a washer under it",
                "common practice",
                _at(hole),
            )
    elif (
        head is not None
        and head.height_m > KNIFE_EDGE * thick + _TOUCH_M
        and not report.full("countersunk-too-deep", Level.FIX)
    ):
        report.add(
            Level.FIX,
            "countersunk-too-deep",
            f"{where(layout, hole)}: the head of {hole.thread} is too high for the sheet",
            f"it is {layout.show(head.height_m)} high, at most two thirds of "
            f"{layout.show(thick)}: below that a knife edge is left",
            f"take {layout.show(head.height_m / KNIFE_EDGE)} sheet, a smaller screw, or a pan head",
            "structures practice; ISO 7721 and ASME B18.6.3 heads",
            _at(hole),
        )


def _heat_set(layout: PartLayout, report: Report, hole: PlacedHole) -> None:
    insert, sheet = insert_for(hole.kind, hole.thread), layout.sheet
    if insert is None or sheet is None:
        return
    if sheet.bends != "hot" and sheet.kind != "plastic":
        if not report.full("insert-wrong-sheet", Level.FIX):
            report.add(
                Level.FIX,
                "insert-wrong-sheet",
                f"{where(layout, hole)}: {sheet.name} does not melt round a heat-set insert",
                "it holds by the plastic that flows into its knurl",
                "use a rivet nut, a tapped hole or a nut",
                "common practice",
                _at(hole),
            )
    elif insert.length_m > layout.part.thickness_m + _TOUCH_M and not report.full(
        "insert-too-long", Level.FIX
    ):
        report.add(
            Level.FIX,
            "insert-too-long",
            f"{where(layout, hole)}: the insert for {hole.thread} stands out of the sheet",
            f"it is {layout.show(insert.length_m)} long, the sheet "
            f"{layout.show(layout.part.thickness_m)} thick",
            "take a nut behind, a shorter insert, or thicker sheet",
            "typical inserts: read the packet",
            _at(hole),
        )


def _rivet_nut(layout: PartLayout, report: Report, hole: PlacedHole) -> None:
    insert, sheet = insert_for(hole.kind, hole.thread), layout.sheet
    if insert is None or sheet is None:
        return
    least, most = insert.grip_m
    thick = layout.part.thickness_m
    if sheet.kind != "metal":
        if not report.full("insert-wrong-sheet", Level.FIX):
            report.add(
                Level.FIX,
                "insert-wrong-sheet",
                f"{where(layout, hole)}: a rivet nut crushes {sheet.name}",
                "it holds by pressing a collar against the sheet",
                "use a heat-set insert, or a nut with washers",
                "common practice",
                _at(hole),
            )
    elif not least - _TOUCH_M <= thick <= most + _TOUCH_M and not report.full(
        "insert-grip", Level.FIX
    ):
        report.add(
            Level.FIX,
            "insert-grip",
            f"{where(layout, hole)}: a rivet nut {hole.thread} does not grip this sheet",
            f"usual ones grip {layout.show(least)} to {layout.show(most)}, the sheet is "
            f"{layout.show(thick)}",
            "take a longer rivet nut, tap the sheet, or put a nut behind",
            "typical rivet nuts: read the packet",
            _at(hole),
        )
