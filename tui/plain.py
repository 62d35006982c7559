"""Plain text laid out in character cells: cut, wrapped, and set in columns.

Widths are counted as a terminal shows them (an emoji takes two cells), so that a table stays
straight whatever its names hold.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len, chop_cells, set_cell_size

WIDTH = 100
"""Columns of a printed page and of most terminals beside another window."""

GAP = "  "


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its title, its widest width in cells, and which way it leans."""

    title: str
    most: int
    right: bool = False


def fit(text: str, width: int) -> str:
    """The text, or as much of it as goes into ``width`` cells with an ellipsis behind."""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1).rstrip() + "…"


def wrap(text: str, first: str = "", rest: str | None = None, width: int = WIDTH) -> list[str]:
    """Lines of at most ``width`` cells: ``first`` leads the first of them, ``rest`` the others."""
    rest = " " * cell_len(first) if rest is None else rest
    lines: list[str] = []
    line, words = first, 0
    for word in _words(text, width - max(cell_len(first), cell_len(rest))):
        joined = f"{line} {word}" if words else f"{line}{word}"
        if words and cell_len(joined) > width:
            lines.append(line)
            line, words = f"{rest}{word}", 1
        else:
            line, words = joined, words + 1
    return [*lines, line.rstrip()]


def _words(text: str, width: int) -> Iterable[str]:
    for word in text.split():
        yield from chop_cells(word, width) if cell_len(word) > width else (word,)


def table(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[str]:
    """A header line and one line a row, each column as wide as it needs and at most its most."""
    cells = [[fit(cell, c.most) for c, cell in zip(columns, row, strict=True)] for row in rows]
    titles = [column.title for column in columns]
    widths = [max(map(cell_len, column)) for column in zip(titles, *cells, strict=True)]
    return [
        GAP.join(
            _pad(cell, width, column.right)
            for cell, width, column in zip(row, widths, columns, strict=True)
        ).rstrip()
        for row in (titles, *cells)
    ]


def _pad(text: str, width: int, right: bool) -> str:
    space = " " * (width - cell_len(text))
    return f"{space}{text}" if right else f"{text}{space}"
