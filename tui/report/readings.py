"""Meter readings as lines of text: what to read and what it should be, what was read, and why."""

from domain.build.records import Build, label
from domain.electrical.meter.readings import JudgedReading, full_check_list
from domain.full_results import Readings
from domain.sheet import Sheet
from domain.topics.shower import Show
from tui.report.plain import Column, table, wrap

MOST_SUSPECTS = 3
"""So many joints are worth a line, the likeliest first."""


def readings(build: Build, sheet: Sheet, read: Readings, show: Show) -> list[str]:
    """The section of a sheet: what was typed, and what to read in the first state that tells."""
    lines = judgement(build, read, show)
    first = [each for each in read.predicted if each.mode is read.predicted[0].mode]
    if not first:
        return lines
    state = sheet.state(first[0].mode.value)
    columns = (
        Column("Read at", 28),
        Column("Across", 30),
        Column("Should be", 9, True),
        Column("Give or take", 12, True),
    )
    rows = [
        (
            label(build, each.at),
            f"it to negative of {label(build, each.against)}" if each.against else each.meter.value,
            show("voltage", each.predicted_v),
            show("voltage", each.tolerance_v),
        )
        for each in first
    ]
    heading = f"To be read, {state.title if state else first[0].mode.value}"
    others = len({each.mode for each in read.predicted}) - 1
    if others:
        heading += f" (`mainrun readings` lists {others} more states)"
    return [*lines, *wrap(f"{heading}:"), *table(columns, rows)]


def check_list(build: Build, sheet: Sheet, read: Readings, show: Show) -> list[str]:
    """Everything to read, state by state, with what was typed and what that says in front."""
    lines = judgement(build, read, show)
    if lines:
        lines.append("")
    for line in full_check_list(build, sheet):
        number, _, rest = line.strip().partition(" ")
        lines += wrap(rest, f"{number:>5}  ") if number.isdecimal() else wrap(line)
    return lines or ["nothing to read: no state of this build can be predicted"]


def judgement(build: Build, read: Readings, show: Show) -> list[str]:
    """The typed readings beside their predictions, the verdict, and the joints to look at."""
    if not read.judged:
        return []
    columns = (
        Column("Id", 5),
        Column("Typed at", 18),
        Column("State", 16),
        Column("Reading", 8, True),
        Column("Should be", 9, True),
        Column("Give or take", 12, True),
        Column("Verdict", 20),
    )
    rows = [
        (
            each.id,
            label(build, each.at) if each.at else "-",
            each.mode.value,
            show("voltage", each.value_v),
            show("voltage", each.predicted_v),
            show("voltage", each.tolerance_v),
            _verdict(each),
        )
        for each in read.judged
    ]
    lines = table(columns, rows)
    if read.verdict:
        lines += wrap(read.verdict)
    # Where none explains all, the verdict has named the nearest: there is nothing to re-make yet.
    likely = [each for each in read.suspects if each.explained]
    for number, suspect in enumerate(likely[:MOST_SUSPECTS], 1):
        lines += wrap(
            f"{suspect.where}: {show('resistance', suspect.extra_ohm)} too much explains all. "
            f"{suspect.what_to_do}",
            f"{number}. ",
        )
    return lines


def _verdict(each: JudgedReading) -> str:
    if each.ok is None:
        return each.message
    return "pass" if each.ok else f"FAIL: {each.message}"
