"""The build as a network: one conductance per run, ground path and isolator, one element per
battery, alternator, vehicle load and amplifier."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property, lru_cache
from math import inf, sqrt

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import (
    BlockKind,
    Cover,
    Insulation,
    Isolates,
    Metal,
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
    Run,
)
from domain.document.kept import kept
from domain.document.records import find
from domain.electrical import ampacity, conductors, fuses, loads, sources
from domain.electrical.network import nodal
from domain.electrical.network.converters import INPUT, converters, is_converter
from domain.electrical.network.converters import laws as converter_laws
from domain.electrical.network.voltage_relays import by_voltage
from domain.electrical.network.wiring import TERMINALS, Wiring
from domain.electrical.sections.lying import Lying, lying, worst
from domain.reference.planning import planned
from domain.routes.lengths import run_length
from domain.routes.ways import Way, ways

NO_ZONE_C = 50.0
"""Air around a run or fuse whose zone is not given: a closed car in the sun (typical) [C]."""

LEAST_OHM = 1e-7
"""No path has less resistance than this, so that a zero-ohm figure stays solvable [ohm]."""


class Routed(Struct, frozen=True):
    """The ways of the runs that have one, and how these lie in each section, by run id."""

    ways: Mapping[str, Way]
    lies: Mapping[str, tuple[Lying, ...]]


def routed(build: Build) -> Routed:
    """The ways of a build's runs."""
    going = ways(build)
    return Routed(going, lying(build, going))


class Conductor(Struct, frozen=True, dict=True):
    """A run as a conductor: what does not depend on the gauge that is chosen for it.

    Lengths, areas and ampacities are those of one of its ``count`` wires; its resistance is that
    of all of them side by side. A run with a way lies as in the worst of its sections. ``assumed``
    where nobody measured its length; ``section``: the id of that worst section.
    """

    run: Run
    length_m: float
    wire_m: float
    ambient_c: float
    allowed: tuple[str, ...]
    fixed: str | None
    measured_mm2: float | None
    bundle: int = 1
    fuse_c: float = 25.0
    cover: Cover = Cover.OPEN
    assumed: bool = False
    section: str = ""

    @property
    def count(self) -> int:
        """How many wires it is."""
        return self.run.count

    def section_mm2(self, gauge: str) -> float:
        """Nominal area of this gauge, of all its wires together [mm2]."""
        return conductors.area_mm2(gauge) * self.count

    def conductor_kg(self, gauge: str) -> float:
        """Metal in all its wires [kg]."""
        return self.count * conductors.conductor_kg(gauge, self.run.metal, self.wire_m)

    def area_mm2(self, gauge: str) -> float:
        """Conductor area of a wire [mm2]: from the strands counted in it, else by gauge.

        Never more than the gauge has: a count beyond it is a mistake, or another gauge.
        """
        nominal = conductors.area_mm2(gauge)
        return min(self.measured_mm2 or nominal, nominal)

    def resistance_ohm(self, gauge: str, current_a: float, fuse_a: float | None) -> float:
        """Wire at its temperature in service, both joints, and its fuses [ohm].

        Of all its wires side by side, which share ``current_a`` alike [A].
        """
        cold, per_a2, most = self._ohms[gauge]
        ohm = cold + per_a2 * current_a * current_a
        ohm = min(ohm, most)
        return ohm + self._held_v / fuse_a if fuse_a else ohm

    def drops_v(self, gauges: Sequence[str], current_a: float, fuse_a: float | None) -> list[float]:
        """What is lost in it at this current in each of several gauges [V]."""
        square, held = current_a * current_a, self._held_v / fuse_a if fuse_a else 0.0
        each = map(self._ohms.__getitem__, gauges)
        return [
            ((ohm if (ohm := cold + per_a2 * square) < most else most) + held) * current_a
            for cold, per_a2, most in each
        ]

    @cached_property
    def _ohms(self) -> "_Ohms":
        run = self.run
        lying = run.metal, run.insulation, self.bundle, self.cover
        return _ohms(*lying, self.ambient_c, self.wire_m, run.count, self.measured_mm2)

    @cached_property
    def _held_v(self) -> float:
        """What a run's fuses and holders drop at their rating, over its wires [V]."""
        run = self.run
        return (run.fused + run.far_fused) * fuses.resistance_ohm(1.0) / run.count

    def temperature_c(self, gauge: str, current_a: float) -> float:
        """Temperature of a wire at a lasting current of its own [C]."""
        run = self.run
        if self.measured_mm2:
            current_a /= self._carries(gauge)
        return ampacity.temperature_c(
            current_a,
            gauge,
            run.metal,
            run.insulation,
            self.ambient_c,
            self.bundle,
            self.cover,
        )

    def ampacity_a(self, gauge: str) -> float:
        """What a wire of this gauge carries here continuously [A]."""
        found = self._ampacities.get(gauge)
        if found is None:
            run = self.run
            listed = ampacity.ampacity_a(
                gauge, run.metal, run.insulation, self.ambient_c, self.bundle, self.cover
            )
            found = self._ampacities[gauge] = listed * self._carries(gauge)
        return found

    @cached_property
    def _ampacities(self) -> dict[str, float]:
        return {}

    def _carries(self, gauge: str) -> float:
        """Share of the gauge's ampacity that the measured strands leave: equal heat per metre."""
        if not self.measured_mm2:
            return 1.0
        return sqrt(self.area_mm2(gauge) / conductors.area_mm2(gauge))


class _Ohms(dict[str, tuple[float, float, float]]):
    """What wires side by side and their joints resist, by gauge, worked out when it is asked for.

    As (cold, share, most): cold + share I^2 at a current of all wires together, never above most.
    R = R20 (1 + alpha (T - 20)) of each is a line in T, and T = T_amb + rise I^2 one in I^2, up to
    ``ampacity.MOST_C``: sizing asks for thousands at a key.
    """

    def __init__(
        self,
        metal: Metal,
        insulation: Insulation,
        bundle: int,
        cover: Cover,
        ambient_c: float,
        wire_m: float,
        count: int,
        measured_mm2: float | None,
    ) -> None:
        super().__init__()
        self._lying = metal, insulation, bundle, cover
        self._wire = ambient_c, wire_m, count, measured_mm2

    def __missing__(self, gauge: str) -> tuple[float, float, float]:
        ambient_c, wire_m, count, measured_mm2 = self._wire
        metal, joints = self._lying[0], 2 * planned("joint_ohm")
        area = conductors.area_mm2(gauge)
        laid = min(measured_mm2 or area, area) / area
        at_20 = conductors.ohm_per_m_20c(gauge, metal) / laid * wire_m
        per_k = at_20 * conductors.metals()[metal].coefficient
        cold = at_20 + per_k * (ambient_c - 20) + joints
        most = max(cold, at_20 + per_k * (ampacity.MOST_C - 20) + joints)
        rise = ampacity.rise_per_a2(gauge, *self._lying) / laid
        found = self[gauge] = cold / count, per_k * rise / count**3, most / count
        return found


_ohms = lru_cache(maxsize=1024)(_Ohms)


def conductor(
    build: Build,
    run: Run,
    zones: Mapping[str, float],
    beside: Mapping[str, int] | None = None,
    laid: Mapping[str, Cover] | None = None,
    routed: Routed | None = None,
) -> Conductor:
    """A run with its lengths, its place and the gauges it may have.

    ``beside``: run id -> loaded conductors in its loom, as
    ``domain.electrical.bundling.conductors_in``; ``laid``: run id -> what lies round it, as
    ``domain.electrical.covers.covers``. ``routed``: the ways of the runs that have one, which say
    how such a run lies.
    """
    length = run_length(build, run, routed.ways.get(run.id) if routed else None)
    if run.slack_m is not None:
        slack = run.slack_m
    elif run.existing:
        slack = 0.0
    else:
        slack = max(length.length_m * planned("slack_fraction"), planned("slack_least_m"))
    sizes = conductors.stock(build.header.wire_sizes)
    allowed = _fitting(sizes, tuple(terminal_limits(build, run).values()))
    zone, bundle, cover = run.zone, (beside or {}).get(run.id, run.count), Cover.OPEN
    lies = routed.lies.get(run.id, ()) if routed else ()
    section, hottest = "", run.zone
    if lies:
        if run.id in (laid or {}):
            lies = tuple(replace(each, cover=(laid or {})[run.id]) for each in lies)
        least = worst(run, lies, zones, NO_ZONE_C, build.header.wire_sizes)
        section, zone, bundle, cover = least.section, least.zone, least.bundle, least.cover
        hottest = max((each.zone for each in lies), key=lambda z: zones.get(z, NO_ZONE_C))
    return Conductor(
        run=run,
        length_m=length.length_m,
        wire_m=length.length_m + slack,
        ambient_c=zones.get(zone, NO_ZONE_C),
        allowed=allowed or sizes[:1],
        fixed=run.gauge,
        measured_mm2=conductors.strands_mm2(run.strands, run.strand_m)
        if run.strands and run.strand_m
        else None,
        bundle=run.bundle or bundle,
        fuse_c=fuse_ambient_c(build, run, zones, hottest),
        cover=(laid or {}).get(run.id, cover),
        assumed=length.assumed,
        section=section,
    )


@lru_cache(maxsize=256)
def _fitting(sizes: tuple[str, ...], limits: tuple[str, ...]) -> tuple[str, ...]:
    """The sizes that fit terminals which take no more than these."""
    return tuple(g for g in sizes if all(conductors.fits(g, limit) for limit in limits))


FUSE_AT_DEVICE_M = 0.4572
"""A fuse that sits no further along its run than this is in its device's zone [m]: 18 in."""


def fuse_ambient_c(
    build: Build, run: Run, zones: Mapping[str, float], passes: str | None = None
) -> float:
    """Air around the warmer of a run's fuses [C].

    The zone of the device at its end where it sits there, else the run's own, its hottest:
    ``passes``, if its way says so.
    """
    own = run.zone if passes is None else passes
    warmest = []
    for has, end, distance in (
        (run.fused, run.source, run.fuse_distance_m),
        (run.far_fused, run.target, run.far_fuse_distance_m),
    ):
        if has:
            device = find(build, end)
            zone = getattr(device, "zone", "")
            here = zone if zone and (distance or 0.0) <= FUSE_AT_DEVICE_M else own
            warmest.append(zones.get(here, NO_ZONE_C))
    return max(warmest, default=25.0)


def terminal_limits(build: Build, run: Run) -> dict[str, str]:
    """Device id -> largest wire that its terminal takes, for the run's two ends.

    A block whose sizes are left to the engine is chosen for its wires and limits none; nor does
    another load than an amplifier of which nobody said what it takes: it has studs, or leads.
    """
    limits: dict[str, str] = {}
    for id, at_source in ((run.source, True), (run.target, False)):
        device = find(build, id)
        if isinstance(device, Amplifier):
            limits[id] = loads.largest_wire(device)
        elif isinstance(device, Appliance):
            if device.largest_wire is not None:
                limits[id] = device.largest_wire
        elif isinstance(device, Block):
            limit = device.largest_in if main_side(device, at_source) else device.largest_out
            if limit is not None:
                limits[id] = limit
    return limits


def ends_on_terminal(run: Run) -> bool:
    """Whether a run ends on a battery's post, an alternator's stud or a load's terminal."""
    return run.source[:1] in TERMINALS or run.target[:1] in TERMINALS


def main_side(block: Block, at_source: bool) -> bool:
    """Whether a run that has a block at its source (else at its target) is on its main side.

    That is where a distribution block or isolator is fed, and where a ground block's wires leave.
    """
    return at_source if block.kind is BlockKind.GROUND else not at_source


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
    return [0.0 if name.endswith("_neg") or name[0] == "e" else volts for name in wiring.nodes]


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
