"""Holes in the vehicle's panels that sections go through: each once, for all runs in it."""

from collections.abc import Iterator, Mapping

from domain.build.record_kinds.route_records import PanelHole, RouteSection
from domain.build.records import Build
from domain.routes.ways import ways
from domain.sheet import RunResult

GROMMETED = (PanelHole.UNKNOWN, PanelHole.NEW)
"""Holes for which a grommet is bought; one that nobody told of is taken as a new one."""


def crosses(section: RouteSection) -> bool:
    """Whether a section goes through a panel: one is named, or how it goes through it is told."""
    return bool(section.panel.strip()) or section.hole is not PanelHole.UNKNOWN


def crossings(
    build: Build, results: Mapping[str, RunResult]
) -> Iterator[tuple[RouteSection, list[RunResult]]]:
    """Sections that cross a panel, each with the runs in its hole; those that none takes left out.

    A run that comes back through a hole is in it twice.
    """
    going = ways(build)
    for section in build.sections:
        if not crosses(section):
            continue
        through = [
            results[run.id]
            for run in build.runs
            if run.id in going and run.id in results
            for taken in going[run.id].sections
            if taken.id == section.id and results[run.id].area_mm2 > 0
        ]
        if through:
            yield section, through
