"""Does a custom part hold what it carries: stress, sag, natural frequency, random vibration.

A part whose panels lie in one plane is a plane frame (``domain.fabrication.strength.strip``), held
at its screws, loaded with the device's weight and its own, times ``shock_ratio``, from the
direction in that plane which is worst for each place. One whose panels turn sideways is worked out
by statics in space, bend by bend (``domain.fabrication.strength.space_statics``). Stress is that of
the plain section (no concentration at a bend's inside). A device sits at the middle of its
footprint.
Random vibration by Miles' equation, design value 3 sigma.
"""

from collections.abc import Sequence
from math import hypot, sqrt

from domain.build.records import Build, Part
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.stock import ROOM_C, strength_of
from domain.fabrication.shape.folding import panel_frames
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import (
    NotDeveloped,
    PartRecords,
    Tree,
    build_panel_tree,
    records_by_part,
)
from domain.fabrication.strength.load_path import trace_load_paths
from domain.fabrication.strength.payload import burdens_of, fixings_of
from domain.fabrication.strength.plane_frame import SolvedFrame, Unstable
from domain.fabrication.strength.rectangular_section import bent_pa
from domain.fabrication.strength.space_statics import StaticResult, solve_statics
from domain.fabrication.strength.strip import Strip, in_plane, lay_strip
from domain.fabrication.strength.vibration import (
    GRAVITY_M_S2,
    QUALITY,
    answer_m_s2,
    density,
    profile,
)
from domain.sheet import StrengthResult


def strength(
    build: Build,
    part: Part,
    records: PartRecords | None = None,
    holes: Sequence[PlacedHole] | None = None,
) -> StrengthResult | None:
    """The strength of a part; ``None`` where it carries nothing, or cannot be worked out.

    It cannot for an unknown material, panels that cannot be laid out, and a load that sits right
    on the screws. ``records`` and ``holes``, all of the part, save looking them up. Never raises
    for a valid build.
    """
    records = records or records_by_part(build).get(part.id) or PartRecords(part, [], [], [])
    tree = build_panel_tree(part, records.panels)
    answer = None if isinstance(tree, NotDeveloped) else answer_per_g(build, records, tree, holes)
    if isinstance(tree, NotDeveloped) or tree.sheet is None or answer is None:
        return None
    temperature_c = temperature_of(build, part)
    there = strength_of(tree.sheet, temperature_c)
    points, quality = profile(part.place), QUALITY[tree.sheet.kind]
    response_ratio = answer_m_s2(points, answer.natural_hz, quality) / GRAVITY_M_S2
    stress = answer.stress_pa * part.shock_ratio
    shaking = answer.stress_pa * 3 * response_ratio
    return StrengthResult(
        id=part.id,
        load_kg=answer.load_kg,
        own_mass_kg=answer.own_mass_kg,
        shock_ratio=part.shock_ratio,
        reach_m=answer.reach_m,
        deflection_m=answer.sag_m * part.shock_ratio,
        stress_pa=stress,
        panel=answer.panel,
        bend=answer.bend,
        temperature_c=temperature_c,
        heat_fraction=there.fraction,
        strength_pa=there.strength_pa,
        margin=there.strength_pa / stress if stress else None,
        natural_hz=answer.natural_hz,
        psd_m2_s3=density(points, answer.natural_hz),
        quality=quality,
        response_ratio=response_ratio,
        shaking_pa=shaking,
        shaking_margin=there.strength_pa / shaking,
        screwed=answer.screwed,
        spatial=answer.spatial,
    )


def temperature_of(build: Build, part: Part) -> float:
    """The warmest [C] that the part gets in its zone (``soaked_c``)."""
    return soaked_c(next((zone for zone in build.zones if zone.id == part.zone), None))


def answer_per_g(
    build: Build,
    records: PartRecords,
    tree: Tree,
    holes: Sequence[PlacedHole] | None = None,
) -> StaticResult | None:
    """What one g does to a part, with the stiffness that the heat leaves it; ``None`` as above.

    A material that has softened counts with its stiffness at room temperature.
    """
    burdens = burdens_of(build, records)
    if not burdens or tree.sheet is None:
        return None
    there = strength_of(tree.sheet, temperature_of(build, records.part))
    counted = there if there.fraction else strength_of(tree.sheet, ROOM_C)
    loaded = [burden.panel for burden in burdens]
    holes = placed_holes(build, records) if holes is None else holes
    held, screws = fixings_of(records, tree, holes, loaded)
    density_kg_m3 = tree.sheet.density_kg_m3
    if not in_plane(tree, [*held, *loaded]):
        load_path = trace_load_paths(
            tree, panel_frames(tree), burdens, held, screws, holes, density_kg_m3
        )
        return solve_statics(load_path, counted.modulus_pa, bool(screws))
    strip = lay_strip(tree, burdens, held, screws, holes, counted.modulus_pa, density_kg_m3)
    try:
        return None if strip is None else _framed(strip, tree.part.thickness_m)
    except Unstable:
        return None


def _framed(strip: Strip, thickness_m: float) -> StaticResult | None:
    natural_hz = strip.frame.first_mode_hz()
    if not natural_hz:
        return None
    square, along = (weigh(strip, direction) for direction in directions(strip))
    stress, panel, bend = peak_stress(strip, thickness_m, square, along)
    return StaticResult(
        stress_pa=stress,
        panel=panel,
        bend=bend,
        sag_m=most_moved_m(square, along),
        natural_hz=natural_hz,
        load_kg=sum(load.mass_kg for load in strip.loads),
        own_mass_kg=strip.own_mass_kg,
        reach_m=strip.overhang_m,
        screwed=strip.screwed,
        spatial=False,
    )


def directions(strip: Strip) -> list[tuple[float, float]]:
    """Two directions that any other is made of: into the panel that carries most, and along it."""
    x, y = max(strip.loads, key=lambda load: load.mass_kg).normal
    return [(-x, -y), (y, -x)]


def weigh(strip: Strip, direction: tuple[float, float]) -> SolvedFrame:
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


def most_moved_m(square: SolvedFrame, along: SolvedFrame, parts: int = 8) -> float:
    """Largest displacement [m] at ``parts`` + 1 points of each member, pulled from the worst side.

    A point moves u1 cos t + u2 sin t; its longest way is the larger singular value of (u1, u2).
    """
    most = 0.0
    for one, other in zip(square.members, along.members, strict=True):
        for i in range(parts + 1):
            at = one.length_m * i / parts
            (x1, y1), (x2, y2) = one.moved_m(at), other.moved_m(at)
            both = x1 * x1 + y1 * y1 + x2 * x2 + y2 * y2
            apart = (x1 * y2 - y1 * x2) ** 2
            most = max(most, (both + sqrt(max(both * both - 4 * apart, 0.0))) / 2)
    return sqrt(most)


def peak_stress(
    strip: Strip, thickness_m: float, square: SolvedFrame, along: SolvedFrame
) -> tuple[float, str, bool]:
    """Highest stress [Pa], axial and bending together, the panel, and whether it is its bend.

    Under a pull at an angle t to the first of two directions the stress in a face of the sheet is
    s1 cos t + s2 sin t, the frame being linear: at most hypot(s1, s2). Both faces count.
    """
    places = [
        (number, at, strip.widths_m[number], thickness_m)
        for number, (one, other) in enumerate(zip(square.members, along.members, strict=True))
        for at in {*one.stations_m(), *other.stations_m()}
    ]
    places += [(s.member, s.at_m, s.width_m, s.thickness_m) for s in strip.stations]
    found = []
    for number, at, width, thick in places:
        one, other = square.members[number], along.members[number]
        member = strip.frame.members[number]
        pulled = [bent_pa(1.0, 0.0, width, thick) * each.axial_n(at) for each in (one, other)]
        bent = [bent_pa(0.0, 1.0, width, thick) * each.moment_nm(at) for each in (one, other)]
        stress = max(
            hypot(*(p + face * b for p, b in zip(pulled, bent, strict=True))) for face in (1, -1)
        )
        node = {0.0: member.start, one.length_m: member.end}.get(at, -1)
        bend = strip.bends.get(node)
        found.append((stress, bend or strip.panels[number], bend is not None))
    return max(found)
