"""Does every fuse open before its wire is hurt, and why is a wire safe? Both in words."""

from msgspec import Struct

from domain.build.choices import shown
from domain.build.records import Run
from domain.document.records import find
from domain.electrical.protection.fuse_place import fuse_distance_m
from domain.sheet import FuseStudy, RunResult, SegmentResult
from domain.topics.tables import TEXT, Column, Fact, Subject, Table
from domain.units.show import format_quantity

NEVER = "never"
"""How long it takes where no time is long enough."""


def time(subject: Subject, time_s: float | None) -> str:
    """How long a fuse takes or a wire stands."""
    return format_quantity("duration", time_s, subject.build.header.units, NEVER)


def margin(subject: Subject, study: FuseStudy) -> str:
    """How many times over the wire stands what the fuse takes, where that is least."""
    if study.margin is None:
        return "never overheats" if study.protects else "-"
    times, amperes = subject.show("margin", study.margin), study.margin_at_a
    return f"{times} at {subject.show('current', amperes)}"


def answer(subject: Subject, study: FuseStudy) -> str:
    """What a study comes to, in a few words."""
    said = "opens first" if study.protects else "THE WIRE OVERHEATS FIRST"
    if not study.opens:
        said = "MAY NEVER OPEN at a short at the far end"
    if not study.breaks:
        capacity = subject.show("current", study.breaking_a)
        said += f"; a short at the fuse is over its {capacity} interrupting rating"
    if study.selective is not None:
        said += f"; {'opens before' if study.selective else 'may also blow'} {study.upstream}"
    return said


def verdict(subject: Subject, study: FuseStudy) -> str:
    """What a study says, in a sentence that begins with the answer."""
    if study.must_open_a is None:
        return "NOT KNOWN: the points entered for this fuse give no current at which it must open."
    if not study.opens:
        return (
            "DOES NOT OPEN: a short at the far end gives "
            f"{subject.show('current', study.fault_far_a)}, and it must open only from "
            f"{subject.show('current', study.must_open_a)}."
        )
    if not study.protects:
        return (
            f"DOES NOT PROTECT: at {subject.show('current', study.margin_at_a)} the wire of "
            f"{subject.name(study.weakest)} overheats before the fuse must have opened."
        )
    if not study.breaks:
        return (
            "PROTECTS THE WIRE, BUT MAY NOT BREAK THE FAULT: a short right behind it gives "
            f"{subject.show('current', study.fault_near_a)}, it breaks "
            f"{subject.show('current', study.breaking_a)}."
        )
    return "PROTECTS: at every fault it opens before any wire that it protects overheats."


def figures(subject: Subject, study: FuseStudy) -> tuple[Fact, ...]:
    """The figures of one study."""
    enough = "is enough" if study.breaks else "IS TOO LITTLE"
    ahead = "no fuse ahead of it"
    if study.upstream:
        ahead = "opens before " if study.selective else "may open together with "
        ahead += subject.name(study.upstream)
    at = "at a short at the far end"
    return (
        Fact("short at far end", "current", study.fault_far_a),
        Fact("short right behind it", "current", study.fault_near_a),
        Fact("must open from", "current", study.must_open_a),
        Fact("interrupting rating", "current", study.breaking_a, enough),
        Fact("opens within", "duration", time(subject, study.opens_far_s), at),
        Fact("wire withstands", "duration", time(subject, study.stands_far_s), at),
        Fact("safety factor", "margin", margin(subject, study)),
        Fact("weakest wire", TEXT, subject.name(study.weakest)),
        Fact("beside others", TEXT, ahead),
        Fact("curve used", TEXT, study.curve or "none"),
    )


def urgency(study: FuseStudy) -> tuple[bool, float]:
    """What comes first where only a few can be shown: what fails, then the least margin."""
    return study.protects and study.opens and study.breaks, study.margin or 1e9


def _note(subject: Subject, study: FuseStudy) -> str:
    said = answer(subject, study)
    if study.weakest != study.id:
        said += f"; weakest wire: {subject.name(study.weakest)}"
    return f"{said[:1].upper()}{said[1:]}. Curve: {study.curve or 'none'}."


STUDIES: Table[FuseStudy] = Table(
    rows=lambda s: s.sheet.studies,
    columns=(
        Column("id", "Run", TEXT, lambda s, f: f.id),
        Column("name", "Name", TEXT, lambda s, f: s.name(f.id)),
        Column("fuse", "Fuse", "current", lambda s, f: f.rating_a),
        Column("near", "Short at fuse", "current", lambda s, f: f.fault_near_a),
        Column("far", "Short at end", "current", lambda s, f: f.fault_far_a),
        Column("opens", "Opens in", "duration", lambda s, f: time(s, f.opens_far_s)),
        Column("stands", "Withstands", "duration", lambda s, f: time(s, f.stands_far_s)),
        Column("margin", "Safety factor", "margin", margin),
        Column("answer", "Verdict", TEXT, answer),
    ),
    note=_note,
    legend="Short at fuse and at end: a dead short right behind the fuse, and at the far end of "
    "what it protects, from the batteries alone. Opens in: at the latest, at the far one. "
    "Withstands: the weakest wire that it protects. Safety factor: withstands over opens in, "
    "where least.",
    empty="This build has no fuses.",
)


def way_to(subject: Subject, id: str) -> tuple[str, ...]:
    """The runs from a battery's post to a run and along it; a ground's: to the post, it first."""
    run = subject.sheet.run(id)
    if run is None:
        return ()
    for load in subject.sheet.loads:
        if id in load.feed_runs:
            return tuple(reversed(load.feed_runs[load.feed_runs.index(id) :]))
        if id in load.return_runs:
            return load.return_runs[load.return_runs.index(id) :]
    return (id,)


def let_in(subject: Subject, segment: SegmentResult) -> str:
    """The greatest lasting current in a piece, and what limits it, in words."""
    if segment.lasting_a is None:
        return "nothing limits what flows into it"
    amperes = subject.show("current", segment.lasting_a)
    if segment.cause:
        return f"{amperes} at most come back, {caused(subject, segment.cause)}"
    names = subject.names(segment.limits)
    return f"{amperes} at most for good" + (f", by {names}" if names else "")


def caused(subject: Subject, cause: str) -> str:
    """The fault that makes a ground return the most."""
    kind, _, id = cause.rpartition(":")
    if kind == "run":
        return f"in a short to the body behind the fuse of {subject.name(id)}"
    if kind == "block":
        return f"when {subject.name(id)} touches the ground block beside it"
    return f"when {subject.name(id.rstrip('>'))} is short inside"


def outlasts(subject: Subject, segment: SegmentResult) -> str:
    """The worst short behind a piece's own fuses, in words; "" where none is judged."""
    if segment.shared_place:
        ratio = subject.show("margin", segment.shared_ratio)
        return f"a short that several sources feed: {ratio} the heat that it withstands"
    if segment.short_a is None:
        return ""
    opens, stands = time(subject, segment.opens_s), time(subject, segment.stands_s)
    amperes = subject.show("current", segment.short_a)
    if segment.beside_a:
        amperes += f" beside {subject.show('current', segment.beside_a)}"
    return f"any short, the worst at {amperes}: a fuse opens within {opens}, it withstands {stands}"


class FuseThere(Struct, frozen=True):
    """A fuse on the way: its words."""

    said: str


Step = SegmentResult | FuseThere


def steps_of(subject: Subject, run: RunResult) -> list[Step]:
    """Pieces and fuses of one wire of a run, from its source on."""
    entered = find(subject.build, run.id)
    found: list[Step] = []
    pieces = subject.sheet.segments_of(run.id)
    if not isinstance(entered, Run) or run.fuse_a is None:
        return list(pieces)
    rating = f"{subject.show('current', run.fuse_a)} {shown(run.fuse_family)}"
    at = [fuse_distance_m(subject.build, entered)] * entered.fused
    far_m = run.wire_m - fuse_distance_m(subject.build, entered, far=True)
    at += [max(far_m, 0.0)] * entered.far_fused
    for piece in pieces:
        while at and at[0] <= piece.start_m + 1e-6:
            at.pop(0)
            found.append(FuseThere(f"fuse, {rating}"))
        found.append(piece)
    found += [FuseThere(f"fuse, {rating}")] * len(at)
    return found
