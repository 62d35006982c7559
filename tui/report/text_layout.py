"""Topics laid out as lines of plain text: the columns that a page has room for, and facts."""

from collections.abc import Iterable
from typing import TypeVar

from domain.topics.tables import Fact, Subject, Table
from tui.report.plain import WIDTH, Column, table, wrap

Row = TypeVar("Row")


def lay(subject: Subject, topic: Table[Row], most: dict[str, int], width: int = WIDTH) -> list[str]:
    """Lines of a table; no lines where it has no rows.

    ``most`` names the columns, from left to right, with the cells that each may always take.
    """
    columns = [
        Column(column.title, most[column.key], not column.is_text)
        for column in topic.pick(tuple(most))
    ]
    rows = topic.cells(subject, tuple(most))
    return table(columns, rows, width) if rows else []


def notes(subject: Subject, topic: Table[Row], key: str, mark: str = "") -> list[str]:
    """What there is to remark on the rows, each behind what its row is called."""
    column = topic.by_key[key]
    said = ((column.cell(subject, row), topic.note(subject, row)) for row in topic.rows(subject))
    return [line for name, note in said if note for line in wrap(f"{name}: {note}", mark)]


def lay_facts(subject: Subject, facts: Iterable[Fact]) -> list[str]:
    """Facts one below the other: title, figure, note."""
    rows = [(fact.title, subject.show(fact.kind, fact.value), fact.note) for fact in facts]
    return table((Column("", 26), Column("", 16, True), Column("", 54)), rows)[1:]
