"""Does every fuse open before its wire is hurt? The study in words."""

from domain.sheet import FuseStudy
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
        return "never hurt" if study.protects else "-"
    times, amperes = subject.show("margin", study.margin), study.margin_at_a
    return f"{times} at {subject.show('current', amperes)}"


def answer(subject: Subject, study: FuseStudy) -> str:
    """What a study comes to, in a few words."""
    said = "opens first" if study.protects else "THE WIRE IS HURT FIRST"
    if not study.opens:
        said = "MAY NEVER OPEN at the far short"
    if not study.breaks:
        capacity = subject.show("current", study.breaking_a)
        said += f"; near short is over its {capacity} breaking capacity"
    if study.selective is not None:
        said += f"; {'selective' if study.selective else 'not selective'} with {study.upstream}"
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
            f"{subject.name(study.weakest)} is hurt before the fuse must have opened."
        )
    if not study.breaks:
        return (
            "PROTECTS THE WIRE, BUT MAY NOT BREAK THE FAULT: a short right behind it gives "
            f"{subject.show('current', study.fault_near_a)}, it breaks "
            f"{subject.show('current', study.breaking_a)}."
        )
    return "PROTECTS: at every fault it opens before any wire that it guards is hurt."


def figures(subject: Subject, study: FuseStudy) -> tuple[Fact, ...]:
    """The figures of one study."""
    enough = "is enough" if study.breaks else "IS TOO LITTLE"
    ahead = "no fuse ahead of it"
    if study.upstream:
        ahead = "opens before " if study.selective else "may open together with "
        ahead += subject.name(study.upstream)
    at = "at far short"
    return (
        Fact("short at far end", "current", study.fault_far_a),
        Fact("short right behind it", "current", study.fault_near_a),
        Fact("must open from", "current", study.must_open_a),
        Fact("breaking capacity", "current", study.breaking_a, enough),
        Fact("opens within", "duration", time(subject, study.opens_far_s), at),
        Fact("wire stands", "duration", time(subject, study.stands_far_s), at),
        Fact("least margin", "margin", margin(subject, study)),
        Fact("weakest wire", TEXT, subject.name(study.weakest)),
        Fact("selective", TEXT, ahead),
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
        Column("near", "Short near", "current", lambda s, f: f.fault_near_a),
        Column("far", "Short far", "current", lambda s, f: f.fault_far_a),
        Column("opens", "Opens", "duration", lambda s, f: time(s, f.opens_far_s)),
        Column("stands", "Stands", "duration", lambda s, f: time(s, f.stands_far_s)),
        Column("margin", "Margin", "margin", margin),
        Column("answer", "Verdict", TEXT, answer),
    ),
    note=_note,
    legend="Short near and far: a dead short right behind the fuse, and at the far end of what it "
    "guards, from the batteries alone. Opens: at the latest, at the far one. Stands: the weakest "
    "wire that it guards. Margin: stands over opens, where that is least.",
    empty="This build has no fuses.",
)
