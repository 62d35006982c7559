"""The build as a network: one conductance per run, ground path and isolator, one element per
battery, alternator, vehicle load and amplifier."""

from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache
from math import inf

from msgspec.structs import replace

from domain.build.choices import (
    BlockKind,
    Isolates,
    Playing,
)
from domain.build.records import (
    Alternator,
    Amplifier,
    Appliance,
    Battery,
    Block,
    Build,
    GroundPoint,
    Header,
)
from domain.document.kept import kept
from domain.electrical import loads, sources
from domain.electrical.network import nodal
from domain.electrical.network.converters import INPUT, converters, is_converter
from domain.electrical.network.converters import laws as converter_laws
from domain.electrical.network.run_conductor import LEAST_OHM
from domain.electrical.network.voltage_relays import by_voltage
from domain.electrical.network.wiring import Wiring
from domain.reference.planning import planned


def body_ohm(point: GroundPoint) -> float:
    """Resistance from a ground point through the body to the star point [ohm]."""
    if point.resistance_ohm is not None:
        return point.resistance_ohm
    return planned("body_ohm_" + point.surface)


def base_circuit(build: Build, wiring: Wiring) -> nodal.Circuit:
    """The circuit of a build with elements that do nothing yet, in a fixed order of branches."""
    return _base_circuit(
        *(wiring, build.batteries, build.alternators, build.amplifiers, build.appliances),
        *(build.blocks, build.grounds),
    )


@kept(8)
def _base_circuit(
    wiring: Wiring,
    batteries: tuple[Battery, ...],
    alternators: tuple[Alternator, ...],
    amplifiers: tuple[Amplifier, ...],
    appliances: tuple[Appliance, ...],
    blocks: tuple[Block, ...],
    grounds: tuple[GroundPoint, ...],
) -> nodal.Circuit:
    index = {name: i for i, name in enumerate(wiring.nodes)}
    branches = [(id, index[a], index[b]) for id, (a, b) in wiring.ends.items()]
    branches += [(point.id, index[point.id], nodal.REFERENCE) for point in grounds]
    branches += [
        (block.id, index[f"{block.id}_in"], index[f"{block.id}_out"])
        for block in blocks
        if block.kind is BlockKind.ISOLATOR
    ]
    idle = nodal.steady_law(0.0, 1.0)
    elements = [
        nodal.Element(device.id, index[f"{device.id}_pos"], index[f"{device.id}_neg"], idle)
        for device in (*batteries, *alternators, *amplifiers, *appliances)
    ]
    supplied = next(iter((*batteries, *alternators)), None)
    if supplied:
        positive, negative = index[f"{supplied.id}_pos"], index[f"{supplied.id}_neg"]
        elements.append(nodal.Element("vehicle", positive, negative, idle))
    elements += [
        nodal.Element(block.id, index[f"{block.id}_in"], index[f"{block.id}_out"], idle)
        for block in _diodes(blocks)
    ]
    for block in blocks:
        if is_converter(block):  # without a ground lead it is taken to be grounded by its case
            back = index.get(f"{block.id}_neg", nodal.REFERENCE)
            elements.append(nodal.Element(block.id, index[f"{block.id}_out"], back, idle))
            elements.append(nodal.Element(block.id + INPUT, index[f"{block.id}_in"], back, idle))
    return nodal.circuit(wiring.nodes, branches, elements)


def with_laws(
    circuit: nodal.Circuit,
    laws: Mapping[str, nodal.Law],
    knees: Mapping[str, tuple[float, ...]],
) -> nodal.Circuit:
    """The circuit with these elements at work, by device id; the others are left out."""
    elements = tuple(
        nodal.Element(e.name, e.positive, e.negative, laws[e.name], knees.get(e.name, ()))
        for e in circuit.elements
        if e.name in laws
    )
    return replace(circuit, elements=elements)


def siemens(
    build: Build,
    wiring: Wiring,
    run_ohm: Mapping[str, float],
    isolators_closed: bool,
    solved: bool = False,
    parted: Collection[str] | None = None,
) -> list[float]:
    """Branch conductances in the order of ``base_circuit`` [S].

    ``solved``: those of a state with everything at work. There isolators that pass one way are
    elements, and a switch stays as it was left: closed. ``parted`` are the relays that join by
    voltage and do not in this state; without it they join while the engine runs.
    """
    most = 1 / LEAST_OHM
    values = [1 / ohm if (ohm := run_ohm[id]) > LEAST_OHM else most for id in wiring.ends]
    values += _bodies(build.grounds)
    shut, apart = 1 / planned("isolator_ohm"), planned("open_contact_siemens")
    for block in build.blocks:
        if block.kind is BlockKind.ISOLATOR:
            joined = isolators_closed
            if solved:
                joined = not one_way(block) and (joined or block.isolates is Isolates.SWITCH)
                if parted is not None and by_voltage(block):
                    joined = block.id not in parted
            values.append(shut if joined else apart)
    return values


@kept(8)
def _bodies(grounds: tuple[GroundPoint, ...]) -> tuple[float, ...]:
    """What the body conducts from each ground point to the star point [S]."""
    return tuple(1 / max(body_ohm(point), LEAST_OHM) for point in grounds)


def one_way(block: Block) -> bool:
    """Whether a block is an isolator that passes from its input to its output only."""
    isolates = block.isolates if block.kind is BlockKind.ISOLATOR else None
    return isolates is not None and isolates.one_way


def _diodes(blocks: Iterable[Block]) -> list[Block]:
    """The isolators that pass one way and change nothing on it: all such but DC-DC chargers."""
    return [block for block in blocks if one_way(block) and not is_converter(block)]


def isolator_drop_v(block: Block) -> float:
    """What is lost in an isolator before any current flows [V]."""
    if block.isolates is Isolates.DIODE:
        return planned("isolator_diode_v")
    return planned("isolator_fet_v") if block.isolates is Isolates.IDEAL_DIODE else 0.0


def isolator_limit_a(block: Block) -> float:
    """The most that an isolator lets through [A]: a DC-DC charger its rating, others all."""
    return (block.rated_a or inf) if is_converter(block) else inf


def isolator_laws(build: Build, engine_runs: bool) -> dict[str, nodal.Law]:
    """The laws of the isolators that pass one way, by element; a DC-DC charger has two.

    It works while the engine runs.
    """
    found = {
        block.id: nodal.one_way_law(isolator_drop_v(block), planned("isolator_ohm"), inf)
        for block in _diodes(build.blocks)
    }
    return found | converter_laws(converters(build)) if engine_runs else found


def isolator_knees(build: Build) -> dict[str, tuple[float, ...]]:
    """Where the laws of the isolators that pass one way bend [V]."""
    return {block.id: (isolator_drop_v(block),) for block in _diodes(build.blocks)}


def start_volts(wiring: Wiring, volts: float) -> list[float]:
    """First voltages to try: everything on the positive side at ``volts``, the rest at zero."""
    return [volts if positive else 0.0 for positive in _positive(wiring)]


@kept(8)
def _positive(wiring: Wiring) -> tuple[bool, ...]:
    """Which nodes are on the positive side."""
    return tuple(not name.endswith("_neg") and name[0] != "e" for name in wiring.nodes)


@lru_cache(maxsize=256)
def battery_law(battery: Battery) -> nodal.Law:
    """The law of a battery at the planning state of charge."""
    charge = planned("state_of_charge")
    return nodal.battery_law(
        sources.rest_voltage_v(battery.chemistry, charge),
        sources.internal_ohm(battery),
        sources.charging_ohm(battery, charge),
    )


def design_laws(build: Build, fraction: float) -> dict[str, nodal.Law]:
    """The laws of all loads, amplifiers at a fraction of rated power and all else in full."""
    return _design_laws(build.amplifiers, build.appliances, fraction)


@kept(8)
def _design_laws(
    amplifiers: tuple[Amplifier, ...], appliances: tuple[Appliance, ...], fraction: float
) -> dict[str, nodal.Law]:
    takers: tuple[loads.Taker, ...] = (*amplifiers, *appliances)
    return {t.id: _law(loads.lasting_load(t, fraction)) for t in takers}


def load_laws(build: Build, playing: Playing, engine_runs: bool) -> dict[str, nodal.Law]:
    """The laws of all loads at a level of the music, with the engine running or not."""
    return _load_laws(build.amplifiers, build.appliances, build.header, playing, engine_runs)


@kept(16)
def _load_laws(
    amplifiers: tuple[Amplifier, ...],
    appliances: tuple[Appliance, ...],
    header: Header,
    playing: Playing,
    engine_runs: bool,
) -> dict[str, nodal.Law]:
    takers: tuple[loads.Taker, ...] = (*amplifiers, *appliances)
    return {t.id: _law(loads.load_in_state(t, header, playing, engine_runs)) for t in takers}


@lru_cache(maxsize=1024)
def _law(load: loads.Load) -> nodal.Law:
    """One law serves all states, rounds and keys in which a load stays as it is."""
    return nodal.load_law(load)
