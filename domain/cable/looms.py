"""Looms: which runs lie together, how thick the bundle is along its way, and what tube it needs.

The runs of a loom begin together. The first stretch holds all of them and is as long as the
shortest; there it leaves the loom, and the next stretch holds what goes on.
"""

from collections.abc import Iterable, Iterator, Mapping

from domain.build.choices import Cover
from domain.build.records import Build, Run
from domain.cable.bundles import BundleSize, bundle_size
from domain.cable.fittings import loom, outside_diameter_mm
from domain.electrical.bundling import loom_id
from domain.electrical.covers import Covers, covers, loom_key
from domain.sheet import Loom, LoomStretch, RunResult


def looms(build: Build, runs: tuple[RunResult, ...]) -> tuple[Loom, ...]:
    """Every loom of a build; a run without one is a loom of its own. Runs as in the schedule.

    Existing runs take room and leave where they end, but a loom of existing runs alone is none.
    """
    entered = {run.id: run for run in build.runs}
    members: dict[str, list[RunResult]] = {}
    for result in runs:
        run = entered.get(result.id)
        if run is not None and result.area_mm2 > 0:
            members.setdefault(loom_key(run), []).append(result)
    laid = covers(build)
    return tuple(
        _loom(own, entered, laid)
        for own in members.values()
        if not all(result.existing for result in own)
    )


def bundle_of(runs: Iterable[RunResult]) -> BundleSize:
    """The circle round the cables of these runs [mm], every wire of each; there is at least one."""
    return bundle_size(
        tuple(outside_diameter_mm(run.area_mm2) for run in runs for _ in range(run.count))
    )


def _loom(results: list[RunResult], entered: Mapping[str, Run], laid: Covers) -> Loom:
    runs = [entered[result.id] for result in results]
    name = runs[0].loom.strip()
    id = loom_id(runs[0]) or runs[0].id
    kept = any(result.cover != Cover.OPEN for result in results)
    sleeved = loom_key(runs[0]) in laid.tubed and kept
    stretches = tuple(_stretches(f"{id} " if name else "", results, sleeved))
    return Loom(id, name, tuple(run.id for run in runs), sleeved, stretches)


def _stretches(named: str, results: list[RunResult], sleeved: bool) -> Iterator[LoomStretch]:
    start = 0.0
    for number, end in enumerate(sorted({result.wire_m for result in results if result.wire_m}), 1):
        inside = [result for result in results if result.wire_m >= end]
        bundle_mm = bundle_of(inside).diameter
        size, over_mm = (loom(bundle_mm) if sleeved else None) or ("", bundle_mm)
        yield LoomStretch(
            id=f"{named}{number}" if named else results[0].id,
            runs=tuple(result.id for result in inside),
            start_m=start,
            end_m=end,
            bundle_m=bundle_mm / 1000,
            tube=size,
            over_m=over_mm / 1000,
        )
        start = end
