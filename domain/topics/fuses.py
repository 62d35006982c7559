"""The fuses: what each is, where it sits, what it guards; and wire that none guards."""

from domain.build.choices import shown
from domain.build.records import Run
from domain.cable.pieces import in_fused_block
from domain.document.records import find
from domain.electrical.protection.fuse_place import fuse_distance_m
from domain.reference.counter_words import with_standard
from domain.sheet import RunResult
from domain.topics.runs import pinned_fuse
from domain.topics.tables import ASSUMED, GAUGE, TEXT, Column, Subject, Table
from domain.units.gauges import gauge_text


def sits_at(subject: Subject, result: RunResult) -> str:
    """The device at which a run's fuse sits: the one at its far end if only that end has one."""
    run = find(subject.build, result.id)
    far = isinstance(run, Run) and run.far_fused and not run.fused
    return result.target if far else result.source


def where(subject: Subject, result: RunResult) -> str:
    """Where the fuses of a run are, in a sentence."""
    build = subject.build
    run = find(build, result.id)
    if not isinstance(run, Run):
        return ""
    places = []
    if run.fused or not run.far_fused:
        if in_fused_block(find(build, run.source), run):
            places.append(f"in an output of {subject.name(run.source)}")
        elif not result.fuse_distance_m:
            places.append(f"on {subject.name(run.source)}")
        else:
            places.append(
                f"in a holder {subject.show('length', result.fuse_distance_m)}"
                f"{assumed_place(subject, result)} along the wire "
                f"from {subject.name(run.source)}"
            )
    if run.far_fused:
        distance = subject.show("length", fuse_distance_m(subject.build, run, far=True))
        what = "a second one" if run.fused else "in a holder"
        places.append(f"{what} {distance} along the wire from {subject.name(run.target)}")
    said = " and ".join(places)
    return said[:1].upper() + said[1:] + "."


def also_guarded(subject: Subject, id: str) -> list[str]:
    """The runs beside its own that the fuse of a run guards."""
    study = subject.sheet.study(id)
    return [guarded for guarded in study.guarded if guarded != id] if study else []


def _note(subject: Subject, run: RunResult) -> str:
    also = also_guarded(subject, run.id)
    each = f"One in each of its {run.count} wires." if run.count > 1 and run.fuse_a else ""
    more = f"Protects {subject.names(also)} too." if also else ""
    return " ".join(filter(None, (where(subject, run), each, more, subject.stops(run.id))))


def assumed_place(subject: Subject, run: RunResult) -> str:
    """The mark behind a fuse's place that nobody entered, but for one in a fused block."""
    entered = find(subject.build, run.id)
    assumed = isinstance(entered, Run) and entered.fused and entered.fuse_distance_m is None
    return ASSUMED if assumed and run.fuse_distance_m else ""


def at_the_counter(subject: Subject) -> str:
    """The families of a build as they are asked for at a counter, each with its standard."""
    families = dict.fromkeys(run.fuse_family for run in FUSES.rows(subject) if run.fuse_family)
    said = [f"{family}: {with_standard(family)}" for family in families]
    return f"At the counter. {'; '.join(said)}." if said else ""


_COLUMNS: tuple[Column[RunResult], ...] = (
    Column("id", "Run", TEXT, lambda s, r: r.id),
    Column("name", "Name", TEXT, lambda s, r: r.name or s.name(r.id)),
    Column("both", "Run", TEXT, lambda s, r: f"{s.name(r.id)} ({r.id})"),
    Column("fuse", "Fuse", "current", lambda s, r: r.fuse_a, pinned_fuse),
    Column("family", "Fuse type", TEXT, lambda s, r: shown(r.fuse_family) or "to be chosen"),
    Column("wire", "Wire", GAUGE, lambda s, r: gauge_text(r.gauge, r.count)),
    Column("least", "At least", "current", lambda s, r: r.fuse_least_a),
    Column("holds", "Ampacity", "current", lambda s, r: r.ampacity_a),
    Column("at", "Wire to fuse", "length", lambda s, r: r.fuse_distance_m, assumed_place),
    Column("bare", "Unprotected", "length", lambda s, r: r.unprotected_m),
)

FUSES: Table[RunResult] = Table(
    rows=lambda s: [run for run in s.sheet.runs if run.fuse_a is not None],
    columns=_COLUMNS,
    note=_note,
    empty="This build has no fuses.",
)
"""Runs with a fuse, from the battery outwards."""

UNGUARDED: Table[RunResult] = Table(
    rows=lambda s: [
        run
        for run in s.sheet.runs
        if run.polarity == "positive" and run.unprotected_m and not run.existing
    ],
    columns=_COLUMNS,
)
"""Runs with wire ahead of their fuse."""

FUSED_OR_UNGUARDED: Table[RunResult] = Table(
    rows=lambda s: [
        run
        for run in s.sheet.runs
        if run.fuse_a is not None or (run.unprotected_m and not run.existing)
    ],
    columns=_COLUMNS,
)
"""Both of them in one table."""
