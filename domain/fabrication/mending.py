"""The edit that mends a finding, where there is one.

``mend`` tries an edit and gives it only if the finding is gone afterwards and nothing that must
be fixed has come up instead.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from math import hypot

from domain.build.choices import HoleKind, UnitHabit
from domain.build.edits import Batch, Edit, EditRefused, Scalar, SetField, apply
from domain.build.records import Build, Footprint, Hole, Mount, Panel, Part, Stud
from domain.document.records import find
from domain.fabrication.checks.bends import (
    DEEPEST_SCORE_M,
    heated_pairs,
    least_flange_m,
    least_radius_m,
)
from domain.fabrication.checks.heat_growth import slots
from domain.fabrication.checks.holes import listed
from domain.fabrication.checks.placed import placed_devices
from domain.fabrication.checks.whole_part import LEAST_EDGE_M, tightest_inner_m
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.sheet_materials import material, material_names, thicker_stock
from domain.fabrication.materials.shop_practice import screw_range_m, spacing
from domain.fabrication.part_layout import ONCE, PartLayout, part_layout
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.clearance import required, safe_box, shortfalls, sides
from domain.fabrication.shape.device_outline import free_place, overhang
from domain.fabrication.shape.hole_distance import gap_m
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import NotDeveloped
from domain.findings import Finding, Level
from domain.units.parse import format_quantity

_SPARE_M = 1e-6
"""What is moved goes this much [m] further, so that rounding does not bring the finding back."""

_MOST_TRIES = 24
_LEAST_TRIES = 3
_HOLES_LOOKED_AT = 12_000
"""At most this many edits are tried, and fewer where the part has so many holes that a single try
takes long: somebody waits for the answer."""


def mend(build: Build, finding: Finding) -> Edit | None:
    """The edit that takes a finding of a custom part away, or ``None`` if none is known."""
    maker = _MAKERS.get(finding.code)
    part = _part_of(build, finding)
    if maker is None or part is None:
        return None
    layout = part_layout(build, part)
    if isinstance(layout, NotDeveloped):
        return None
    before = _serious(fabricate(build)[1])
    tries = max(_LEAST_TRIES, min(_MOST_TRIES, _HOLES_LOOKED_AT // (1 + len(layout.placed))))
    for edit in islice(maker(layout, finding), tries):
        try:
            after, _ = apply(build, edit)
        except EditRefused:
            continue
        found = fabricate(after)[1]
        gone = all(_key(each) != _key(finding) for each in found)
        if gone and _serious(found) <= before:
            return edit
    return None


def _serious(found: Iterable[Finding]) -> set[tuple[str, str, str]]:
    """What must be mended: code, record and field; a part's one of a kind by its code alone."""
    return {
        (f.code, "", "") if f.code in ONCE else (f.code, f.id, f.field)
        for f in found
        if f.level is not Level.NOTE
    }


def _key(finding: Finding) -> tuple[str, str, str, str, str]:
    what = "" if finding.code in ONCE else finding.what  # it says of how many it is the worst
    return finding.code, finding.table, finding.id, finding.field, what


def _part_of(build: Build, finding: Finding) -> Part | None:
    record = find(build, finding.id)
    if isinstance(record, Stud):
        mount = next((m for m in build.mounts if m.footprint == record.footprint), None)
        record = find(build, mount.panel) if mount else None
    if isinstance(record, Hole | Mount):
        record = find(build, record.panel)
    if isinstance(record, Panel):
        record = find(build, record.part)
    return record if isinstance(record, Part) else None


def _set(table: str, id: str, field: str, value: Scalar, label: str) -> Batch:
    edit = SetField(table=table, id=id, field=field, value=value)
    return Batch(edits=(edit,), label=label)


def _radius(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    panel = layout.tree.nodes[finding.id].panel
    least = least_radius_m(layout.sheet, layout.part.thickness_m, panel) if layout.sheet else None
    if least is not None:
        label = f"inside radius {layout.show(least)}"
        yield _set("panels", panel.id, "bend_radius_m", least, label)


def _score(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    label = f"score {layout.show(DEEPEST_SCORE_M)} deep"
    yield _set("panels", finding.id, "score_m", DEEPEST_SCORE_M, label)


def _flange(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    bend = next(b for b in layout.flat.bends if b.panel == finding.id)
    if layout.sheet:
        _, y0, _, y1 = layout.tree.nodes[finding.id].core
        more = least_flange_m(layout.sheet, layout.part.thickness_m, bend) - (y1 - y0)
        yield _longer(layout, finding.id, "length_m", more)


def _apart(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    """Grow a panel until the heated strips of its bends no longer meet."""
    pairs = [p for p in heated_pairs(layout) if (p.panel, p.field) == (finding.id, finding.field)]
    if pairs:
        more = max(pair.least_m - pair.apart_m for pair in pairs)
        yield _longer(layout, finding.id, finding.field, more)


def _longer(layout: PartLayout, panel: str, field: str, more_m: float) -> Batch:
    value = getattr(layout.tree.nodes[panel].panel, field) + more_m + _SPARE_M
    word = "bend line" if field == "length_m" else "edge"
    return _set("panels", panel, field, value, f"move the {word} out {layout.show(more_m)}")


def _room(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    """Move a hole, or all of a footprint, to where it has room, and with it those that share its
    fault; else move the far bend out.
    """
    holes = [h for h in layout.placed if finding.id in (h.id, h.mount)]
    if not holes:
        return
    yield from _alike(layout, finding, holes[0])
    yield from _one_room(layout, holes)


def _alike(layout: PartLayout, finding: Finding, first: PlacedHole) -> Iterator[Edit]:
    """Move all holes that a finding names by the least that each needs."""
    node = layout.tree.nodes[first.panel]
    around = sides(layout.tree, node)
    at_edge = finding.code in ("hole-near-edge", "hole-breaks-out")
    edits: list[Edit] = []
    moved: list[str] = []
    for hole in layout.placed:
        same = (hole.panel, hole.thread, hole.kind) == (first.panel, first.thread, first.kind)
        if not same or hole.mount:
            continue
        wanted = required(layout.sheet, layout.part.thickness_m, hole)
        steps = [0.0, 0.0]
        lacking = shortfalls(layout.tree, around, wanted, (hole.x_m, hole.y_m))
        for shortfall in lacking:
            step = -shortfall.side.out * (shortfall.short_m + _SPARE_M)
            if abs(step) > abs(steps[shortfall.side.axis]):
                steps[shortfall.side.axis] = step
        if any((each.joint is None) == at_edge for each in lacking):
            edits += _moved(layout, hole, *steps).edits
            moved.append(hole.id)
    if len(moved) > 1 and first.id in moved:
        names = listed(moved)
        way = "in from the edge" if at_edge else "away from the bend"
        yield Batch(edits=tuple(edits), label=f"move {names} {way}")


def _one_room(layout: PartLayout, holes: list[PlacedHole]) -> Iterator[Edit]:
    node = layout.tree.nodes[holes[0].panel]
    around = sides(layout.tree, node)
    steps = [0.0, 0.0]
    ranges = [[-10.0, 10.0], [-10.0, 10.0]]
    short = 0.0
    for hole in holes:
        wanted = required(layout.sheet, layout.part.thickness_m, hole)
        box = safe_box(layout.tree, around, wanted)
        for axis, at in enumerate((hole.x_m, hole.y_m)):
            ranges[axis][0] = max(ranges[axis][0], box[axis] - at + _SPARE_M)
            ranges[axis][1] = min(ranges[axis][1], box[axis + 2] - at - _SPARE_M)
        for shortfall in shortfalls(layout.tree, around, wanted, (hole.x_m, hole.y_m)):
            step = -shortfall.side.out * (shortfall.short_m + _SPARE_M)
            if abs(step) > abs(steps[shortfall.side.axis]):
                steps[shortfall.side.axis] = step
            if shortfall.side.axis == 1 and shortfall.side.out > 0:
                short = max(short, shortfall.short_m)
    if any(steps):
        yield _moved(layout, holes[0], steps[0], steps[1])
    if all(low <= high for low, high in ranges):
        dx, dy = (min(high, max(low, 0.0)) for low, high in ranges)
        yield _moved(layout, holes[0], dx, dy)
    if short:
        yield _longer(layout, node.panel.id, "length_m", short)


def _moved(layout: PartLayout, hole: PlacedHole, dx: float, dy: float) -> Batch:
    table, id = ("mounts", hole.mount) if hole.mount else ("holes", hole.id)
    record = find(layout.build, id)
    edits = tuple(
        SetField(table=table, id=id, field=field, value=getattr(record, field) + step)
        for field, step in (("x_m", dx), ("y_m", dy))
        if step
    )
    return Batch(edits=edits, label=f"move {id} {layout.show(hypot(dx, dy))}")


def _spread(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    """Move a hole away from the one that it is too near to, along the line between them."""
    place = next((i for i, h in enumerate(layout.flat.holes) if h.id == finding.id), None)
    if place is None:
        return
    hole = layout.flat.holes[place]
    factor = spacing(layout.sheet).between - 1
    for other in layout.flat.holes[:place]:
        smaller = min(hole.diameter_m, other.diameter_m)
        plain = HoleKind.PLAIN in (hole.kind, other.kind)
        least = smaller * max(factor, 0.5) if not plain else smaller / 2
        gap = gap_m(hole, other)
        if gap >= least:
            continue
        dx, dy = hole.x_m - other.x_m, hole.y_m - other.y_m
        apart = hypot(dx, dy)
        dx, dy = (dx / apart, dy / apart) if apart > _SPARE_M else (1.0, 0.0)
        placement = layout.flat.panels[hole.panel]
        for sign in (1, -1):
            step = least - gap + _SPARE_M if sign > 0 else least - gap + 2 * apart + _SPARE_M
            x, y = placement.back(hole.x_m + sign * dx * step, hole.y_m + sign * dy * step)
            old = layout.placed[place]
            yield _moved(layout, old, x - old.x_m, y - old.y_m)


def _place(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    """Move a device to the free place of its flange that is nearest to the middle, or just back
    over the edge that it hangs over.
    """
    mount = find(layout.build, finding.id)
    if not isinstance(mount, Mount) or mount.panel not in layout.tree.nodes:
        return
    placed = placed_devices(layout, mount.panel)
    footprint, corners = next((f, c) for m, f, c in placed if m.id == mount.id)
    others = [c for m, _, c in placed if m.id != mount.id]
    node = layout.tree.nodes[mount.panel]
    called = footprint.name or footprint.id
    places: list[tuple[float, float] | None] = []
    over = overhang(node, corners)
    if over is not None and finding.code == "device-over-edge":
        step = over.over_m + _SPARE_M
        places.append((mount.x_m + over.back[0] * step, mount.y_m + over.back[1] * step))
    size = footprint.length_m, footprint.width_m
    places.append(free_place(node.core, size, mount.turn_deg, others))
    for place in filter(None, places):
        edits = tuple(
            SetField(table="mounts", id=mount.id, field=field, value=value)
            for field, value in zip(("x_m", "y_m"), place, strict=True)
            if value != getattr(mount, field)
        )
        by = hypot(place[0] - mount.x_m, place[1] - mount.y_m)
        yield Batch(edits=edits, label=f"move {called} {layout.show(by)}")


def _drill(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    for hole in layout.placed:
        if hole.id == finding.id:
            size = hole.drill.diameter_m
            label = f"drill {hole.drill.name}"
            yield _set("holes", hole.id, "diameter_m", size, label)


def _cutter(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    cutter = layout.part.cutter_m
    hole = find(layout.build, finding.id)
    if cutter is None or not isinstance(hole, Hole):
        return
    edits = [SetField(table="holes", id=hole.id, field="diameter_m", value=cutter)]
    if hole.across_m is not None and hole.across_m < cutter:
        edits.append(SetField(table="holes", id=hole.id, field="across_m", value=cutter))
    yield Batch(edits=tuple(edits), label=f"make {hole.id} {layout.show(cutter)} wide")


def _corner(layout: PartLayout, _: Finding) -> Iterator[Edit]:
    least = layout.flat.least_corner_m
    label = f"corner radius {layout.show(least)}"
    yield _set("parts", layout.part.id, "corner_m", least, label)


def _edge(layout: PartLayout, _: Finding) -> Iterator[Edit]:
    wanted = min(2 * LEAST_EDGE_M, layout.part.thickness_m / 2)
    label = f"round edges over {layout.show(wanted)}"
    yield _set("parts", layout.part.id, "edge_m", wanted, label)


def _screw(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    stud = find(layout.build, finding.id)
    if not isinstance(stud, Stud):
        return
    feet = find(layout.build, stud.footprint)
    if not isinstance(feet, Footprint):
        return
    tapped = stud.kind is HoleKind.TAPPED
    useful = screw_range_m(stud.thread, feet.foot_m, layout.part.thickness_m, tapped)
    if useful:
        label = f"screw {layout.show(useful[1])} long"
        yield _set("studs", stud.id, "screw_m", useful[1], label)


def _cooler(layout: PartLayout, _: Finding) -> Iterator[Edit]:
    """Materials that bend the same way and stand the zone: first of the same family, by name,
    because that is worked and holds alike; the least heat-proof first."""
    zone = find(layout.build, layout.part.zone)
    if zone is None or layout.sheet is None:
        return
    family = re.split(r"\W", layout.sheet.name)[0]
    same = [
        (re.split(r"\W", name)[0] != family, sheet.limit_c, name)
        for name in material_names()
        if (sheet := material(name))
        and sheet.kind == layout.sheet.kind
        and sheet.bends == layout.sheet.bends
        and sheet.limit_c is not None
        and sheet.limit_c >= soaked_c(zone)
    ]
    for _other, limit, name in sorted(same):
        stands = format_quantity("temperature", limit, layout.units)
        label = f"make it of {name}, for up to {stands}"
        yield _set("parts", layout.part.id, "material", name, label)


def _thicker(layout: PartLayout, _: Finding) -> Iterator[Edit]:
    """The next thicknesses that are sold; bends are opened to what they then need."""
    if layout.sheet is None:
        return
    part = layout.part
    metric = layout.units is UnitHabit.METRIC
    for thickness, name in thicker_stock(layout.sheet, part.thickness_m, metric):
        edits = [SetField(table="parts", id=part.id, field="thickness_m", value=thickness)]
        for panel in layout.records.panels:
            least = least_radius_m(layout.sheet, thickness, panel)
            if least is not None and panel.bend_radius_m < least:
                table, field = "panels", "bend_radius_m"
                edits.append(SetField(table=table, id=panel.id, field=field, value=least))
        yield Batch(edits=tuple(edits), label=f"make it of {name} sheet")


def _bit(layout: PartLayout, _: Finding) -> Iterator[Edit]:
    tightest = tightest_inner_m(layout)
    if tightest is not None:
        label = f"router bit of {layout.show(2 * tightest)}"
        yield _set("parts", layout.part.id, "cutter_m", 2 * tightest, label)


def _slot(layout: PartLayout, finding: Finding) -> Iterator[Edit]:
    """Make slots of the holes that a plastic part moves at, until there is room."""
    edits = slots(layout)
    if edits:
        ids = dict.fromkeys(edit.id for edit in edits)
        yield Batch(edits=edits, label=f"make slots of {', '.join(ids)}")


_MAKERS: dict[str, Callable[[PartLayout, Finding], Iterator[Edit]]] = {
    "bend-too-tight": _radius,
    "score-too-deep": _score,
    "flange-too-short": _flange,
    "bends-too-near": _apart,
    "hole-off-panel": _room,
    "hole-breaks-out": _room,
    "hole-near-edge": _room,
    "hole-in-bend": _room,
    "hole-in-heat": _room,
    "hole-near-bend": _room,
    "washer-on-bend": _room,
    "holes-run-together": _spread,
    "holes-too-near": _spread,
    "hole-drilled-for-thread": _drill,
    "cutter-too-large": _cutter,
    "bit-too-large": _bit,
    "corner-too-large": _corner,
    "edge-sharp": _edge,
    "edge-too-round": _edge,
    "screw-too-short": _screw,
    "screw-too-long": _screw,
    "screw-fouls": _screw,
    "no-room-to-grow": _slot,
    "devices-overlap": _place,
    "screws-under-device": _place,
    "device-over-edge": _place,
    "part-too-warm": _cooler,
    "strip-softens": _cooler,
    "strip-breaks": _thicker,
    "strip-weak": _thicker,
    "strip-sags": _thicker,
    "strip-creeps": _thicker,
    "strip-sags-in-time": _thicker,
    "strip-shakes-apart": _thicker,
    "strip-resonates-low": _thicker,
    "strip-resonates-in-peak": _thicker,
}
