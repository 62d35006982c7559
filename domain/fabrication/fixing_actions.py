"""What a person does to hold a part and what it carries, each as one edit.

Screws it on, mounts a device on it, gives a footprint its screws, makes a part for a fuse spot.
"""

from collections.abc import Iterable
from math import hypot

from domain.build.actions import applied, usual_part
from domain.build.choices import HoleKind, Into, UnitHabit
from domain.build.edits import (
    AddRecord,
    Batch,
    Edit,
    EditRefused,
    RemoveRecord,
    Scalar,
    SetField,
    apply,
)
from domain.build.records import Build, Fixing, Footprint, Hole, Panel, Part, Spot
from domain.document.records import find, label, next_id
from domain.fabrication.checks.heat_growth import slots
from domain.fabrication.footprints.device_sizes import assumed_sizes, sizes_assumed
from domain.fabrication.free_spot import free_spot
from domain.fabrication.part_layout import PartLayout, part_layout
from domain.fabrication.shape.clearance import required, safe_box, sides
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import NotDeveloped, records_by_part
from domain.fabrication.strength.payload import way_to_root
from domain.units.parse import format_quantity

USUAL_THREAD = {UnitHabit.INCH: "10-24", UnitHabit.METRIC: "M5"}
"""The screw of brackets in a vehicle. Common practice."""

FLAT_SCREWS, BENT_SCREWS = 4, 2
"""Screws of a plate and of the foot of a bracket. Common practice."""

_TOUCH_M = 1e-6

_HOLDER_ROOM_M = 0.02
"""What a plate stands out round the device that it is made for [m]. Common practice."""


def fix_part(
    build: Build,
    part_id: str,
    into: Into,
    panel_id: str = "",
    count: int | None = None,
    behind_m: float | None = None,
    thread: str = "",
) -> Batch:
    """Screw a part on: a fixing, and holes for it in one panel where they have room.

    The panel is the root, or if that carries something the first that does not; four screws in the
    corners of a plate, two in a row at a bracket. ``EditRefused`` where there is no room.
    """
    part = find(build, part_id)
    if not isinstance(part, Part):
        raise EditRefused("go to a part first")
    layout = part_layout(build, part)
    if isinstance(layout, NotDeveloped):
        raise EditRefused(f"{label(build, part_id)} is not laid out yet: {layout.why}")
    panel = panel_id or _foot(layout)
    many = count or (FLAT_SCREWS if len(layout.tree.nodes) == 1 else BENT_SCREWS)
    thread = thread or USUAL_THREAD[build.header.units]
    fixing = Fixing(id=next_id(build, "fixings"), part=part_id, into=into, thread=thread)
    made = _screwed(build, layout, panel, fixing, behind_m, _places(layout, panel, fixing, many))
    after = part_layout(applied(build, *made), part)
    more = () if isinstance(after, NotDeveloped) else slots(after)
    if more and not isinstance(after, NotDeveloped):
        # a plastic on metal needs room to grow: what is put in here has it, and lies further in
        longest = max(float(str(edit.value)) for edit in more if edit.field == "across_m")
        inset = (longest - min(hole.diameter_m for hole in after.placed if hole.fixing)) / 2
        places = _places(layout, panel, fixing, many, inset)
        made = _screwed(build, layout, panel, fixing, behind_m, places)
        after = part_layout(applied(build, *made), part)
        made += [] if isinstance(after, NotDeveloped) else slots(after)
    return Batch(edits=tuple(made), label=f"screw {label(build, part_id)} on with {many}")


def _screwed(
    build: Build,
    layout: PartLayout,
    panel: str,
    fixing: Fixing,
    behind_m: float | None,
    places: list[tuple[float, float]],
) -> list[Edit]:
    record: dict[str, Scalar] = {
        "id": fixing.id,
        "part": layout.part.id,
        "into": fixing.into.value,
        "thread": fixing.thread,
        "behind_m": behind_m,
    }
    edits: list[Edit] = [AddRecord(table="fixings", record=record)]
    taken: frozenset[str] = frozenset()
    for x, y in places:
        hole = next_id(build, "holes", taken)
        taken |= {hole}
        values: dict[str, Scalar] = {
            "id": hole,
            "panel": panel,
            "x_m": x,
            "y_m": y,
            "kind": HoleKind.CLEARANCE.value,
            "fixing": fixing.id,
        }
        edits.append(AddRecord(table="holes", record=values))
    return edits


def _foot(layout: PartLayout) -> str:
    """The panel that is screwed on: the root, or the first that carries nothing."""
    loaded = {mount.panel for mount in layout.records.mounts}
    order = [layout.tree.root, *(panel.id for panel in layout.records.panels)]
    return next((id for id in order if id not in loaded), layout.tree.root)


def _places(
    layout: PartLayout, panel: str, fixing: Fixing, count: int, inset_m: float = 0.0
) -> list[tuple[float, float]]:
    """Where the screws go: rows that keep their distance to edges, bends and other holes."""
    node = layout.tree.nodes.get(panel)
    if node is None:
        raise EditRefused("choose a flange of this part")
    probe = _probe(layout, panel, fixing)
    wanted = required(layout.sheet, layout.part.thickness_m, probe)
    x0, y0, x1, y1 = safe_box(layout.tree, sides(layout.tree, node), wanted)
    x0, y0, x1, y1 = x0 + inset_m, y0 + inset_m, x1 - inset_m, y1 - inset_m
    name = layout.panel_name(panel)
    if x0 > x1 or y0 > y1:
        raise EditRefused(f"{name} is too small for a screw {fixing.thread}")
    here = [hole for hole in layout.placed if hole.panel == panel]
    middle = (y0 + y1) / 2
    if count < FLAT_SCREWS:
        rows = [[(x, y) for x in _spread(x0, x1, count)] for y in (middle, y0, y1)]
    else:
        half = [*_spread(x0, x1, count - count // 2)], [*_spread(x0, x1, count // 2)]
        rows = [[(x, y0) for x in half[0]] + [(x, y1) for x in half[1]]]
    for places in rows:
        if _room_for(places, probe, here):
            return places
    raise EditRefused(f"{name} has no room for {count} screws {fixing.thread}: enter them by hand")


def _probe(layout: PartLayout, panel: str, fixing: Fixing) -> PlacedHole:
    hole = Hole(id="h0", panel=panel, kind=HoleKind.CLEARANCE, fixing=fixing.id)
    records = records_by_part(layout.build)[layout.part.id]
    records.holes[:] = [hole]
    records.mounts.clear()
    records.fixings[:] = [fixing]
    return placed_holes(layout.build, records)[0]


def _spread(low: float, high: float, count: int) -> list[float]:
    """Points from end to end; the middle for one."""
    if count == 1:
        return [(low + high) / 2]
    return [low + (high - low) * k / (count - 1) for k in range(count)]


def _room_for(
    places: list[tuple[float, float]], probe: PlacedHole, here: Iterable[PlacedHole]
) -> bool:
    """Whether new screws keep two diameters from each other and from what is there."""
    size = probe.diameter_m
    spots = [(hole.x_m, hole.y_m, max(hole.diameter_m, hole.across_m or 0.0)) for hole in here]
    for k, (x, y) in enumerate(places):
        others = [*spots, *((a, b, size) for a, b in places[:k])]
        if any(hypot(x - a, y - b) < (wide + 3 * size) / 2 for a, b, wide in others):
            return False
    return True


def carry(
    build: Build, part_id: str, footprint_id: str = "", device: str = "", panel_id: str = ""
) -> Batch:
    """Mount a device in a panel, by its footprint: as near to the middle as there is room beside
    devices and screws and more like it find room, as it lies or turned, else beside devices, else
    in the middle: what the edit is called says that it has no room there, and so does a finding.

    Without one, an empty footprint of the device comes too: its mass, size and screws are then
    asked for. The panel is the outermost that no screw of the part goes through.
    """
    part = find(build, part_id)
    if not isinstance(part, Part):
        raise EditRefused("go to a part first")
    footprint = find(build, footprint_id) if footprint_id else _known(build, device)
    edits: list[Edit] = []
    if not isinstance(footprint, Footprint):
        if not device:
            raise EditRefused("choose what it carries")
        footprint = Footprint(
            id=next_id(build, "footprints"),
            name=_holder_name(build, device),
            device=device,
            **assumed_sizes(build.header.units),
        )
        values: dict[str, Scalar] = {
            "id": footprint.id,
            "name": footprint.name,
            "device": device,
            **assumed_sizes(build.header.units),
        }
        edits.append(AddRecord(table="footprints", record=values))
    layout = part_layout(build, part)
    if isinstance(layout, NotDeveloped):
        raise EditRefused(f"{label(build, part_id)} is not laid out yet: {layout.why}")
    panel = panel_id or _platform(layout)
    core = layout.tree.nodes[panel].core
    free = free_spot(layout, panel, footprint)
    x, y, turn_deg = free or ((core[0] + core[2]) / 2, (core[1] + core[3]) / 2, 0.0)
    mount: dict[str, Scalar] = {
        "id": next_id(build, "mounts"),
        "footprint": footprint.id,
        "panel": panel,
        "x_m": x,
        "y_m": y,
        "turn_deg": turn_deg,
    }
    edits.append(AddRecord(table="mounts", record=mount))
    carried = device or footprint.device
    if carried and not part.carries:
        edits.append(SetField(table="parts", id=part_id, field="carries", value=carried))
    what = footprint.name or label(build, carried)
    lacking = ""
    if free is None and sizes_assumed(build, footprint):
        lacking = ", where its assumed size has no room"
    elif free is None:
        lacking = ", where it has no room"
    return Batch(edits=tuple(edits), label=f"mount {what} on {label(build, part_id)}{lacking}")


def _known(build: Build, device: str) -> Footprint | None:
    """The footprint of a device of the plan, if there is one."""
    return next((each for each in build.footprints if device and each.device == device), None)


def _holder_name(build: Build, device: str) -> str:
    name = label(build, device)
    return f"Fuse holder of {name}" if any(run.id == device for run in build.runs) else name


def _platform(layout: PartLayout) -> str:
    """The outermost panel without screws of the part, the last of several; else the outermost."""
    panels: dict[str, Panel] = {panel.id: panel for panel in layout.records.panels}
    screwed = {hole.panel for hole in layout.placed if hole.fixing}
    ranked = sorted(panels, key=lambda id: (id not in screwed, len(way_to_root(panels, id))))
    return ranked[-1]


def screws_at_corners(
    build: Build, footprint_id: str, along_m: float, across_m: float, thread: str = ""
) -> Batch:
    """Give a footprint four screws in a rectangle about its middle, two in a row where
    ``across_m`` is 0, in the place of those that it has.

    An outline that nobody measured grows to hold them; ``EditRefused`` where one that was entered
    is smaller than they are apart.
    """
    footprint = find(build, footprint_id)
    if not isinstance(footprint, Footprint):
        raise EditRefused("go to a hole pattern first")
    if not sizes_assumed(build, footprint):
        _fit(build, footprint, along_m, across_m)
    old = [stud for stud in build.studs if stud.footprint == footprint_id]
    edits: list[Edit] = [RemoveRecord(table="studs", id=stud.id) for stud in old]
    long, wide = max(footprint.length_m, along_m), max(footprint.width_m, across_m)
    for field, size in (("length_m", long), ("width_m", wide)):
        if size != getattr(footprint, field):
            edits.append(SetField(table="footprints", id=footprint_id, field=field, value=size))
    thread = thread or USUAL_THREAD[build.header.units]
    ys = (wide / 2,) if across_m == 0 else ((wide - across_m) / 2, (wide + across_m) / 2)
    taken: frozenset[str] = frozenset()
    for y in ys:
        for x in ((long - along_m) / 2, (long + along_m) / 2):
            stud = next_id(build, "studs", taken)
            taken |= {stud}
            values: dict[str, Scalar] = {
                "id": stud,
                "footprint": footprint_id,
                "x_m": x,
                "y_m": y,
                "thread": thread,
            }
            edits.append(AddRecord(table="studs", record=values))
    return Batch(edits=tuple(edits), label=f"{2 * len(ys)} screws in {label(build, footprint_id)}")


def _fit(build: Build, footprint: Footprint, along_m: float, across_m: float) -> None:
    """``EditRefused`` where screws lie outside a device."""

    def show(length_m: float) -> str:
        return format_quantity("small_length", length_m, build.header.units)

    for apart, size, word in (
        (along_m, footprint.length_m, "length"),
        (across_m, footprint.width_m, "width"),
    ):
        if apart > size + _TOUCH_M:
            raise EditRefused(
                f"screws {show(apart)} apart lie outside {footprint.name or footprint.id}, whose "
                f"{word} is {show(size)}: type less, or change its {word} first"
            )


def part_for_spot(build: Build, spot_id: str) -> tuple[Batch, str]:
    """A plate for a fuse spot, with the fuse holder of its run on it and screwed to what is
    behind; and the id of the new part.
    """
    spot = find(build, spot_id)
    if not isinstance(spot, Spot):
        raise EditRefused("go to a fuse spot first")
    if not spot.run:
        raise EditRefused("name the run whose fuse would sit at this spot first")
    known = _known(build, spot.run)
    size = (known.length_m, known.width_m) if known else (0.08, 0.04)
    id, panel = next_id(build, "parts"), next_id(build, "panels")
    name = f"Plate at {label(build, spot_id)}"
    edits: list[Edit] = [
        AddRecord(
            table="parts",
            record={**usual_part(build.header.units), "id": id, "name": name, "zone": spot.zone},
        ),
        AddRecord(
            table="panels",
            record={
                "id": panel,
                "part": id,
                "name": "Plate",
                "width_m": size[0] + 4 * _HOLDER_ROOM_M,
                "length_m": size[1] + 2 * _HOLDER_ROOM_M,
            },
        ),
    ]
    after = build
    for edit in edits:
        after, _ = apply(after, edit)
    fixed = fix_part(after, id, spot.into, panel, behind_m=spot.behind_m)
    edits += fixed.edits
    after, _ = apply(after, fixed)
    edits += carry(after, id, device=spot.run, panel_id=panel).edits
    return Batch(edits=tuple(edits), label=f"add {name}"), id
