"""Meter readings in words: what to read and what it should be, what was read, and why."""

from collections.abc import Iterator

from domain.build.choices import NetworkMode, shown
from domain.electrical.meter.diagnosis import Suspect
from domain.electrical.meter.readings import JudgedReading, PredictedReading
from domain.full_results import Readings
from domain.topics.tables import TEXT, Column, Subject, Table

MOST_SUSPECTS = 3
"""At most this many joints get a line, the likeliest first."""


def state_title(subject: Subject, mode: NetworkMode) -> str:
    """What the state is called in which something is read."""
    state = subject.sheet.state(mode.value)
    return state.title if state else shown(mode)


def probes(subject: Subject, each: PredictedReading) -> str:
    """Where the probes go."""
    if each.against:
        return f"from it to the negative post of {subject.name(each.against)}"
    return shown(each.meter)


def good(subject: Subject, each: PredictedReading) -> str:
    """Between which voltages a reading passes."""
    low, high = each.predicted_v - each.tolerance_v, each.predicted_v + each.tolerance_v
    from_v = subject.show("voltage", low).removesuffix(" V")
    return f"{from_v} to {subject.show('voltage', high)}"


def by_state(predicted: tuple[PredictedReading, ...]) -> dict[NetworkMode, list[PredictedReading]]:
    """The readings of each state, in the order of a walk round the car."""
    found: dict[NetworkMode, list[PredictedReading]] = {}
    for each in predicted:
        found.setdefault(each.mode, []).append(each)
    return found


def check_list(
    subject: Subject, predicted: tuple[PredictedReading, ...]
) -> Iterator[tuple[int, str]]:
    """All that is to be read as numbered sentences; a heading before each state, numbered 0."""
    for mode, own in by_state(predicted).items():
        yield 0, f"{state_title(subject, mode).capitalize()}:"
        for each in own:
            should, tolerance = (
                subject.show("voltage", value) for value in (each.predicted_v, each.tolerance_v)
            )
            said = f"{subject.name(each.at)}, {probes(subject, each)}: {should}"
            yield each.order, f"{said}, tolerance {tolerance}"


def suspect_said(subject: Subject, suspect: Suspect) -> str:
    """What is wrong where, in a phrase."""
    much = subject.show("resistance", suspect.extra_ohm)
    return f"{suspect.where}: {much} too much{' explains all' if suspect.explained else ''}"


def likely(subject: Subject, read: Readings) -> Iterator[str]:
    """The joints to look at first, and what to do there.

    Where none explains all, the verdict has named the nearest: there is nothing to re-make yet.
    """
    for suspect in [each for each in read.suspects if each.explained][:MOST_SUSPECTS]:
        yield f"{suspect_said(subject, suspect)}. {suspect.what_to_do}"


def verdict(subject: Subject, each: JudgedReading) -> str:
    """Whether a reading passes, and why not."""
    if each.ok is None:
        return each.message
    return "pass" if each.ok else f"FAIL: {each.message}"


PREDICTED: Table[PredictedReading] = Table(
    rows=lambda s: (),
    columns=(
        Column("number", "No.", "count", lambda s, r: r.order),
        Column("at", "Read at", TEXT, lambda s, r: s.name(r.at)),
        Column("where", "Read at", TEXT, lambda s, r: f"{s.name(r.at)} ({r.at})"),
        Column("probes", "Probes", TEXT, probes),
        Column("should", "Should be", "voltage", lambda s, r: r.predicted_v),
        Column("tolerance", "Tolerance", "voltage", lambda s, r: r.tolerance_v),
        Column("good", "Good", "voltage", good),
    ),
)

JUDGED: Table[JudgedReading] = Table(
    rows=lambda s: (),
    columns=(
        Column("id", "Id", TEXT, lambda s, r: r.id),
        Column("at", "Taken at", TEXT, lambda s, r: s.name(r.at) if r.at else "-"),
        Column(
            "where",
            "Taken at",
            TEXT,
            lambda s, r: f"{s.name(r.at) if r.at else '-'}, {shown(r.meter)}",
        ),
        Column("mode", "Condition", TEXT, lambda s, r: shown(r.mode)),
        Column("state", "Condition", TEXT, lambda s, r: state_title(s, r.mode)),
        Column("reading", "Reading", "voltage", lambda s, r: r.value_v),
        Column("should", "Should be", "voltage", lambda s, r: r.predicted_v),
        Column("tolerance", "Tolerance", "voltage", lambda s, r: r.tolerance_v),
        Column("verdict", "Verdict", TEXT, verdict),
    ),
)
