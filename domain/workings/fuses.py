"""Workings of fuses: which rating, what it guards, and whether it opens in time."""

from math import inf

from domain.build import FuseFamily, find
from domain.electrical import coordination, fuses, opening, protection
from domain.electrical.planning import planned
from domain.electrical.withstand import (
    ADIABATIC_S,
    Wire,
    adiabatic_k,
    adiabatic_s,
    lasting_a,
    limit_c,
    withstand_s,
)
from domain.sheet import FuseStudy, RunResult
from domain.workings.cited import ENTERED, LAWS, PRACTICE, cite, plan, plan_source, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def least_a(c: Context, r: RunResult, _: str) -> Working:
    """Smallest rating that carries the load."""
    sizing = c.sizing
    other = sizing.also_a.get(r.id, 0.0)
    tone, programme = sizing.sized.design_a[r.id], sizing.sized.programme_a[r.id]
    if r.fuse_a is None:
        steps = ("there is no fuse in this run",)
        return Working("Least fuse rating", "none", (), steps, 0.0, "A", PRACTICE)
    return Working(
        "Least fuse rating",
        "I_f = max(I_t + I_c, (I_p + I_c) / s)",
        (
            Input("I_t", "current at full tone", tone, "A"),
            Input("I_p", "current at programme level", programme, "A"),
            Input("I_c", "charging current between sources", other, "A"),
            plan("s", "fuse_continuous_fraction"),
        ),
        (),
        fuses.least_rating_a(tone + other, programme + other),
        "A",
        plan_source("fuse_continuous_fraction"),
    )


def _rating(c: Context, id: str) -> Working:
    run = c.runs[id]
    if run.fuse_a is not None:
        given = Input("I_n", "rating entered", run.fuse_a, "A")
        return Working("Fuse rating", "as entered", (given,), (), run.fuse_a, "A", ENTERED)
    least, family, taken = c.sized.least_a[id], c.sized.family[id], c.sized.fuse_a[id]
    found = fuses.smallest(least, run.fuse_family)
    inputs = [
        Input("I_f", "least rating that carries the load", least, "A"),
        Input("family", "chosen" if run.fuse_family else "first that fits", family.value),
    ]
    listed = ", ".join(f"{rating:g}" for rating in fuses.ratings(family))
    steps = [f"ratings of the family: {listed} A"]
    if found is None:
        value = fuses.ratings(family)[-1]
        steps.append("none is as large as I_f: the largest was taken")
    else:
        value = found[0]
    if taken > value:
        inputs.append(Input("I_k", "rating kept from an earlier round of sizing", taken, "A"))
        value = taken
    return Working(
        "Fuse rating",
        "smallest standard rating of at least I_f",
        tuple(inputs),
        tuple(steps),
        value,
        "A",
        row_source("fuse_ratings", family=family.value),
    )


def fuse_a(c: Context, r: RunResult, _: str) -> Working:
    """Rating of the run's fuse."""
    if r.fuse_a is None:
        steps = ("there is no fuse in this run",)
        return Working("Fuse rating", "none", (), steps, None, "A", PRACTICE)
    return _rating(c, r.id)


def distance_m(c: Context, r: RunResult, _: str) -> Working:
    """Wire from the near end to the fuse."""
    run, title = c.runs[r.id], "Wire ahead of the fuse"
    if not run.fused:
        steps = ("there is no fuse at its near end",)
        return Working(title, "none", (), steps, None, "m", PRACTICE)
    if run.fuse_distance_m is None:
        inputs: tuple[Input, ...] = (plan("d", "assumed_fuse_m"),)
        formula, source = "d assumed until it is placed", plan_source("assumed_fuse_m")
    else:
        inputs = (Input("d", "wire from the near end to the fuse", run.fuse_distance_m, "m"),)
        formula, source = "d as entered", ENTERED
    return Working(title, formula, inputs, (), protection.fuse_distance_m(run), "m", source)


def _guard(c: Context, id: str) -> protection.Guard | None:
    wire = {run: item.wire_m for run, item in c.items.items()}
    return protection.guards(c.build, c.wiring, wire, c.sized.fuse_a).get(id)


def protected_a(c: Context, r: RunResult, _: str) -> Working:
    """Rating of the fuse that guards the wire."""
    guard, title = _guard(c, r.id), "Fuse that guards this wire"
    if guard is None or guard.rating_a == inf:
        why = "no battery reaches it" if guard is None else "some battery feeds it without a fuse"
        return Working(title, "none", (), (why,), None, "A", "33CFR183.455")
    inputs = (Input("I_n", f"fuse in {guard.by}", c.sized.fuse_a[guard.by], "A"),)
    steps = ("the smallest fuse on the way from a battery, for the worst battery",)
    formula = "I_g = I_n of the guarding fuse"
    return Working(title, formula, inputs, steps, guard.rating_a, "A", "33CFR183.455")


def unprotected_m(c: Context, r: RunResult, _: str) -> Working:
    """Wire that no fuse guards."""
    guard, run, title = _guard(c, r.id), c.runs[r.id], "Wire ahead of the first fuse"
    if guard is None:
        steps = ("no battery reaches it",)
        return Working(title, "none", (), steps, None, "m", "33CFR183.455")
    inputs = [Input("L", "wire with slack", c.items[r.id].wire_m, "m")]
    if run.fused:
        inputs.append(Input("d", "to its fuse", protection.fuse_distance_m(run), "m"))
    if run.far_fused:
        far = protection.fuse_distance_m(run, far=True)
        inputs.append(Input("d_far", "to its far fuse", far, "m"))
    return Working(
        title,
        "d where it has the first fuse, L where none guards it, 0 behind a fuse",
        tuple(inputs),
        ("for the worst battery that reaches it",),
        guard.unprotected_m,
        "m",
        "33CFR183.455",
    )


def rating_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Rating of the fuse."""
    return _rating(c, r.id)


def breaking_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Breaking capacity."""
    family = FuseFamily(r.family)
    return Working(
        "Breaking capacity",
        "I_b of the family",
        (Input("family", "fuse family", family.value),),
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
    near = c.wiring.ends[r.id][0 if c.runs[r.id].fused else 1]
    seen, ohm = c.thevenin(near), fuses.resistance_ohm(c.sized.fuse_a[r.id])
    return Working(
        "Dead short behind the fuse",
        "I = V / (R + R_f)",
        (
            Input("V", f"open voltage at {near}", seen.volts, "V"),
            Input("R", f"resistance behind {near}", seen.ohm, "ohm"),
            Input("R_f", "fuse and holder", ohm, "ohm"),
        ),
        (_FAULT,),
        seen.fault_a(ohm),
        "A",
        _fault_source(c),
    )


def fault_far_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Dead short at the far end of what the fuse guards."""
    nodes = {node for run in r.guarded for node in c.wiring.ends[run]}
    far = min(sorted(nodes), key=lambda node: c.thevenin(node).fault_a())
    seen = c.thevenin(far)
    return Working(
        "Dead short at the far end",
        "I = V / R, the least of all ends of the guarded runs",
        (
            Input("V", f"open voltage at {far}", seen.volts, "V"),
            Input("R", f"resistance behind {far}", seen.ohm, "ohm"),
        ),
        (_FAULT,),
        seen.fault_a(),
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
        "What the weakest wire stands at the far fault",
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
    must = opening.must_open_ratio(points) * rating
    least, at = inf, must
    wires = [coordination.wire(c.items[run], c.sized.gauge[run]) for run in r.guarded]
    high = max(r.fault_far_a, must)
    for current in coordination.currents(points, rating, high, r.fault_near_a):
        opens = opening.slowest_s(points, current / rating)
        for wire in wires:
            margin = withstand_s(wire, current) / opens
            if margin < least:
                least, at = margin, current
    return least, at


def margin(c: Context, r: FuseStudy, _: str) -> Working:
    """Least of stand over open."""
    least, at = _worst(c, r)
    source = cite(_window(c, r)[1], "IEC60949", PRACTICE)
    if least == inf:
        steps = ("the wire is never hurt at any current that the batteries can drive",)
        return Working("Margin of wire over fuse", "t_w / t_f", (), steps, None, "-", source)
    opens, slowest = _opens_inputs(c, r, at)
    inputs, formula, wire = _stands(c, r.weakest, at)
    steps = (formula, f"t_w = {withstand_s(wire, at):.5g} s, t_f = {slowest:.5g} s")
    return Working(
        "Margin of wire over fuse",
        "t_w / t_f at the current where it is least",
        (*opens, *inputs),
        steps,
        withstand_s(wire, at) / slowest,
        "-",
        cite(_window(c, r)[1], _stand_source(wire)),
    )


def margin_at_a(c: Context, r: FuseStudy, _: str) -> Working:
    """Where the margin is least."""
    _, at = _worst(c, r)
    points, source = _window(c, r)
    low = opening.must_open_ratio(points) * c.sized.fuse_a[r.id]
    return Working(
        "Current of the least margin",
        "the I between I_1 and I_2 at which t_w / t_f is least",
        (
            Input("I_1", "least current that must open it", low, "A"),
            Input("I_2", "largest fault", max(r.fault_far_a, r.fault_near_a), "A"),
        ),
        (f"looked at {coordination.POINTS} currents even on log paper and the window's corners",),
        at,
        "A",
        source,
    )


WORKINGS: Makers = {
    "run_result": {
        "fuse_a": fuse_a,
        "fuse_least_a": least_a,
        "fuse_distance_m": distance_m,
        "protected_a": protected_a,
        "unprotected_m": unprotected_m,
    },
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
