"""How long a run is: the one rule for it.

As measured, where somebody measured it; else the sections of its way together; else a round
figure that is assumed until it is measured.
"""

from msgspec import Struct

from domain.build.choices import BlockKind, Polarity, UnitHabit
from domain.build.records import Battery, Block, Build, Run
from domain.document.records import find
from domain.reference.planning import planned
from domain.routes.ways import Way, section_m, ways
from domain.units.unit_table import INCH


class RunLength(Struct, frozen=True):
    """Length of a run [m]; ``assumed``: it, or a section of its way, is still to be measured."""

    length_m: float
    assumed: bool


def run_length(build: Build, run: Run, way: Way | None) -> RunLength:
    """The length of a run whose way is this one, if it has one."""
    if run.length_m is not None:
        return RunLength(run.length_m, False)
    if way is not None:
        return way_length(build, way)
    return RunLength(assumed_length_m(build, run), True)


def way_length(build: Build, way: Way) -> RunLength:
    """The sections of a way together."""
    units = build.header.units
    return RunLength(
        sum(section_m(section, units) for section in way.sections),
        any(section.length_m is None for section in way.sections),
    )


def to_measure(build: Build) -> frozenset[str]:
    """New runs that neither were measured nor have a way: their lengths are still to be typed."""
    found = ways(build)
    return frozenset(
        run.id
        for run in build.runs
        if run.length_m is None and not run.existing and run.id not in found
    )


def assumed_length_m(build: Build, run: Run) -> float:
    """Length taken for a run that has not been measured yet [m]: a round one, as it is shown."""
    name, factor = assumed_length(build, run)
    return planned(name) * factor


def assumed_length(build: Build, run: Run) -> tuple[str, float]:
    """The planning value for a run that has not been measured yet, and metres in its unit.

    From a battery or an isolator into another zone it runs through the vehicle, as a main run.
    The vehicle's own battery ground has a length of its own, and its charge cable, which leads
    through the vehicle to a battery that does not sit where the alternator does.
    """
    which = "branch"
    if run.polarity is Polarity.GROUND:
        own = run.existing and run.source.startswith("b")
        which = "battery_ground" if own else "ground"
    elif run.existing and "g" in (run.source[:1], run.target[:1]):
        places = {getattr(find(build, end), "zone", "") for end in (run.source, run.target)}
        which = "charge" if places <= {"", run.zone} else "main"
    elif run.source[:1] in ("b", "d"):
        source, target = find(build, run.source), find(build, run.target)
        zones = [getattr(device, "zone", "") for device in (source, target)]
        apart = zones[0] != zones[1] if all(zones) else run.source.startswith("b")
        if apart and (isinstance(source, Battery) or _isolates(source)):
            which = "main"
    if build.header.units is UnitHabit.INCH:
        return f"assumed_{which}_in", INCH.factor
    return f"assumed_{which}_m", 1.0


def _isolates(device: object) -> bool:
    return isinstance(device, Block) and device.kind is BlockKind.ISOLATOR
