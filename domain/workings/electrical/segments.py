"""Workings of the proofs of protection: why is this piece of wire safe?"""

from math import inf

from domain.build.choices import Cover
from domain.electrical.ampacity import cover_factor
from domain.electrical.protection import coordination
from domain.electrical.protection.any_short import Fuse
from domain.electrical.protection.circulation import MUST_OPEN
from domain.electrical.protection.proofs import Proof, burns_from_a
from domain.electrical.protection.withstand import (
    Wire,
    adiabatic_k,
    lasting_a,
    limit_c,
    withstand_s,
)
from domain.sheet import SegmentResult
from domain.workings.cited import LAWS, PRACTICE, cite, row_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working

CODE = "33CFR183.455"


def _proof(c: Context, r: SegmentResult) -> Proof:
    return next(p for p in c.plan.solved.proofs if p.segment.id == r.id)


def _none(title: str, why: str, unit: str, source: str = PRACTICE) -> Working:
    return Working(title, "none", (), (why,), None, unit, source)


def start_m(c: Context, r: SegmentResult, _: str) -> Working:
    """Where along the wire the piece begins."""
    steps = (f"between {_proof(c, r).segment.a} and {_proof(c, r).segment.b}",)
    inputs = (Input("d", "wire from the near end to here", r.start_m, "m"),)
    return Working("Beginning of the piece", "d", inputs, steps, r.start_m, "m", PRACTICE)


def end_m(c: Context, r: SegmentResult, _: str) -> Working:
    """Where along the wire the piece ends."""
    inputs = (
        Input("d", "wire from the near end to its beginning", r.start_m, "m"),
        Input("l", "its length", _proof(c, r).segment.length_m, "m"),
    )
    steps = ("it rests on a fuse whose place is assumed",) if r.assumed else ()
    return Working("End of the piece", "d + l", inputs, steps, r.end_m, "m", PRACTICE)


def _limits(c: Context, proof: Proof) -> list[Input]:
    found = []
    outputs = {g.id: g.rated_a for g in c.build.alternators}
    for number, id in enumerate(proof.limits, 1):
        if id in outputs:
            found.append(Input(f"I_{number}", f"greatest output of {id}", outputs[id], "A"))
        elif id in c.sized.fuse_a:
            found.append(Input(f"I_{number}", f"fuse in {id}", c.sized.fuse_a[id], "A"))
    return found


def lasting(c: Context, r: SegmentResult, _: str) -> Working:
    """The most that flows for good."""
    proof = _proof(c, r)
    title = "Most that flows into it for good"
    if not proof.segment.positive:
        return _returned(c, r, proof)
    if proof.lasting_a == inf:
        return _none(title, "some battery feeds it with nothing that limits it", "A", CODE)
    steps = (
        "greatest flow from all sources to its two ends, the piece taken out: a fuse passes its "
        "rating, an alternator its output, a battery without a fuse has no limit",
        f"it comes in at {proof.at}",
        f"the wire carries {r.carries_a:.5g} A; it would be stopped above "
        f"{burns_from_a(proof.wire):.5g} A",
    )
    formula = "F = the narrowest cut between all sources and it"
    return Working(title, formula, tuple(_limits(c, proof)), steps, proof.lasting_a, "A", CODE)


def _returned(c: Context, r: SegmentResult, proof: Proof) -> Working:
    what = f"the fault: {proof.cause}" if proof.cause else "the load itself, at full output"
    steps = (
        what,
        "greatest flow between its ends through sources, loads and one fault at a time",
        f"must hold: {MUST_OPEN} F at most {r.carries_a:.5g} A x 1.45 or {r.limit_a:.5g} A",
    )
    return Working(
        "Most that it returns for good",
        "F = greatest circulation through it",
        tuple(_limits(c, proof)),
        steps,
        proof.lasting_a,
        "A",
        CODE,
    )


def through(c: Context, r: SegmentResult, _: str) -> Working:
    """What passes through while the fault is elsewhere."""
    proof = _proof(c, r)
    title = "Most that passes through it"
    if proof.through_a == inf:
        return _none(title, "nothing limits what passes through it", "A", CODE)
    steps = ("while the fault is elsewhere: the fuses at its end, or those of the amplifier there",)
    inputs = (Input("F", "what passes", proof.through_a, "A"),)
    return Working(title, "F", inputs, steps, proof.through_a, "A", CODE)


def carries(c: Context, r: SegmentResult, _: str) -> Working:
    """Ampacity of the wire there."""
    wire = _proof(c, r).wire
    inputs = (
        Input("A", "section", wire.area_mm2, "mm2"),
        Input("T_a", "air around it", wire.ambient_c, "C"),
        Input("T_c", "insulation class", wire.class_c, "C"),
    )
    item = c.items[r.run]
    steps: tuple[str, ...] = ("as for its run: table, bundle, cover, metal and location",)
    source = "33CFR183.425"
    if item.cover is not Cover.OPEN:
        steps += (f"{item.cover.value} round it: {cover_factor(item.cover):g} of free air at most",)
        source = cite(source, row_source("cover_factors", cover=item.cover.value))
    return Working("What it carries for good", "I_z", inputs, steps, r.carries_a, "A", source)


def _limit_inputs(wire: Wire) -> tuple[Input, ...]:
    return (
        Input("I_z", "ampacity", wire.ampacity_a, "A"),
        Input("T_1", "limit of the insulation", limit_c(wire.insulation), "C"),
        Input("T_a", "air around it", wire.ambient_c, "C"),
        Input("T_c", "insulation class", wire.class_c, "C"),
    )


def limit(c: Context, r: SegmentResult, _: str) -> Working:
    """The current that ends at the limit temperature."""
    wire = _proof(c, r).wire
    return Working(
        "Current that ends at its limit temperature",
        "I_inf = I_z sqrt((T_1 - T_a)/(T_c - T_a))",
        _limit_inputs(wire),
        (),
        lasting_a(wire),
        "A",
        row_source("insulation_limits", insulation=wire.insulation.value),
    )


def _fuses(c: Context, proof: Proof) -> tuple[Fuse, ...]:
    found = []
    for id in proof.fuses:
        points, _ = coordination.window_of(c.build, c.sized.family[id], c.sized.fuse_a[id])
        found.append(Fuse(id, points, c.sized.fuse_a[id]))
    return tuple(found)


_NO_SHORT = "no short behind fuses of its own overheats it, or it has none of its own"


def short(c: Context, r: SegmentResult, _: str) -> Working:
    """The current of the worst short."""
    title = "Short at which it has least to spare"
    proof = _proof(c, r)
    if proof.short is None or r.short_a is None:
        return _none(title, _NO_SHORT, "A", "IEC60949")
    inputs = tuple(
        Input(f"I_{f.run}", f"fuse in {f.run}", f.rating_a, "A") for f in _fuses(c, proof)
    )
    steps = (
        "looked at the corners of the fuses' windows and where the wire's line bends",
        f"there the wire withstands {proof.short.margin:.4g} times what the fuse takes",
    )
    formula = "the current at which stand over open is least"
    return Working(title, formula, inputs, steps, proof.short.current_a, "A", "IEC60949")


def opens(c: Context, r: SegmentResult, _: str) -> Working:
    """How long the fuse takes then."""
    title = "Longest time until a fuse opens there"
    proof = _proof(c, r)
    if proof.short is None or r.short_a is None:
        return _none(title, _NO_SHORT, "s", "IEC60949")
    current = proof.short.current_a
    times = [(f, f.slowest_s(current)) for f in _fuses(c, proof)]
    inputs = [Input("I", "current of the short", current, "A")]
    inputs += [
        Input(f"t_{f.run}", f"slowest time of the fuse in {f.run}", time, "s")
        for f, time in times
        if time < inf
    ]
    value = min(time for _, time in times)
    family = c.sized.family[proof.short.opener].value
    return Working(
        title,
        "the least of t",
        tuple(inputs),
        () if value < inf else ("none need open at that current",),
        None if value == inf else value,
        "s",
        row_source("fuse_opening", family=family),
    )


def stands(c: Context, r: SegmentResult, _: str) -> Working:
    """How long the wire stands it."""
    title = "How long the wire withstands it"
    proof = _proof(c, r)
    if proof.short is None or r.short_a is None:
        return _none(title, _NO_SHORT, "s", "IEC60949")
    wire, amperes = proof.wire, proof.short.current_a + proof.short.beside_a
    k = adiabatic_k(wire.metal, wire.initial_c(), limit_c(wire.insulation))
    inputs = (
        Input("I", "current of the short, with what plays beside it", amperes, "A"),
        Input("k", "I^2 t constant", k, "A s^0.5/mm2"),
        Input("A", "section", wire.area_mm2, "mm2"),
        *_limit_inputs(wire),
    )
    return Working(
        title,
        "(k A / I)^2 up to five seconds, then tau ln((I^2 - I_z^2)/(I^2 - I_inf^2))",
        inputs,
        (),
        withstand_s(wire, amperes),
        "s",
        cite("IEC60949", row_source("insulation_limits", insulation=wire.insulation.value)),
    )


def beside(_c: Context, r: SegmentResult, _: str) -> Working:
    """What other loads return through a ground beside that short."""
    others = Input("I", "full output of what is not behind those fuses", r.beside_a, "A")
    title = "Returned beside that short"
    return Working(title, "I, in whole amperes", (others,), (), r.beside_a, "A", LAWS)


_NO_SHARED = "no short that several sources feed overheats it"


def shared_ratio(c: Context, r: SegmentResult, _: str) -> Working:
    """Heat over what it stands, in the worst shared short."""
    title, found = "Heat over what it withstands", _proof(c, r).shared
    if found is None or found.times == inf:
        return _none(title, _NO_SHARED if found is None else "no end to it", "-", "IEC60949")
    inputs = [Input("I", "what it carries at first", found.current_a, "A")]
    inputs += [
        Input(f"t_{n}", f"fuse in {run} is open after", time, "s")
        for n, (run, time) in enumerate(found.opened, 1)
    ]
    steps = (
        found.case,
        found.place,
        "the sum of I^2 t, or the rise, over what the wire withstands",
    )
    return Working(title, "q", tuple(inputs), steps, found.times, "-", "IEC60949")


def shared_ohm(c: Context, r: SegmentResult, _: str) -> Working:
    """Resistance of that short."""
    title, found = "Resistance of that short", _proof(c, r).shared
    if found is None:
        return _none(title, _NO_SHARED, "ohm", LAWS)
    steps = ("dead, or so much that a fuse or a wire is just at a corner of its rule",)
    return Working(title, "R", (), steps, found.ohm, "ohm", LAWS)


def shared_a(c: Context, r: SegmentResult, _: str) -> Working:
    """Current of that short."""
    title, found = "Current of that short", _proof(c, r).shared
    if found is None:
        return _none(title, _NO_SHARED, "A", LAWS)
    inputs = (Input("R", "its resistance", found.ohm, "ohm"),)
    steps = (found.case, found.place, "the network of sources, wires and body solved with it")
    return Working(title, "V / (R_i + R)", inputs, steps, found.fault_a, "A", LAWS)


WORKINGS: Makers = {
    "segment_result": {
        "start_m": start_m,
        "end_m": end_m,
        "lasting_a": lasting,
        "through_a": through,
        "carries_a": carries,
        "limit_a": limit,
        "short_a": short,
        "opens_s": opens,
        "stands_s": stands,
        "beside_a": beside,
        "shared_ratio": shared_ratio,
        "shared_ohm": shared_ohm,
        "shared_a": shared_a,
    },
}
