"""Workings of fuses: which rating, where, and what it guards.

Whether it opens in time is in ``fuse_study``.
"""

from math import inf

from domain.build.choices import FuseFamily
from domain.electrical import fuses
from domain.electrical.protection.circulation import MUST_OPEN
from domain.electrical.protection.fuse_place import fuse_distance_m
from domain.electrical.protection.proofs import Proof
from domain.electrical.schedule import guarded_by_a, unguarded_m
from domain.sheet import RunResult
from domain.workings.cited import ENTERED, PRACTICE, cite, plan, plan_source, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def least_a(c: Context, r: RunResult, _: str) -> Working:
    """Smallest rating that carries the load."""
    if r.fuse_a is None:
        steps = ("there is no fuse in this run",)
        return Working("Least fuse rating", "none", (), steps, 0.0, "A", PRACTICE)
    full, lasting = c.sized.full_a[r.id], c.sized.lasting_a[r.id]
    around_c, family = c.items[r.id].fuse_c, c.items[r.id].run.fuse_family
    breaker = family is FuseFamily.BREAKER
    most = "most in any solved state, at full output"
    if 0 < full <= c.sized.closing_a.get(r.id, 0.0) / r.count:
        most = f"what flows as the isolator beside it closes, over {MUST_OPEN:g}"
    return Working(
        "Least fuse rating",
        f"I_f = max(I_t / min({'' if breaker else '1.1 '}h, 1), I_p / (s h))",
        (
            Input("I_t", most, full, "A"),
            Input("I_p", "lasting current, with what flows between sources", lasting, "A"),
            plan("s", "fuse_continuous_fraction"),
            Input("h", "what heat leaves of a rating", fuses.family_heat(around_c, family)),
            Input("T", "around the fuse", around_c, "C"),
        ),
        (),
        fuses.least_rating_a(full, lasting, around_c, family),
        "A",
        cite(plan_source("fuse_continuous_fraction"), row_source("fuse_heat", ambient_c="25")),
    )


def rating(c: Context, id: str) -> Working:
    """Rating of the fuse in a run."""
    run = c.runs[id]
    if run.fuse_a is not None:
        given = Input("I_n", "rating entered", run.fuse_a, "A")
        return Working("Fuse rating", "as entered", (given,), (), run.fuse_a, "A", ENTERED)
    family, taken = c.sized.family[id], c.sized.fuse_a[id]
    least = c.sized.least_a[id]
    found = fuses.smallest(least, run.fuse_family or family)
    inputs = [
        Input("I_f", "least rating for the load when it was chosen", least, "A"),
        Input("family", "chosen" if run.fuse_family else "first that fits", family.value),
    ]
    listed = ", ".join(f"{rating:g}" for rating in fuses.ratings(family))
    steps = [f"ratings of the family: {listed} A"]
    if found is None:
        value = fuses.ratings(family)[-1]
        steps.append("none is as large as I_f: the largest was taken")
    else:
        value = found[0]
    formula = "smallest standard rating of at least I_f"
    if taken > value:
        formula = f"the larger of I_k and the {formula}"
        inputs.append(Input("I_k", "rating kept from an earlier round of sizing", taken, "A"))
        steps.append(_with_smaller(c, id, value))
        value = taken
    elif taken < value:
        formula = f"I_k, and no longer the {formula}"
        inputs.append(Input("I_k", "rating that the last round of sizing left", taken, "A"))
        steps.append("voltages fall so far that currents rose above it afterwards: see the finding")
        value = taken
    return Working(
        "Fuse rating",
        formula,
        tuple(inputs),
        tuple(steps),
        value,
        "A",
        row_source("fuse_ratings", family=family.value),
    )


def _with_smaller(c: Context, id: str, rating_a: float) -> str:
    """What the run would carry behind a smaller fuse, whose resistance is larger."""
    ohms = dict(c.sized.tone_ohm)
    ohms[id] = c.items[id].resistance_ohm(c.sized.gauge[id], c.sized.design_a[id], rating_a)
    amperes = abs(c.held(ohms, 1.0).branch_a(id))
    return (
        f"gauge and fuse bear on each other: behind {rating_a:g} A in this gauge it would carry "
        f"{amperes:.5g} A, so the sizing went to and fro and kept the larger"
    )


def fuse_a(c: Context, r: RunResult, _: str) -> Working:
    """Rating of the run's fuse."""
    if r.fuse_a is None:
        steps = ("there is no fuse in this run",)
        return Working("Fuse rating", "none", (), steps, None, "A", PRACTICE)
    return rating(c, r.id)


def distance_m(c: Context, r: RunResult, _: str) -> Working:
    """Wire from the near end to the fuse."""
    run, title = c.runs[r.id], "Wire ahead of the fuse"
    if not run.fused:
        steps = ("there is no fuse at its near end",)
        return Working(title, "none", (), steps, None, "m", PRACTICE)
    inputs: tuple[Input, ...]
    if run.fuse_distance_m is None and not fuse_distance_m(c.build, run):
        inputs = (Input("d", "in the fused block that feeds it", 0.0, "m"),)
        formula, source = "0 in the fuse place of the block", PRACTICE
    elif run.fuse_distance_m is None:
        inputs = (plan("d", "assumed_fuse_m"),)
        formula, source = "d assumed until it is placed", plan_source("assumed_fuse_m")
    else:
        inputs = (Input("d", "wire from the near end to the fuse", run.fuse_distance_m, "m"),)
        formula, source = "d as entered", ENTERED
    return Working(title, formula, inputs, (), fuse_distance_m(c.build, run), "m", source)


def _proofs(c: Context, id: str) -> list[Proof]:
    return [proof for proof in c.plan.solved.proofs if proof.segment.run == id]


def protected_a(c: Context, r: RunResult, _: str) -> Working:
    """The most that fuses let into the wire."""
    proofs, title = _proofs(c, r.id), "Most that fuses let into this wire"
    value = guarded_by_a(proofs)
    if value is None:
        why = "no source reaches it, or nothing limits what does"
        return Working(title, "none", (), (why,), None, "A", "33CFR183.455")
    inputs = tuple(
        Input(f"F_{number}", f"most that flows for good into {p.segment.id}", p.lasting_a, "A")
        for number, p in enumerate(proofs, 1)
        if not p.ahead and p.lasting_a < inf
    )
    formula = "the greatest of the segments, those ahead of its own fuse left out"
    return Working(title, formula, inputs, (), value, "A", "33CFR183.455")


def unprotected_m(c: Context, r: RunResult, _: str) -> Working:
    """Wire that no fuse guards."""
    proofs, title = _proofs(c, r.id), "Wire that no fuse protects"
    value = unguarded_m(proofs)
    if value is None:
        steps = ("no source reaches it",)
        return Working(title, "none", (), steps, None, "m", "33CFR183.455")
    inputs = tuple(
        Input(f"l_{number}", f"length of {p.segment.id}", p.segment.length_m, "m")
        for number, p in enumerate(proofs, 1)
        if p.ahead or p.lasting_a == inf
    )
    formula = "the sum of the segments ahead of its fuse, and of those that nothing limits"
    return Working(title, formula, inputs, (), value, "m", "33CFR183.455")


WORKINGS: Makers = {
    "run_result": {
        "fuse_a": fuse_a,
        "fuse_least_a": least_a,
        "fuse_distance_m": distance_m,
        "protected_a": protected_a,
        "unprotected_m": unprotected_m,
    },
}
