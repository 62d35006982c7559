"""Results with words: facts, and tables of them, before anyone lays them out.

A topic says once what a figure is called, of what kind it is, where its value comes from and what
there is to remark on it. Text, paper and the grids of the screen pick the columns that they have
room for, set their widths, and print ``Column.cell``: nothing else turns a result into words.
"""

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import Generic, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from domain.build.records import Build
from domain.document.records import label
from domain.findings import Level
from domain.sheet import Sheet
from domain.topics.shower import shower
from domain.units.gauges import gauge_text

TEXT, GAUGE = "text", "gauge"
"""Kinds beside the quantities: words as they are, and a wire size."""

PINNED, ASSUMED = "*", "?"
"""Behind a value that the user set and the engine did not choose; behind one not measured."""

PINNED_SAID = f"{PINNED} set by hand, not calculated."
ASSUMED_SAID = f"{ASSUMED} assumed: measure before you cut."

Value = float | str | None

Row = TypeVar("Row")


class Subject(Struct, frozen=True):
    """The build with its results that words are found for."""

    build: Build
    sheet: Sheet

    def show(self, kind: str, value: Value) -> str:
        """A value as it is printed, "-" where there is none."""
        if isinstance(value, str):
            return gauge_text(value) if kind == GAUGE else value
        return shower(self.build)(kind, value)

    def name(self, id: str) -> str:
        """What a record is called."""
        return label(self.build, id)

    def names(self, ids: Sequence[str], most: int = 6) -> str:
        """Several records in words, the first few by name."""
        shown = ", ".join(self.name(id) for id in ids[:most])
        return shown + (f" and {len(ids) - most} more" if len(ids) > most else "")

    def stops(self, id: str) -> str:
        """What must be settled at a record before work begins, in a sentence; "" if nothing."""
        found = [f.what for f in self.sheet.findings if f.level is Level.STOP and f.id == id]
        return f"STOP: {'; '.join(found)}." if found else ""


class Fact(Struct, frozen=True):
    """One figure with its words; ``note`` stands behind or below it."""

    title: str
    kind: str
    value: Value
    note: str = ""


def _none(subject: Subject, row: object) -> str:
    return ""


class Column(Struct, Generic[Row], frozen=True):
    """One figure of every row: ``key`` is what a layout calls it, ``of`` finds its value.

    ``mark`` is what stands right behind the value: pinned, assumed.
    """

    key: str
    title: str
    kind: str
    of: Callable[[Subject, Row], Value]
    mark: Callable[[Subject, Row], str] = _none
    says: str = ""
    """What the figure is, where its title does not say it: for help."""

    def cell(self, subject: Subject, row: Row) -> str:
        """What is printed."""
        value = self.of(subject, row)
        return subject.show(self.kind, value) + ("" if value is None else self.mark(subject, row))

    @property
    def is_text(self) -> bool:
        """Whether it holds words, which stand at the left, and not figures."""
        return self.kind == TEXT


class Table(Struct, Generic[Row], frozen=True, dict=True):
    """A table of a topic: its rows, its columns, a sentence below a row, what explains it."""

    rows: Callable[[Subject], Sequence[Row]]
    columns: tuple[Column[Row], ...]
    note: Callable[[Subject, Row], str] = _none
    legend: str = ""
    empty: str = "none"

    @cached_property
    def by_key(self) -> dict[str, Column[Row]]:
        """Its columns by what they are called in commands."""
        return {column.key: column for column in self.columns}

    def over(self, rows: Sequence[Row]) -> "Table[Row]":
        """The same over these rows."""
        return replace(self, rows=lambda subject: rows)

    def pick(self, keys: Sequence[str]) -> list[Column[Row]]:
        """Columns by their keys; ``KeyError`` for an unknown key."""
        return [self.by_key[key] for key in keys]

    def cells(self, subject: Subject, keys: Sequence[str]) -> list[tuple[str, ...]]:
        """Every row as it is printed."""
        columns = self.pick(keys)
        return [
            tuple(column.cell(subject, row) for column in columns) for row in self.rows(subject)
        ]
