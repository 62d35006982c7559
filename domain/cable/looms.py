"""Looms: which runs lie together, how thick the bundle is along its way, and what tube it needs.

The runs of a loom begin together. The first stretch holds all of them and is as long as the
shortest; there it leaves the loom, and the next stretch holds what goes on. Runs that have a way
through places lie together section by section instead, each section a loom of one stretch.
"""

from collections.abc import Iterable, Iterator, Mapping

from domain.build.choices import Cover
from domain.build.records import Build, Run
from domain.cable.bundles import BundleSize, bundle_size
from domain.cable.fittings import loom, outside_diameter_mm
from domain.document.records import label
from domain.electrical.bundling import loom_id
from domain.electrical.covers import Covers, covers, loom_key
from domain.electrical.sections.lying import Lying, bundles, lying, tubed_bundles
from domain.routes.ways import Way, section_m, ways
from domain.sheet import Loom, LoomStretch, RunResult


def looms(build: Build, runs: tuple[RunResult, ...]) -> tuple[Loom, ...]:
    """Every loom of a build; a run without one is a loom of its own. Runs as in the schedule.

    Existing runs take room and leave where they end, but a loom of existing runs alone is none.
    """
    entered = {run.id: run for run in build.runs}
    members: dict[str, list[RunResult]] = {}
    going = ways(build)
    for result in runs:
        run = entered.get(result.id)
        if run is not None and result.area_mm2 > 0 and run.id not in going:
            members.setdefault(loom_key(run), []).append(result)
    laid = covers(build)
    alone = tuple(
        _loom(own, entered, laid)
        for own in members.values()
        if not all(result.existing for result in own)
    )
    return (*alone, *_along(build, runs, going)) if going else alone


def bundle_of(runs: Iterable[RunResult]) -> BundleSize:
    """The circle round the cables of these runs [mm], every wire of each; there is at least one."""
    return bundle_size(
        tuple(outside_diameter_mm(run.area_mm2) for run in runs for _ in range(run.count))
    )


class SectionLoom(Loom, frozen=True):
    """The bundle of those runs of one harness word, or of none, that take a section."""

    section: str


def _along(
    build: Build, runs: tuple[RunResult, ...], going: Mapping[str, Way]
) -> Iterator[SectionLoom]:
    """The bundles of each section, in the order of sections.

    A bundle is as long as its section with the slack of the run that has most of it for its length.
    """
    results = {result.id: result for result in runs if result.area_mm2 > 0}
    order = {section.id: at for at, section in enumerate(build.sections)}
    lengths = {each.id: section_m(each, build.header.units) for each in build.sections}
    tubed, lies = tubed_bundles(build, going), lying(build, going)
    for key, members in sorted(bundles(build, going).items(), key=lambda b: (order[b[0][0]], b[0])):
        own = [results[run.id] for run in members if run.id in results]
        if all(result.existing for result in own):
            continue
        bare = {result.id for result in own if _laid_bare(result, lies[result.id])}
        sleeved = key in tubed and len(bare) < len(own)
        long = lengths[key[0]] * max(result.wire_m / result.length_m for result in own)
        word = next(run.loom.strip() for run in members)
        named = label(build, key[0])
        stretch = _stretch(" ".join(filter(None, key)), own, (0.0, long), sleeved)
        yield SectionLoom(
            *(stretch.id, f"{named}, {word}" if word else named, stretch.runs, sleeved, (stretch,)),
            section=key[0],
        )


def _laid_bare(result: RunResult, lies: tuple[Lying, ...]) -> bool:
    """Whether a run was left open though the rule has it in tube all along."""
    return result.cover == Cover.OPEN and all(each.cover is Cover.TUBE for each in lies)


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
        id = f"{named}{number}" if named else results[0].id
        yield _stretch(id, inside, (start, end), sleeved)
        start = end


def _stretch(
    id: str, inside: list[RunResult], reach: tuple[float, float], sleeved: bool
) -> LoomStretch:
    bundle_mm = bundle_of(inside).diameter
    size, over_mm = (loom(bundle_mm) if sleeved else None) or ("", bundle_mm)
    return LoomStretch(
        id=id,
        runs=tuple(dict.fromkeys(result.id for result in inside)),
        start_m=reach[0],
        end_m=reach[1],
        bundle_m=bundle_mm / 1000,
        tube=size,
        over_m=over_mm / 1000,
    )
