"""The network in its states: engine at cruise, idle and off; at programme level and full tone."""

from collections.abc import Collection, Mapping
from sys import intern

from msgspec import Struct

from domain.build.choices import NetworkMode, Playing, shown
from domain.build.records import Build
from domain.document.kept import kept
from domain.electrical import loads, sources
from domain.electrical.network import converters, nodal, system, voltage_relays
from domain.electrical.network.upper_state import upper_state
from domain.electrical.network.wiring import Wiring
from domain.reference.planning import planned
from domain.sheet import NetworkState

TITLES = {mode.value: shown(mode) for mode in NetworkMode}
"""The states, by id."""

VEHICLE = "vehicle"
"""Name of the vehicle's own load in a network."""

VEHICLE_LOWEST_V = 6.0
"""The vehicle's own load fades out below the lowest supply of ISO 16750-2 code A [V]."""


HAIR_V = 0.001
"""At so much below its voltage an alternator gives, and is not fully loaded yet [V]."""


class Wired(Struct, frozen=True):
    """A build's wiring with every resistance settled: what states are solved on."""

    build: Build
    wiring: Wiring
    circuit: nodal.Circuit
    tone_ohm: Mapping[str, float]
    programme_ohm: Mapping[str, float]


def laws(build: Build, state: str) -> dict[str, nodal.Law]:
    """The law of every element in a state, by device id."""
    engine, _ = state.split("-")
    found: dict[str, nodal.Law] = {b.id: system.battery_law(b) for b in build.batteries}
    if engine != "off":
        for alternator in build.alternators:
            found[alternator.id] = nodal.alternator_law(
                alternator.regulated_v,
                planned("alternator_droop_ohm"),
                sources.alternator_limit_a(alternator, engine == "idle"),
            )
    found[VEHICLE] = nodal.steady_law(vehicle_load_a(build, engine), VEHICLE_LOWEST_V)
    found |= system.isolator_laws(build, engine != "off")
    return found | system.load_laws(build, playing_in(state), engine != "off")


def playing_in(state: str) -> Playing:
    """The level of the music in a state."""
    return Playing.TONE if state.endswith("tone") else Playing.PROGRAMME


def knees(build: Build, state: str) -> dict[str, tuple[float, ...]]:
    """Where laws bend [V]: alternators fully loaded below and idle above, one-way isolators."""
    idle = state.startswith("idle")
    droop = planned("alternator_droop_ohm")
    return {
        a.id: (a.regulated_v - droop * limit_a, a.regulated_v) if limit_a else (a.regulated_v,)
        for a in build.alternators
        for limit_a in (sources.alternator_limit_a(a, idle),)
    } | system.isolator_knees(build)


def highest_v(build: Build) -> float:
    """Above every voltage that the build's sources can hold [V]."""
    return max(
        [a.regulated_v for a in build.alternators]
        + [sources.rest_voltage_v(b.chemistry, 1.0) for b in build.batteries]
        + [c.charge_v for c in converters.converters(build)]
        + [planned("design_v")]
    )


def first_v(build: Build, state: str, circuit: nodal.Circuit) -> float:
    """Voltage to try first on all of the positive side: what the sources that feed it hold [V].

    The alternators', where they can give what is drawn at it, else the batteries' at rest. Higher,
    the batteries would seem to take charge, and then to lose far more than they do as they give.
    """
    charge = planned("state_of_charge")
    resting = [sources.rest_voltage_v(b.chemistry, charge) for b in build.batteries]
    engine, _ = state.split("-")
    if engine != "off" and build.alternators:
        held = max(a.regulated_v for a in build.alternators)
        most = sum(sources.alternator_limit_a(a, engine == "idle") for a in build.alternators)
        loads_of = {VEHICLE, *(taker.id for taker in loads.takers(build))}
        drawn = sum(e.law(held)[0] for e in circuit.elements if e.name in loads_of)
        if drawn <= most or not resting:
            return max([held - HAIR_V, *resting])
    return max(resting, default=planned("design_v"))


def vehicle_load_a(build: Build, engine: str) -> float:
    """What the vehicle itself draws [A]; with the engine off a small share stays on."""
    total = sum(alternator.vehicle_load_a for alternator in build.alternators)
    return total * (planned("vehicle_off_fraction") if engine == "off" else 1.0)


def _bears_on(build: Build, circuit: nodal.Circuit, state: str) -> tuple[object, ...]:
    devices = build.batteries, build.alternators, build.amplifiers, build.appliances, build.blocks
    return circuit, *devices, build.header, intern(state)


@kept(48, by=_bears_on)
def at_work(build: Build, circuit: nodal.Circuit, state: str) -> nodal.Circuit:
    """A build's circuit with everything at work that is in a state.

    No length and no size bears on it: it serves all rounds, and keys at which devices stay.
    """
    return system.with_laws(circuit, laws(build, state), knees(build, state))


def state_circuit(
    wired: Wired, state: str, parted: Collection[str] | None = None
) -> tuple[nodal.Circuit, list[float]]:
    """The circuit of a state and its branch conductances [S].

    ``parted``: the relays that join by voltage and do not there.
    """
    ohms = wired.tone_ohm if state.endswith("tone") else wired.programme_ohm
    closed = not state.startswith("off")
    circuit = at_work(wired.build, wired.circuit, state)
    return circuit, system.siemens(wired.build, wired.wiring, ohms, closed, True, parted)


def solved_circuit(wired: Wired, state: NetworkState) -> tuple[nodal.Circuit, list[float]]:
    """The circuit of a solved state with what its DC-DC chargers take, and conductances [S]."""
    circuit, siemens = state_circuit(wired, state.id, parted=state.parted)
    chargers = converters.converters(wired.build)
    if chargers:
        volts = list(state.node_v.values())
        _, circuit = converters.settled(chargers, circuit, siemens, volts)
    return circuit, siemens


def solve_state(wired: Wired, state: str, near: list[float] | None = None) -> NetworkState:
    """One state of the network; ``near`` are its voltages at nearly these resistances [V].

    Relays that join by voltage are joined or parted as they are then.
    """
    if not voltage_relays.relays(wired.build):
        return _solved(wired, state, near)
    return _solved(wired, state, parted=parted_in(wired, state))


def parted_in(wired: Wired, state: str) -> frozenset[str] | None:
    """The relays that join by voltage and are parted in a state; ``None`` where there are none."""
    relays = voltage_relays.relays(wired.build)
    if not relays:
        return None

    def inputs(state: str, parted: frozenset[str]) -> dict[str, float]:
        node_v = _solved(wired, state, parted=parted).node_v
        return {block.id: node_v[f"{block.id}_in"] for block in relays}

    return voltage_relays.parted(wired.build, state, inputs)


def either_way(wired: Wired) -> tuple[NetworkState, ...]:
    """The states with the engine running, relays by voltage joined and parted in every way.

    So they may be until all have joined, and when one is set otherwise than in the plan: wires and
    fuses bear each. None where the build has no such relay; of many not every way is looked at
    (``voltage_relays.ways``).
    """
    every = voltage_relays.relays(wired.build)
    return tuple(
        _solved(wired, state, parted=parted)
        for state in TITLES
        if every and not state.startswith("off")
        for parted in voltage_relays.ways(tuple(relay.id for relay in every))
    )


def _solved(
    wired: Wired,
    state: str,
    near: list[float] | None = None,
    parted: frozenset[str] | None = None,
) -> NetworkState:
    """One state with these relays parted."""
    build = wired.build
    circuit, siemens = state_circuit(wired, state, parted)
    chargers = converters.converters(build)
    start = near or system.start_volts(wired.wiring, first_v(build, state, circuit))
    solution, circuit = converters.settled(chargers, circuit, siemens, start, near is not None)
    if _fully_loaded(build, state, circuit, solution):
        start = system.start_volts(wired.wiring, highest_v(build))
        solution = upper_state(circuit, siemens, start, solution)
    volts = dict(zip(wired.wiring.nodes, solution.volts, strict=True))
    branch_a = {
        name: current
        for (name, _, _), current in zip(circuit.branches, solution.branch_a, strict=True)
    }
    heat = sum(i * i / g for i, g in zip(solution.branch_a, siemens, strict=True))
    across = {
        element.name: (v, i)
        for element, v, i in zip(
            circuit.elements, solution.element_v, solution.element_a, strict=True
        )
    }
    inner = converters.both_sides(chargers)
    heat += sum(v * i for name, (v, i) in across.items() if name in inner)
    outer = [v * i for name, (v, i) in across.items() if name not in inner]
    source_w = sum(-w for w in outer if w < 0)
    load_w = sum(w for w in outer if w > 0)
    takers = loads.takers(build)
    off = tuple([a.id for a in takers if across[a.id][0] < a.lowest_v - 1e-9])
    feed, ret = wired.wiring.feed, wired.wiring.ret
    starved = tuple([a for a in off if feed[a].battery and ret[a].battery])
    return NetworkState(
        id=state,
        title=TITLES[state],
        converged=solution.converged,
        collapsed=bool(starved),
        blame=_blame(wired, volts, branch_a, across, starved[0]) if starved else "",
        node_v=volts,
        current_a={run.id: branch_a.get(run.id, 0.0) for run in build.runs},
        amplifier_v={a.id: across[a.id][0] for a in takers},
        amplifier_a={a.id: across[a.id][1] for a in takers},
        battery_a={b.id: -across[b.id][1] for b in build.batteries},
        battery_v={b.id: across[b.id][0] for b in build.batteries},
        alternator_a={g.id: -across[g.id][1] if g.id in across else 0.0 for g in build.alternators},
        source_w=source_w,
        load_w=load_w,
        heat_w=heat,
        power_error=abs(source_w - load_w - heat) / source_w if source_w else 0.0,
        off=off,
        parted=None if parted is None else tuple(sorted(parted)),
    )


def _fully_loaded(
    build: Build, state: str, circuit: nodal.Circuit, solution: nodal.Solution
) -> bool:
    """Whether an alternator gives all it has, so that there may be a second state."""
    most = {
        g.id: sources.alternator_limit_a(g, state.startswith("idle")) for g in build.alternators
    }
    return any(
        element.name in most and -amperes >= most[element.name] * (1 - 1e-9)
        for element, amperes in zip(circuit.elements, solution.element_a, strict=True)
    )


def _blame(
    wired: Wired,
    volts: Mapping[str, float],
    branch_a: Mapping[str, float],
    across: Mapping[str, tuple[float, float]],
    amplifier: str,
) -> str:
    """The run or battery that loses the most voltage on the way to an amplifier that is off."""
    feed, ret = wired.wiring.feed[amplifier], wired.wiring.ret[amplifier]
    losses = {}
    for id in feed.runs + ret.runs:
        a, b = wired.wiring.ends[id]
        losses[id] = abs(volts[a] - volts[b])
    for battery in wired.build.batteries:
        if battery.id == feed.battery:
            rest = sources.rest_voltage_v(battery.chemistry, planned("state_of_charge"))
            losses[battery.id] = rest - across[battery.id][0]
    return max(losses, key=lambda id: losses[id])
