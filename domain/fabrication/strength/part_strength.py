"""Does a custom part hold what it carries: stress, sag, natural frequency, random vibration.

The part is plates joined at sharp bends, held at its screws (``folded_plates``, ``plate_energy``),
loaded with its devices' weights and its own, times ``shock_ratio``, from the direction in space
that is worst for each answer (``plate_solution``). Stress is that of the plain section (no
concentration at a hole's edge or a bend's inside). Random vibration by Miles' equation, design
value 3 sigma. numpy is loaded when the first part is worked out.
"""

from collections.abc import Sequence

from domain.build.choices import Seat
from domain.build.records import Build, Part
from domain.fabrication.materials.heat import soaked_c
from domain.fabrication.materials.stock import ROOM_C, lasting, strength_of
from domain.fabrication.shape.folding import panel_frames
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import (
    NotDeveloped,
    PartRecords,
    Tree,
    build_panel_tree,
    records_by_part,
)
from domain.fabrication.strength.fixings import head_radius_m, screw_loads
from domain.fabrication.strength.folded_plates import Folded, fold_plates
from domain.fabrication.strength.payload import burdens_of, fixings_of
from domain.fabrication.strength.plate_answer import Solution, solve
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

    It cannot for an unknown material, panels that cannot be laid out or are too many, and a part
    that no screw holds. ``records`` and ``holes``, all of the part, save looking them up. Never
    raises for a valid build.
    """
    records = records or records_by_part(build).get(part.id) or PartRecords(part, [], [], [])
    tree = build_panel_tree(part, records.panels)
    if isinstance(tree, NotDeveloped) or tree.sheet is None:
        return None
    holes = placed_holes(build, records) if holes is None else holes
    folded = folded_part(build, records, tree, holes)
    answer = None if folded is None else answer_per_g(build, records, tree, folded)
    if folded is None or answer is None:
        return None
    temperature_c = temperature_of(build, part)
    there = strength_of(tree.sheet, temperature_c)
    points, quality = profile(part.place), QUALITY[tree.sheet.kind]
    response_ratio = answer_m_s2(points, answer.natural_hz, quality) / GRAVITY_M_S2
    stress = answer.stress_pa * part.shock_ratio
    creep_fraction, lasting_fraction = lasting(tree.sheet)
    held = {clamp.hole for clamp in folded.clamps}
    screws = [hole for hole in holes if hole.id in held]
    shaking = answer.stress_pa * 3 * response_ratio
    return StrengthResult(
        id=part.id,
        load_kg=sum(device.mass_kg for device in folded.devices),
        own_mass_kg=folded.own_kg,
        shock_ratio=part.shock_ratio,
        reach_m=answer.reach_m,
        deflection_m=answer.sag_m * part.shock_ratio,
        stress_pa=stress,
        panel=answer.panel,
        bend=answer.bend,
        section=answer.section,
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
        clamped=answer.clamped,
        lasting_sag_m=answer.sag_m / creep_fraction,
        lasting_margin=there.strength_pa * lasting_fraction / answer.stress_pa,
        screws=screw_loads(
            tree,
            screws,
            {clamp.hole: clamp.radius_m for clamp in folded.clamps},
            answer.screws,
            there if there.fraction else strength_of(tree.sheet, ROOM_C),
            part.shock_ratio,
            records.fixings,
        ),
    )


def temperature_of(build: Build, part: Part) -> float:
    """The warmest [C] that the part gets in its zone (``soaked_c``)."""
    return soaked_c(next((zone for zone in build.zones if zone.id == part.zone), None))


def folded_part(
    build: Build,
    records: PartRecords,
    tree: Tree,
    holes: Sequence[PlacedHole] | None = None,
) -> Folded | None:
    """A part as plates with what it carries and what holds it; ``None`` as in ``strength``."""
    burdens = burdens_of(build, records)
    if not burdens or tree.sheet is None:
        return None
    holes = placed_holes(build, records) if holes is None else holes
    screws = fixings_of(records, tree, holes, [burden.panel for burden in burdens])[1]
    if not screws:
        return None
    radius_m = {screw.id: head_radius_m(screw) for screw in screws}
    density_kg_m3 = tree.sheet.density_kg_m3
    return fold_plates(tree, panel_frames(tree), burdens, screws, holes, radius_m, density_kg_m3)


def answer_per_g(build: Build, records: PartRecords, tree: Tree, folded: Folded) -> Solution | None:
    """What one g does to a part, with the stiffness that the heat leaves it; ``None`` as above.

    A material that has softened counts with its stiffness at room temperature.
    """
    if tree.sheet is None:
        return None
    there = strength_of(tree.sheet, temperature_of(build, records.part))
    counted = there if there.fraction else strength_of(tree.sheet, ROOM_C)
    flush = records.part.seat is Seat.FLUSH
    return solve(folded, counted.modulus_pa, counted.poisson, flush)
