"""Workings of the run schedule: lengths, conductor, current, drop and temperature.

Fuses of a run are in ``fuses``.
"""

from domain.build.choices import Cover, Metal
from domain.document.records import find, label
from domain.electrical import ampacity, conductors, fuses
from domain.electrical.network.run_conductor import LEAST_OHM, NO_ZONE_C
from domain.electrical.parallel import one_open_a as parallel_one_open_a
from domain.electrical.parallel import side_by_side
from domain.reference.planning import planned
from domain.routes.lengths import assumed_length, assumed_length_m
from domain.routes.ways import ways
from domain.sheet import RunResult
from domain.workings.cited import ENTERED, LAWS, PRACTICE, cite, plan, plan_source, row_source
from domain.workings.context import Context
from domain.workings.electrical.along import along
from domain.workings.makers import Makers
from domain.workings.working import NONE, Input, Working


def length_m(c: Context, r: RunResult, _: str) -> Working:
    """Route length."""
    run = c.runs[r.id]
    title = "Length of the route"
    if run.length_m is not None:
        given = Input("L", "measured along the route", run.length_m, "m")
        return Working(title, "L as measured", (given,), (), run.length_m, "m", ENTERED)
    if (way := ways(c.build).get(run.id)) is not None:
        return along(c, way)
    name, factor = assumed_length(c.build, run)
    steps = (f"1 in = {factor:g} m",) if factor != 1 else ()
    return Working(
        title,
        "L assumed until it is measured",
        (plan("L", name),),
        steps,
        assumed_length_m(c.build, run),
        "m",
        plan_source(name),
    )


def wire_m(c: Context, r: RunResult, _: str) -> Working:
    """Wire with slack."""
    run, item = c.runs[r.id], c.items[r.id]
    route = Input("L", "length of the route", item.length_m, "m")
    if run.slack_m is not None or run.existing:
        slack = run.slack_m or 0.0
        said = "slack entered" if run.slack_m is not None else "existing wire has no slack"
        inputs: tuple[Input, ...] = (route, Input("S", said, slack, "m"))
        formula, source = "wire = L + S", ENTERED
    else:
        inputs = (route, plan("s", "slack_fraction"), plan("S", "slack_least_m"))
        slack = max(item.length_m * planned("slack_fraction"), planned("slack_least_m"))
        formula = "wire = L + max(s L, S)"
        source = plan_source("slack_fraction", "slack_least_m")
    return Working("Wire with slack", formula, inputs, (), item.length_m + slack, "m", source)


def area_mm2(c: Context, r: RunResult, _: str) -> Working:
    """Conductor area of the gauge."""
    value = conductors.area_mm2(r.gauge)
    gauge = Input("gauge", r.gauge_why, r.gauge)
    if not r.gauge.startswith("AWG "):
        inputs = (gauge, Input("A", "nominal section", value, "mm2"))
        return Working(
            "Conductor area", "A is the size's name", inputs, (), value, "mm2", "IEC60228"
        )
    n = conductors.awg_number(r.gauge[4:])
    return Working(
        "Conductor area",
        "A = pi/4 d^2, d = 0.127 mm x 92^((36 - n)/39)",
        (gauge, Input("n", "number of the size", n)),
        (f"d = {conductors.awg_diameter_m(n) * 1000:.4f} mm (ASTM B258)",),
        value,
        "mm2",
        "FORMULA",
    )


def _metal_source(metal: Metal) -> str:
    return row_source("metals", metal=metal.value)


def _per_metre_source(gauge: str, metal: Metal) -> str:
    if gauge.startswith("AWG "):
        return cite("FORMULA", _metal_source(metal))
    try:
        listed = row_source("metric_wire", area_mm2=gauge.removesuffix(" mm2"))
    except KeyError:
        return cite("IEC60228", _metal_source(metal))
    return cite(listed, "" if metal is Metal.COPPER else _metal_source(metal))


def resistance_ohm(c: Context, r: RunResult, _: str) -> Working:
    """Resistance of wire, joints and fuses, warm."""
    item, run = c.items[r.id], c.runs[r.id]
    gauge, current = r.gauge, c.sized.tone_at_a[r.id] / item.count
    rating = r.fuse_a
    warm = item.temperature_c(gauge, current)
    inputs = [
        Input("r_20", f"{gauge}, at 20 C", conductors.ohm_per_m_20c(gauge, run.metal), "ohm/m"),
        Input("alpha", "per kelvin at 20 C", conductors.metals()[run.metal].coefficient, "1/K"),
        Input("L", "wire with slack", item.wire_m, "m"),
        Input("I", "current that it was warmed with", current, "A"),
        Input("T", "conductor at that current", warm, "C"),
        Input("n", "joints", 2),
        plan("R_j", "joint_ohm"),
    ]
    formula = "R = r_20 (1 + alpha (T - 20)) L"
    source = cite(_per_metre_source(gauge, run.metal), "IEC60028", plan_source("joint_ohm"))
    if item.measured_mm2:
        inputs.append(Input("A", "gauge", conductors.area_mm2(gauge), "mm2"))
        inputs.append(Input("A_m", "strands counted", item.area_mm2(gauge), "mm2"))
        formula += " A / A_m"
    formula += " + n R_j"
    steps = []
    if rating is not None:
        inputs.append(Input("m", "fuses in it", int(run.fused) + int(run.far_fused)))
        inputs.append(Input("R_f", "fuse and holder", fuses.resistance_ohm(rating), "ohm"))
        formula += " + m R_f"
        source = cite(source, plan_source("fuse_drop_v"))
        steps.append(f"R_f = {planned('fuse_drop_v'):g} V / {rating:g} A")
    if item.count > 1:
        inputs.append(Input("N", "alike wires side by side", item.count))
        formula = f"R = ({formula[4:]}) / N"
    if abs(current - r.design_a) > 0.005 * r.design_a:
        steps.append(
            f"taken at {current:.4g} A, as in the design state; "
            f"it carries {r.design_a:.4g} A at most"
        )
    return Working(
        "Resistance of the run, at full power",
        formula,
        tuple(inputs),
        tuple(steps),
        item.resistance_ohm(gauge, c.sized.tone_at_a[r.id], rating),
        "ohm",
        source,
    )


def _in_place(c: Context, r: RunResult) -> tuple[list[Input], float, str]:
    """Table current and what it is multiplied with; their product [A]; their sources."""
    run, item = c.runs[r.id], c.items[r.id]
    table, class_c, table_c = ampacity.base_ampacity(r.gauge, run.insulation)
    inputs = [
        Input("I_t", f"table current of {r.gauge}, {class_c:g} C class", table, "A"),
        Input("f_b", f"{r.bundle} loaded conductors together", ampacity.bundle_factor(r.bundle)),
        *_covered(item.cover),
        Input("f_m", f"{run.metal.value} against copper", ampacity.metal_factor(run.metal)),
        Input("T_ins", "insulation class of the table", class_c, "C"),
        Input("T_tab", "air of the table", table_c, "C"),
        Input("T_air", "air in the run's location", item.ambient_c, "C"),
    ]
    product = table * ampacity.lying_factor(r.bundle, item.cover)
    product *= ampacity.metal_factor(run.metal)
    named = "33CFR183.425" if r.gauge.startswith("AWG ") else "ISO10133"
    if item.measured_mm2:
        share = (item.area_mm2(r.gauge) / conductors.area_mm2(r.gauge)) ** 0.5
        inputs.append(Input("f_s", "root of strands counted over gauge", share))
        product *= share
    metal = "" if run.metal is Metal.COPPER else _metal_source(run.metal)
    bundled = "ABYC-E11" if r.bundle > 1 else ""
    covered = row_source("cover_factors", cover=r.cover) if item.cover is not Cover.OPEN else ""
    return inputs, product, cite(named, bundled, covered, metal)


def _covered(cover: Cover) -> list[Input]:
    """The factor of what lies round a run, and that of a tube, which bundle factors count too."""
    if cover is Cover.OPEN:
        return []
    found = [Input("f_c", f"what lies round it: {cover.value}", ampacity.cover_factor(cover))]
    if cover is not Cover.TUBE:
        tube = "tube, which the factors of bundles count already"
        found.append(Input("f_t", tube, ampacity.cover_factor(Cover.TUBE)))
    return found


def _lying(cover: Cover) -> str:
    """How bundle and cover go together: a tube is in the factors of bundles already."""
    return {Cover.OPEN: "f_b", Cover.TUBE: "min(f_b, f_c)"}.get(cover, "f_c min(1, f_b / f_t)")


def ampacity_a(c: Context, r: RunResult, _: str) -> Working:
    """What the wire carries continuously."""
    inputs, product, source = _in_place(c, r)
    at = {i.symbol: float(i.value) for i in inputs}
    factor = ampacity.ambient_factor(at["T_ins"], at["T_air"], at["T_tab"])
    strands = " f_s" if "f_s" in at else ""
    lying = _lying(c.items[r.id].cover)
    return Working(
        "Ampacity in its place",
        f"I_z = I_t {lying} f_m{strands} sqrt((T_ins - T_air)/(T_ins - T_tab))",
        tuple(inputs),
        (f"{product:.4g} A x {factor:.4f} for the location",),
        product * factor,
        "A",
        source,
    )


def temperature_c(c: Context, r: RunResult, _: str) -> Working:
    """Conductor temperature at the design current."""
    inputs, product, source = _in_place(c, r)
    inputs.append(Input("I", "design current", r.design_a, "A"))
    return Working(
        "Conductor temperature",
        f"T = T_air + (T_ins - T_tab) (I / (I_t {_lying(c.items[r.id].cover)} f_m))^2, "
        f"at most {ampacity.MOST_C:g} C",
        tuple(inputs),
        (f"I over {product:.4g} A, squared, times the rise that the table stands for",),
        c.items[r.id].temperature_c(r.gauge, r.design_a),
        "C",
        source,
    )


def ambient_c(c: Context, r: RunResult, _: str) -> Working:
    """Air temperature round the run: in the worst section of its way, where it has one."""
    section = find(c.build, c.items[r.id].section) if c.items[r.id].section else None
    id = (section.zone if section else "") or c.runs[r.id].zone
    zone = next((z for z in c.build.zones if z.id == id), None)
    if zone:
        where = f", in {label(c.build, section.id)}, its worst section" if section else ""
        given = Input("T", f"location {zone.name or zone.id}{where}", zone.ambient_c, "C")
        return Working("Air", "T of its location", (given,), (), zone.ambient_c, "C", ENTERED)
    assumed = Input("T", "no location chosen", NO_ZONE_C, "C")
    source = cite("33CFR183.425-NOTES", PRACTICE)
    return Working("Air", "T assumed", (assumed,), (), NO_ZONE_C, "C", source)


def _current(c: Context, r: RunResult, level: str, title: str) -> Working:
    if r.id not in c.wiring.ends:
        return Working(title, "I = 0", (), ("it is not joined at both ends",), 0.0, "A", LAWS)
    solved = c.design(level)
    a, b = c.wiring.ends[r.id]
    volts = solved.volts
    ohm = c.sized.tone_ohm[r.id] if level == "tone" else c.sized.programme_ohm[r.id]
    inputs = [
        Input("V_a", f"node {a}", volts[a], "V"),
        Input("V_b", f"node {b}", volts[b], "V"),
        Input("R", "resistance of the run", ohm, "ohm"),
    ]
    formula, value = "I = |V_a - V_b| / R", abs(volts[a] - volts[b]) / max(ohm, LEAST_OHM)
    steps = [f"posts held at {planned('design_v'):g} V", solved.balance(b)]
    if not (c.wiring.feeds.get(r.id) or c.wiring.returns.get(r.id)):
        between = {
            s.id: abs(s.current_a[r.id])
            for s in c.sheet.states
            if level == "tone" or s.id.endswith("programme")
        }
        inputs += [Input(f"I {id}", "carried in that state", i, "A") for id, i in between.items()]
        formula = f"the largest of {formula[4:]} and what it carries between sources"
        value = max([value, *between.values()])
    if r.count > 1:
        inputs.append(Input("N", "alike wires that share it", r.count))
        formula, value = f"({formula.removeprefix('I = ')}) / N", value / r.count
    source = cite(LAWS, plan_source("design_v"))
    return Working(title, formula, tuple(inputs), tuple(steps), value, "A", source)


def design_a(c: Context, r: RunResult, _: str) -> Working:
    """Current at full tone."""
    return _current(c, r, "tone", "Design current of the run")


def programme_a(c: Context, r: RunResult, _: str) -> Working:
    """Current at programme level."""
    return _current(c, r, "programme", "Current of the run at the average level")


def _ohm_inputs(c: Context, r: RunResult) -> tuple[Input, Input]:
    return (
        Input("I", "design current", c.sized.design_a[r.id], "A"),
        Input("R", "resistance of the run", c.sized.tone_ohm[r.id], "ohm"),
    )


def drop_v(c: Context, r: RunResult, _: str) -> Working:
    """Drop along the run."""
    inputs = _ohm_inputs(c, r)
    value = float(inputs[0].value) * float(inputs[1].value)
    return Working("Drop along the run", "U = I R", inputs, (), value, "V", LAWS)


def heat_w(c: Context, r: RunResult, _: str) -> Working:
    """Heat in the run."""
    inputs = _ohm_inputs(c, r)
    value = float(inputs[0].value) ** 2 * float(inputs[1].value)
    return Working("Heat in the run", "P = I^2 R", inputs, (), value, "W", LAWS)


def conductor_kg(c: Context, r: RunResult, _: str) -> Working:
    """Mass of the conductor."""
    metal = c.runs[r.id].metal
    inputs: tuple[Input, ...] = (
        Input("rho", metal.value, conductors.metals()[metal].density, "kg/m3"),
        Input("A", r.gauge, conductors.area_mm2(r.gauge), "mm2"),
        Input("L", "wire with slack", c.items[r.id].wire_m, "m"),
    )
    formula = "m = rho A L / 10^6"
    if r.count > 1:
        inputs += (Input("N", "wires", r.count),)
        formula = "m = N rho A L / 10^6"
    value = c.items[r.id].conductor_kg(r.gauge)
    return Working("Conductor mass", formula, inputs, (), value, "kg", _metal_source(metal))


def count(c: Context, r: RunResult, _: str) -> Working:
    """Wires side by side."""
    given = Input("N", "alike wires of the run", r.count)
    return Working("Wires side by side", "N as entered", (given,), (), r.count, NONE, ENTERED)


def one_open_a(c: Context, r: RunResult, _: str) -> Working:
    """What a wire carries when one beside it is gone."""
    title = "Carried when a fuse beside it opens"
    group = next(
        (g for g in side_by_side(c.build, c.wiring) if r.id in {run.id for run in g}), None
    )
    if group is None:
        return Working(title, "none", (), ("it lies alone",), None, "A", LAWS)
    inputs: list[Input] = []
    for run in group:
        wires = f"{run.count} wires of {run.id}" if run.count > 1 else f"wire of {run.id}"
        inputs.append(Input(f"I {run.id}", wires, c.sized.design_a[run.id], "A"))
        inputs.append(Input(f"R {run.id}", "one wire", c.sized.tone_ohm[run.id] * run.count, "ohm"))
    value = parallel_one_open_a(group, c.sized.design_a, c.sized.tone_ohm)[r.id]
    steps = (
        "the whole current stays, and divides among the wires left as 1/R",
        "gone is the other wire that took the most",
    )
    formula = f"sum of I x (1/R {r.id}) / (sum of 1/R of the wires left)"
    return Working(title, formula, tuple(inputs), steps, value, "A", LAWS)


WORKINGS: Makers = {
    "run_result": {
        "length_m": length_m,
        "wire_m": wire_m,
        "area_mm2": area_mm2,
        "resistance_ohm": resistance_ohm,
        "ampacity_a": ampacity_a,
        "ambient_c": ambient_c,
        "temperature_c": temperature_c,
        "design_a": design_a,
        "programme_a": programme_a,
        "drop_v": drop_v,
        "heat_w": heat_w,
        "conductor_kg": conductor_kg,
        "count": count,
        "one_open_a": one_open_a,
    }
}
