"""What a custom part carries, and where it is held."""

from collections.abc import Iterable

from msgspec import Struct

from domain.build.choices import HoleKind
from domain.build.records import Build, Footprint, Mount, Panel, Part
from domain.fabrication.materials.shop_practice import screw_stack
from domain.fabrication.shape.hole_placing import PlacedHole, stud_place
from domain.fabrication.shape.panel_tree import PartRecords, Tree, Vector
from domain.fabrication.shape.space import Space


class Burden(Struct, frozen=True):
    """A mass [kg] at a point of a panel [m], its centre ``height_m`` above the sheet's middle.

    ``height_m`` is negative for what hangs on the unmarked face. ``size_m`` is along, across and up
    of a device that is turned by ``turn_deg``; it stands on ``feet`` of ``foot_m`` radius.
    """

    panel: str
    x_m: float
    y_m: float
    mass_kg: float
    height_m: float = 0.0
    size_m: Space = (0.0, 0.0, 0.0)
    turn_deg: float = 0.0
    feet: tuple[Vector, ...] = ()
    foot_m: float = 0.005


FOOT_M = 0.005
"""Radius of a device's foot [m] where it has no screw with a washer. Common practice."""

SPREAD = 1 / 3
"""A load without a footprint stands on the middle third of its panel, each way."""


def burdens_of(build: Build, records: PartRecords) -> list[Burden]:
    """What the part carries: its mounted footprints and its own load, added up.

    Footprints that have no mass share the part's own load; where all have theirs, it stands on the
    outermost panel: that with most bends between it and the root, the last of several. A footprint
    whose mass nobody knows is not in the list, and ``unweighed`` names it. Half of a device's
    height is taken as the height of its centre.
    """
    part = records.part
    mounts = _mounts(build, records)
    bare = [mount for mount, footprint in mounts if footprint.mass_kg <= 0]
    shared_kg = part.load_kg / len(bare) if bare else 0.0
    found = [
        _mounted(build, part, mount, footprint, footprint.mass_kg or shared_kg)
        for mount, footprint in mounts
        if footprint.mass_kg or shared_kg
    ]
    if part.load_kg > 0 and not bare and records.panels:
        panels = {panel.id: panel for panel in records.panels}
        bends = {id: len(way_to_root(panels, id)) for id in panels}
        outermost = [panel for panel in records.panels if bends[panel.id] == max(bends.values())]
        panel = outermost[-1]
        wide, long = panel.width_m, panel.length_m
        feet = tuple(
            (wide / 2 * (1 + i * SPREAD), long / 2 * (1 + j * SPREAD))
            for i in (-1, 1)
            for j in (-1, 1)
        )
        size = (wide * SPREAD, long * SPREAD, 0.0)
        found.append(
            Burden(panel.id, wide / 2, long / 2, part.load_kg, 0.0, size, 0.0, feet, FOOT_M)
        )
    return found


def _mounted(
    build: Build, part: Part, mount: Mount, footprint: Footprint, mass_kg: float
) -> Burden:
    """A mounted device on its studs, or on the corners of its outline where it has none."""
    studs = [stud for stud in build.studs if stud.footprint == footprint.id]
    places = [(stud.x_m, stud.y_m) for stud in studs] or [
        (x, y) for x in (0.0, footprint.length_m) for y in (0.0, footprint.width_m)
    ]
    stacks = [stack for stud in studs if (stack := screw_stack(stud.thread))]
    return Burden(
        panel=mount.panel,
        x_m=mount.x_m,
        y_m=mount.y_m,
        mass_kg=mass_kg,
        height_m=(footprint.height_m + part.thickness_m) / 2 * (-1 if mount.mirrored else 1),
        size_m=(footprint.length_m, footprint.width_m, footprint.height_m),
        turn_deg=mount.turn_deg,
        feet=tuple(stud_place(mount, footprint, x, y) for x, y in places),
        foot_m=min((stack.washer_od_m / 2 for stack in stacks), default=FOOT_M),
    )


def mass_of(part: Part, footprint: Footprint, mounted: Iterable[Footprint]) -> float:
    """What a mounted device weighs [kg]: its own mass, or its share of the part's load.

    ``mounted`` are the footprints of all the part's mounts, this one among them; 0 where nobody
    knows.
    """
    bare = sum(other.mass_kg <= 0 for other in mounted)
    return footprint.mass_kg or part.load_kg / bare


def unweighed(build: Build, records: PartRecords) -> list[tuple[Mount, Footprint]]:
    """Mounted footprints without a mass of their own."""
    return [each for each in _mounts(build, records) if each[1].mass_kg <= 0]


def screwed_mounts(build: Build, records: PartRecords) -> list[tuple[Mount, Footprint, int]]:
    """Every mounted footprint, and how many screws it has."""
    counts: dict[str, int] = {}
    for stud in build.studs:
        counts[stud.footprint] = counts.get(stud.footprint, 0) + 1
    return [(mount, f, counts.get(f.id, 0)) for mount, f in _mounts(build, records)]


def missing(build: Build, records: PartRecords) -> bool:
    """Whether the part says that it carries a device of which neither mass nor footprint is there.

    A load of the part's own counts as the device's mass.
    """
    part = records.part
    if not part.carries or part.load_kg > 0:
        return False
    return all(footprint.device != part.carries for _, footprint in _mounts(build, records))


def _mounts(build: Build, records: PartRecords) -> list[tuple[Mount, Footprint]]:
    footprints = {footprint.id: footprint for footprint in build.footprints}
    return [(m, footprints[m.footprint]) for m in records.mounts if m.footprint in footprints]


def fixings_of(
    records: PartRecords, tree: Tree, holes: Iterable[PlacedHole], loaded: Iterable[str]
) -> tuple[tuple[str, ...], list[PlacedHole]]:
    """The panels that are held, and the holes in them that hold; ``holes`` are all of the part.

    Where holes name a fixing, those hold it and nothing else does. Else the root is held; where the
    root itself carries the load and other panels have screw holes of their own, those are instead.
    Screw holes are all but plain ones, or round plain ones where a panel has no others. A
    footprint's holes hold the device, not the part.
    """
    own: dict[str, list[PlacedHole]] = {}
    told = []
    for hole in holes:
        if hole.fixing:
            told.append(hole)
        if not hole.mount:
            own.setdefault(hole.panel, []).append(hole)
    if told:
        return tuple(dict.fromkeys(hole.panel for hole in told)), told
    screws: dict[str, list[PlacedHole]] = {}
    for panel in records.panels:
        here = own.get(panel.id, [])
        real = [hole for hole in here if hole.kind is not HoleKind.PLAIN]
        screws[panel.id] = real or [hole for hole in here if hole.across_m is None]
    loaded = set(loaded)
    held: tuple[str, ...] = (tree.root,)
    if tree.root in loaded:
        feet = tuple(p.id for p in records.panels if p.id not in loaded and screws[p.id])
        held = feet or held
    return held, [hole for id in held for hole in screws[id]]


def way_to_root(panels: dict[str, Panel], id: str) -> list[str]:
    """The panels from one to the root; stops at a loop or a panel that is not there."""
    way: list[str] = []
    while id in panels and id not in way:
        way.append(id)
        id = panels[id].joins
    return way
