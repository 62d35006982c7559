"""Is every metre of wire protected? What the proofs found wrong, segment by segment."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from domain.build.choices import Polarity
from domain.build.records import Run
from domain.checks.context import Context
from domain.electrical import fuses
from domain.electrical.protection.proofs import Harm, Verdict
from domain.findings import Finding, Level
from domain.reference.planning import planned
from domain.sheet import RunResult, SegmentResult
from domain.units.gauges import gauge_text
from domain.units.show import figures

RULE = "33 CFR 183.455; the fuse protects the wire"
RETURN_RULE = "IEC 60364-4-43 433.1 and 5-54 543.1 (from memory)"
METHOD = "IEC 60364-5-54 clause 543.1 against the fuse's opening window"
PRACTICE = "common practice"
REPLACE = "replace it: say no under Existing, so that new wire is planned and bought"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about wire that no fuse guards, or that its fuses do not save."""
    of: dict[str, list[SegmentResult]] = {}
    for segment in c.segments:
        of.setdefault(segment.run, []).append(segment)
    for run, r in c.pairs():
        yield from _proved(c, run, r, of.get(run.id, []))


_Judge = Callable[[Context, Run, RunResult, SegmentResult], Finding | None]


def _proved(
    c: Context, run: Run, r: RunResult, segments: Sequence[SegmentResult]
) -> Iterator[Finding]:
    """The worst of each kind that the proofs found along one run."""
    worst: dict[str, Finding] = {}
    for segment in segments:
        judge = _JUDGES.get(segment.verdict)
        if judge is None:
            continue
        found = judge(c, run, r, segment)
        if found is None:
            continue
        known = worst.get(found.code)
        if known is None or found.level.rank < known.level.rank:
            worst[found.code] = found
    yield from worst.values()


def _level(segment: SegmentResult) -> Level:
    return Level.STOP if segment.harm == Harm.STOP else Level.FIX


def _no_fuse(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    between = run.source.startswith("b") and run.target.startswith("b")
    return Finding(
        _level(s),
        "no-fuse",
        f"{r.name}: no fuse protects this wire",
        f"{c.show('length', s.end_m - s.start_m)} of {gauge_text(r.gauge)} are fed from a "
        "battery with nothing that opens on a short",
        "fuse both ends: either battery can feed a short"
        if between
        else "put a fuse at the end that a battery feeds, as close to it as it will go",
        RULE,
        "runs",
        run.id,
        "far_fused" if run.fused else "fused",
    )


def _tail(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    """A piece whose own fuse, or what it ends at, lies too far from where current comes in."""
    if not _ahead(run, r, s):
        return _no_fuse(c, run, r, s) if s.lasting_a is None else _over(c, run, r, s)
    shop, bare, sheathed, longest = (
        planned(f"unprotected_{kind}_m") for kind in ("shop", "bare", "sheathed", "battery")
    )
    let_in = (
        "nothing limits what flows into it"
        if s.lasting_a is None
        else f"{_let_in(c, s)} can flow into {c.amps(s.carries_a)} of wire"
    )
    return Finding(
        _level(s),
        "fuse-far",
        f"{r.name}: {c.show('length', s.end_m - s.start_m)} of wire before its fuse",
        f"its fuse does not protect that length: {let_in}; practice is {c.show('allowance', shop)} "
        f"at most, 33 CFR 183.455 has {c.show('allowance', bare)} bare and "
        f"{c.show('allowance', sheathed)} in a sheath",
        "move the fuse holder towards the end that feeds it",
        f"common practice; 33 CFR 183.455; ABYC E-11 ({c.show('allowance', longest)}, from memory)",
        "runs",
        run.id,
        "fuse_distance_m" if run.fused else "far_fuse_distance_m",
    )


def _ahead(run: Run, r: RunResult, s: SegmentResult) -> bool:
    """Whether a piece ends at a fuse of its own run that is meant for the end which feeds it."""
    first, last = s.start_m <= 0, s.end_m >= r.wire_m * (1 - 1e-9)
    if first and last:  # a fuse that would sit beyond the run's end sits at its end
        return run.fused and (run.fuse_distance_m or 0.0) >= r.wire_m * (1 - 1e-9)
    meant = run.fused or (run.far_fused and s.lasting_a is not None)
    return (first and meant) or (last and run.far_fused)


def _let_in(c: Context, s: SegmentResult) -> str:
    """What flows into a segment for good, and through what: "250 A through Main run, Link"."""
    names = ", ".join(c.name(id) for id in s.limits)
    return f"{c.amps(s.lasting_a or 0)}" + (f" through {names}" if names else "")


def _over(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    lasting = s.through_a if s.lasting_a is None else s.lasting_a
    share = (lasting or 0) / s.carries_a if s.carries_a else 0.0
    own = (run.fused or run.far_fused) and (not s.limits or run.id in s.limits)
    smaller = _smaller(run, r, s) if own else None
    yardstick = planned("overcurrent_fraction")
    beyond = r.fuse_a is not None and run.count > 1 and (lasting or 0) > r.fuse_a
    many = len(s.limits) > 1 or beyond
    source = (
        f"{c.amps(lasting or 0)} of fuses and sources together do"
        if many
        else (f"a {c.amps(lasting or 0)} fuse does")
    )
    if s.limits and all(id.startswith("g") for id in s.limits):
        source = f"an alternator of {c.amps(lasting or 0)} is no fuse and does"
    return Finding(
        _level(s),
        "fuse-over-wire",
        f"{r.name}: {source} not protect {gauge_text(r.gauge)}",
        f"{'each' if run.count > 1 else 'the'} wire carries {c.amps(s.carries_a)} here"
        + (f", {_let_in(c, s)} can flow into it for good" if many else "")
        + (f", the fuse is {share:.0%} of that" if share and not many else "")
        + (f", {share:.0%} of that" if share and many else "")
        + f" (33 CFR 183.455 would stop at {yardstick:.0%}); "
        + (
            "the wire would burn first"
            if s.harm == Harm.STOP
            else "the wire gets too hot before it opens"
        ),
        REPLACE
        if run.existing
        else f"fit a {c.amps(smaller)} fuse, which carries the load, or leave the fuse to be chosen"
        if smaller
        else "its terminals take no thicker wire: lay two cables side by side, split the load over "
        "two runs, or use a block or terminal that takes more"
        + (", or lay it apart from its harness" if run.loom and r.bundle_auto else "")
        if r.gauge_auto
        else "choose a smaller fuse or a thicker wire"
        if own
        else "put a fuse where the wire gets thinner, or make it as thick as the fuse upstream "
        "needs",
        RULE,
        "runs",
        run.id,
        "fuse_a" if own and run.fuse_a is not None and not run.existing else "gauge",
    )


def _overloaded(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    return _return(c, run, r, s) if run.polarity is Polarity.GROUND else _over(c, run, r, s)


def _hot(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding | None:
    """It carries nothing where it is; said once, where its insulation is already told of."""
    if r.ambient_c >= run.insulation.celsius:
        return None
    return Finding(
        Level.STOP,
        "insulation-heat",
        f"{r.name}: the location is too hot for its insulation",
        f"{c.show('temperature', r.ambient_c)} around {run.insulation.value} insulation: the "
        "tables know no current for it there",
        "route it through a cooler place or choose a higher insulation class",
        "33 CFR 183.425 Table 5; ISO 10133 (from memory)",
        "runs",
        run.id,
        "insulation",
    )


def _return(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    """A ground that cannot bring back what fuses let through."""
    what = {
        "": "at full output",
        "run:": f"in a short to the body behind the fuse of {c.name(s.cause[4:])}",
        "block:": f"when {c.name(s.cause[6:])} touches the ground block beside it",
    }
    kind = next((k for k in ("run:", "block:") if s.cause.startswith(k)), "")
    said = what[kind] if kind or not s.cause else f"when {c.name(s.cause)} is short inside"
    return Finding(
        _level(s),
        "ground-overload",
        f"{r.name}: {gauge_text(r.gauge)} is too thin for what it may have to bring back",
        f"{c.amps(s.lasting_a or 0)} come back through it {said}; it carries {c.amps(s.carries_a)} "
        f"here, and ends at its limit temperature at {c.amps(s.limit_a)}",
        REPLACE if run.existing else "make it as thick as the fuses ahead of it ask",
        RETURN_RULE,
        "runs",
        run.id,
        "gauge",
    )


def _short(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    return Finding(
        _level(s),
        "fuse-slow",
        f"{r.name}: its fuse may open after {gauge_text(r.gauge)} overheats",
        f"a short behind it that draws {c.amps(s.short_a or 0)}"
        + (f", beside {c.amps(s.beside_a)} of what else plays" if s.beside_a else "")
        + f": the fuse of {c.name(s.opener)} "
        + (
            f"takes up to {c.show('duration', s.opens_s)}"
            if s.opens_s is not None
            else "need not open at that current"
        )
        + f", the wire withstands it for {c.show('duration', s.stands_s)}",
        REPLACE
        if run.existing
        else "a smaller fuse, a thicker wire, or the printed curve of the fuse in hand",
        METHOD,
        "runs",
        run.id,
        "fuse_a" if run.fuse_a is not None and not run.existing else "gauge",
    )


def _shared(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    opened = ", then ".join(c.name(id) for id in dict.fromkeys(s.shared_opened))
    ohm = s.shared_ohm or 0.0
    return Finding(
        _level(s),
        "shared-short",
        f"{r.name}: a short that several sources feed overheats it",
        f"{_place(c, s.shared_place)}, "
        + (f"through {c.show('resistance', ohm)}" if ohm else "dead")
        + f", draws {c.amps(s.shared_a or 0)}; "
        + (f"what opens, opens too late ({opened})" if opened else "no fuse opens")
        + (
            f": the wire takes {figures(s.shared_ratio, 2)} times the heat that it withstands"
            if s.shared_ratio is not None
            else ""
        ),
        REPLACE
        if run.existing
        else "smaller fuses, a thicker wire, or a fuse at each end that a source feeds",
        METHOD,
        "runs",
        run.id,
        "fuse_a" if run.fuse_a is not None and not run.existing else "gauge",
    )


def _place(c: Context, place: str) -> str:
    """Where a short of the sweep is, in words."""
    if place.startswith("behind "):
        return f"a short behind the fuse of {c.name(place[7:].rstrip('>'))}"
    if place.startswith("inside "):
        return f"a short inside {c.name(place[7:])}"
    if place.startswith("between "):
        a, b = (_at(c, node) for node in place.removeprefix("between ").split(" and "))
        return f"a short between the plus at {a} and at {b}"
    run = place.partition(".")[0].partition("~")[0].partition("#")[0]
    if " at " in place or "~" in place:
        return f"a short along {c.name(run)}"
    return f"a short at {_at(c, place)}"


def _at(c: Context, node: str) -> str:
    """A node by the device or run that it belongs to."""
    return c.name(node.partition("_")[0].partition("~")[0].partition("#")[0])


def _unknown(c: Context, run: Run, r: RunResult, s: SegmentResult) -> Finding:
    return Finding(
        Level.FIX,
        "gauge-unknown",
        f"{r.name}: what gauge is it?",
        "it is in the vehicle already and its gauge is not entered, so nothing can be said of what "
        f"protects it; the plan counts with {gauge_text(r.gauge)} meanwhile",
        "read the size off its jacket, or measure its strands, and enter it; else replace it",
        PRACTICE,
        "runs",
        run.id,
        "gauge",
    )


_JUDGES: Mapping[str, _Judge] = {
    Verdict.UNGUARDED: _tail,
    Verdict.LONG_TAIL: _tail,
    Verdict.OVERLOAD: _overloaded,
    Verdict.HOT: _hot,
    Verdict.SHORT: _short,
    Verdict.SHARED: _shared,
    Verdict.UNKNOWN: _unknown,
}
"""What is said of each verdict that does harm."""


def _smaller(run: Run, r: RunResult, s: SegmentResult) -> float | None:
    """A standard rating that would carry the load and spare the wire, for a pinned fuse [A].

    A short in one of several wires side by side is fed through the fuses of all the others; what
    comes in beside them leaves that much less.
    """
    if run.fuse_a is None:
        return None
    times = max(run.count - 1, 1)
    beside = max((s.lasting_a or 0.0) - times * run.fuse_a, 0.0)
    found = fuses.smallest(r.fuse_least_a, run.fuse_family)
    if not found or found[0] >= run.fuse_a:
        return None
    return found[0] if times * found[0] + beside <= s.carries_a else None
