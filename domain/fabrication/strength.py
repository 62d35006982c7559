"""Does a custom part hold what it carries: stress, sag, natural frequency, random vibration.

The folded strip is a plane frame (``domain.fabrication.strip``), held at its screws, loaded with
the device's weight and its own, times ``shock_ratio``, once square to the panel that carries and
once along it; the worse of both counts. Bending and axial stress of the plain section (no
concentration at a bend's inside). A device sits at the middle of its footprint.
Random vibration by Miles' equation, design value 3 sigma. Limits are common practice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from domain.build import Build, Part
from domain.fabrication.burdens import burdens_of, fixings_of
from domain.fabrication.frame import Solved, Unstable
from domain.fabrication.materials import Material
from domain.fabrication.placing import placed_holes
from domain.fabrication.stock import ROOM_C, Strength, strength_of
from domain.fabrication.strip import Strip, lay_strip
from domain.fabrication.tree import NotDeveloped, PartRecords, gather, plant
from domain.fabrication.vibration import (
    GRAVITY_M_S2,
    QUALITY,
    answer_m_s2,
    density,
    in_peak,
    profile,
    profile_test,
)
from domain.findings import Finding, Level
from domain.units import format_quantity

SAFE_MARGIN = 2.0
"""Strength over stress under the static load, at least. Common practice."""

SAFE_SHAKING_MARGIN = 1.5
"""Strength over 3 sigma stress of random vibration, at least. Common practice."""

SAG_FRACTION = 1 / 50
"""Deflection over overhang that is worth a note. Common practice."""

LOWEST_HZ = 50.0
"""A bracket on the body should not resonate below this: the body and the engine at idle do."""


@dataclass(frozen=True, slots=True)
class StrengthResult:
    """What a part's strip does under its load.

    ``deflection_m`` and ``stress_pa`` are under ``shock_ratio`` times gravity, ``panel`` where the
    stress is highest; ``strength_pa`` is the material's at ``temperature_c``, of which the heat
    has left ``heat_fraction`` (0: it has softened, then the other figures are those at room
    temperature and both margins are 0). ``response_g`` is the r.m.s. answer to the place's profile
    (``psd_m2_s3`` at the natural frequency) as a multiple of gravity, ``shaking_pa`` the 3 sigma
    stress. ``screwed`` is whether the part has screws; else it is held at its bare end.
    ``reach_m`` is the longest way along the strip from where it is held.
    """

    part: str
    load_kg: float
    own_mass_kg: float
    shock_ratio: float
    reach_m: float
    deflection_m: float
    stress_pa: float
    panel: str
    temperature_c: float
    heat_fraction: float
    strength_pa: float
    margin: float
    natural_hz: float
    psd_m2_s3: float
    quality: float
    response_g: float
    shaking_pa: float
    shaking_margin: float
    screwed: bool
    approximate: bool


def strength(build: Build, part: Part, records: PartRecords | None = None) -> StrengthResult | None:
    """The strength of a part; ``None`` where it carries nothing, or cannot be worked out.

    It cannot for an unknown material, panels that cannot be laid out, and a load that sits right
    on the screws. ``records`` saves looking the part's records up. Never raises for a valid build.
    """
    records = records or gather(build).get(part.id) or PartRecords(part, [], [], [])
    tree = plant(part, records.panels)
    if isinstance(tree, NotDeveloped) or tree.sheet is None:
        return None
    burdens = burdens_of(build, records)
    if not burdens:
        return None
    zone = next((zone for zone in build.zones if zone.id == part.zone), None)
    temperature_c = zone.ambient_c if zone else ROOM_C
    there = strength_of(tree.sheet, temperature_c)
    counted = there if there.fraction else strength_of(tree.sheet, ROOM_C)
    held, screws = fixings_of(build, records, tree, [burden.panel for burden in burdens])
    strip = lay_strip(
        tree,
        burdens,
        held,
        screws,
        placed_holes(build, records),
        counted.modulus_pa,
        tree.sheet.density_kg_m3,
    )
    if strip is None:
        return None
    try:
        return _result(part, tree.sheet, strip, there, temperature_c)
    except Unstable:
        return None


def _result(
    part: Part, sheet: Material, strip: Strip, there: Strength, temperature_c: float
) -> StrengthResult | None:
    natural_hz = strip.frame.first_mode_hz()
    if not natural_hz:
        return None
    static = [weigh(strip, direction) for direction in directions(strip)]
    per_g, panel = max(peak_stress(strip, part.thickness_m, solved) for solved in static)
    sag_per_g = max(member.most_moved_m() for solved in static for member in solved.members)
    points = profile(part.place)
    quality = QUALITY[sheet.kind]
    response_g = answer_m_s2(points, natural_hz, quality) / GRAVITY_M_S2
    stress, shaking = per_g * part.shock_ratio, per_g * 3 * response_g
    return StrengthResult(
        part=part.id,
        load_kg=sum(load.mass_kg for load in strip.loads),
        own_mass_kg=strip.own_mass_kg,
        shock_ratio=part.shock_ratio,
        reach_m=strip.overhang_m,
        deflection_m=sag_per_g * part.shock_ratio,
        stress_pa=stress,
        panel=panel,
        temperature_c=temperature_c,
        heat_fraction=there.fraction,
        strength_pa=there.strength_pa,
        margin=there.strength_pa / stress if stress else float("inf"),
        natural_hz=natural_hz,
        psd_m2_s3=density(points, natural_hz),
        quality=quality,
        response_g=response_g,
        shaking_pa=shaking,
        shaking_margin=there.strength_pa / shaking,
        screwed=strip.screwed,
        approximate=strip.approximate,
    )


def directions(strip: Strip) -> list[tuple[float, float]]:
    """Load directions to try: into the panel that carries most, and along it."""
    x, y = max(strip.loads, key=lambda load: load.mass_kg).normal
    return [(-x, -y), (y, -x)]


def weigh(strip: Strip, direction: tuple[float, float]) -> Solved:
    """The strip under one g in a direction (a unit vector), its own mass included.

    A device's centre stands off the sheet, so that a pull along the panel also turns it.
    """
    x, y = direction
    forces: dict[int, tuple[float, float, float]] = {}
    for number, node in enumerate(strip.frame.nodes):
        weight = node.mass_kg * GRAVITY_M_S2
        if weight:
            forces[number] = (weight * x, weight * y, 0.0)
    for load in strip.loads:
        arm_x, arm_y = (part * load.height_m for part in load.normal)
        moment = load.mass_kg * GRAVITY_M_S2 * (arm_x * y - arm_y * x)
        force = forces[load.node]
        forces[load.node] = (force[0], force[1], force[2] + moment)
    lines = [
        (member.mass_kg_m * GRAVITY_M_S2 * x, member.mass_kg_m * GRAVITY_M_S2 * y)
        for member in strip.frame.members
    ]
    return strip.frame.solve(forces, lines)


def peak_stress(strip: Strip, thickness_m: float, solved: Solved) -> tuple[float, str]:
    """Highest stress [Pa], axial and bending together, and the panel where it is."""
    found: list[tuple[float, str]] = []
    for number, forces in enumerate(solved.members):
        for at in forces.stations_m():
            n, m = abs(forces.axial_n(at)), abs(forces.moment_nm(at))
            width = strip.widths_m[number]
            found.append((section_stress_pa(n, m, width, thickness_m), strip.panels[number]))
    for station in strip.stations:
        forces = solved.members[station.member]
        n, m = abs(forces.axial_n(station.at_m)), abs(forces.moment_nm(station.at_m))
        stress = section_stress_pa(n, m, station.width_m, station.thickness_m)
        found.append((stress, strip.panels[station.member]))
    return max(found, key=lambda pair: pair[0])


def section_stress_pa(
    axial_n: float, moment_nm: float, width_m: float, thickness_m: float
) -> float:
    """Outer fibre stress [Pa] of a rectangular section: N/A + 6 M/(b t2)."""
    return axial_n / (width_m * thickness_m) + 6 * moment_nm / (width_m * thickness_m**2)


def strength_findings(
    build: Build, part: Part, result: StrengthResult | None = None
) -> list[Finding]:
    """What is wrong with a part's strength; ``result`` if it has been worked out already."""
    result = result or strength(build, part)
    if result is None:
        return []
    length = partial(format_quantity, "small_length", units=build.header.units)
    name = part.name or part.id
    at = ("parts", part.id, "thickness_m")
    rough = " (its strip turns sideways: rough)" if result.approximate else ""
    found = [*_stress_findings(build, part, name, result, rough, at)]
    sag = result.deflection_m / result.reach_m
    if sag > SAG_FRACTION:
        thicker = part.thickness_m * (sag / SAG_FRACTION) ** (1 / 3)
        found.append(
            Finding(
                Level.NOTE,
                "strip-sags",
                f"{name} bends away under its load",
                f"{length(result.deflection_m)} at {result.shock_ratio:g} g over a reach of "
                f"{length(result.reach_m)}, more than one fiftieth{rough}",
                f"make it {length(thicker)} thick, shorter, or wider",
                "plane frame; one fiftieth is common practice",
                *at,
            )
        )
    found += _frequency_findings(part, name, result, rough, length(part.thickness_m), at)
    return found


def _stress_findings(
    build: Build,
    part: Part,
    name: str,
    result: StrengthResult,
    rough: str,
    at: tuple[str, str, str],
) -> list[Finding]:
    length = partial(format_quantity, "small_length", units=build.header.units)
    degrees = format_quantity("temperature", result.temperature_c, build.header.units)
    if result.heat_fraction == 0:
        return [
            Finding(
                Level.STOP,
                "strip-softens",
                f"{name} softens where it is and will not hold its load",
                f"{degrees} there is above the heat deflection temperature of {part.material}",
                "take a material that stands more heat, or mount it elsewhere",
                "heat deflection temperature at 1.82 MPa, typical",
                "parts",
                part.id,
                "material",
            )
        ]
    found = []
    have = f"{result.strength_pa / 1e6:.3g} MPa"
    if result.margin < SAFE_MARGIN:
        breaks = result.margin < 1
        thicker = length(part.thickness_m * (SAFE_MARGIN / result.margin) ** 0.5)
        found.append(
            Finding(
                Level.STOP if breaks else Level.FIX,
                "strip-breaks" if breaks else "strip-weak",
                f"{name} {'gives way' if breaks else 'has little to spare'} under "
                f"{result.load_kg:.3g} kg at {result.shock_ratio:g} g",
                f"{result.stress_pa / 1e6:.3g} MPa, {part.material} stands {have} at {degrees}: "
                f"{result.margin:.2g} times, {SAFE_MARGIN:g} wanted{rough}",
                f"make it {thicker} thick, shorter, or wider at the bend",
                "plane frame; linear loss to the heat deflection temperature is common practice",
                *at,
            )
        )
    if result.shaking_margin < SAFE_SHAKING_MARGIN:
        thicker = length(part.thickness_m * SAFE_SHAKING_MARGIN / result.shaking_margin)
        found.append(
            Finding(
                Level.NOTE,
                "strip-shakes-apart",
                f"{name} would not pass the vibration test of its place",
                f"{result.natural_hz:.3g} Hz answers with {result.response_g:.3g} g r.m.s.; "
                f"3 sigma makes {result.shaking_pa / 1e6:.3g} MPa, {part.material} stands {have}: "
                f"{result.shaking_margin:.2g} times, {SAFE_SHAKING_MARGIN:g} wanted{rough}; "
                "the test puts a vehicle's life into hours",
                f"make it about {thicker} thick, shorter, or support it at a second place",
                f"Miles' equation, ISO 16750-3 {profile_test(part.place)}",
                *at,
            )
        )
    return found


def _frequency_findings(
    part: Part,
    name: str,
    result: StrengthResult,
    rough: str,
    thickness: str,
    at: tuple[str, str, str],
) -> Sequence[Finding]:
    slow = result.natural_hz < LOWEST_HZ
    if not slow and not in_peak(profile(part.place), result.natural_hz):
        return []
    why = (
        f"{result.natural_hz:.3g} Hz, at least {LOWEST_HZ:g} Hz wanted{rough}"
        if slow
        else f"{result.natural_hz:.3g} Hz, where {result.psd_m2_s3:.3g} (m/s2)2/Hz is within half "
        f"of the profile's highest{rough}"
    )
    return [
        Finding(
            Level.NOTE,
            "strip-resonates-low" if slow else "strip-resonates-in-peak",
            f"{name} resonates {'low' if slow else 'where its place shakes most'}",
            why,
            f"stiffen it: thicker than {thickness}, shorter, or a second support",
            "common practice" if slow else f"ISO 16750-3 {profile_test(part.place)}",
            *at,
        )
    ]
