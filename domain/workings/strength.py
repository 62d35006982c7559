"""Workings of the strength of custom parts: load, stress, sag, heat, shaking."""

from math import hypot

from domain.build.records import Part
from domain.document.records import find
from domain.fabrication.checks.strength import weakest_place
from domain.fabrication.materials.heat import soaks
from domain.fabrication.materials.sheet_materials import Material, material
from domain.fabrication.materials.stock import ROOM_C, heat_fraction, lasting, strength_of
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import (
    NotDeveloped,
    PartRecords,
    Tree,
    build_panel_tree,
    records_by_part,
)
from domain.fabrication.strength.behind import Behind, behind
from domain.fabrication.strength.fixings import (
    FRICTION,
    NUT_FACTOR,
    RELAXED_FRACTION,
    free_edge_m,
    grip_n,
    head_radius_m,
    holds_of,
    torque_nm,
)
from domain.fabrication.strength.folded_plates import Folded
from domain.fabrication.strength.part_strength import (
    answer_per_g,
    folded_part,
    temperature_of,
)
from domain.fabrication.strength.payload import burdens_of
from domain.fabrication.strength.plate_answer import Solution, furthest_m
from domain.fabrication.strength.threads import limits_of
from domain.fabrication.strength.vibration import (
    GRAVITY_M_S2,
    answer_m_s2,
    density,
    profile,
    profile_test,
    rms_m_s2,
)
from domain.reference.planning import planned
from domain.sheet import ScrewLoad, StrengthResult
from domain.workings.cited import ENTERED, GEOMETRY, PRACTICE, cite, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working

PLATES = "PLATES"
"""Key of the text books on plates and on Ritz's method."""

JOINTS = "JOINTS"
"""Key of the machine design text on bolted joints."""

MILES = "MILES"


def _records(c: Context, id: str) -> tuple[PartRecords, Tree, Material]:
    part = find(c.build, id)
    assert isinstance(part, Part)
    records = records_by_part(c.build)[id]
    tree, sheet = build_panel_tree(part, records.panels), material(part.material)
    assert not isinstance(tree, NotDeveloped)
    assert sheet is not None
    return records, tree, sheet


def _folded(c: Context, id: str) -> Folded:
    records, tree, _sheet = _records(c, id)
    found = folded_part(c.build, records, tree)
    assert found is not None
    return found


def _answer(c: Context, id: str) -> Solution:
    records, tree, _sheet = _records(c, id)
    found = answer_per_g(c.build, records, tree, _folded(c, id))
    assert found is not None
    return found


METHOD = "thin plates joined at sharp bends, held at their screws: Rayleigh and Ritz's method"
"""How it was worked out, in words."""


def load_kg(c: Context, r: StrengthResult, _: str) -> Working:
    """What the part carries."""
    records, _tree, _sheet = _records(c, r.id)
    inputs = tuple(
        Input(f"m{number}", f"on flange {burden.panel}", burden.mass_kg, "kg")
        for number, burden in enumerate(burdens_of(c.build, records), 1)
    )
    total = sum(float(i.value) for i in inputs)
    return Working("Load", "sum of m", inputs, (), total, "kg", ENTERED)


def own_mass_kg(c: Context, r: StrengthResult, _: str) -> Working:
    """Sheet between the bends."""
    records, tree, sheet = _records(c, r.id)
    inputs = [
        Input("t", "thickness", records.part.thickness_m, "m"),
        Input("rho", sheet.name, sheet.density_kg_m3, "kg/m3"),
    ]
    area = 0.0
    for id, node in tree.nodes.items():
        x0, y0, x1, y1 = node.core
        area += (x1 - x0) * (y1 - y0)
        inputs.append(Input(f"A {id}", "flat times width", (x1 - x0) * (y1 - y0), "m2"))
    value = area * records.part.thickness_m * sheet.density_kg_m3
    source = cite(GEOMETRY, row_source("materials", material=sheet.name))
    formula = "m = t rho times the sum of A"
    return Working("Own mass, without its bends", formula, tuple(inputs), (), value, "kg", source)


def reach_m(c: Context, r: StrengthResult, _: str) -> Working:
    """From the point that is furthest from any screw to its nearest one."""
    part = _folded(c, r.id)
    inputs = tuple(Input(each.id, "a screw that holds it", each.id) for each in r.screws)
    formula = "greatest distance of a point of the sheet from its nearest screw"
    return Working("Reach", formula, inputs, (), furthest_m(part), "m", GEOMETRY)


def deflection_m(c: Context, r: StrengthResult, _: str) -> Working:
    """How far it sags."""
    found = _answer(c, r.id)
    inputs = (
        Input("n", "shock load, g", r.shock_ratio),
        Input("s", "sag under one g from the worst side", found.sag_m, "m"),
    )
    value = r.shock_ratio * found.sag_m
    return Working("Sag", "n s", inputs, (METHOD,), value, "m", PLATES)


def stress_pa(c: Context, r: StrengthResult, _: str) -> Working:
    """The highest stress."""
    found = _answer(c, r.id)
    inputs = (
        Input("n", "shock load, g", r.shock_ratio),
        Input("S", "stress under one g from the worst side", found.stress_pa, "Pa"),
    )
    place = f"highest {weakest_place(c.build, r)}"
    how = METHOD
    if r.section:
        how = "net section by statics: 6 M/(b t2) + N/(b t) + 6 M'/(t b2), b what holes leave"
    steps = (how, place if place.isprintable() else "highest there")
    value = r.shock_ratio * found.stress_pa
    return Working("Highest stress", "n S", inputs, steps, value, "Pa", PLATES)


def temperature_c(c: Context, r: StrengthResult, _: str) -> Working:
    """Temperature of its zone, after a hot soak where that is an engine bay."""
    part = _records(c, r.id)[0].part
    zone = next((zone for zone in c.build.zones if zone.id == part.zone), None)
    inputs = [Input("zone", "where it is mounted", part.zone or "none")]
    formula, source = "that of its location", ENTERED
    if zone is not None:
        inputs.append(Input("T_z", "temperature entered for the location", zone.ambient_c, "C"))
    if zone is None or soaks(zone):
        name = "part_no_zone_c" if zone is None else "part_engine_bay_c"
        meaning = "closed vehicle in the sun" if zone is None else "engine bay after a hot soak"
        inputs.append(Input("T_s", meaning, planned(name), "C"))
        formula = "T_s without a location" if zone is None else "the greater of T_z and T_s"
        source = cite(ENTERED, row_source("planning_values", name=name))
    value = temperature_of(c.build, part)
    return Working("Temperature", formula, tuple(inputs), (), value, "C", source)


def heat_left(c: Context, r: StrengthResult, _: str) -> Working:
    """What the heat leaves of strength and stiffness."""
    sheet = _records(c, r.id)[2]
    modulus = strength_of(sheet, ROOM_C).modulus_pa
    inputs = (
        Input("T", "temperature there", r.temperature_c, "C"),
        Input("T_h", "heat deflection at 1.82 MPa", sheet.hdt_c or "no concern", "C"),
        Input("E", f"modulus at {ROOM_C:g} C", modulus, "Pa"),
    )
    steps = (
        "f_h = 1.82e6/(1.82e6/E + 0.002)/E is left at T_h (ISO 75)",
        f"1 up to {ROOM_C:g} C, 0 above T_h; 1 throughout for metal and wood",
    )
    value = heat_fraction(modulus, sheet.hdt_c, r.temperature_c)
    source = cite(PRACTICE, row_source("materials", material=sheet.name))
    formula = f"f = 1 - (1 - f_h) (T - {ROOM_C:g})/(T_h - {ROOM_C:g})"
    return Working("What the heat leaves", formula, inputs, steps, value, "-", source)


def strength_pa(c: Context, r: StrengthResult, _: str) -> Working:
    """Strength of the material there."""
    sheet = _records(c, r.id)[2]
    cold = strength_of(sheet, ROOM_C)
    inputs = (
        Input("S_0", f"{cold.kind} at {ROOM_C:g} C", cold.strength_pa, "Pa"),
        Input("f", "what the heat leaves", r.heat_fraction),
    )
    source = row_source("material_strength", material=sheet.name)
    value = cold.strength_pa * r.heat_fraction
    return Working("Strength", "f S_0", inputs, (), value, "Pa", source)


def _ratio(title: str, r: StrengthResult, stress_pa: float, meaning: str) -> Working:
    inputs = (
        Input("S", "strength there", r.strength_pa, "Pa"),
        Input("s", meaning, stress_pa, "Pa"),
    )
    value = r.strength_pa / stress_pa if stress_pa else None
    return Working(title, "S/s, none without a load", inputs, (), value, "-", GEOMETRY)


def margin(c: Context, r: StrengthResult, _: str) -> Working:
    """Static margin."""
    return _ratio("Static margin", r, r.stress_pa, "highest stress")


def shaking_margin(c: Context, r: StrengthResult, _: str) -> Working:
    """Margin under random vibration."""
    return _ratio("Shaking margin", r, r.shaking_pa, "3 sigma stress")


def lasting_sag_m(c: Context, r: StrengthResult, _: str) -> Working:
    """Sag under the mere weight after a thousand hours."""
    sheet = _records(c, r.id)[2]
    found = _answer(c, r.id)
    inputs = (
        Input("s", "sag under one g from the worst side", found.sag_m, "m"),
        Input("c", "creep modulus over short-term modulus", lasting(sheet)[0]),
    )
    return Working(
        "Sag in time", "s/c", inputs, (METHOD,), found.sag_m / lasting(sheet)[0], "m", _creep(sheet)
    )


def lasting_margin(c: Context, r: StrengthResult, _: str) -> Working:
    """Strength that lasts over the stress of the mere weight."""
    sheet = _records(c, r.id)[2]
    found = _answer(c, r.id)
    inputs = (
        Input("S", "strength there", r.strength_pa, "Pa"),
        Input("l", "share of it that lasts for years", lasting(sheet)[1]),
        Input("s", "stress under one g from the worst side", found.stress_pa, "Pa"),
    )
    value = r.strength_pa * lasting(sheet)[1] / found.stress_pa
    return Working("Lasting margin", "l S/s", inputs, (), value, "-", _creep(sheet))


def _creep(sheet: Material) -> str:
    if lasting(sheet) == (1.0, 1.0):
        return PRACTICE
    return row_source("creep", material=sheet.name)


def natural_hz(c: Context, r: StrengthResult, _: str) -> Working:
    """The first natural frequency."""
    found = _answer(c, r.id)
    inputs = (
        Input("m", "load", r.load_kg, "kg"),
        Input("m_0", "own mass", r.own_mass_kg, "kg"),
    )
    formula = "least Rayleigh quotient of the plates, with the devices' height and inertia"
    steps = (METHOD, "subspace iteration from the shapes of three pulls")
    return Working("First mode", formula, inputs, steps, found.natural_hz, "Hz", PLATES)


def psd_m2_s3(c: Context, r: StrengthResult, _: str) -> Working:
    """Density of the place's profile at the first mode."""
    part = _records(c, r.id)[0].part
    inputs = (
        Input("f", "first mode", r.natural_hz, "Hz"),
        Input("profile", "of what it is mounted on", f"ISO 16750-3 {profile_test(part.place)}"),
    )
    value = density(profile(part.place), r.natural_hz)
    formula = "straight line on log-log between the profile's points"
    return Working("Density", formula, inputs, (), value, "m2/s3", "ISO16750-3")


def quality(c: Context, r: StrengthResult, _: str) -> Working:
    """Amplification at resonance."""
    sheet = _records(c, r.id)[2]
    kind = Input("kind", "of material", sheet.kind)
    formula = "Q = 1/(2 zeta), by kind of material"
    return Working("Amplification", formula, (kind,), (), r.quality, "-", PRACTICE)


def response_ratio(c: Context, r: StrengthResult, _: str) -> Working:
    """What the part answers the shaking with."""
    points = profile(_records(c, r.id)[0].part.place)
    inputs = (
        Input("f", "first mode", r.natural_hz, "Hz"),
        Input("Q", "amplification", r.quality),
        Input("A", "density there", r.psd_m2_s3, "m2/s3"),
        Input("a", "r.m.s. of the whole profile", rms_m_s2(points), "m/s2"),
        Input("g", "gravity", GRAVITY_M_S2, "m/s2"),
    )
    steps = (f"a/g above {points[-1][0]:g} Hz: there it moves with its mount",)
    value = answer_m_s2(points, r.natural_hz, r.quality) / GRAVITY_M_S2
    formula = "sqrt(pi/2 f Q A)/g"
    source = cite(MILES, "ISO16750-3")
    return Working("Answer to shaking, r.m.s.", formula, inputs, steps, value, "g", source)


def shaking_pa(c: Context, r: StrengthResult, _: str) -> Working:
    """The 3 sigma stress."""
    found = _answer(c, r.id)
    inputs = (
        Input("S", "stress under one g from the worst side", found.stress_pa, "Pa"),
        Input("a", "answer, r.m.s.", r.response_ratio, "g"),
    )
    value = 3 * r.response_ratio * found.stress_pa
    return Working("3 sigma stress", "3 a S", inputs, (), value, "Pa", cite(MILES, PRACTICE))


def pull_n(c: Context, r: ScrewLoad, _: str) -> Working:
    """What pulls a screw off the sheet."""
    return _screw(c, r, "Pull on the screw", "P + 2 C/r, C the couple on its washer", 0)


def shear_n(c: Context, r: ScrewLoad, _: str) -> Working:
    """What pulls a screw along the sheet."""
    return _screw(c, r, "Shear on the screw", "root of both ways along the sheet", 1)


def screw_margin(c: Context, r: ScrewLoad, _: str) -> Working:
    """What a screw stands over what it takes."""
    part_id = _carrier(c, r).id
    records, tree, sheet = _records(c, part_id)
    hole = next(each for each in placed_holes(c.build, records) if each.id == r.id)
    cold = strength_of(sheet, temperature_of(c.build, records.part))
    there = cold if cold.fraction else strength_of(sheet, ROOM_C)
    radius, edge = head_radius_m(hole), free_edge_m(tree, hole)
    holds = holds_of(hole, radius, records.part.thickness_m, edge, there)
    if holds is None:
        steps = ("no table has this thread",)
        return Working("Margin of the screw", "none", (), steps, None, "-", PRACTICE)
    inputs: tuple[Input, ...] = (
        Input("T", "pull on the screw", r.pull_n, "N"),
        Input("V", "pull along the sheet", r.shear_n, "N"),
        Input("T_p", "proof load of the softest grade", holds.tension_n, "N"),
        Input("T_h", "sheet punched out, or its thread stripped", holds.through_n, "N"),
        Input("V_b", "bearing d t S", holds.bearing_n, "N"),
        Input("V_e", "tear-out 2 e t S/2", holds.tear_n if edge < 1e6 else "no free edge", "N"),
    )
    used = [
        hypot(r.pull_n / holds.tension_n, r.shear_n / holds.shear_n),
        *(r.pull_n / holds.through_n, r.shear_n / holds.bearing_n, r.shear_n / holds.tear_n),
    ]
    formula = "1/the greatest of sqrt((T/T_p)2 + 3 (V/T_p)2), T/T_h, V/V_b, V/V_e"
    back = _back(records, hole)
    if back is not None:
        inputs += (
            Input("T_r", f"pull that {back.what} stands", back.pull_n, "N"),
            Input("V_r", f"shear that {back.what} stands", back.shear_n, "N"),
        )
        used.append(r.pull_n / back.pull_n + r.shear_n / back.shear_n)
        formula += ", T/T_r + V/V_r"
    value = 1 / max(used) if max(used) else None
    return Working("Margin of the screw", formula, inputs, (), value, "-", cite(JOINTS, PRACTICE))


def screw_torque_nm(c: Context, r: ScrewLoad, _: str) -> Working:
    """How tight a screw is drawn."""
    records, _tree, sheet = _records(c, _carrier(c, r).id)
    hole = next(each for each in placed_holes(c.build, records) if each.id == r.id)
    there = strength_of(sheet, temperature_of(c.build, records.part))
    there = there if there.fraction else strength_of(sheet, ROOM_C)
    back = _back(records, hole)
    limits = limits_of(hole.thread)
    inputs = (
        Input("K", "torque coefficient, dry", NUT_FACTOR),
        Input("d", "diameter of the screw", limits.major_m if limits else "no table has it", "m"),
        Input(
            "most",
            "that what it goes into takes",
            (back.torque_nm if back else None) or "does not limit it",
            "N m",
        ),
    )
    thick, radius = records.part.thickness_m, head_radius_m(hole)
    value = torque_nm(hole, radius, thick, sheet, there, back) if back else None
    steps = (
        "F is three quarters of the proof load, no more than the sheet takes under the washer or "
        "in its thread",
    )
    return Working("Torque", "K d F, at most what is behind takes", inputs, steps, value, "N m",
                   cite(JOINTS, PRACTICE))  # fmt: skip


def screw_grip_n(c: Context, r: ScrewLoad, _: str) -> Working:
    """What the friction of a screw's preload holds along the sheet."""
    records, _tree, sheet = _records(c, _carrier(c, r).id)
    hole = next(each for each in placed_holes(c.build, records) if each.id == r.id)
    left = 1.0 if sheet.kind == "metal" else RELAXED_FRACTION
    inputs = (
        Input("mu", "friction", FRICTION),
        Input("s", "what is left of the preload", left),
        Input("T", "torque", r.torque_nm or "by hand", "N m"),
        Input("K", "torque coefficient, dry", NUT_FACTOR),
    )
    value = grip_n(hole.thread, r.torque_nm, sheet)
    return Working("Grip", "mu s T/(K d)", inputs, (), value, "N", cite(JOINTS, PRACTICE))


def _back(records: PartRecords, hole: PlacedHole) -> Behind | None:
    """What a screw goes into, if anybody said."""
    fixing = next((each for each in records.fixings if each.id == hole.fixing), None)
    return behind(fixing, hole.thread) if fixing else None


def _carrier(c: Context, r: ScrewLoad) -> StrengthResult:
    """The part that a screw holds."""
    return next(
        each.strength
        for each in c.sheet.parts
        if each.strength and any(screw.id == r.id for screw in each.strength.screws)
    )


def _screw(c: Context, r: ScrewLoad, title: str, formula: str, which: int) -> Working:
    carrier = _carrier(c, r)
    found = next(each for each in _answer(c, carrier.id).screws if each.hole == r.id)
    per_g = (found.pull_n, found.shear_n)[which]
    inputs = (
        Input("n", "shock load, g", carrier.shock_ratio),
        Input("F", "force of the screw's spring under one g, worst side", per_g, "N"),
    )
    value = carrier.shock_ratio * per_g
    return Working(title, f"n F, F = {formula}", inputs, (METHOD,), value, "N", PLATES)


WORKINGS: Makers = {
    "screw_load": {
        "pull_n": pull_n,
        "shear_n": shear_n,
        "margin": screw_margin,
        "torque_nm": screw_torque_nm,
        "grip_n": screw_grip_n,
    },
    "strength_result": {
        "load_kg": load_kg,
        "own_mass_kg": own_mass_kg,
        "reach_m": reach_m,
        "deflection_m": deflection_m,
        "stress_pa": stress_pa,
        "temperature_c": temperature_c,
        "heat_fraction": heat_left,
        "strength_pa": strength_pa,
        "margin": margin,
        "lasting_sag_m": lasting_sag_m,
        "lasting_margin": lasting_margin,
        "natural_hz": natural_hz,
        "psd_m2_s3": psd_m2_s3,
        "quality": quality,
        "response_ratio": response_ratio,
        "shaking_pa": shaking_pa,
        "shaking_margin": shaking_margin,
    },
}
