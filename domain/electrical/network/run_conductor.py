"""A run as it is laid: its length, the gauges that it may have, what each resists and carries."""

from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache
from math import sqrt

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import BlockKind, Cover, Insulation, Metal
from domain.build.records import Amplifier, Appliance, Block, Build, Run
from domain.document.records import find
from domain.electrical import ampacity, conductors, fuses, loads
from domain.electrical.network.wiring import TERMINALS
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
