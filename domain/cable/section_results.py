"""What each section of the vehicle comes to: its wires in the order of pulling, its hole, its care.

Pulled is the thickest wire first, of like ones the longest: a stiff cable does not go past thin
ones that lie there already, and hurts them, while a thin one goes along a thick one; and the longer
of two has more corners to be drawn round, while there is room. Common practice.
"""

from collections.abc import Iterable

from msgspec import Struct

from domain.build.record_kinds.route_records import RouteSection
from domain.build.records import Build
from domain.cable.fittings import for_cable, grommet
from domain.cable.looms import bundle_of
from domain.cable.panel_holes import GROMMETED, crosses
from domain.document.records import label
from domain.routes.ways import section_m, ways
from domain.sheet import RunResult


class SectionResult(Struct, frozen=True):
    """A section and what lies in it.

    ``runs`` are those that take it, in the order of pulling; ``wires`` loaded conductors in all of
    them; ``bundle_m`` the diameter of all together, 0 where none takes it. ``length_auto`` where
    nobody measured it. ``grommet`` is its size, or "" where none is bought.
    """

    id: str
    name: str
    from_place: str
    to_place: str
    length_m: float
    length_auto: bool
    runs: tuple[str, ...]
    wires: int
    bundle_m: float
    panel: str
    hole: str
    grommet: str


def section_results(build: Build, runs: Iterable[RunResult]) -> tuple[SectionResult, ...]:
    """Every section, in the order of the build. Lengths in metres."""
    if not build.sections:
        return ()
    going = ways(build)
    order = pulling_order(run for run in runs if run.id in going and run.area_mm2 > 0)
    return tuple(
        _result(
            build,
            section,
            [run for run in order for taken in going[run.id].sections if taken.id == section.id],
        )
        for section in build.sections
    )


def pulling_order(runs: Iterable[RunResult]) -> list[RunResult]:
    """The thickest first, of like ones the longest, then as they stand in the build's list."""
    return sorted(runs, key=lambda run: (-run.area_mm2, -run.wire_m))


def _result(build: Build, section: RouteSection, inside: list[RunResult]) -> SectionResult:
    bundle_mm = bundle_of(inside).diameter if inside else 0.0
    units = build.header.units
    size = ""
    if inside and crosses(section) and section.hole in GROMMETED:
        size = grommet(bundle_mm, units) or for_cable(bundle_mm, units)
    return SectionResult(
        id=section.id,
        name=label(build, section.id),
        from_place=label(build, section.from_place),
        to_place=label(build, section.to_place),
        length_m=section_m(section, units),
        length_auto=section.length_m is None,
        runs=tuple(dict.fromkeys(run.id for run in inside)),
        wires=sum(run.count for run in inside),
        bundle_m=bundle_mm / 1000,
        panel=section.panel.strip(),
        hole=section.hole.value if crosses(section) else "",
        grommet=size,
    )
