"""Build -> sheet: the whole computation, pure, reads like a table of contents."""

from typing import TYPE_CHECKING

from msgspec.structs import replace

from domain.build.records import Build
from domain.cable.looms import looms
from domain.checks.context import Context
from domain.checks.everything import all_findings, cautions
from domain.electrical.blocks import NOTHING, block_results
from domain.electrical.bundling import loom_id
from domain.electrical.bus_bars import is_bus_bar
from domain.electrical.charging import supply
from domain.electrical.fuse_study import studies
from domain.electrical.grounds import ground_results
from domain.electrical.network.charge_reach import lowered
from domain.electrical.network.states import Wired, solve_state
from domain.electrical.protection.segments import segment_results
from domain.electrical.schedule import amplifier_loads, appliance_loads, run_results
from domain.electrical.sizing.between_sources import charging_a
from domain.electrical.sizing.designs import designs
from domain.electrical.sizing.kept import solved_network
from domain.electrical.spots import spot_results
from domain.electrical.surges.isolators import isolator_results
from domain.electrical.switching import lead_results, remote_results
from domain.findings import Finding
from domain.materials.bill import materials_list
from domain.plan import Plan
from domain.routes.ways import ways
from domain.sheet import NetworkState, PartResult, Sheet

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import SheetCutList


def evaluate(build: Build, *, swept: bool = False) -> Sheet:
    """Every result of a build: the sheet of its plan, for those who need no more."""
    return make_plan(build, swept=swept).sheet


def make_plan(build: Build, *, swept: bool = False, like: Plan | None = None) -> Plan:
    """Work out a build. Pure: no clock, no files; the same build gives the same plan.

    Takes any valid build, however unfinished, and never raises: what cannot be computed is
    ``None`` in the sheet and a finding beside it. ``swept`` takes the third proof of protection
    along, shorts that several sources share: too slow for every key, but part of everything
    that is told, printed or kept. ``like`` is the swept plan before an edit: an unswept one keeps
    the sizes that those shorts asked of runs which are as they were.
    """
    floor: dict[str, int] = {}
    if like is not None and not swept:
        same = {run.id for run in set(build.runs) & set(like.build.runs)}
        floor = {id: at for id, at in like.solved.floor.items() if id in same}
    solved = solved_network(build, swept=swept, floor=floor)
    wiring, circuit, sized = solved.wiring, solved.wired.circuit, solved.sized
    items, states = solved.items, solved.states
    amplifiers = amplifier_loads(build, wiring, sized)
    appliances = appliance_loads(build, wiring, sized)
    runs = run_results(build, wiring, sized, items, solved.proofs)
    studied = studies(build, wiring, circuit, sized, items, solved.proofs)
    segments = segment_results(build, sized.family, solved.proofs, studied)
    between = charging_a(build) if any(map(is_bus_bar, build.blocks)) else NOTHING
    blocks = block_results(build, runs, states, between)
    grounds = ground_results(build, wiring, sized)
    isolators = isolator_results(build, wiring, states, items, sized)
    off_programme, off_full = states[-2:]
    supplied = supply(build, (*amplifiers, *appliances), off_programme, off_full)
    parts, part_findings, lists = _fabricated(build)
    going = ways(build)
    named = {run.id for run in build.runs if loom_id(run) or run.id in going}
    remotes = remote_results(build)
    leads = lead_results(build, remotes)
    shared = looms(build, tuple(run for run in runs if run.id in named))
    found = all_findings(
        Context(
            *(build, wiring, amplifiers, appliances, runs, states),
            *(grounds, supplied, studied, segments, shared),
            remotes=remotes,
            leads=leads,
            blocks=blocks,
            isolators=isolators,
            lowered=_lowered(build, solved.wired),
        )
    )
    sheet = Sheet(
        title=build.header.title,
        amplifiers=amplifiers,
        appliances=appliances,
        runs=runs,
        designs=(),
        studies=studied,
        segments=segments,
        states=states,
        blocks=blocks,
        grounds=grounds,
        spots=spot_results(build, runs),
        supply=supplied,
        parts=parts,
        looms=shared,
        materials=(),
        findings=tuple(sorted((*found, *part_findings), key=lambda f: f.level.rank)),
        cautions=cautions(build),
        remotes=remotes,
        leads=leads,
        isolators=isolators,
    )
    sheet = sheet.with_later(
        designs=lambda: designs(build, wiring, circuit, sized, items),
        materials=lambda: materials_list(
            *(build, runs, parts, blocks),
            lists=lists,
            leads=(remotes, leads),
            isolators=isolators,
        ),
    )
    return Plan(build, sheet, solved)


def _lowered(build: Build, wired: Wired) -> tuple[NetworkState, ...]:
    """Driving with the voltage that smart alternators lower theirs to; nothing without such."""
    on_the_road = lowered(build)
    if on_the_road is None:
        return ()
    held = replace(wired, build=on_the_road)
    return tuple(solve_state(held, state) for state in ("cruise-programme", "cruise-tone"))


def _fabricated(
    build: Build,
) -> tuple[tuple[PartResult, ...], tuple[Finding, ...], "tuple[SheetCutList, ...]"]:
    """The custom parts and their sheets; their engine is loaded only for builds that have some."""
    if not (build.parts or build.panels or build.holes or build.mounts):
        return (), (), ()
    from domain.fabrication.checks.sheets import sheet_findings
    from domain.fabrication.nesting.cut_sheets import cut_lists
    from domain.fabrication.parts import fabricate

    parts, findings = fabricate(build)
    lists = cut_lists(build, parts, quick=True)
    return parts, (*findings, *sheet_findings(build, lists)), lists
