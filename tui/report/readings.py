"""Meter readings as lines of text: what to read and what it should be, what was read, and why."""

from domain.full_results import Readings
from domain.topics.readings import JUDGED, PREDICTED, by_state, likely, state_title
from domain.topics.readings import check_list as listed
from domain.topics.tables import Subject
from tui.report.plain import wrap
from tui.report.text_layout import lay


def readings(subject: Subject, read: Readings) -> list[str]:
    """The section of a sheet: what was typed, and what to read in the first state that tells."""
    lines = judgement(subject, read)
    states = by_state(read.predicted)
    if not states:
        return lines
    first = next(iter(states))
    heading = f"To be read, {state_title(subject, first)}"
    if len(states) > 1:
        heading += f" (`mainrun readings` lists {len(states) - 1} more states)"
    most = {"at": 28, "probes": 30, "should": 9, "tolerance": 12}
    return [*lines, *wrap(f"{heading}:"), *lay(subject, PREDICTED.over(states[first]), most)]


def check_list(subject: Subject, read: Readings) -> list[str]:
    """Everything to read, state by state, with what was typed and what that says in front."""
    lines = judgement(subject, read)
    if lines:
        lines.append("")
    for number, said in listed(subject, read.predicted):
        lines += wrap(said, f"{number:>5}  " if number else "")
    return lines or ["nothing to read: no state of this build can be predicted"]


def judgement(subject: Subject, read: Readings) -> list[str]:
    """The typed readings beside their predictions, the verdict, and the joints to look at."""
    if not read.judged:
        return []
    most = {"id": 5, "at": 18, "mode": 16, "reading": 8, "should": 9, "tolerance": 12}
    lines = lay(subject, JUDGED.over(read.judged), {**most, "verdict": 20})
    if read.verdict:
        lines += wrap(read.verdict)
    for number, said in enumerate(likely(subject, read), 1):
        lines += wrap(said, f"{number}. ")
    return lines
