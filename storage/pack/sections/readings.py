"""The readings sheet: what a meter should show, with room for what it shows."""

from itertools import count

from domain.build.choices import NetworkMode
from domain.checks.cautions import FULL_POWER
from domain.electrical.meter.readings import PredictedReading
from domain.topics.readings import JUDGED, PREDICTED, by_state, likely, state_title
from domain.topics.tables import Subject
from storage.pack.pack_context import Pack
from storage.pack.pages import BLANK, TICK, Column, Paper
from storage.pack.topic_tables import Wide, columns, lay

_READ = {
    "number": Wide(13),
    "where": Wide(most=2),
    "probes": Wide(39),
    "should": Wide(18, bold=True),
    "tolerance": Wide(16),
    "good": Wide(30),
}
_TAKEN = {
    "where": Wide(),
    "state": Wide(34),
    "reading": Wide(18),
    "should": Wide(20),
    "tolerance": Wide(15),
    "verdict": Wide(48, most=5),
}


def readings(pack: Pack, paper: Paper) -> None:
    """State by state in the order of a walk round the car, then what was typed before.

    Numbered here, without gaps: states that read alike are one table.
    """
    read, subject = pack.results.readings, pack.subject
    if not read.predicted:
        paper.words("No state of this build can be predicted: see Findings.")
    else:
        paper.words(
            "Along a run: across both its joints. A distribution block: against bare body metal. "
            "To the negative post of a battery: black probe there, red probe where it says."
        )
        paper.words(FULL_POWER)
    number = count(1)
    head = (*columns(PREDICTED, _READ), Column("Read", 20), Column("OK", 9))
    for modes, own in _alike(subject, by_state(read.predicted)):
        title = " or ".join(state_title(subject, mode) for mode in modes)
        paper.heading(title[:1].upper() + title[1:], 26, mark=True)
        rows = PREDICTED.over(own).cells(subject, tuple(_READ)[1:])
        paper.table(head, [(str(next(number)), *row, BLANK, TICK) for row in rows])
    _typed(pack, paper)


def _alike(
    subject: Subject, states: dict[NetworkMode, list[PredictedReading]]
) -> list[tuple[list[NetworkMode], list[PredictedReading]]]:
    """States that a meter cannot tell apart are one table."""
    keys = "where", "probes", "should", "tolerance"
    alike: dict[tuple[tuple[str, ...], ...], list[NetworkMode]] = {}
    for mode, own in states.items():
        alike.setdefault(tuple(PREDICTED.over(own).cells(subject, keys)), []).append(mode)
    return [(modes, states[modes[0]]) for modes in alike.values()]


def _typed(pack: Pack, paper: Paper) -> None:
    read, subject = pack.results.readings, pack.subject
    if not read.judged:
        return
    paper.heading("Readings taken so far", 26, mark=True)
    lay(subject, paper, JUDGED.over(read.judged), _TAKEN)
    if read.verdict:
        paper.words(read.verdict, bold=True)
    for said in likely(subject, read):
        paper.words(said, indent=5, mark="-")
