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
    """One column of a table: its title, the cells it may always take, and which way it leans."""

    title: str
    most: int
    right: bool = False


def fit(text: str, width: int) -> str:
    """The text, or as much of it as goes into ``width`` cells with an ellipsis behind."""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1).rstrip() + "…"


def some(names: Sequence[str]) -> str:
    """The first three names, and how many more there are."""
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(fit(name, 30) for name in names[:3]) + more


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
    """A header line and the rows, each column as wide as its text while the page has room.

    Where it has not, the columns that go most beyond their ``most`` are narrowed, down to it:
    their cells are cut, those of the last column wrapped.
    """
    titles = [column.title for column in columns]
    widths = [max(map(cell_len, cells)) for cells in zip(titles, *rows, strict=True)]
    spare = WIDTH - len(GAP) * (len(columns) - 1) - sum(widths)
    beyond = {i: widths[i] - column.most for i, column in enumerate(columns)}
    for i in sorted(beyond, key=beyond.__getitem__, reverse=True):
        cut = max(0, min(beyond[i], -spare))
        widths[i] -= cut
        spare += cut
    lines = []
    for row in (titles, *rows):
        first, *more = wrap(row[-1], width=widths[-1]) if widths[-1] else [""]
        cells = [
            _pad(fit(cell, width), width, column.right)
            for cell, width, column in zip((*row[:-1], first), widths, columns, strict=True)
        ]
        indent = " " * (sum(widths[:-1]) + len(GAP) * (len(columns) - 1))
        lines += [GAP.join(cells).rstrip(), *(indent + line for line in more)]
    return lines


def _pad(text: str, width: int, right: bool) -> str:
    space = " " * (width - cell_len(text))
    return f"{space}{text}" if right else f"{text}{space}"
