"""The work order: every step of the job, in the order in which it is safe to do.

The battery's negative comes off first and goes back on last of all wires; fuses go in after that,
from the battery outwards, each proved with the meter. Common practice of the trade.
"""

from collections.abc import Iterable, Iterator
from itertools import groupby

from msgspec import Struct

from domain.build.choices import (
    FuseFamily,
    LoadKind,
    Polarity,
    Surface,
)
from domain.build.records import Battery, Block, Build
from domain.cable import lead_steps, pulling_steps
from domain.cable.pieces import in_fused_block
from domain.checks.cautions import high_voltage
from domain.checks.devices import battery_steps
from domain.document.records import find, label
from domain.electrical.network.converters import converters
from domain.fabrication.other_hand import pieces
from domain.findings import Level
from domain.going_live import live, new_runs, place_of, prove, prove_dead
from domain.routes.ways import Way, ways
from domain.sheet import Loom, Sheet
from domain.units.gauges import gauge_text
from domain.units.show import format_quantity

_MOST_NAMED = 20


class WorkStep(Struct, frozen=True):
    """One step: its number through the whole job, the stage it belongs to, what to do."""

    order: int
    stage: str
    what: str


def work_order(build: Build, sheet: Sheet) -> tuple[WorkStep, ...]:
    """All steps in order. Pure; takes any build, however unfinished."""
    stages = (
        ("Before you begin", _before(build, sheet)),
        ("Make in the shop", _shop(build)),
        ("Disconnect, and check that there is no voltage", _dead(build, sheet)),
        ("Prepare the vehicle", _prepare(build, sheet)),
        ("Mount", _mount(build, sheet)),
        ("Cut and terminate", _cut(sheet)),
        ("Pull through the vehicle: the thickest first, then the longest", _pull(build, sheet)),
        ("Lay the ground wires", _lay(build, sheet, Polarity.GROUND)),
        ("Lay the positive wires, every fuse out", _lay(build, sheet, Polarity.POSITIVE)),
        ("Lay the switching and audio leads", lead_steps.lay(build, sheet)),
        ("Close the harnesses", _looms(build, sheet)),
        ("Test, every fuse out", prove_dead(build, sheet)),
        ("Connect power: negative on last, then the fuses", live(build, sheet)),
        ("Test with the meter", prove(build, sheet)),
        ("Hand over", _hand_over(build, sheet)),
    )
    steps = [(stage, what) for stage, texts in stages for what in texts]
    return tuple(WorkStep(order, *step) for order, step in enumerate(steps, 1))


def _before(build: Build, sheet: Sheet) -> Iterator[str]:
    yield "Read the findings and the cautions of this pack, and the vehicle maker's instructions."
    stops = sheet.count(Level.STOP)
    if stops:
        points = "point" if stops == 1 else "points"
        yield f"Settle the {stops} {points} marked STOP in the findings. Do not begin before."
    yield "Check the bill of materials: everything is there, ratings and sizes as listed."
    assumed = [run.id for run in sheet.runs if run.length_auto and not run.existing]
    assumed += dict.fromkeys(lead.record for lead in sheet.leads if lead.length_auto)
    if assumed:
        names = _names(build, assumed)
        yield f"Measure along the route, put it into the plan and print it again: {names}."
    there = [run.id for run in sheet.runs if run.existing]
    if there:
        yield f"Check what is already there, sound, clean and tight: {_names(build, there)}."
    yield "Note radio codes and what else the vehicle forgets without its battery."


def _dead(build: Build, sheet: Sheet) -> Iterator[str]:
    yield (
        "Eye protection on, rings and watch off, tools away from the posts: now and whenever you "
        "work at a battery."
    )
    yield "Engine off, key out and away, everything switched off."
    if caution := high_voltage(build):
        yield f"{caution} The vehicle is off, not merely silent, and cannot start charging."
    for battery in build.batteries:
        name = label(build, battery.id)
        yield (
            f"{name}, where one is there already: take the negative off first, cover it so that it "
            "cannot spring back."
        )
    if len(build.batteries) > 1:
        yield "Check that every battery is off: one alone keeps its side under voltage."
    yield "Wait as the vehicle maker says before you work near airbags or their wiring."
    yield "Meter from battery cable positive to body: it shows 0 V. If not, find what feeds it."
    for run in sheet.runs:
        if run.existing and run.fuse_a is not None:
            yield f"{label(build, run.id)} ({run.id}): take its fuse out."


def _shop(build: Build) -> Iterator[str]:
    """Custom parts, so that the vehicle does not stand dead meanwhile."""
    for part in build.parts:
        count = f"{pieces(part)} x " if pieces(part) > 1 else ""
        if part.both_hands:
            count = f"{part.quantity} left and {part.quantity} right hand of "
        yield f"Make {count}{part.name or part.id}: its own steps are with its drawing."


def _prepare(build: Build, sheet: Sheet) -> Iterator[str]:
    if caution := high_voltage(build):
        yield caution
    used = {end for run in new_runs(sheet) for end in (run.source, run.target)}
    for point in build.grounds:
        if point.id in used:
            stud = f"{point.stud} " if point.stud else ""
            how = f"look behind the panel, grind to bright metal, fit the {stud}bolt, star washer"
            if point.surface is Surface.PLATED:
                how = f"clean the {stud}stud, never grind its plating off; star washer"
            yield f"{label(build, point.id)}: {how}."
    yield (
        "Make and grommet every hole in metal that a wire goes through: look behind it first, eye "
        "protection on."
    )
    yield from pulling_steps.holes(build, sheet)


def _pull(build: Build, sheet: Sheet) -> Iterator[str]:
    """Wires that have a way, section by section; their ends are joined when they are laid."""
    steps = list(pulling_steps.pull(build, sheet))
    if steps:
        yield "Tape over every bare end and over its label; pull steadily, never over an edge."
    yield from steps


def _mount(build: Build, sheet: Sheet) -> Iterator[str]:
    for part in build.parts:
        yield f"Fit {part.name or part.id}."
    yield from battery_steps.mounted(build)
    for block in build.blocks:
        what = ", its fuses out" if _holds_fuses(build, block) else ""
        yield f"Mount {label(build, block.id)}{what}."
    for charger in converters(build):
        volts = format_quantity("voltage", charger.charge_v, build.header.units)
        yield (
            f"{label(build, charger.id)}: set its profile for the battery behind it, {volts}, "
            "before it is joined. Where its input and output are isolated from each other, ground "
            "both minus terminals."
        )
    for amplifier in build.amplifiers:
        yield f"Mount {label(build, amplifier.id)}, air round it, switched off."
    yield from lead_steps.mount(sheet)
    for appliance in build.appliances:
        air = ", air round it" if appliance.kind is LoadKind.INVERTER else ""
        yield f"Mount {label(build, appliance.id)}{air}, switched off."


def _holds_fuses(build: Build, block: Block) -> bool:
    fed = (run for run in build.runs if run.source == block.id)
    return any(run.fused and in_fused_block(block, run) for run in fed)


def _cut(sheet: Sheet) -> Iterator[str]:
    if not new_runs(sheet):
        return
    yield "Cut every piece of the cut list; put a label on each end before you lay it down."
    yield "Slide the tube on, strip, crimp, pull at each crimp, shrink the tube over it."


def _lay(build: Build, sheet: Sheet, side: Polarity) -> Iterator[str]:
    """Runs of one side, those furthest from the battery first."""
    own = [run for run in new_runs(sheet) if run.polarity == side.value]
    for run in sorted(own, key=lambda run: -run.depth):
        text = f"{label(build, run.id)} ({run.id}), {gauge_text(run.gauge, run.count)}: "
        ends = {end for end in (run.source, run.target) if isinstance(find(build, end), Battery)}
        ends_named = f"{place_of(build, run.source)} to {place_of(build, run.target)}"
        open_end = bool(ends) and side is Polarity.GROUND
        last = "leave its end at the battery off" if open_end else "join both ends"
        by = _by(build, ways(build).get(run.id))
        text += f"lay it from {ends_named}{by}, fix it, {last}."
        if run.fuse_a is not None and not open_end:
            rating = format_quantity("current", run.fuse_a, build.header.units)
            breaker = run.fuse_family == FuseFamily.BREAKER.value
            thing, out = ("breaker", "OFF") if breaker else ("fuse", "OUT")
            text += (
                f" Its {thing}s, {rating} in each wire, stay {out}."
                if run.count > 1
                else f" Its {thing}, {rating}, stays {out}."
            )
        yield text


def _by(build: Build, way: Way | None) -> str:
    """The places that a run goes through between those of its ends."""
    between = way.places[1:-1] if way else ()
    return f" by {_listed([label(build, place) for place in between])}" if between else ""


def _looms(build: Build, sheet: Sheet) -> Iterator[str]:
    """Each loom: what lies in it, and its tubes from where all its runs begin."""
    there = {run.id for run in sheet.runs if run.existing}
    for loom in sheet.looms:
        named = [
            f"{label(build, id)} ({id}{', already there' if id in there else ''})"
            for id in loom.runs
        ]
        together, over = ("side by side", "them") if len(named) > 1 else ("alone", "it")
        text = f"Harness {loom.name}: lay {_listed(named)} {together}. "
        if loom.sleeved:
            text += f"Tube over {over}, its slit down: {', '.join(_tubes(build, loom))}. "
        yield f"{text}Fix it at every clamp; nothing is pinched, nothing pulls at a joint."


def _tubes(build: Build, loom: Loom) -> Iterator[str]:
    """Tube by tube: its size and how far it reaches; stretches of one size are one tube."""
    for tube, stretches in groupby(loom.stretches, key=lambda stretch: stretch.tube):
        own = list(stretches)
        end = format_quantity("allowance", own[-1].end_m, build.header.units)
        first = own[0].start_m == 0
        what = tube or "wrap, as no tube is large enough,"
        yield f"{what} over the first {end}" if first else f"{what} from there to {end}"


def _hand_over(build: Build, sheet: Sheet) -> Iterator[str]:
    yield "Covers on, tools counted, trim back, nothing pinched."
    yield "Set clock and codes, look for warning lamps."
    if any(run.fuse_a is not None for run in sheet.runs):
        yield "Spare fuses and the fuse map go with the vehicle."
    yield from battery_steps.told(build)
    yield "Show the customer where the main fuse is, and go through the cautions."


def _listed(names: list[str]) -> str:
    """Names in a sentence: "a", "a and b", "a, b and c"."""
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _names(build: Build, ids: Iterable[str]) -> str:
    found = [label(build, id) for id in ids]
    more = f" and {len(found) - _MOST_NAMED} more" if len(found) > _MOST_NAMED else ""
    return ", ".join(found[:_MOST_NAMED]) + more
