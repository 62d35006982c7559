"""The bill of materials: what to buy so that the plan can be built.

Only new things: a run already in the vehicle asks for nothing. Allowances and spares are
common practice and stand as constants here; sizes come from the reference tables.
"""

import dataclasses
from math import ceil
from typing import TYPE_CHECKING

from domain.build.choices import BlockKind, FuseFamily, Resets, Termination, UnitHabit
from domain.build.records import DEVICE_TABLES, Block, Build, Run, Zone
from domain.cable.fittings import for_cable, heat_shrink, outside_diameter_mm, ring_fits
from domain.cable.looms import looms
from domain.cable.pieces import END_ALLOWANCE_M, WireEnd, WirePiece, in_fused_block, wire_pieces
from domain.cable.sold_lengths import SOLD_BY_M, round_up
from domain.document.records import Record, records
from domain.electrical.blocks import block_results, bought_as
from domain.electrical.covers import engine_bay
from domain.electrical.loads import takers
from domain.electrical.network.converters import is_converter
from domain.materials.hardware import (
    HOLDER_SCREWS,
    carried,
    consumables,
    fasteners,
    ground_hardware,
    mounting,
    screws,
    sheet,
)
from domain.materials.lead_materials import lead_needs
from domain.materials.loom_materials import loom_needs
from domain.materials.takeoff import GROUPS, Takeoff, TakeoffLine, is_extra
from domain.reference.counter_words import counter_words
from domain.sheet import (
    BlockResult,
    IsolatorResult,
    LeadResult,
    Loom,
    MaterialLine,
    PartResult,
    RemoteResult,
    RunResult,
    Sheet,
)
from domain.units.gauges import gauge_text
from domain.units.show import format_quantity

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import SheetCutList

SHRINK_PIECE_M = 0.05
"""Heat-shrink over one end [m]. Common practice."""

SHEET_STEP_M2 = 0.01


def materials_list(
    build: Build,
    runs: tuple[RunResult, ...],
    parts: tuple[PartResult, ...],
    blocks: tuple[BlockResult, ...] | None = None,
    laid: tuple[Loom, ...] | None = None,
    lists: "tuple[SheetCutList, ...] | None" = None,
    leads: tuple[tuple[RemoteResult, ...], tuple[LeadResult, ...]] = ((), ()),
    isolators: tuple[IsolatorResult, ...] = (),
) -> tuple[MaterialLine, ...]:
    """Every line of the bill of materials, by group, then item, then size from large to small.

    ``quantity`` is rounded up to how it is sold and holds the spare fuses (one for every two of
    a rating, rounded up); ``needed`` is before that. ``blocks`` and ``laid``, the looms, are worked
    out from the runs where they are not given; ``lists``, the sheets to cut, by a quick layout.
    ``leads`` are remote outputs and leads; ``isolators`` what flows through them, which their size
    then names. Never raises for a build.
    """
    takeoff = Takeoff()
    by_id = _by_id(build)
    unasked = _unasked(build)
    runs = tuple(result for result in runs if result.id not in unasked)
    held = carried(build)
    pieces: list[WirePiece] = []
    for result in runs:
        run = by_id.get(result.id)
        if isinstance(run, Run) and not result.existing:
            cut = wire_pieces(build, run, result, by_id)
            _run(takeoff, build, by_id, run, result, cut, held)
            pieces += cut
    pieces += lead_needs(takeoff, build, *leads)
    for need in loom_needs(build, runs, looms(build, runs) if laid is None else laid):
        takeoff.add(
            need.group,
            need.item,
            need.size,
            need.needed,
            need.runs[0],
            unit=need.unit,
            order=need.bundle_mm,
            note=need.note,
            also=need.runs[1:],
        )
    passed = {result.id: result for result in isolators}
    sizes = {b.id: b for b in (block_results(build, runs) if blocks is None else blocks)}
    for block in build.blocks:
        if not _feeds_nothing(build, block, unasked):
            passes = passed.get(block.id)
            _block(takeoff, block, sizes[block.id], passes, build.header.units)
    ground_hardware(takeoff, build, runs)
    fasteners(takeoff, build, parts)
    mounting(takeoff, build)
    if lists is None and parts:
        # Late: builds without parts do without their engine.
        from domain.fabrication.nesting.cut_sheets import cut_lists

        lists = cut_lists(build, parts, quick=True)
    sheet(takeoff, build, lists or ())
    consumables(takeoff, pieces)
    for extra in build.extras:
        unit, one = extra.unit.base
        note = f"of the kit {extra.kit}" if extra.kit else "added by hand"
        needed = extra.quantity * one
        takeoff.add(extra.group, extra.name or "Extra", "", needed, extra.id, unit=unit, note=note)
    ranked = sorted(
        takeoff.lines.items(),
        key=lambda item: (GROUPS.index(item[0][0]), item[0][1], -item[1].order),
    )
    return tuple(_finished(key, line, build.header.units) for key, line in ranked)


def _unasked(build: Build) -> frozenset[str]:
    """Runs of a build that has nothing to feed, as long as nobody entered anything of them."""
    if takers(build):
        return frozenset()
    entered = ("length_m", "gauge", "fuse_a")
    return frozenset(
        run.id for run in build.runs if all(getattr(run, field) is None for field in entered)
    )


def _feeds_nothing(build: Build, block: Block, unasked: frozenset[str]) -> bool:
    """Whether only such runs come to a block of a build that has nothing to feed."""
    own = {run.id for run in build.runs if block.id in (run.source, run.target)}
    return not takers(build) and own <= unasked


def with_sheets(build: Build, sheet: Sheet, lists: "tuple[SheetCutList, ...]") -> Sheet:
    """The results of a build with the bill of materials of these sheets to cut."""
    leads = (sheet.remotes, sheet.leads)
    lines = materials_list(
        *(build, sheet.runs, sheet.parts, sheet.blocks),
        lists=lists,
        leads=leads,
        isolators=sheet.isolators,
    )
    return dataclasses.replace(sheet, materials=lines)


def _finished(key: tuple[str, str, str, str], line: TakeoffLine, units: UnitHabit) -> MaterialLine:
    group, item, size, unit = key
    needed, note = line.needed, line.note
    asked = tuple(line.asked_by)
    by_hand = MaterialLine(group, item, size, needed, unit, needed, asked, note)
    if is_extra(by_hand):
        return by_hand
    if unit == "m":
        quantity = round_up(needed, SOLD_BY_M[units])
    elif unit == "m2":
        quantity = round_up(needed, SHEET_STEP_M2)
    else:
        quantity = float(ceil(needed))
    if group == "Fuses":
        spares = ceil(needed / 2)
        quantity += spares
        ask = asked_for(item.removeprefix("Fuse "))
        note = f"{needed:.0f} in use, {spares} spare" + (f"; {ask}" if ask else "")
    return MaterialLine(group, item, size, quantity, unit, needed, asked, note, line.each_m2)


def _run(
    takeoff: Takeoff,
    build: Build,
    by_id: dict[str, Record],
    run: Run,
    result: RunResult,
    pieces: list[WirePiece],
    held: set[str],
) -> None:
    od_mm = outside_diameter_mm(result.area_mm2)
    units = build.header.units
    ends = format_quantity("allowance", 2 * END_ALLOWANCE_M, units)
    note = f"with {ends} for the ends of each piece"
    for piece in pieces:
        takeoff.add(
            "Wire",
            piece.item,
            piece.size,
            piece.cut_m,
            run.id,
            unit="m",
            order=piece.area_mm2,
            note=note,
        )
        for end in (piece.near, piece.far):
            _terminal(takeoff, piece, end)
            if od_mm and end.termination in (Termination.RING, Termination.FERRULE):
                _shrink(takeoff, build, by_id, piece, end, od_mm)
    _fuses(takeoff, by_id, run, result, held)


def _terminal(takeoff: Takeoff, piece: WirePiece, end: WireEnd) -> None:
    if end.termination is Termination.RING:
        known = bool(end.stud) and ring_fits(end.stud)
        takeoff.add(
            "Terminals",
            "Ring terminal",
            f"{piece.size}, stud {end.stud or 'to be measured'}",
            1,
            piece.run,
            order=piece.area_mm2,
            note="" if known else "no ring of that stud in the table: measure it",
        )
    elif end.termination is Termination.FERRULE:
        takeoff.add("Terminals", "Ferrule", piece.size, 1, piece.run, order=piece.area_mm2)


def _shrink(
    takeoff: Takeoff,
    build: Build,
    by_id: dict[str, Record],
    piece: WirePiece,
    end: WireEnd,
    od_mm: float,
) -> None:
    """Over a ring's barrel, and wherever it is wet, 3:1 with adhesive; over a ferrule 2:1.

    An end at no device, as at a fuse holder, lies in the zone of its run.
    """
    zone = by_id.get(getattr(by_id.get(end.at or piece.run), "zone", ""))
    warm = isinstance(zone, Zone) and engine_bay(zone)
    sealed = end.termination is Termination.RING or warm
    units = build.header.units
    size = heat_shrink(od_mm, 3 if sealed else 2)
    takeoff.add(
        "Heat-shrink",
        "Heat-shrink 3:1 with adhesive" if sealed else "Heat-shrink 2:1",
        size or for_cable(od_mm, units),
        SHRINK_PIECE_M,
        piece.run,
        unit="m",
        order=od_mm,
        note=f"{format_quantity('allowance', SHRINK_PIECE_M, units)} over each end"
        if size
        else "no tube in the table goes over it",
    )


def asked_for(thing: str) -> str:
    """What a fuse family, block or isolator is asked for as, at a counter; "" where not chosen."""
    words = counter_words(thing)
    return f"ask for: {words}" if words else ""


def _fuses(
    takeoff: Takeoff,
    by_id: dict[str, Record],
    run: Run,
    result: RunResult,
    held: set[str],
) -> None:
    if result.fuse_a is None:
        return
    family = result.fuse_family or "family to be chosen"
    fuses = (run.fused + run.far_fused) * run.count
    if not fuses:
        return
    if family == FuseFamily.BREAKER.value:
        how = "reset by hand" if run.resets is Resets.HAND else "resets by itself"
        item = f"Breaker, {how}"
        note = asked_for(family)
        size = f"{result.fuse_a:g} A"
        takeoff.add("Holders", item, size, fuses, run.id, order=result.fuse_a, note=note)
        screws(takeoff, "breaker", HOLDER_SCREWS * (fuses - (run.id in held)), run.id)
        return
    takeoff.add(
        "Fuses",
        f"Fuse {family}",
        f"{result.fuse_a:g} A",
        fuses,
        run.id,
        order=result.fuse_a,
    )
    in_block = run.fused and in_fused_block(by_id.get(run.source), run)
    if holders := fuses - in_block * run.count:
        size = gauge_text(result.gauge)
        takeoff.add(
            "Holders",
            f"Holder for {family}",
            size,
            holders,
            run.id,
            order=result.area_mm2,
            note=asked_for(family),
        )
        # The holder at the near end is the one that a custom part carries.
        loose = holders - (run.id in held and run.fused and not in_block)
        if loose:
            screws(takeoff, "fuse holder", HOLDER_SCREWS * loose, run.id)


def _bar_size(block: Block, sizes: BlockResult, units: UnitHabit) -> str:
    studs = f"{block.places + 1} studs"
    if sizes.bar_m is None:
        return f"{block.rated_a:g} A, {studs}" if block.rated_a else studs
    width, thick = (format_quantity("small_length", side, units) for side in sizes.bar_m)
    return f"copper {width} x {thick}, {studs}"


def _isolator_size(block: Block, gauge: str, passes: IsolatorResult | None) -> str:
    """Its wire, and the ratings to look for on a label: for good, and the peak for seconds [A].

    As entered, or what the plan needs where that is more; in whole amperes, rounded up.
    """
    lasting, peak = block.rated_a or 0.0, block.peak_a or 0.0
    if passes is not None:
        lasting = max(lasting, passes.lasting_a)
        needed = passes.full_a, passes.joining_a, passes.starting_a, passes.passes_a or 0.0
        peak = max(peak, lasting, *needed)
    ratings = ((lasting, "A continuous"), (peak, "A peak"))
    return ", ".join((gauge, *(f"{ceil(a - 1e-6)} {what}" for a, what in ratings if a > 0)))


def _block(
    takeoff: Takeoff,
    block: Block,
    sizes: BlockResult,
    passes: IsolatorResult | None,
    units: UnitHabit,
) -> None:
    if block.kind is BlockKind.BUS_BAR:
        item, size = "Bus bar with cover", _bar_size(block, sizes, units)
    elif block.kind is BlockKind.ISOLATOR:
        item, size = "Isolator", _isolator_size(block, gauge_text(sizes.largest_in), passes)
        if is_converter(block):
            item = block.isolates.value if block.isolates else item
            size = f"{block.rated_a:g} A" if block.rated_a else gauge_text(sizes.largest_in)
    else:
        item = "Ground block" if block.kind is BlockKind.GROUND else "Distribution block"
        if block.kind is BlockKind.DISTRIBUTION and block.fused:
            item = "Fused distribution block"
        size = (
            f"{block.places} places, {gauge_text(sizes.largest_in)} in, "
            f"{gauge_text(sizes.largest_out)} out"
        )
    note = asked_for(bought_as(block))
    takeoff.add("Blocks", item, size, 1, block.id, order=block.places, note=note)


def _by_id(build: Build) -> dict[str, Record]:
    tables = ("zones", *DEVICE_TABLES, "runs")
    return {record.id: record for table in tables for record in records(build, table)}
