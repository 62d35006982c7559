"""Holes: which are drilled before the bends and which after, tapped, countersunk, inserts set."""

from collections.abc import Iterator
from math import hypot

from domain.build.choices import HoleKind, HoleShape
from domain.fabrication.making.step import Row, drill_speed, listed
from domain.fabrication.materials.inserts import flat_head, insert_for
from domain.fabrication.materials.shop_practice import (
    speeds,
)
from domain.fabrication.part_layout import PartLayout
from domain.fabrication.shape.cutouts import FlatHole
from domain.fabrication.shape.flat_pattern import BendLine


def before_and_after(layout: PartLayout) -> tuple[list[FlatHole], list[FlatHole]]:
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


def drilling(layout: PartLayout, rounds: list[FlatHole]) -> Iterator[Row]:
    """Holes, one step a drill; then countersinks and threads."""
    cut = speeds(layout.sheet)
    drills: dict[str, list[FlatHole]] = {}
    for hole in sorted(rounds, key=lambda hole: hole.drill_m):
        drills.setdefault(hole.drill, []).append(hole)
    for name, holes in drills.items():
        plural = "hole" if len(holes) == 1 else "holes"
        yield (
            f"drill {len(holes)} {plural}: {listed(hole.id for hole in holes)}",
            "hole saw" if name.startswith("hole saw") else "drill",
            name,
            f"{drill_speed(cut, holes[0].drill_m)}; {cut.note}",
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
            f"tap {listed(hole.id for hole in holes)}",
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
                f"countersink {listed(hole.id for hole in holes)} on the face of the head, "
                "until it lies flush",
                f"countersink of {head.angle_deg:g} degrees",
                f"{thread}: {layout.show(head.head_m)} across at the top",
                "slow",
                "try it on an offcut: too deep leaves a knife edge",
            )


def inserted(layout: PartLayout) -> Iterator[Row]:
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
            f"set the {'inserts' if hot else 'rivet nuts'} {thread} into {listed(ids)}"
            + (", flush, and let them cool under a flat" if hot else ""),
            "soldering iron with a tip for inserts" if hot else "rivet nut tool",
            f"hole as drilled{depth}",
            "",
            "the iron burns; pressed cold, an insert splits the sheet" if hot else "eye protection",
        )
