"""What a quote says is included: everything that the build brings into the vehicle, in words.

What is in the vehicle already is not in it: its first battery and alternator, and runs that are
said to be existing.
"""

from collections.abc import Iterator

from domain.build.choices import BlockKind, LeadKind, Polarity, shown
from domain.build.records import Appliance, Battery, Block, Build
from domain.document.records import label
from domain.electrical.blocks import bought_as
from domain.electrical.capacitors import capacitance_f, is_capacitor
from domain.electrical.network.converters import is_converter
from domain.sheet import RunResult, Sheet
from domain.units.gauges import gauge_text
from domain.units.show import format_quantity


def included(build: Build, sheet: Sheet) -> Iterator[str]:
    """One line for each thing that is new, then leads and ground points together."""
    yield from (_battery(build, battery) for battery in build.batteries[1:])
    for alternator in build.alternators[1:]:
        rated = format_quantity("current", alternator.rated_a, build.header.units)
        yield f"{label(build, alternator.id)}: alternator, {rated}"
    bought = {id for line in sheet.materials if line.group == "Blocks" for id in line.asked_by}
    yield from (_block(build, sheet, block) for block in build.blocks if block.id in bought)
    for amplifier in sheet.amplifiers:
        rated = format_quantity("power", amplifier.rated_w, build.header.units)
        yield f"{amplifier.name}: {rated} rated, mounted and fed"
    yield from (_load(build, load) for load in build.appliances)
    takers = {device.id for device in (*build.amplifiers, *build.appliances)}
    for run in sheet.runs:
        if not run.existing and not takers & {run.source, run.target}:
            yield _run(build, run)
    yield from _leads(build)
    yield from _grounds(build, sheet)
    for part in sheet.parts:
        yield f"Custom part: {part.name or part.id}, {part.material}, {part.quantity} off"


def _battery(build: Build, battery: Battery) -> str:
    capacity = format_quantity("capacity", battery.capacity_ah, build.header.units)
    name = label(build, battery.id)
    return f"{name}: {shown(battery.chemistry)} battery, {capacity}, mounted and joined"


def _block(build: Build, sheet: Sheet, block: Block) -> str:
    name, what = label(build, block.id), shown(bought_as(block))
    if block.kind is BlockKind.ISOLATOR:
        kind = what if is_converter(block) or what == "isolator" else f"isolator, {what}"
        return f"{name}: {kind}" + (f", {block.rated_a:g} A" if block.rated_a else "")
    if block.kind is BlockKind.BUS_BAR:
        return f"{name}: {what} with cover"
    return f"{name}: {what} block, {block.places} places"


def _load(build: Build, load: Appliance) -> str:
    name, units = label(build, load.id), build.header.units
    if is_capacitor(load):
        farads = format_quantity("capacitance", capacitance_f(load), units)
        return f"{name}: capacitor, {farads}, mounted and joined"
    return f"{name}: {format_quantity('power', load.power_w, units)}, mounted and fed"


def _run(build: Build, run: RunResult) -> str:
    """A wire that is no amplifier's or load's own: the main run, a link, a battery's ground."""
    side = "ground wire" if run.polarity == Polarity.GROUND.value else "wire"
    many = f"{run.count} x " if run.count > 1 else ""
    length = format_quantity("length", run.length_m, build.header.units)
    fuse = "" if run.fuse_a is None else f", fuse {run.fuse_a:g} A"
    return f"{run.name}: {side}, {many}{length} of {gauge_text(run.gauge)}{fuse}"


def _leads(build: Build) -> Iterator[str]:
    for kind in LeadKind:
        many = sum(lead.count for lead in build.leads if lead.kind is kind)
        if many:
            yield f"{shown(kind).capitalize()} leads: {many}"


def _grounds(build: Build, sheet: Sheet) -> Iterator[str]:
    used = {end for run in sheet.runs if not run.existing for end in (run.source, run.target)}
    names = [label(build, point.id) for point in build.grounds if point.id in used]
    if names:
        yield f"Ground points made or cleaned: {', '.join(names)}"
