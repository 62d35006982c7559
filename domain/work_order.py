"""The work order: every step of the job, in the order in which it is safe to do.

The battery's negative comes off first and goes back on last of all wires; fuses go in after that,
from the battery outwards, each proved with the meter. Common practice of the trade.
"""

from collections.abc import Iterable, Iterator
from itertools import groupby

from msgspec import Struct

from domain.build.choices import (
    BlockKind,
    FuseFamily,
    LoadKind,
    Polarity,
    Surface,
    shown,
)
from domain.build.records import Appliance, Battery, Block, Build, Run
from domain.cable import lead_steps, pulling_steps
from domain.cable.pieces import in_fused_block
from domain.checks.cautions import high_voltage
from domain.checks.devices import battery_steps
from domain.document.records import find, label
from domain.electrical.capacitors import (
    JOINED_V,
    LARGE_S,
    is_capacitor,
    precharge_ohm,
    precharge_s,
)
from domain.electrical.loads import takers
from domain.electrical.network.converters import converters
from domain.electrical.network.relays_in_time import join_s
from domain.electrical.network.voltage_relays import relays
from domain.fabrication.other_hand import pieces
from domain.findings import Level
from domain.reference.planning import planned
from domain.routes.ways import Way, ways
from domain.sheet import Loom, RunResult, Sheet
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
        ("Test, every fuse out", _prove_dead(build, sheet)),
        ("Connect power: negative on last, then the fuses", _live(build, sheet)),
        ("Test with the meter", _prove(build, sheet)),
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
    used = {end for run in _new(sheet) for end in (run.source, run.target)}
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


def _loads(build: Build) -> str:
    """Who is switched off before fuses go in."""
    return "Amplifiers and all other loads" if build.appliances else "Amplifiers"


def _holds_fuses(build: Build, block: Block) -> bool:
    fed = (run for run in build.runs if run.source == block.id)
    return any(run.fused and in_fused_block(block, run) for run in fed)


def _cut(sheet: Sheet) -> Iterator[str]:
    if not _new(sheet):
        return
    yield "Cut every piece of the cut list; put a label on each end before you lay it down."
    yield "Slide the tube on, strip, crimp, pull at each crimp, shrink the tube over it."


def _lay(build: Build, sheet: Sheet, side: Polarity) -> Iterator[str]:
    """Runs of one side, those furthest from the battery first."""
    own = [run for run in _new(sheet) if run.polarity == side.value]
    for run in sorted(own, key=lambda run: -run.depth):
        text = f"{label(build, run.id)} ({run.id}), {gauge_text(run.gauge, run.count)}: "
        ends = {end for end in (run.source, run.target) if isinstance(find(build, end), Battery)}
        ends_named = f"{_place(build, run.source)} to {_place(build, run.target)}"
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


def _prove_dead(build: Build, sheet: Sheet) -> Iterator[str]:
    yield "Every fuse is out. Pull at every joint by hand."
    for run in _new(sheet):
        name = f"{label(build, run.id)} ({run.id})"
        if run.count > 1:
            name += f", each of its {run.count} wires"
        if run.fuse_a is not None:
            yield (
                f"{name}: ohm meter from each end to its side of the empty holder, no reading "
                "above a few tenths; across the empty holder, open."
            )
        else:
            yield f"{name}: ohm meter end to end, no reading above a few tenths."
    positive = [run for run in _new(sheet) if run.polarity == Polarity.POSITIVE.value]
    if positive:
        yield (
            "From the far side of each empty holder to body: no dead short. An amplifier behind it "
            "may read low at first and climb while its capacitors fill."
        )
    for taker in takers(build):
        name = label(build, taker.id)
        yield f"{name}: positive and negative on the right terminals, no short between them."


def _live(build: Build, sheet: Sheet) -> Iterator[str]:
    yield "Eye protection on, rings and watch off, tools away from the posts."
    for battery in build.batteries:
        name = label(build, battery.id)
        yield f"{name}: positive tight, then its negative on, last of its wires."
    if build.batteries:
        yield "Meter at each battery's posts: note what it shows at rest."
    yield from battery_steps.matched(build)
    fused = [run for run in sheet.runs if run.fuse_a is not None]
    stopped = {f.id for f in sheet.findings if f.level is Level.STOP}
    if fused:
        off = f"{_loads(build)} switched off."
        yield f"{off} Now the fuses, from the battery outwards, one at a time:"
    entered, empty = {run.id: run for run in build.runs}, _empty_behind(build, sheet)
    for result in sorted(fused, key=lambda run: run.depth):
        run = entered[result.id]
        ends = [run.source] * run.fused + [run.target] * run.far_fused
        for capacitor in empty.get(run.id, ()):
            yield _precharged(build, capacitor, run)
        for end in ends:
            text = _fuse_in(build, run, result, end, len(ends) > 1)
            yield (
                f"NOT before its STOP in the findings is settled. {text}"
                if (run.id in stopped)
                else text
            )
    yield from lead_steps.live(build, sheet)


def _empty_behind(build: Build, sheet: Sheet) -> dict[str, list[Appliance]]:
    """The capacitors that would be joined empty by a run's fuse: its nearest on their way."""
    found: dict[str, list[Appliance]] = {}
    for each in build.appliances:
        load = sheet.load(each.id) if is_capacitor(each) else None
        on_way = [sheet.run(id) for id in load.feed_runs] if load else []
        nearest = next((run for run in on_way if run and run.fuse_a is not None), None)
        if nearest:
            found.setdefault(nearest.id, []).append(each)
    return found


def _precharged(build: Build, capacitor: Appliance, run: Run) -> str:
    """A capacitor is full before the fuse ahead of it goes in, all before that being live."""
    ohm, seconds = precharge_ohm(), precharge_s(capacitor, planned("charge_v"))
    how = (
        f"through a resistor of {ohm:g} ohm for 20 W across that empty holder, some "
        f"{max(seconds / 60, 0.1):.1f} min"
        if seconds <= LARGE_S
        else "with a charger that limits its current: it holds too much for a resistor"
    )
    return (
        f"{label(build, capacitor.id)}: charge it before the fuse of {label(build, run.id)} goes "
        f"in, {how}, until the meter shows less than {JOINED_V:g} V across the holder. Only then "
        "that fuse. The resistor gets hot."
    )


def _fuse_in(build: Build, run: Run, result: RunResult, end: str, two: bool) -> str:
    """Put in the fuse at one end of a run, proved before and after."""
    where = f" at {_place(build, end)}" if two or not run.fused else ""
    other = run.target if end == run.source else run.source
    rating = format_quantity("current", result.fuse_a, build.header.units)
    each = f" in each of its {run.count} wires" if run.count > 1 else ""
    breaker = result.fuse_family == FuseFamily.BREAKER.value
    kind = shown(result.fuse_family)
    what = f"switch on the {rating} breaker" if breaker else f"put in {rating} {kind}"
    text = f"{label(build, run.id)} ({run.id}): {what}{where}{each}. "
    if all(isinstance(find(build, e), Battery) for e in (run.source, run.target)):
        return text + (
            "First meter across the empty holder: both batteries within 0.5 V of each other, else "
            "charge the lower one first."
        )
    if isinstance(find(build, other), Battery) or battery_steps.joins_two(build, run, end):
        return text + (
            "First meter across the empty holder: note the difference; above 0.5 V charge the "
            "lower battery first."
        )
    battery = next((each.id for each in build.batteries if each.id == end), "")
    if not battery and len(build.batteries) == 1:
        battery = build.batteries[0].id
    posts = f"the posts of {label(build, battery)}" if battery else "the battery that feeds it"
    held = ""
    if isinstance(block := find(build, other), Block) and block.kind is BlockKind.ISOLATOR:
        held = "Engine off, so that the isolator stays open. "
    return text + (
        f"{held}Meter at {_place(build, other)}: the same as {posts} to 0.1 V. If not, take it out "
        "and look."
    )


def _prove(build: Build, sheet: Sheet) -> Iterator[str]:
    yield (
        "Exhaust led outdoors, hands and leads clear of belts and fan. Engine on: the battery's "
        "posts rise to the regulator's voltage."
    )
    for relay in relays(build):
        volts = format_quantity("voltage", relay.join_v, build.header.units)
        yield (
            f"{label(build, relay.id)}: at {volts} at its input it joins after some "
            f"{join_s(relay):g} s; meter across it, less than 0.1 V. Engine off and the lamps on: "
            "it parts again."
        )
    yield from lead_steps.prove(build, sheet)
    for amplifier in build.amplifiers:
        yield f"{label(build, amplifier.id)}: on alone, quiet; nothing smells, hums or warms."
    for appliance in build.appliances:
        yield f"{label(build, appliance.id)}: {_tried(appliance)}"
    worst = max(
        (a for a in sheet.loads if a.drop_v is not None),
        key=lambda a: a.drop_v or 0.0,
        default=None,
    )
    drop = ""
    if worst is not None:
        volts = format_quantity("voltage", worst.drop_v, build.header.units)
        drop = f" The most is lost to {worst.name}: {volts} at full power."
    yield (
        "Ears protected, or a dummy load in the place of the speakers: take the readings of "
        f"the readings sheet, each within its tolerance.{drop}"
    )
    yield (
        "After ten minutes of music: music and engine off, then go near every joint, fuse and "
        "holder with the back of the hand. None is hot."
    )


def _tried(appliance: Appliance) -> str:
    """How a load that plays no music is tried."""
    if is_capacitor(appliance):
        return "its posts show what the block beside it shows, to 0.1 V, and it stays cool."
    if appliance.kind is LoadKind.INVERTER:
        return (
            "on with nothing plugged in, then with a small load; what it gives kills: its outlet "
            "and its wiring by whoever is licensed for them."
        )
    return "on alone; it runs, and nothing smells or warms."


def _hand_over(build: Build, sheet: Sheet) -> Iterator[str]:
    yield "Covers on, tools counted, trim back, nothing pinched."
    yield "Set clock and codes, look for warning lamps."
    if any(run.fuse_a is not None for run in sheet.runs):
        yield "Spare fuses and the fuse map go with the vehicle."
    yield from battery_steps.told(build)
    yield "Show the customer where the main fuse is, and go through the cautions."


def _new(sheet: Sheet) -> list[RunResult]:
    return [run for run in sheet.runs if not run.existing]


def _place(build: Build, id: str) -> str:
    return label(build, id) if id else "a place not planned yet"


def _listed(names: list[str]) -> str:
    """Names in a sentence: "a", "a and b", "a, b and c"."""
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _names(build: Build, ids: Iterable[str]) -> str:
    found = [label(build, id) for id in ids]
    more = f" and {len(found) - _MOST_NAMED} more" if len(found) > _MOST_NAMED else ""
    return ", ".join(found[:_MOST_NAMED]) + more
