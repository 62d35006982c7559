"""Workings of the protection study: faults, opening times and what the wire stands."""

from math import inf

from domain.build.choices import FuseFamily
from domain.electrical import fuse_study, fuses
from domain.electrical.protection import coordination, opening, short_circuit
from domain.electrical.protection.any_short import MOST_RATIO, Fuse, worst_short
from domain.electrical.protection.withstand import (
    ADIABATIC_S,
    Wire,
    adiabatic_k,
    adiabatic_s,
    lasting_a,
    limit_c,
    withstand_s,
)
from domain.sheet import FuseStudy
from domain.workings.cited import ENTERED, LAWS, PRACTICE, cite, plan_source, row_source
from domain.workings.context import Context
from domain.workings.electrical.fuses import rating
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def rating_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Rating of the fuse."""
    return rating(c, r.id)


def breaking_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Breaking capacity."""
    family = FuseFamily(r.family)
    entered = c.runs[r.id].breaks_a
    if entered is not None:
        return Working(
            "Breaking capacity",
            "as entered",
            (Input("entered", "breaking capacity on its label", entered, "A"),),
            (),
            entered,
            "A",
            ENTERED,
        )
    return Working(
        "Breaking capacity",
        "I_b of the family",
        (Input("family", "fuse type", family.value),),
        (),
        fuses.breaking_a(family),
        "A",
        row_source("fuse_ratings", family=family.value),
    )


_FAULT = "V, R of the batteries, wires and body up to there; no loads, no alternator"


def _fault_source(c: Context) -> str:
    names = ["state_of_charge", "joint_ohm", "fuse_drop_v"]
    rest = [row_source("battery_rest_voltage", chemistry=b.chemistry) for b in c.build.batteries]
    return cite(LAWS, plan_source(*names), *rest)


def fault_near_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Dead short right behind the fuse."""
    ends = c.wiring.ends[r.id]
    near, far = ends if c.runs[r.id].fused else ends[::-1]
    rating_a = c.sized.fuse_a[r.id]
    seen, other = c.strong_sources[near], c.strong_sources[far]
    index = {name: i for i, name in enumerate(c.wired.circuit.nodes)}
    wire_ohm = c.sized.tone_ohm[r.id] * c.items[r.id].count
    through = fuse_study.behind_fuse_a(c.strong_sources, index, ends, near, wire_ohm, rating_a)
    given = sum(alternator.rated_a for alternator in c.build.alternators)
    return Working(
        "Dead short behind the fuse",
        "I = q I_f + I_g; I_f = U_1 / R_f; U_1 = V_1 - Z_1 i_1 - Z_12 i_2, "
        "U_2 = V_2 - Z_12 i_1 - Z_2 i_2; i_1 = I_f - d, i_2 = U_2 / (R_r - R_f) + d, "
        "d = (U_1 - U_2) / R_r",
        (
            Input(
                "q",
                "full batteries over the planning charge",
                short_circuit.full_charge_ratio(c.build),
            ),
            Input("V_1", f"open voltage at {near}", seen.volts, "V"),
            Input("V_2", f"open voltage at {far}", other.volts, "V"),
            Input("Z_1", f"voltage at {near} for one ampere into it", seen.ohm, "V/A"),
            Input("Z_12", f"voltage at {far} for it", seen.lift[index[far]], "V/A"),
            Input("Z_2", f"voltage at {far} for one ampere into it", other.ohm, "V/A"),
            Input("R_r", "one wire of the run with its fuse", wire_ohm, "ohm"),
            Input("R_f", "fuse and holder", fuses.resistance_ohm(rating_a), "ohm"),
            Input("I_f", "through the fuse, the rest of the wire fed from behind", through, "A"),
            Input("I_g", "what the alternators add", given, "A"),
        ),
        ("the greatest that it may have to break: batteries at their least resistance, no loads",),
        short_circuit.greatest_a(c.build, through),
        "A",
        _fault_source(c),
    )


def fault_far_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Dead short at the far end of what the fuse guards."""
    index = {name: i for i, name in enumerate(c.wired.circuit.nodes)}
    a, b = (index[node] for node in c.wiring.ends[r.id])
    _near, nodes = fuse_study.far_nodes(c.wiring, c.runs[r.id].fused, r.id, r.guarded)
    ohm = c.sized.tone_ohm[r.id] * c.items[r.id].count
    each = {
        (far, way): source[far].through_a(a, b, 1 / ohm)
        for far in nodes
        for way, source in c.fault_sources.items()
    }
    fed = {key: amperes for key, amperes in each.items() if amperes > fuse_study.LEAST_FAULT_A}
    if not fed:
        steps = ("no battery feeds a short through this fuse",)
        return Working("Dead short at the far end", "none", (), steps, 0.0, "A", _fault_source(c))
    far, way = min(fed, key=lambda key: fed[key])
    seen = c.fault_sources[way][far]
    fault = seen.fault_a()
    return Working(
        "Dead short at the far end",
        "I = (U_a - U_b - (Z_a - Z_b) V / R) / R_r, the least of all ends",
        (
            Input("V", f"open voltage at {far}, isolators {way}", seen.volts, "V"),
            Input("R", f"resistance behind {far}", seen.ohm, "ohm"),
            Input("U_a", "open voltage where the run begins", seen.open_v[a], "V"),
            Input("U_b", "open voltage where it ends", seen.open_v[b], "V"),
            Input("Z_a", "voltage there for one ampere into the far end", seen.lift[a], "V/A"),
            Input("Z_b", "the same where it ends", seen.lift[b], "V/A"),
            Input("R_r", "one wire of the run with its fuse", ohm, "ohm"),
        ),
        (_FAULT, f"the whole fault there is {fault:.5g} A; this is the share through the fuse"),
        fed[far, way],
        "A",
        _fault_source(c),
    )


def _window(c: Context, r: FuseStudy) -> tuple[opening.Window, str]:
    """The fuse's opening window and its source."""
    points, said = coordination.window_of(c.build, c.sized.family[r.id], c.sized.fuse_a[r.id])
    if said.startswith("points entered"):
        return points, ENTERED
    return points, row_source("fuse_opening", family=r.family)


def must_open_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Least current at which the fuse must open."""
    points, source = _window(c, r)
    ratio, rating = opening.must_open_ratio(points), c.sized.fuse_a[r.id]
    return Working(
        "Least current that must open it",
        "I = q I_n",
        (
            Input("q", "first point with a longest time", ratio),
            Input("I_n", "rating", rating, "A"),
        ),
        (f"window: {r.curve}",),
        ratio * rating,
        "A",
        source,
    )


def _opens_inputs(c: Context, r: FuseStudy, current: float) -> tuple[list[Input], float]:
    """The window's points round a current, and the longest time to open there [s]."""
    points, _ = _window(c, r)
    rating = c.sized.fuse_a[r.id]
    ratio = current / rating
    known = [p for p in points if p.slowest_s < inf]
    below = [p for p in known if p.ratio <= ratio][-1:]
    above = [p for p in known if p.ratio > ratio][:1]
    inputs = [Input("I", "current", current, "A"), Input("I_n", "rating", rating, "A")]
    for p in below + above:
        inputs.append(Input(f"t({p.ratio:g})", "longest time at that ratio", p.slowest_s, "s"))
    return inputs, opening.slowest_s(points, ratio)


def opens_far_s(c: Context, r: FuseStudy, _: str) -> Working:
    """Longest time to open at the far fault."""
    inputs, value = _opens_inputs(c, r, r.fault_far_a)
    return Working(
        "Longest time to open at the far fault",
        "straight on log-log paper between the points; I^2 t beyond the last",
        tuple(inputs),
        (f"window: {r.curve}",) if value < inf else ("below the first point: need not open",),
        None if value == inf else value,
        "s",
        _window(c, r)[1],
    )


def _stands(c: Context, run: str, current: float) -> tuple[list[Input], str, Wire]:
    item = c.items[run]
    wire = coordination.wire(item, c.sized.gauge[run])
    final = limit_c(wire.insulation)
    inputs = [
        Input(
            "k", "I^2 t constant", adiabatic_k(wire.metal, wire.initial_c(), final), "A s^0.5/mm2"
        ),
        Input("A", f"section of {run}", wire.area_mm2, "mm2"),
        Input("T_0", "conductor when it begins", wire.initial_c(), "C"),
        Input("T_1", "limit of the insulation", final, "C"),
        Input("I_z", "ampacity in its place", wire.ampacity_a, "A"),
        Input("I_inf", "lasting current that just reaches T_1", lasting_a(wire), "A"),
    ]
    if current <= 0 or adiabatic_s(wire, current) <= ADIABATIC_S:
        formula = "t_w = (k A / I)^2, up to five seconds"
    else:
        formula = "t_w = tau ln((I^2 - I_z^2)/(I^2 - I_inf^2)), tau = (k A)^2/(I_inf^2 - I_z^2)"
    return inputs, formula, wire


def _stand_source(wire: Wire) -> str:
    metal = "copper" if wire.metal.value.endswith("copper") else "aluminium"
    return cite(
        row_source("adiabatic_constants", conductor=metal),
        row_source("insulation_limits", insulation=wire.insulation.value),
    )


def stands_far_s(c: Context, r: FuseStudy, _: str) -> Working:
    """What the weakest guarded wire stands at the far fault."""
    inputs, formula, wire = _stands(c, r.weakest, r.fault_far_a)
    value = withstand_s(wire, r.fault_far_a)
    return Working(
        "What the weakest wire withstands at the far fault",
        formula,
        (Input("I", "far fault", r.fault_far_a, "A"), *inputs),
        () if value < inf else ("it never gets as warm as T_1 at this current",),
        None if value == inf else value,
        "s",
        _stand_source(wire),
    )


def _worst(c: Context, r: FuseStudy) -> tuple[float, float]:
    """Least stand over open time of the guarded wires, and the current where it lies [A]."""
    points, _ = _window(c, r)
    rating = c.sized.fuse_a[r.id]
    fuse = Fuse(r.id, points, rating)
    each = [
        worst_short((fuse,), coordination.wire(c.items[run], c.sized.gauge[run]), opening_only=True)
        for run in r.guarded
    ]
    least = min(each, key=lambda short: short.margin)
    return least.margin, least.current_a or opening.must_open_ratio(points) * rating


def margin(c: Context, r: FuseStudy, _: str) -> Working:
    """Least of stand over open."""
    least, at = _worst(c, r)
    source = cite(_window(c, r)[1], "IEC60949", PRACTICE)
    if least == inf:
        steps = ("the wire overheats at no current that the batteries can drive",)
        return Working("Safety factor of wire over fuse", "t_w / t_f", (), steps, None, "-", source)
    opens, slowest = _opens_inputs(c, r, at)
    inputs, formula, wire = _stands(c, r.weakest, at)
    said = (formula, f"t_w = {withstand_s(wire, at):.5g} s, t_f = {slowest:.5g} s")
    return Working(
        "Safety factor of wire over fuse",
        "t_w / t_f at the current where it is least",
        (*opens, *inputs),
        said,
        withstand_s(wire, at) / slowest,
        "-",
        cite(_window(c, r)[1], _stand_source(wire)),
    )


def margin_at_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Where the margin is least."""
    at = _worst(c, r)[1]
    points, source = _window(c, r)
    low = opening.must_open_ratio(points) * c.sized.fuse_a[r.id]
    return Working(
        "Current at the least safety factor",
        "the I between I_1 and I_2 at which t_w / t_f is least",
        (
            Input("I_1", "least current that must open it", low, "A"),
            Input("I_2", "beyond it both follow I^2 t", MOST_RATIO * c.sized.fuse_a[r.id], "A"),
        ),
        ("looked at the corners of the window and where the wire's line bends",),
        at,
        "A",
        source,
    )


WORKINGS: Makers = {
    "fuse_study": {
        "rating_a": rating_a,
        "fault_near_a": fault_near_a,
        "fault_far_a": fault_far_a,
        "must_open_a": must_open_a,
        "opens_far_s": opens_far_s,
        "stands_far_s": stands_far_s,
        "margin": margin,
        "margin_at_a": margin_at_a,
        "breaking_a": breaking_a,
    },
}
