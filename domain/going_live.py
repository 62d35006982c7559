"""The end of the work order: proved while dead, made live fuse by fuse, tried with the meter.

The battery's negative goes on last of all wires; fuses go in after that, from the battery
outwards, each proved before and after. Common practice of the trade.
"""

from collections.abc import Iterator

from domain.build.choices import (
    BlockKind,
    FuseFamily,
    LoadKind,
    Polarity,
    shown,
)
from domain.build.records import Appliance, Battery, Block, Build, Run
from domain.cable import lead_steps
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
from domain.electrical.network.relays_in_time import join_s
from domain.electrical.network.voltage_relays import relays
from domain.findings import Level
from domain.reference.planning import planned
from domain.sheet import RunResult, Sheet
from domain.units.show import format_quantity


def prove_dead(build: Build, sheet: Sheet) -> Iterator[str]:
    """Every joint and wire by the ohm meter, with every fuse out."""
    yield "Every fuse is out. Pull at every joint by hand."
    for run in new_runs(sheet):
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
    positive = [run for run in new_runs(sheet) if run.polarity == Polarity.POSITIVE.value]
    if positive:
        yield (
            "From the far side of each empty holder to body: no dead short. An amplifier behind it "
            "may read low at first and climb while its capacitors fill."
        )
    for taker in takers(build):
        name = label(build, taker.id)
        yield f"{name}: positive and negative on the right terminals, no short between them."


def live(build: Build, sheet: Sheet) -> Iterator[str]:
    """The battery's negative on last, then the fuses from the battery outwards."""
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


def _loads(build: Build) -> str:
    """Who is switched off before fuses go in."""
    return "Amplifiers and all other loads" if build.appliances else "Amplifiers"


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
    where = f" at {place_of(build, end)}" if two or not run.fused else ""
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
        f"{held}Meter at {place_of(build, other)}: the same as {posts} to 0.1 V. If not, take it "
        "out and look."
    )


def prove(build: Build, sheet: Sheet) -> Iterator[str]:
    """What the meter and the hand find with the engine on and music."""
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


def new_runs(sheet: Sheet) -> list[RunResult]:
    """The runs that are laid anew."""
    return [run for run in sheet.runs if not run.existing]


def place_of(build: Build, id: str) -> str:
    """What a device is called, or that there is none yet."""
    return label(build, id) if id else "a place not planned yet"
