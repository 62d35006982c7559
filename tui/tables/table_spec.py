"""What a table on a view is: its columns, and which records are its rows."""

from collections.abc import Callable, Collection
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from domain.document.records import records
from tui.tables.columns import Column

Rows = Callable[[Any, Any, str], list[Any]]
"""The rows of a table, from the document, what follows from it, and what it is narrowed to."""


class TableSpec(Struct, frozen=True):
    """One table on a view.

    ``rows`` takes document, sheet and what the view is narrowed to: a part, or a state. ``table``
    is the record table that the rows are edited in; empty: all of it is computed.
    """

    id: str
    view: str
    table: str
    caption: str
    columns: tuple[Column, ...]
    rows: Rows
    first: str = ""
    """Column where the cursor goes in a new row; empty: the first."""
    empty: str = ""
    """What to say of it while it has no rows; empty: that ctrl+n adds one."""
    stretches: str = ""
    """Column that takes the width that the others leave."""
    at_first: int = 0
    """So many of its columns are shown until somebody chooses others; 0: all of them."""

    @property
    def of_records(self) -> bool:
        """Whether its rows are records, and not computed or the fields of a form."""
        return self.table not in ("", "header")

    @property
    def name(self) -> str:
        """The caption without what it adds: "Runs" of "Runs: from the battery outwards"."""
        return self.caption.split(":")[0].split(" (")[0]

    def column_for(self, field: str) -> Column | None:
        """The column that shows this field."""
        return next((c for c in self.columns if c.field == field or field in c.covers), None)


def narrowed(spec: TableSpec, ids: Collection[str]) -> TableSpec:
    """The table with its first column and those of these ids."""
    first, *rest = spec.columns
    return replace(spec, columns=(first, *(column for column in rest if column.id in ids)))


def columns_of(table: str, *wanted: tuple[str, str, int]) -> tuple[Column, ...]:
    """Plain columns from (field, title, width)."""
    return tuple(Column(table, name, title, width) for name, title, width in wanted)


def every_record(table: str) -> Rows:
    """The records of a table, in the user's order."""
    return lambda document, sheet, part: list(records(document, table))
