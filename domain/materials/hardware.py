"""What the bill of materials needs beside the wire: ground hardware, fasteners, sheet, the rest."""

from typing import TYPE_CHECKING

from domain.build.choices import HoleKind, Into, Surface
from domain.build.records import Build, Fixing
from domain.cable.pieces import WirePiece
from domain.fabrication.materials.drills import thread_key
from domain.fabrication.materials.sheet_materials import material
from domain.fabrication.materials.shop_practice import locked_by, screw_length_m
from domain.fabrication.shape.hole_placing import screw_of
from domain.fabrication.strength.behind import screw_length_needed_m
from domain.materials.takeoff import Takeoff
from domain.sheet import PartResult, RunResult
from domain.units.show import format_quantity

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import SheetCutList


def ground_hardware(takeoff: Takeoff, build: Build, runs: tuple[RunResult, ...]) -> None:
    """One set for each ground point that a new run ends on; paste, disc and paint for them all."""
    used = {end for run in runs if not run.existing for end in (run.source, run.target)}
    for point in build.grounds:
        if point.id not in used:
            continue
        stud = point.stud.strip() or "size to be measured"
        items = ["Star washer", "Nut"]
        if point.surface is not Surface.PLATED:
            items.insert(0, "Bolt")
            takeoff.one_for_all(
                "Consumables", "Abrasive disc", point.id, "to bare metal at ground points"
            )
            takeoff.one_for_all(
                "Consumables", "Touch-up paint", point.id, "round made ground points"
            )
        for item in items:
            takeoff.add("Ground hardware", item, stud, 1, point.id)
        takeoff.one_for_all(
            "Ground hardware", "Contact paste", point.id, "a tube for the ground points"
        )


def fasteners(takeoff: Takeoff, build: Build, parts: tuple[PartResult, ...]) -> None:
    """Screws for the holes of custom parts and for the feet of devices mounted on them.

    A clearance hole takes two washers and a nut too; a tapped one takes the screw alone, with a
    washer where it holds a device's foot. Where a fixing says what the screws of the part go into,
    they are those for it, with their length. A plastic takes nuts with a nylon ring and no thread
    locker, which cracks it.
    """
    holes = {hole.id: hole for hole in build.holes}
    fixings = {fixing.id: fixing for fixing in build.fixings}
    for part in parts:
        for drilled in part.holes:
            hole = holes.get(drilled.id)
            if hole is None:
                continue
            fixing = fixings.get(hole.fixing)
            kind, thread = screw_of(hole, fixing)
            if fixing is None:
                _fastener(takeoff, part, kind, thread, "", under_head=False)
            else:
                _fixing(takeoff, build, part, fixing, kind, thread)
    quantity = {part.id: part for part in parts}
    part_of = {panel.id: panel.part for panel in build.panels}
    for mount in build.mounts:
        holder = quantity.get(part_of.get(mount.panel, ""))
        for stud in build.studs:
            if holder is None or stud.footprint != mount.footprint or not mount.footprint:
                continue
            length = ""
            if stud.screw_m is not None:
                shown = format_quantity("small_length", stud.screw_m, build.header.units)
                length = f" x {shown}"
            _fastener(takeoff, holder, stud.kind, stud.thread, length, under_head=True)


AMPLIFIER_SCREWS, LOAD_SCREWS, BLOCK_SCREWS, HOLDER_SCREWS = 4, 4, 2, 2
"""Screws that hold an amplifier, another load, a block, a fuse holder to the vehicle.

Common practice.
"""

SCREW_NOTE = "to suit what it goes into"


def screws(takeoff: Takeoff, what: str, count: float, asked_by: str) -> None:
    """Screws that hold something to the vehicle. Their item says what, never merged with others."""
    takeoff.add("Fasteners", f"Screw for {what}", "", count, asked_by, note=SCREW_NOTE)


def carried(build: Build) -> set[str]:
    """Devices, and runs whose fuse holder, a custom part carries: those screws are its own."""
    placed = {mount.footprint for mount in build.mounts}
    return {each.device for each in build.footprints if each.id in placed}


def mounting(takeoff: Takeoff, build: Build) -> None:
    """What holds devices to the vehicle, and each battery but the first, which is there."""
    held = carried(build)
    for device in build.amplifiers:
        if device.id not in held:
            screws(takeoff, "amplifier", AMPLIFIER_SCREWS, device.id)
    for appliance in build.appliances:
        if appliance.id not in held:
            screws(takeoff, "load", LOAD_SCREWS, appliance.id)
    for block in build.blocks:
        if block.id not in held:
            screws(takeoff, "block", BLOCK_SCREWS, block.id)
    for battery in build.batteries[1:]:
        takeoff.add(
            "Fasteners", "Battery hold-down", "", 1, battery.id, note="by its case and mass"
        )
        takeoff.add("Fasteners", "Battery post cover", "", 2, battery.id)


def _fixing(
    takeoff: Takeoff,
    build: Build,
    part: PartResult,
    fixing: Fixing,
    kind: HoleKind,
    thread: str,
) -> None:
    """The screw of one hole that holds the part, by what it goes into; its length to suit."""
    if not thread.strip():
        return
    length_m = fixing.screw_m
    needed = screw_length_needed_m(fixing, thread, part.thickness_m)
    if length_m is None and needed is not None:
        length_m = screw_length_m(thread, needed)
    length = ""
    if length_m is not None:
        length = f" x {format_quantity('small_length', length_m, build.header.units)}"
    if fixing.into in (Into.UNKNOWN, Into.PANEL_NUT, Into.BRACKET):
        _fastener(takeoff, part, kind, thread, length, under_head=True)
        return
    size = _size(thread)
    screw = {Into.PANEL: "Tapping screw", Into.WOOD: "Wood screw"}.get(fixing.into, "Machine screw")
    if kind is HoleKind.COUNTERSUNK:
        screw = f"{screw}, flat head"
    note = "" if length else "length to suit what it holds"
    takeoff.add("Fasteners", screw, size + length, part.quantity, part.id, note=note)
    if kind is not HoleKind.COUNTERSUNK:
        takeoff.add("Fasteners", "Plain washer", size, part.quantity, part.id)
    extra = {Into.RIVET_NUT: "Rivet nut", Into.INSERT: "Threaded insert"}.get(fixing.into)
    if extra:
        takeoff.add("Fasteners", extra, size, part.quantity, part.id)
    locked = locked_by(material(part.material), kind, fixing.into)
    if locked.startswith("thread locker"):
        takeoff.one_for_all("Consumables", "Thread locker", part.id, LOCKER_NOTE)


def _size(thread: str) -> str:
    """A thread as it is asked for at a counter: 10-24, M5, or #10 for a screw without a pitch."""
    key = thread_key(thread)
    return f"#{key}" if key.isdigit() else key


LOCKER_NOTE = "for the screws of metal and wooden parts"


def _fastener(
    takeoff: Takeoff,
    part: PartResult,
    kind: HoleKind,
    thread: str,
    length: str,
    *,
    under_head: bool,
) -> None:
    if kind is HoleKind.PLAIN or not thread.strip():
        return
    size = _size(thread)
    note = "" if length else "length to suit what it holds"
    sunk = kind is HoleKind.COUNTERSUNK
    screw = "Machine screw, flat head" if sunk else "Machine screw"
    takeoff.add("Fasteners", screw, size + length, part.quantity, part.id, note=note)
    # under the head, and under the nut
    washers = (kind.through or under_head) - sunk + kind.through
    if washers:
        takeoff.add("Fasteners", "Plain washer", size, washers * part.quantity, part.id)
    known = material(part.material)
    plastic = known is not None and known.kind == "plastic"
    if kind.through:
        nut = "Nylon ring nut" if plastic else "Nut"
        takeoff.add("Fasteners", nut, size, part.quantity, part.id)
    extra = {HoleKind.INSERT: "Heat-set insert", HoleKind.RIVET_NUT: "Rivet nut"}.get(kind)
    if extra:
        takeoff.add("Fasteners", extra, size, part.quantity, part.id)
    if not plastic:
        takeoff.one_for_all("Consumables", "Thread locker", part.id, LOCKER_NOTE)


def sheet(takeoff: Takeoff, build: Build, lists: "tuple[SheetCutList, ...]") -> None:
    """Sheets by material, thickness and size; what fits on none, by area."""
    for each in lists:
        thick = each.stock or format_quantity("small_length", each.thickness_m, build.header.units)
        item = f"{each.material} sheet"
        for sheets in each.counts:
            note = _sheet_note(each, sheets.waste)
            if not each.stock:
                note = f"no stock thickness in the table; {note}"
            size = f"{thick}, {sheets.size.name}"
            key = ("Sheet", item, size, "each")
            for part in sheets.parts:
                takeoff.add(*key[:3], 0, part, order=each.thickness_m, note=note)
            takeoff.lines[key].needed = sheets.count
            takeoff.lines[key].each_m2 = sheets.size.area_m2
        why = "goes on no sheet in stock" if each.own else "goes on no sheet that is sold"
        for blank in each.nest.too_large:
            takeoff.add(
                "Sheet",
                item,
                thick,
                blank.area_m2,
                blank.id,
                unit="m2",
                order=each.thickness_m,
                note=f"{why if each.sizes else 'no sizes known of this material'}: by area",
            )


def _sheet_note(each: "SheetCutList", waste: float) -> str:
    if each.layout == "by area":
        later = "too many blanks to lay out as you type"
        return f"at least, by area: {later if each.can_be_laid else 'too many blanks to lay out'}"
    found = f"{waste * 100:.0f} % waste"
    if each.layout == "quick" and not each.nest.least:
        found += " by a quick layout; the cut list may need less"
    return found


def consumables(takeoff: Takeoff, pieces: list[WirePiece]) -> None:
    """A label for both ends of every piece of wire with tape over it, and tape for the looms."""
    for piece in pieces:
        takeoff.add(
            "Consumables", "Wire label", "", 2, piece.run, note="one at each end of a piece"
        )
        takeoff.one_for_all("Consumables", "Clear tape", piece.run, "a roll over the wire labels")
        takeoff.one_for_all(
            "Consumables", "Cloth tape", piece.run, "a roll for harness ends and branches"
        )
