"""What the looms of a build need: tube, grommets and clamps, stretch by stretch."""

from collections.abc import Iterator
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.cable.fittings import clamp_size, for_cable, grommet
from domain.cable.looms import SectionLoom, bundle_of
from domain.cable.panel_holes import GROMMETED, crossings
from domain.document.records import records
from domain.materials.hardware import SCREW_NOTE
from domain.sheet import Loom, LoomStretch, RunResult

SUPPORT_SPACING_M = 0.45
"""Between clamps [m]: 18 in, ABYC E-11 from memory."""

CLAMP_FROM_MM = 8.0
"""Cable or loom of this diameter [mm] and up is held by P-clamps, thinner by ties. Practice."""


P_CLAMP, CLAMP_SCREW = "P-clamp", "Screw for P-clamp"


class LoomNeed(Struct, frozen=True):
    """One thing that a loom needs, as a line of materials has it; ``needed`` in ``unit``.

    ``loom`` names the stretch, or the loom, that asks; ``inside`` are the runs that it goes round,
    ``runs`` those of them that are new. ``bundle_mm`` is their diameter together.
    """

    group: str
    item: str
    size: str
    unit: str
    needed: float
    note: str
    loom: str
    inside: tuple[str, ...]
    runs: tuple[str, ...]
    bundle_mm: float


def loom_needs(
    build: Build, runs: tuple[RunResult, ...], laid: tuple[Loom, ...]
) -> Iterator[LoomNeed]:
    """What every loom needs; where only existing runs lie, nothing."""
    results = {result.id: result for result in runs}
    zones = {
        device.id: device.zone
        for table in ("batteries", "amplifiers", "appliances", "blocks", "grounds")
        for device in records(build, table)
    }
    for each in laid:
        for stretch in each.stretches:
            new = tuple(id for id in stretch.runs if not results[id].existing)
            if new:
                if each.sleeved:
                    yield _tube(stretch, new, build.header.units)
                if clamps_between(stretch.start_m, stretch.end_m):
                    clamps = _clamps(stretch, new, build.header.units)
                    yield clamps
                    if clamps.item == P_CLAMP:
                        yield _screws(clamps)
        if not isinstance(each, SectionLoom):
            yield from _grommets(each, results, zones, build.header.units)
    yield from _through_panels(build, results)


def clamps_between(start_m: float, end_m: float) -> int:
    """Clamps that fall into a stretch when they are counted from the loom's beginning.

    Over all stretches that is one for every spacing begun.
    """
    return _begun(end_m) - _begun(start_m)


def _begun(length_m: float) -> int:
    return ceil(length_m / SUPPORT_SPACING_M - 1e-9)


def _tube(stretch: LoomStretch, new: tuple[str, ...], units: UnitHabit) -> LoomNeed:
    bundle_mm = stretch.bundle_m * 1000
    return LoomNeed(
        group="Loom",
        item="Split loom",
        size=stretch.tube or for_cable(bundle_mm, units),
        unit="m",
        needed=stretch.end_m - stretch.start_m,
        note="bore filled to 75 % at most"
        if stretch.tube
        else "no tube in the table is large enough",
        loom=stretch.id,
        inside=stretch.runs,
        runs=new,
        bundle_mm=bundle_mm,
    )


def _clamps(stretch: LoomStretch, new: tuple[str, ...], units: UnitHabit) -> LoomNeed:
    over_mm = stretch.over_m * 1000
    thick = over_mm >= CLAMP_FROM_MM
    return LoomNeed(
        group="Clamps",
        item=P_CLAMP if thick else "Cable tie",
        size=clamp_size(over_mm, units) if thick else "",
        unit="each",
        needed=clamps_between(stretch.start_m, stretch.end_m),
        note="",
        loom=stretch.id,
        inside=stretch.runs,
        runs=new,
        bundle_mm=over_mm if thick else 0.0,
    )


def _screws(clamps: LoomNeed) -> LoomNeed:
    """One for each P-clamp."""
    return replace(
        clamps, group="Fasteners", item=CLAMP_SCREW, size="", note=SCREW_NOTE, bundle_mm=0.0
    )


def _grommets(
    each: Loom, results: dict[str, RunResult], zones: dict[str, str], units: UnitHabit
) -> Iterator[LoomNeed]:
    """One for each pair of zones between which runs of the loom cross, round all that do."""
    crossing: dict[frozenset[str], list[RunResult]] = {}
    for id in each.runs:
        result = results[id]
        ends = frozenset(zones.get(end, "") for end in (result.source, result.target))
        if len(ends) == 2 and "" not in ends:
            crossing.setdefault(ends, []).append(result)
    for through in crossing.values():
        new = tuple(result.id for result in through if not result.existing)
        if new:
            yield _grommet(each.id, through, new, units)


def _through_panels(build: Build, results: dict[str, RunResult]) -> Iterator[LoomNeed]:
    """One for the hole of each section that crosses a panel, round all runs that take it."""
    for section, through in crossings(build, results):
        new = tuple(result.id for result in through if not result.existing)
        if new and section.hole in GROMMETED:
            yield _grommet(section.id, through, new, build.header.units)


def _grommet(
    loom: str, through: list[RunResult], new: tuple[str, ...], units: UnitHabit
) -> LoomNeed:
    bundle_mm = bundle_of(through).diameter
    return LoomNeed(
        group="Grommets",
        item="Rubber grommet",
        size=grommet(bundle_mm, units) or for_cable(bundle_mm, units),
        unit="each",
        needed=1,
        note="",
        loom=loom,
        inside=tuple(result.id for result in through),
        runs=new,
        bundle_mm=bundle_mm,
    )
