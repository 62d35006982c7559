"""Rows that are pasted from a spreadsheet: cell by cell from the cursor on, as one edit."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from domain.build.edits import Batch, Edit, EditRefused
from tui.tables.columns import Column
from tui.widgets.grid import resolved

if TYPE_CHECKING:
    from tui.grids.grid_screen import GridScreen

MOST_CELLS = 5000
"""Cells that are taken at once."""


def is_rows(text: str) -> bool:
    """Whether a text is more than the content of one cell."""
    return len(text.strip("\r\n").splitlines()) > 1 or "\t" in text


def paste_rows(screen: "GridScreen", text: str) -> None:
    """Put rows of cells, parted by tabs, into the table from the cursor on; all or none."""
    rows = [line.split("\t") for line in text.strip("\r\n").splitlines()]
    try:
        edits = list(_edits(screen, rows))
    except ValueError as error:
        screen.warn(f"Nothing was pasted: {error}")
        return
    if not edits:
        screen.say("Nothing was pasted: there was nothing in it", bad=True)
        return
    many = "1 cell" if len(edits) == 1 else f"{len(edits)} cells"
    if screen.commit(Batch(edits=tuple(edits), label=f"paste {many}")):
        screen.say(f"Pasted {many}: ctrl+z takes them back")


def _edits(screen: "GridScreen", rows: Sequence[Sequence[str]]) -> Iterator[Edit]:
    grid, bench = screen.grid, screen.workbench
    records = grid.spec.rows(bench.document, bench.sheet, screen.narrowed)
    row, place = grid.cursor_coordinate
    if sum(len(cells) for cells in rows) > MOST_CELLS:
        raise EditRefused(f"at most {MOST_CELLS} cells are taken at once")
    below = _filled(grid.spec.columns[place], bench.document, records[row:])
    if len(rows) > len(below):
        there = f"the {len(below)} from here on: add rows first"
        raise EditRefused(f"{len(rows)} rows do not fit into {there}")
    for number, (cells, record) in enumerate(zip(rows, below, strict=False), 1):
        for column, text in zip(grid.spec.columns[place:], cells, strict=False):
            if not text.strip():
                continue
            actual, subject = resolved(column, bench.document, record)
            if not actual.editable:
                raise EditRefused(f"row {number}: {actual.title.lstrip('·')} cannot be typed into")
            try:
                yield actual.typed(bench.document, subject, text.strip())
            except ValueError as error:
                raise EditRefused(f"row {number}: {error}") from None


def _filled(column: Column, document: Any, records: Sequence[Any]) -> list[Any]:
    """The rows with something to fill in below a cell: those that enter leads to."""
    found = []
    for record in records:
        actual, subject = resolved(column, document, record)
        if actual.after_enter != "down" or actual.fills(subject):
            found.append(record)
    return found
