"""Topics laid out on a page: the columns that it has room for, their widths, facts as a table."""

from collections.abc import Callable, Iterable
from typing import TypeVar

from msgspec import Struct

from domain.topics.tables import Fact, Subject
from domain.topics.tables import Table as Topic
from storage.pack.pages import TICK, Column, Group, Paper, Row

Entry = TypeVar("Entry")


class Wide(Struct, frozen=True):
    """How a column of a topic stands on the page: see ``paper.Column``."""

    width: float = 0.0
    most: int = 3
    bold: bool = False


def columns(topic: Topic[Entry], wide: dict[str, Wide]) -> tuple[Column, ...]:
    """The columns of a topic as the page takes them."""
    return tuple(
        Column(
            column.title,
            wide[column.key].width,
            0 if column.is_text else 1,
            wide[column.key].most,
            wide[column.key].bold,
        )
        for column in topic.pick(tuple(wide))
    )


def lay(
    subject: Subject,
    paper: Paper,
    topic: Topic[Entry],
    wide: dict[str, Wide],
    *,
    tick: Column | None = None,
    group: Callable[[Entry], str] | None = None,
    note: Callable[[Subject, Entry], str] | None = None,
) -> None:
    """A table of a topic, its notes below the rows, or its sentence where it has no rows.

    ``wide`` names the columns, from left to right. ``tick`` is a column of boxes before them,
    ``group`` the heading under which a row stands, ``note`` another sentence below a row.
    """
    shown = topic.pick(tuple(wide))
    below = note or topic.note
    rows: list[Row | Group] = []
    last = ""
    for entry in topic.rows(subject):
        heading = group(entry) if group else ""
        if heading != last:
            rows.append(Group(heading))
            last = heading
        cells = tuple(column.cell(subject, entry) for column in shown)
        rows.append(Row((TICK, *cells) if tick else cells, below(subject, entry)))
    head = columns(topic, wide)
    paper.table((tick, *head) if tick else head, rows, topic.empty)


def lay_facts(
    subject: Subject, paper: Paper, facts: Iterable[Fact], title: float, figure: float
) -> None:
    """Facts one below the other: title, figure, note; the two widths in millimetres."""
    rows = [(fact.title, subject.show(fact.kind, fact.value), fact.note) for fact in facts]
    paper.table((Column("", title), Column("", figure, 1, bold=True), Column("")), rows)
