"""What lies round each run: decided here once, for the bill that buys tube and for the ampacity.

The rule asks for nothing that the engine chooses: gauges follow from what covers a run, and only
how wide its tube is follows from the gauges. One exception is made once, when all is sized: a lone
run that no gauge there lets carry its fuse in tube is laid in the open. What was decided stands in
the run's result, which the bill reads.
"""

from collections.abc import Mapping

from msgspec import Struct

from domain.build.choices import Cover, Polarity
from domain.build.records import Build, Run, Zone
from domain.document.kept import kept
from domain.electrical.bundling import loom_id
from domain.routes.ways import ways

ENGINE_BAY_C = 60.0
"""A zone this warm [C] is treated as an engine bay, whatever it is called."""


class Covers(Struct, frozen=True):
    """``of``: run id -> what lies round it; ``tubed``: looms that lie in tube, by their keys.

    Runs that have a way through places are in neither: they lie as their sections say.
    """

    of: Mapping[str, Cover]
    tubed: frozenset[str]


def engine_bay(zone: Zone | None) -> bool:
    """Whether a zone counts as an engine bay: by its name, or because it is as warm as one."""
    return zone is not None and ("engine" in zone.name.casefold() or zone.ambient_c >= ENGINE_BAY_C)


def loom_key(run: Run) -> str:
    """What names the loom a run lies in; a run without one is a loom of its own."""
    return loom_id(run) or f" {run.id}"


@kept(4)
def covers(build: Build) -> Covers:
    """What lies round every run of a build.

    A loom lies in tube when a run of it asks for it: one whose cover says so, or one left to this
    rule that is positive or passes an engine bay (common practice). What the vehicle has already
    is left as it is, but where it lies in a loom with new runs. One tube goes round all of a loom.
    """
    zones = {zone.id: zone for zone in build.zones}
    routed = ways(build)
    runs = [run for run in build.runs if run.id not in routed]
    keys = [loom_key(run) for run in runs]
    new = {key for run, key in zip(runs, keys, strict=True) if not run.existing}
    tubed = frozenset(
        key
        for run, key in zip(runs, keys, strict=True)
        if run.cover is Cover.TUBE
        or (
            run.cover in (None, Cover.CARPET)
            and key in new
            and (run.polarity is Polarity.POSITIVE or engine_bay(zones.get(run.zone)))
        )
    )
    each = zip(runs, keys, strict=True)
    return Covers({run.id: _cover(run, key in tubed) for run, key in each}, tubed)


def _cover(run: Run, tubed: bool) -> Cover:
    if run.cover is Cover.CARPET:
        return Cover.CARPET
    return Cover.TUBE if tubed else Cover.OPEN
