"""What isolators pass: for good, with the music at full output, as they close, while starting.

For good: the music at its average level, the charge of a battery behind, or what evens batteries
out. For seconds: the music at full output; a full and charged side on a half-empty one as it
closes, through least internal resistances; the starter motor's share through a switch that is left
closed. A DC-DC charger limits itself.
"""

from collections.abc import Mapping, Sequence

from domain.build.choices import BlockKind, Isolates, Polarity
from domain.build.records import Block, Build
from domain.electrical import charging, sources
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.voltage_relays import by_voltage
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection import circumstances
from domain.electrical.protection.fault_cases import (
    Case,
    FaultNetwork,
    Place,
    Supply,
    isolators_of,
)
from domain.electrical.sizing.joining import Cold, Surge, cold
from domain.electrical.sizing.sized import Sized
from domain.reference.planning import planned
from domain.sheet import IsolatorResult, NetworkState


def isolator_results(
    build: Build,
    wiring: Wiring,
    states: Sequence[NetworkState],
    items: Mapping[str, Conductor],
    sized: Sized,
) -> tuple[IsolatorResult, ...]:
    """One result per isolator, in the order of the blocks."""
    isolators = [block for block in build.blocks if block.kind is BlockKind.ISOLATOR]
    if not isolators:
        return ()
    network = cold(build, wiring, items, sized)
    return tuple(
        _result(build, wiring, states, network, block, sized.joining_a[block.id])
        for block in isolators
    )


def _result(
    build: Build,
    wiring: Wiring,
    states: Sequence[NetworkState],
    network: Cold,
    block: Block,
    joining_a: float,
) -> IsolatorResult:
    lasting = lasting_a(build, wiring, states, block)
    why = max(lasting, key=lambda each: lasting[each])
    return IsolatorResult(
        id=block.id,
        name=block.name or block.id,
        lasting_a=lasting[why],
        lasting_why=why,
        full_a=solved_a(build, wiring, states, block, "tone"),
        joining_a=joining_a,
        starting_a=starting(build, network, block, states).amperes,
        passes_a=passes_a(block),
    )


def passes_a(block: Block) -> float | None:
    """What an isolator stands for the seconds of a surge [A]: as entered, else 150 % of its rating.

    Common practice: relays and isolators have an intermittent rating above the continuous one.
    """
    if block.peak_a is not None:
        return block.peak_a
    return None if block.rated_a is None else planned("overcurrent_fraction") * block.rated_a


def lasting_a(
    build: Build, wiring: Wiring, states: Sequence[NetworkState], block: Block
) -> dict[str, float]:
    """What flows through an isolator for good [A], by what it is; the first is the music.

    The music at its average level in any solved state; for each further battery behind it the
    charge, or what evens it out with the other, one full and the other half empty.
    """
    found = {"with the music": solved_a(build, wiring, states, block, "programme")}
    given = sum(g.rated_a for g in charging.live_alternators(build))
    behind = runs_behind(build, wiring, block)
    for battery in build.batteries[1:]:
        way = wiring.links.get(battery.id, ())
        if any(id in way for id in behind):
            name = battery.name or battery.id
            why = f"as {name} is charged, or levels with the other"
            found[why] = charging.link_current_a(build, battery, given)
    return found


def runs_behind(build: Build, wiring: Wiring, block: Block) -> list[str]:
    """The runs that leave an isolator on its output."""
    return [
        run.id
        for run in build.runs
        if run.source == block.id and run.polarity is Polarity.POSITIVE and run.id in wiring.ends
    ]


def solved_a(
    build: Build, wiring: Wiring, states: Sequence[NetworkState], block: Block, level: str
) -> float:
    """The most that flows through it in any solved state at a level, "programme" or "tone" [A]."""
    behind = runs_behind(build, wiring, block)
    solved = [
        abs(sum(state.current_a[id] for id in behind))
        for state in states
        if state.converged and state.id.endswith(level)
    ]
    return max(solved, default=0.0)


def starting(build: Build, network: Cold, block: Block, states: Sequence[NetworkState]) -> Surge:
    """The starter motor, on a half-empty first battery, helped by full ones past what is closed.

    The motor is a resistance. A switch is closed, and a relay by voltage that stays joined with the
    engine off; all other relays are open before the engine is started.
    """
    near, far = f"{block.id}_in", f"{block.id}_out"
    off = next((state for state in states if state.id == "off-programme"), None)
    stays = by_voltage(block) and off is not None and block.id not in (off.parted or ())
    if not (block.isolates is Isolates.SWITCH or stays) or not build.batteries:
        return Surge()
    if near not in network.net.positive.core or far not in network.net.positive.core:
        return Surge()
    first = build.batteries[0]
    given = circumstances.supplies(build, weak=False, alternators=False)
    volts = sources.rest_voltage_v(first.chemistry, sources.HALF)
    weak = sources.spread(first)[1]
    given[first.id] = Supply(first.id, volts, weak, weak)
    others = frozenset(isolators_of(network.net)) - {block.id}
    case = Case("", given, network.ohm, others)
    faults = FaultNetwork(network.net, case, frozenset({block.id}))
    place = Place("", ((f"{first.id}_pos", 1.0),), f"{first.id}_neg")
    motor = planned("starter_ohm")
    seen = faults.solve(place, motor, frozenset(), 0.0)
    open_v, ohm = faults.behind(place, motor, 0.0)
    share = seen.edge_a.get(block.id, 0.0) / seen.fault_a if seen.fault_a > 0 else 0.0
    return Surge(open_v, ohm + motor, share)
