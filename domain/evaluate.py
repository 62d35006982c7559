"""Build -> sheet: the whole computation, pure, reads like a table of contents."""

from typing import TYPE_CHECKING

from domain.build.records import Build
from domain.cable.looms import conductors_in, looms
from domain.checks.context import Context
from domain.checks.everything import all_findings, cautions
from domain.electrical import sources
from domain.electrical.blocks import block_results
from domain.electrical.charging import supply
from domain.electrical.grounds import ground_results
from domain.electrical.network import system
from domain.electrical.network.states import TITLES, Wired, solve_state
from domain.electrical.network.wiring import wiring
from domain.electrical.protection import fuses
from domain.electrical.protection.fuse_study import studies
from domain.electrical.schedule import amplifier_loads, run_results
from domain.electrical.sizing.designs import designs
from domain.electrical.sizing.run_sizes import size
from domain.electrical.sizing.sized import Sized
from domain.electrical.spots import spot_results
from domain.findings import Finding
from domain.materials.bill import materials_list
from domain.sheet import NetworkState, PartResult, Sheet

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import CutList


def evaluate(build: Build) -> Sheet:
    """Every result of a build. Pure: no clock, no files; the same build gives the same sheet.

    Takes any valid build, however unfinished, and never raises: what cannot be computed is
    ``None`` in the sheet and a finding beside it.
    """
    wired, sized, items, states = settled(build)
    amplifiers = amplifier_loads(build, wired.wiring, sized)
    runs = run_results(build, wired.wiring, sized, items)
    studied = studies(build, wired.wiring, wired.circuit, sized, items)
    blocks = block_results(build, runs)
    grounds = ground_results(build, wired.wiring, sized)
    off_programme, off_tone = states[-2:]
    supplied = supply(build, amplifiers, off_programme, off_tone)
    parts, part_findings, lists = _fabricated(build)
    laid = looms(build, runs)
    shared = tuple(loom for loom in laid if loom.name)
    found = all_findings(
        Context(build, wired.wiring, amplifiers, runs, states, grounds, supplied, studied, shared)
    )
    return Sheet(
        title=build.header.title,
        amplifiers=amplifiers,
        runs=runs,
        designs=designs(build, wired.wiring, wired.circuit, sized, items),
        studies=studied,
        states=states,
        blocks=blocks,
        grounds=grounds,
        spots=spot_results(build, runs),
        supply=supplied,
        parts=parts,
        looms=shared,
        materials=materials_list(build, runs, parts, blocks, laid, lists),
        findings=tuple(sorted((*found, *part_findings), key=lambda f: f.level.rank)),
        cautions=cautions(build),
    )


def _fabricated(
    build: Build,
) -> tuple[tuple[PartResult, ...], tuple[Finding, ...], "tuple[CutList, ...]"]:
    """The custom parts and their sheets; their engine is loaded only for builds that have some."""
    if not (build.parts or build.panels or build.holes or build.mounts):
        return (), (), ()
    from domain.fabrication.checks.sheets import sheet_findings
    from domain.fabrication.nesting.cut_sheets import cut_lists
    from domain.fabrication.parts import fabricate

    parts, findings = fabricate(build)
    lists = cut_lists(build, parts, quick=True)
    return parts, (*findings, *sheet_findings(build, lists)), lists


def wire(
    build: Build, also_a: dict[str, float] | None = None, near: Sized | None = None
) -> tuple[Wired, Sized, dict[str, system.Conductor]]:
    """The wiring of a build with gauges, fuses and resistances settled, ready to be solved.

    ``also_a`` are currents that runs must carry on top of the design state [A], ``near`` an
    earlier answer to start from.
    """
    joined = wiring(build)
    zones = {zone.id: zone.ambient_c for zone in build.zones}
    beside = conductors_in(build.runs)
    items = {run.id: system.conductor(build, run, zones, beside) for run in build.runs}
    circuit = system.base_circuit(build, joined)
    sized = size(build, joined, circuit, items, also_a or {}, near)
    return Wired(build, joined, circuit, sized.tone_ohm, sized.programme_ohm), sized, items


def settled(
    build: Build,
) -> tuple[Wired, Sized, dict[str, system.Conductor], tuple[NetworkState, ...]]:
    """A build wired and solved in every state.

    Runs between batteries and alternators carry nothing in the design state: they are sized for
    charging. What the solved states send through them counts as their design current, and where
    that is more and a gauge or fuse is left to the engine, the build is sized once more for it.
    """
    also = _charging(build)
    wired, sized, items = wire(build, also)
    states = tuple(solve_state(wired, state) for state in TITLES)
    carried = _carried_between_sources(wired, states)
    more = {
        id: full
        for id, (full, lasting) in carried.items()
        if full > also.get(id, 0.0) and _too_small(sized, items[id], full, lasting)
    }
    if more:
        wired, sized, items = wire(build, also | more, sized)
        states = tuple(solve_state(wired, state) for state in TITLES)
        carried = _carried_between_sources(wired, states)
    for id, (full, lasting) in carried.items():
        sized.design_a[id] = max(sized.design_a[id], full)
        sized.programme_a[id] = max(sized.programme_a[id], lasting)
        if id in sized.least_a:
            sized.full_a[id] = max(sized.full_a[id], full)
            sized.lasting_a[id] = max(sized.lasting_a[id], lasting)
            sized.least_a[id] = fuses.least_rating_a(sized.full_a[id], sized.lasting_a[id])
    return wired, sized, items, states


def _charging(build: Build) -> dict[str, float]:
    """Charge current that runs between sources must carry [A].

    At an alternator its output; on the way to each further battery what that battery takes half
    empty, but no more than all alternators give.
    """
    given = sum(alternator.rated_a for alternator in build.alternators)
    batteries = {battery.id: battery for battery in build.batteries}
    outputs = {alternator.id: alternator.rated_a for alternator in build.alternators}
    also = {
        run.id: outputs.get(run.source, 0.0) + outputs.get(run.target, 0.0)
        for run in build.runs
        if run.source in outputs or run.target in outputs
    }
    for id, runs in wiring(build).links.items():
        for run in runs:
            also[run] = also.get(run, 0.0) + min(sources.bulk_charge_a(batteries[id]), given)
    return also


def _too_small(sized: Sized, item: system.Conductor, full_a: float, lasting_a: float) -> bool:
    """Whether a fuse or gauge that the engine chose does not carry these currents."""
    run = item.run
    if (run.fused or run.far_fused) and run.fuse_a is None:
        needed = fuses.least_rating_a(full_a, lasting_a)
        if sized.fuse_a[run.id] < needed * (1 - 1e-9):
            return True
    free = run.gauge is None and not run.existing
    return free and item.ampacity_a(sized.gauge[run.id]) < full_a * (1 - 1e-9)


def _carried_between_sources(
    wired: Wired, states: tuple[NetworkState, ...]
) -> dict[str, tuple[float, float]]:
    """What runs that feed no amplifier carry between batteries and alternators [A].

    The most in any state, and the most at programme level, which lasts.
    """
    users = wired.wiring.feeds, wired.wiring.returns
    return {
        id: (
            max(abs(s.current_a[id]) for s in states),
            max(abs(s.current_a[id]) for s in states if s.id.endswith("programme")),
        )
        for id in wired.wiring.ends
        if not any(side.get(id) for side in users)
    }
