"""The finished part: tried in its place, screwed down, painted."""

from collections.abc import Iterator

from domain.build.choices import HoleKind, Into
from domain.fabrication.making.step import BATTERY_OFF, Row, listed
from domain.fabrication.materials.drills import nearest_drill, tap_drill
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.inserts import insert_for
from domain.fabrication.materials.shop_practice import (
    LOCKING,
)
from domain.fabrication.materials.stock import ROOM_C, strength_of
from domain.fabrication.part_layout import PartLayout
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.strength.behind import behind
from domain.fabrication.strength.fixings import head_radius_m, torque_nm
from domain.units.parse import format_quantity


def finish(layout: PartLayout) -> Iterator[Row]:
    """Fitted, screwed down and painted."""
    metal = layout.sheet is not None and layout.sheet.kind == "metal"
    yield (
        "test fit with the device and its screws",
        "screws by hand first",
        "",
        "",
        f"look behind the panel before you drill into the vehicle; {BATTERY_OFF}",
    )
    yield from _behind(layout)
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


def _behind(layout: PartLayout) -> Iterator[Row]:
    """Holes in what the part is screwed to: other ones than those of the part."""
    for fixing in layout.records.fixings:
        holes = [hole for hole in layout.placed if hole.fixing == fixing.id]
        if not holes or fixing.into not in _SET_BEHIND:
            continue
        kind, there, put = _SET_BEHIND[fixing.into]
        thread = holes[0].thread
        insert, tap = insert_for(kind, thread), tap_drill(thread)
        if kind is HoleKind.TAPPED:
            size, name = (tap.diameter_m, f"drill {tap.name}") if tap else (None, "")
        else:
            size = insert.hole_m if insert else None
            name = f"drill {nearest_drill(size, layout.units).name}" if size else ""
        if size is None:
            continue
        yield (
            f"mark {listed(hole.id for hole in holes)} through the part, take it off, drill "
            f"{layout.show(size)} in {there} and {put}; the part itself has "
            f"{layout.show(holes[0].diameter_m)} there, for the screw to pass",
            "center punch, drill",
            name,
            "",
            "look what is behind before you drill; the packet of an insert goes before this size",
        )


_SET_BEHIND = {
    Into.RIVET_NUT: (HoleKind.RIVET_NUT, "the body panel", "set the rivet nuts"),
    Into.INSERT: (HoleKind.INSERT, "what is behind", "set the inserts"),
    Into.TAPPED: (HoleKind.TAPPED, "the metal behind", "tap it"),
}
"""What is drilled behind a part: kind of hole, in what, and what is done with it."""


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
        + "; ".join(f"{text} ({listed(h.id for h in some)})" for text, some in found.items()),
        "torque screwdriver or wrench; a washer under every head and nut",
        "",
        "dry threads",
        LOCKING[sheet.kind == "plastic"],
    )
