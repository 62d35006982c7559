"""Gauges and fuses chosen and the network solved with them, in every state."""

from collections.abc import Mapping
from dataclasses import dataclass

from domain.build.records import Build
from domain.electrical import fuses, sources
from domain.electrical.bundling import conductors_in
from domain.electrical.network import system
from domain.electrical.network.states import TITLES, Wired, solve_state
from domain.electrical.network.wiring import Wiring, wiring
from domain.electrical.sizing.run_sizes import size
from domain.electrical.sizing.sized import Sized
from domain.sheet import NetworkState


@dataclass(frozen=True, slots=True)
class SolvedNetwork:
    """The network of a build, sized and solved: what every electrical result is read from.

    ``items`` are the wires of the runs by run id, ``states`` one solution for each of
    ``domain.electrical.network.states.TITLES``, in that order.
    """

    wired: Wired
    sized: Sized
    items: Mapping[str, system.Conductor]
    states: tuple[NetworkState, ...]

    @property
    def wiring(self) -> Wiring:
        """Who is joined to whom."""
        return self.wired.wiring


def size_and_solve(build: Build) -> SolvedNetwork:
    """Choose every gauge and fuse that is left to the engine and solve the network in all states.

    Runs between batteries and alternators carry nothing in the design state: they are sized for
    charging. What the solved states send through them counts as their design current, and where
    that is more and a gauge or fuse is left to the engine, the build is sized once more for it.
    """
    extra = _charge_current_a(build)
    wired, sized, items = size_wires(build, extra)
    states = tuple(solve_state(wired, state) for state in TITLES)
    carried = _carried_between_sources(wired, states)
    more = {
        id: full
        for id, (full, lasting) in carried.items()
        if full > extra.get(id, 0.0) and _too_small(sized, items[id], full, lasting)
    }
    if more:
        wired, sized, items = size_wires(build, extra | more, sized)
        states = tuple(solve_state(wired, state) for state in TITLES)
        carried = _carried_between_sources(wired, states)
    _count_as_design_current(sized, carried)
    return SolvedNetwork(wired, sized, items, states)


def size_wires(
    build: Build,
    extra_current_a: Mapping[str, float] | None = None,
    warm_start: Sized | None = None,
) -> tuple[Wired, Sized, dict[str, system.Conductor]]:
    """The wiring of a build with gauges, fuses and resistances chosen, ready to be solved.

    ``extra_current_a`` is what runs must carry on top of the design state [A], by run id;
    ``warm_start`` an earlier answer to start from.
    """
    joined = wiring(build)
    zones = {zone.id: zone.ambient_c for zone in build.zones}
    beside = conductors_in(build.runs)
    items = {run.id: system.conductor(build, run, zones, beside) for run in build.runs}
    circuit = system.base_circuit(build, joined)
    sized = size(build, joined, circuit, items, dict(extra_current_a or {}), warm_start)
    return Wired(build, joined, circuit, sized.tone_ohm, sized.programme_ohm), sized, items


def _count_as_design_current(sized: Sized, carried: Mapping[str, tuple[float, float]]) -> None:
    """Take what flows between sources, at full output and lasting [A], as design current."""
    for id, (full, lasting) in carried.items():
        sized.design_a[id] = max(sized.design_a[id], full)
        sized.programme_a[id] = max(sized.programme_a[id], lasting)
        if id in sized.least_a:
            sized.full_a[id] = max(sized.full_a[id], full)
            sized.lasting_a[id] = max(sized.lasting_a[id], lasting)
            sized.least_a[id] = fuses.least_rating_a(sized.full_a[id], sized.lasting_a[id])


def _charge_current_a(build: Build) -> dict[str, float]:
    """Charge current that runs between sources must carry [A].

    At an alternator its output; on the way to each further battery what that battery takes half
    empty, but no more than all alternators give.
    """
    given = sum(alternator.rated_a for alternator in build.alternators)
    batteries = {battery.id: battery for battery in build.batteries}
    outputs = {alternator.id: alternator.rated_a for alternator in build.alternators}
    extra = {
        run.id: outputs.get(run.source, 0.0) + outputs.get(run.target, 0.0)
        for run in build.runs
        if run.source in outputs or run.target in outputs
    }
    for id, runs in wiring(build).links.items():
        for run in runs:
            extra[run] = extra.get(run, 0.0) + min(sources.bulk_charge_a(batteries[id]), given)
    return extra


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
