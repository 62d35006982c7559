"""Every hole of a part on its panel: those entered, and those a mounted footprint asks for."""

from math import cos, radians, sin

from msgspec import Struct

from domain.build.choices import HoleKind, HoleShape, UnitHabit
from domain.build.records import Build, Fixing, Footprint, Hole, Mount, Stud
from domain.fabrication.materials.drills import Drill, clearance_drill, nearest_drill, tap_drill
from domain.fabrication.materials.inserts import insert_for
from domain.fabrication.shape.panel_tree import PartRecords


class PlacedHole(Struct, frozen=True):
    """A hole in its panel's coordinates [m]; ``diameter_m`` is what is cut.

    ``entered_m`` is the diameter that was typed, ``known`` whether a drill is known for its
    thread; ``mount`` and ``stud`` say where a footprint's hole comes from, ``fixing`` which screws
    hold the part here.
    """

    id: str
    panel: str
    x_m: float
    y_m: float
    shape: HoleShape
    diameter_m: float
    across_m: float | None
    turn_deg: float
    kind: HoleKind
    thread: str
    drill: Drill
    entered_m: float | None
    known: bool
    mount: str = ""
    stud: str = ""
    fixing: str = ""


def placed_holes(build: Build, records: PartRecords) -> list[PlacedHole]:
    """All holes of a part: its own in the order entered, then those of its mounts."""
    units = build.header.units
    fixings = {fixing.id: fixing for fixing in records.fixings}
    found = [_placed(hole, units, fixings.get(hole.fixing)) for hole in records.holes]
    if records.mounts:
        footprints = {footprint.id: footprint for footprint in build.footprints}
        studs: dict[str, list[Stud]] = {}
        for stud in build.studs:
            studs.setdefault(stud.footprint, []).append(stud)
        for mount in records.mounts:
            footprint = footprints.get(mount.footprint)
            if footprint:
                for stud in studs.get(footprint.id, []):
                    found.append(_stud_hole(mount, footprint, stud, units))
    return found


def stud_place(mount: Mount, footprint: Footprint, x_m: float, y_m: float) -> tuple[float, float]:
    """A point of a footprint (from its lower left corner) on the panel [m].

    Mirrored left to right about the footprint's own middle first, then turned about it.
    """
    dx, dy = x_m - footprint.length_m / 2, y_m - footprint.width_m / 2
    if mount.mirrored:
        dx = -dx
    c, s = cos(radians(mount.turn_deg)), sin(radians(mount.turn_deg))
    return mount.x_m + c * dx - s * dy, mount.y_m + s * dx + c * dy


def _by_thread(kind: HoleKind, thread: str, units: UnitHabit) -> Drill | None:
    if kind is HoleKind.TAPPED:
        return tap_drill(thread)
    if kind.through and thread:
        return clearance_drill(thread)
    insert = insert_for(kind, thread)
    if insert is None:
        return None
    return Drill(nearest_drill(insert.hole_m, units).name, insert.hole_m)


def screw_of(hole: Hole, fixing: Fixing | None) -> tuple[HoleKind, str]:
    """What a hole is for and its screw: where it names a fixing, the fixing's, unless its own."""
    if fixing is None:
        return hole.kind, hole.thread
    kind = HoleKind.CLEARANCE if hole.kind is HoleKind.PLAIN else hole.kind
    return kind, hole.thread or fixing.thread


def bore_of(build: Build, hole: Hole) -> float | None:
    """What the screw of a hole asks for [m] in the part; ``None`` where no table has it."""
    fixing = next((fixing for fixing in build.fixings if fixing.id == hole.fixing), None)
    placed = _placed(hole, build.header.units, fixing)
    return placed.diameter_m if placed.known else None


def _placed(hole: Hole, units: UnitHabit, fixing: Fixing | None) -> PlacedHole:
    kind, thread = screw_of(hole, fixing)
    by_thread = _by_thread(kind, thread, units)
    drill = by_thread or nearest_drill(hole.diameter_m, units)
    round_hole = hole.shape is HoleShape.ROUND
    width = drill.diameter_m if round_hole or by_thread else hole.diameter_m
    across = None if round_hole else max(hole.across_m or width, width)
    return PlacedHole(
        id=hole.id,
        panel=hole.panel,
        x_m=hole.x_m,
        y_m=hole.y_m,
        shape=hole.shape,
        diameter_m=width,
        across_m=across,
        turn_deg=0.0 if round_hole else hole.turn_deg,
        kind=kind,
        thread=thread,
        drill=drill,
        entered_m=None if fixing and not hole.thread else hole.diameter_m,
        known=by_thread is not None,
        fixing=fixing.id if fixing else "",
    )


_UNKNOWN_M = 0.005
"""A footprint's screw of an unknown thread is drilled this large [m], with a finding."""


def _stud_hole(mount: Mount, footprint: Footprint, stud: Stud, units: UnitHabit) -> PlacedHole:
    by_thread = _by_thread(stud.kind, stud.thread, units)
    drill = by_thread or nearest_drill(_UNKNOWN_M, units)
    x, y = stud_place(mount, footprint, stud.x_m, stud.y_m)
    return PlacedHole(
        id=f"{mount.id}.{stud.id}",
        panel=mount.panel,
        x_m=x,
        y_m=y,
        shape=HoleShape.ROUND,
        diameter_m=drill.diameter_m,
        across_m=None,
        turn_deg=0.0,
        kind=stud.kind,
        thread=stud.thread,
        drill=drill,
        entered_m=None,
        known=by_thread is not None,
        mount=mount.id,
        stud=stud.id,
    )
