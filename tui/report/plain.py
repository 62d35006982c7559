"""Plain text laid out on a page of character cells: wrapped, and set in columns.

Widths are counted as a terminal shows them (an emoji takes two cells), so that a table stays
straight whatever its names hold.
"""

import re
from collections.abc import Sequence
from time import strftime

from msgspec import Struct
from rich.cells import cell_len

from tui.widgets import cell_text
from tui.widgets.cell_text import cut, left, right

WIDTH = 100
"""Columns of a printed page and of most terminals beside another window."""

GAP = "  "


class Column(Struct, frozen=True):
    """One column of a table: its title, the cells it may always take, and which way it leans."""

    title: str
    most: int
    right: bool = False


def some(names: Sequence[str]) -> str:
    """The first three names, and how many more there are."""
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(cut(name, 30) for name in names[:3]) + more


def wrap(text: str, first: str = "", rest: str | None = None, width: int = WIDTH) -> list[str]:
    """Lines of at most ``width`` cells: ``first`` leads the first of them, ``rest`` the others."""
    return cell_text.wrap(text, width, first, rest) or [first.rstrip()]


def within(line: str) -> list[str]:
    """A line that other words have made too wide, in lines that are not: gaps give way first."""
    while cell_len(line) > WIDTH and (gap := re.search(r"(?<=\S)   +(?=\S)", line)):
        line = line[: gap.start()] + line[gap.start() + 1 :]
    if cell_len(line) <= WIDTH:
        return [line]
    indent = " " * (len(line) - len(line.lstrip()))
    return wrap(line, indent, f"{indent}  ")


def table(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int = WIDTH
) -> list[str]:
    """A header line and the rows, each column as wide as its text while the page has room.

    Where it has not, the columns that go most beyond their ``most`` are narrowed, down to it:
    their cells are cut, those of the last column wrapped.
    """
    titles = [column.title for column in columns]
    widths = [max(map(cell_len, cells)) for cells in zip(titles, *rows, strict=True)]
    spare = width - len(GAP) * (len(columns) - 1) - sum(widths)
    beyond = {i: widths[i] - column.most for i, column in enumerate(columns)}
    for i in sorted(beyond, key=beyond.__getitem__, reverse=True):
        less = max(0, min(beyond[i], -spare))
        widths[i] -= less
        spare += less
    lines = []
    for row in (titles, *rows):
        first, *more = wrap(row[-1], width=widths[-1]) if widths[-1] else [""]
        cells = [
            (right if column.right else left)(cell, room)
            for cell, room, column in zip((*row[:-1], first), widths, columns, strict=True)
        ]
        indent = " " * (sum(widths[:-1]) + len(GAP) * (len(columns) - 1))
        lines += [GAP.join(cells).rstrip(), *(indent + line for line in more)]
    return lines


def today() -> str:
    """The date here as it is printed, whatever the name of the time zone is."""
    return strftime("%Y-%m-%d")
