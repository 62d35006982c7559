"""The bill of materials: what to buy so that the plan can be built.

Only new things: a run already in the vehicle asks for nothing. Allowances and spares are
common practice and stand as constants here; sizes come from the reference tables.
"""

from dataclasses import dataclass, field
from math import ceil

from domain.build import (
    Block,
    BlockKind,
    Build,
    HoleKind,
    Polarity,
    Record,
    Run,
    Surface,
    Termination,
    UnitHabit,
    Zone,
    records,
    table_of,
)
from domain.cable_hardware import (
    clamp_size,
    grommet,
    heat_shrink,
    loom,
    outside_diameter_mm,
    ring_fits,
)
from domain.fabrication.holes import thread_key
from domain.fabrication.materials import material, stock_sheet
from domain.sheet import MaterialLine, PartResult, RunResult
from domain.unit_format import format_quantity
from domain.unit_table import INCH

GROUPS = (
    "Wire",
    "Terminals",
    "Heat-shrink",
    "Fuses",
    "Holders",
    "Blocks",
    "Ground hardware",
    "Loom",
    "Grommets",
    "Clamps",
    "Fasteners",
    "Sheet",
)
"""Groups of the list, in its order."""

ENDS_ALLOWANCE_M = 0.1
"""Wire lost at both ends of a run to stripping and a re-made crimp [m]. Common practice."""

SHRINK_PIECE_M = 0.05
"""Heat-shrink over one end [m]. Common practice."""

SUPPORT_SPACING_M = 0.45
"""Between clamps [m]: 18 in, ABYC E-11 from memory."""

CLAMP_FROM_MM = 8.0
"""Cable or loom of this diameter [mm] and up is held by P-clamps, thinner by ties. Practice."""

ALTERNATOR_STUD = "M8"
"""Output stud of an alternator where nothing else is known. Common practice."""

ENGINE_BAY_C = 60.0
"""A zone this warm [C] is treated as an engine bay, whatever it is called."""

SOLD_BY_M = {UnitHabit.INCH: 0.3048, UnitHabit.METRIC: 0.5}
"""Wire, loom and heat-shrink are sold by the foot or by the half metre [m]. Common practice."""

SHEET_STEP_M2 = 0.01


@dataclass(slots=True)
class _Line:
    needed: float = 0.0
    order: float = 0.0
    note: str = ""
    asked_by: dict[str, None] = field(default_factory=dict)


class _Collector:
    """Sums needs by (group, item, size, unit)."""

    def __init__(self) -> None:
        self.lines: dict[tuple[str, str, str, str], _Line] = {}

    def add(
        self,
        group: str,
        item: str,
        size: str,
        needed: float,
        asked_by: str,
        *,
        unit: str = "each",
        order: float = 0.0,
        note: str = "",
    ) -> None:
        line = self.lines.setdefault((group, item, size, unit), _Line(order=order, note=note))
        line.needed += needed
        line.asked_by[asked_by] = None


def materials_list(
    build: Build, runs: tuple[RunResult, ...], parts: tuple[PartResult, ...]
) -> tuple[MaterialLine, ...]:
    """Every line of the bill of materials, by group, then item, then size from large to small.

    ``quantity`` is rounded up to how it is sold and holds the spare fuses (one for every two of
    a rating, rounded up); ``needed`` is before that. Never raises for a build.
    """
    needs = _Collector()
    by_id = _by_id(build)
    for result in runs:
        run = by_id.get(result.id)
        if isinstance(run, Run) and not result.existing:
            _run(needs, build, by_id, run, result)
    for block in build.blocks:
        _block(needs, block)
    _ground_hardware(needs, build, runs)
    _fasteners(needs, build, parts)
    _sheet(needs, build, parts)
    ranked = sorted(
        needs.lines.items(), key=lambda item: (GROUPS.index(item[0][0]), item[0][1], -item[1].order)
    )
    return tuple(_finished(key, line, build.header.units) for key, line in ranked)


def round_up(needed: float, step: float) -> float:
    """The least whole number of steps that covers ``needed``, in the same unit."""
    return round(ceil(needed / step - 1e-9) * step, 9)


def gauge_text(gauge: str) -> str:
    """A gauge as a shop writes it: ``1/0 AWG``, ``35 mm2``."""
    if not gauge:
        return "not sized yet"
    return f"{gauge[4:]} AWG" if gauge.startswith("AWG ") else gauge


def _finished(key: tuple[str, str, str, str], line: _Line, units: UnitHabit) -> MaterialLine:
    group, item, size, unit = key
    needed, note = line.needed, line.note
    if unit == "m":
        quantity = round_up(needed, SOLD_BY_M[units])
    elif unit == "m2":
        quantity = round_up(needed, SHEET_STEP_M2)
    else:
        quantity = float(ceil(needed))
    if group == "Fuses":
        spares = ceil(needed / 2)
        quantity += spares
        note = f"{needed:.0f} in use, {spares} spare"
    return MaterialLine(group, item, size, quantity, unit, needed, tuple(line.asked_by), note)


def _run(
    needs: _Collector, build: Build, by_id: dict[str, Record], run: Run, result: RunResult
) -> None:
    gauge, order = gauge_text(result.gauge), result.area_mm2
    default = "red" if run.polarity is Polarity.POSITIVE else "black"
    colour = run.colour.strip() or default
    wire = f"{run.metal.value.capitalize()} wire {run.insulation.value}, {colour}"
    needs.add(
        "Wire",
        wire,
        gauge,
        result.wire_m + ENDS_ALLOWANCE_M,
        run.id,
        unit="m",
        order=order,
        note=f"with {_short(ENDS_ALLOWANCE_M, build)} for the ends of each run",
    )
    od_mm = outside_diameter_mm(result.area_mm2)
    for device_id, pinned in ((run.source, run.near_end), (run.target, run.far_end)):
        _end(needs, build, by_id.get(device_id), pinned, run, result, od_mm)
    _fuses(needs, by_id, run, result)
    if od_mm:
        _protection(needs, build, by_id, run, result, od_mm)


def _end(
    needs: _Collector,
    build: Build,
    device: Record | None,
    pinned: Termination | None,
    run: Run,
    result: RunResult,
    od_mm: float,
) -> None:
    termination = pinned or _termination(device)
    gauge, order = gauge_text(result.gauge), result.area_mm2
    if termination is Termination.RING:
        stud = _stud(device)
        known = bool(stud) and ring_fits(stud)
        needs.add(
            "Terminals",
            "Ring terminal",
            f"{gauge}, stud {stud or 'to be measured'}",
            1,
            run.id,
            order=order,
            note="" if known else "no ring of that stud in the table: measure it",
        )
    elif termination is Termination.FERRULE:
        needs.add("Terminals", "Ferrule", gauge, 1, run.id, order=order)
    else:
        return
    if od_mm:
        size = heat_shrink(od_mm)
        needs.add(
            "Heat-shrink",
            "Heat-shrink 3:1 with adhesive",
            size or _for_cable(od_mm, build),
            SHRINK_PIECE_M,
            run.id,
            unit="m",
            order=od_mm,
            note=f"{_short(SHRINK_PIECE_M, build)} over each end"
            if size
            else "no tube in the table goes over it",
        )


def _termination(device: Record | None) -> Termination | None:
    """Rings on battery, alternator and ground point, ferrules on amplifier and block."""
    if device is None:
        return None
    if table_of(device.id) in ("batteries", "alternators", "grounds"):
        return Termination.RING
    return Termination.FERRULE


def _stud(device: Record | None) -> str:
    if device is not None and table_of(device.id) == "alternators":
        return ALTERNATOR_STUD
    return str(getattr(device, "stud", "")).strip()


def _fuses(needs: _Collector, by_id: dict[str, Record], run: Run, result: RunResult) -> None:
    if result.fuse_a is None:
        return
    family = result.fuse_family or "family to be chosen"
    fuses = run.fused + run.far_fused
    if not fuses:
        return
    needs.add(
        "Fuses",
        f"Fuse {family}",
        f"{result.fuse_a:g} A",
        fuses,
        run.id,
        order=result.fuse_a,
    )
    in_block = run.fused and _in_fused_block(by_id.get(run.source), run)
    if holders := fuses - in_block:
        size = gauge_text(result.gauge)
        needs.add("Holders", f"Holder for {family}", size, holders, run.id, order=result.area_mm2)


def _in_fused_block(source: Record | None, run: Run) -> bool:
    return (
        isinstance(source, Block)
        and source.kind is BlockKind.DISTRIBUTION
        and source.fused
        and not run.fuse_distance_m
    )


def _protection(
    needs: _Collector,
    build: Build,
    by_id: dict[str, Record],
    run: Run,
    result: RunResult,
    od_mm: float,
) -> None:
    """Loom, grommet and clamps of one run."""
    units = build.header.units
    over_mm = od_mm
    if run.polarity is Polarity.POSITIVE or _engine_bay(by_id.get(run.zone)):
        tube = loom(od_mm)
        size = tube[0] if tube else _for_cable(od_mm, build)
        note = "bore filled to 75 % at most" if tube else "no loom in the table is large enough"
        needs.add(
            "Loom", "Split loom", size, result.wire_m, run.id, unit="m", order=od_mm, note=note
        )
        over_mm = tube[1] if tube else od_mm
    zones = [getattr(by_id.get(end), "zone", "") for end in (run.source, run.target)]
    if all(zones) and zones[0] != zones[1]:
        size = grommet(od_mm, units) or _for_cable(od_mm, build)
        needs.add("Grommets", "Rubber grommet", size, 1, run.id, order=od_mm)
    clamps = ceil(result.wire_m / SUPPORT_SPACING_M - 1e-9)
    if over_mm >= CLAMP_FROM_MM:
        needs.add("Clamps", "P-clamp", clamp_size(over_mm, units), clamps, run.id, order=over_mm)
    else:
        needs.add("Clamps", "Cable tie", "", clamps, run.id)


def _engine_bay(zone: Record | None) -> bool:
    if not isinstance(zone, Zone):
        return False
    return "engine" in zone.name.casefold() or zone.ambient_c >= ENGINE_BAY_C


def _block(needs: _Collector, block: Block) -> None:
    if block.kind is BlockKind.ISOLATOR:
        item, size = "Isolator", gauge_text(block.largest_in)
    else:
        item = "Ground block" if block.kind is BlockKind.GROUND else "Distribution block"
        if block.kind is BlockKind.DISTRIBUTION and block.fused:
            item = "Fused distribution block"
        size = (
            f"{block.places} places, {gauge_text(block.largest_in)} in, "
            f"{gauge_text(block.largest_out)} out"
        )
    needs.add("Blocks", item, size, 1, block.id, order=block.places)


def _ground_hardware(needs: _Collector, build: Build, runs: tuple[RunResult, ...]) -> None:
    """One set for each ground point that a new run ends on, and paste for all of them."""
    used = {end for run in runs if not run.existing for end in (run.source, run.target)}
    for point in build.grounds:
        if point.id not in used:
            continue
        stud = point.stud.strip() or "size to be measured"
        items = ["Star washer", "Nut"]
        if point.surface is not Surface.PLATED:
            items.insert(0, "Bolt")
        for item in items:
            needs.add("Ground hardware", item, stud, 1, point.id)
        line = ("Ground hardware", "Contact paste", "", "each")
        if line in needs.lines:
            needs.lines[line].asked_by[point.id] = None
        else:
            needs.add(*line[:3], 1, point.id, note="one tube for all ground points")


def _fasteners(needs: _Collector, build: Build, parts: tuple[PartResult, ...]) -> None:
    """Screws for the holes of custom parts; with washer and nut where the hole is clearance."""
    holes = {hole.id: hole for hole in build.holes}
    for part in parts:
        for drilled in part.holes:
            hole = holes.get(drilled.id)
            if hole is None or hole.kind is HoleKind.PLAIN or not hole.thread.strip():
                continue
            size = thread_key(hole.thread)
            items = ["Machine screw"]
            if hole.kind is HoleKind.CLEARANCE:
                items += ["Plain washer", "Nut"]
            for item in items:
                note = "length by what it holds" if item == "Machine screw" else ""
                needs.add("Fasteners", item, size, part.quantity, part.id, note=note)


def _sheet(needs: _Collector, build: Build, parts: tuple[PartResult, ...]) -> None:
    """The rectangles that the flat patterns are cut from, by material and thickness."""
    for part in parts:
        needed = part.flat_length_m * part.flat_width_m * part.quantity
        if not needed:
            continue
        sheet = material(part.material)
        stock = stock_sheet(sheet, part.thickness_m) if sheet else None
        size = stock or format_quantity("small_length", part.thickness_m, build.header.units)
        needs.add(
            "Sheet",
            f"{part.material} sheet",
            size,
            needed,
            part.id,
            unit="m2",
            order=part.thickness_m,
            note="blanks without waste between them"
            if stock
            else "no stock thickness in the table",
        )


def _short(length_m: float, build: Build) -> str:
    """An allowance in the build's units; inches to the nearest quarter, as read off a tape."""
    if build.header.units is UnitHabit.INCH:
        return f"{round(length_m / INCH.factor * 4) / 4:g} in"
    return format_quantity("length", length_m, build.header.units)


def _for_cable(od_mm: float, build: Build) -> str:
    return f"for {format_quantity('small_length', od_mm / 1000, build.header.units)} cable"


def _by_id(build: Build) -> dict[str, Record]:
    tables = ("zones", "batteries", "alternators", "amplifiers", "blocks", "grounds", "runs")
    return {record.id: record for table in tables for record in records(build, table)}
