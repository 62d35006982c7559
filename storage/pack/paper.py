"""Pages that fill from the top: headings, words, lists and tables, with a head and a foot.

Own code in the place of the PDF library's paragraphs and tables: those read markup in what
people typed, and break right-to-left text only after it was set. Lengths in millimetres.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from storage.pack.fonts import POINT_MM
from storage.pack.ink import Ink, Style
from storage.pack.tiles import PAPERS
from storage.pack.wrapping import wrapped

LEFT, RIGHT, TOP, BOTTOM = 17.0, 12.0, 20.0, 17.0
"""Margins; the left one has room for punched holes."""

BODY = 9.5
SMALL = 9.0
"""Nothing on these pages is set smaller [pt]."""

LEAD = 1.22
"""Distance of lines over the size of the letters."""

RULE = Style(0.1, grey=0.55)
EDGE = Style(0.3)
_PAD = 1.0
_GAP = 3.0
"""Between columns."""

TICK = "\x00tick"
"""A cell with a box to tick."""

BLANK = "\x00blank"
"""A cell with a line to write on."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, width (0: what is left), where its words stand (0, 0.5 or 1).

    ``most`` is how many lines a cell may take.
    """

    title: str
    width: float = 0.0
    align: float = 0.0
    most: int = 3
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """Cells of a table, and words below them from the first column of words to the right edge."""

    cells: tuple[str, ...]
    below: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """A heading between the rows of a table."""

    title: str


@dataclass(frozen=True, slots=True)
class Note:
    """Words between the rows of a table, over its whole width."""

    text: str


Rows = Iterable[Row | Group | Note | tuple[str, ...]]


class Paper:
    """A document in upright pages. ``starts`` has the first page of each section."""

    def __init__(self, ink: Ink, paper: str, head: str, foot: str) -> None:
        self.ink = ink
        self.width, self.height = PAPERS[paper]
        self.size = paper
        self.starts: dict[str, int] = {}
        self._head, self._foot = head, foot
        self._section = ""
        self._open = False
        self.y = 0.0

    @property
    def across(self) -> float:
        """Width between the margins."""
        return self.width - LEFT - RIGHT

    @property
    def room(self) -> float:
        """Height that is left on this page."""
        return self.y - BOTTOM if self._open else self.height - TOP - BOTTOM

    def section(self, title: str) -> None:
        """Begin a section on a new page."""
        self.end()
        self._section = title
        self._begin()
        self.starts[title] = self.ink.page
        self.ink.bookmark(title)
        self.y -= 5.5
        self.ink.text(LEFT, self.y, title, 16, bold=True, most=self.across)
        self.y -= 4.5

    def named(self, title: str) -> None:
        """Begin a section whose pages are drawn by someone else."""
        self.end()
        self.starts[title] = self.ink.page
        self.ink.bookmark(title)

    def heading(self, title: str, keep: float = 22.0, mark: bool = False) -> None:
        """A heading that stays with at least so much of what follows."""
        lines = wrapped(title, 11.5, self.across, True, 2)
        self.need(keep + 5.0 * len(lines))
        self.y -= 2.0
        if mark:
            self.ink.bookmark(title, 1)
        for line in lines:
            self.y -= 4.7
            self.ink.text(LEFT, self.y, line, 11.5, bold=True)
        self.y -= 1.8

    def words(
        self,
        text: str,
        *,
        size: float = BODY,
        indent: float = 0.0,
        mark: str = "",
        bold: bool = False,
        after: float = 1.2,
    ) -> None:
        """Words over the whole width; ``mark`` stands before the first line, or is a ``TICK``."""
        step = size * LEAD * POINT_MM
        for i, line in enumerate(wrapped(text, size, self.across - indent, bold)):
            self.need(step)
            self.y -= step
            if i == 0 and mark == TICK:
                self._tick(LEFT + indent - 6.0, self.y)
            elif i == 0 and mark:
                self.ink.text(LEFT + indent - 4.0, self.y, mark, size, bold=bold)
            self.ink.text(LEFT + indent, self.y, line, size, bold=bold)
        self.y -= after

    def high(self, text: str, *, indent: float = 0.0, bold: bool = False) -> float:
        """Height that such words take, without what comes after them."""
        step = BODY * LEAD * POINT_MM
        return step * len(wrapped(text, BODY, self.across - indent, bold))

    def need(self, height: float) -> None:
        """Go on to a new page where there is not so much room left on this one."""
        if not self._open:
            self._begin()
        elif self.y - height < BOTTOM and self.y < self.height - TOP - 0.01:
            self.end()
            self._begin()

    def take(self, height: float) -> float:
        """Room for something drawn: its lower edge."""
        self.need(height)
        self.y -= height
        return self.y

    def space(self, height: float) -> None:
        """Leave some room, none at the top of a page."""
        if self._open and self.y < self.height - TOP - 0.01:
            self.y = max(self.y - height, BOTTOM)

    def end(self) -> None:
        """Finish the page, if there is one."""
        if self._open:
            self.ink.end_page()
            self._open = False

    def table(self, columns: Sequence[Column], rows: Rows, none: str = "none") -> None:
        """A table with its headings on every page; ``none`` is said where it has no rows."""
        laid = _Laid.of(columns, self.across)
        self.space(1.5)
        first = True
        lines: list[tuple[str, ...]] = []
        under: Sequence[str] = ()
        for row in rows:
            if isinstance(row, Group):
                high = 6.4
                # A group's heading stays with its first row.
                fresh = self._fits(high + 12.0)
            elif isinstance(row, Note):
                under = wrapped(row.text, SMALL, laid.below_width)
                lines = []
                high = len(under) * _STEP + 2 * _PAD
                fresh = self._fits(high)
            else:
                each = row if isinstance(row, Row) else Row(row)
                lines = [
                    (cell,) if cell[:1] == "\x00" else wrapped(cell, SMALL, w, c.bold, c.most)
                    for cell, w, c in zip(each.cells, laid.inner, columns, strict=True)
                ]
                under = wrapped(each.below, SMALL, laid.below_width) if each.below else ()
                high = (max(map(len, lines)) + len(under)) * _STEP + 2 * _PAD
                fresh = self._fits(high)
            if first or fresh:
                self.need(laid.head_height + high)
                self._table_head(laid)
            first = False
            if isinstance(row, Group):
                self._group(row)
            else:
                self._row(laid, lines, under, high)
        if first:
            self.words(none)
        self.space(2.5)

    def _fits(self, height: float) -> bool:
        """Whether a new page must be begun for so much."""
        if self._open and self.y - height >= BOTTOM:
            return False
        self.end()
        self._begin()
        return True

    def _table_head(self, laid: "_Laid") -> None:
        if not laid.head_height:
            return
        top = self.y
        self.y -= laid.head_height
        self.ink.bar(LEFT, self.y, self.across, laid.head_height, grey=0.88)
        for column, at, lines in zip(laid.columns, laid.at, laid.heads, strict=True):
            self._cell(column, at, lines, top - _PAD, bold=True)
        self.ink.style(EDGE)
        self.ink.line(LEFT, self.y, LEFT + self.across, self.y)

    def _group(self, group: Group) -> None:
        self.y -= 6.4
        self.ink.text(LEFT + 1, self.y + 1.7, group.title, BODY, bold=True, most=self.across - 2)
        self.ink.style(RULE)
        self.ink.line(LEFT, self.y, LEFT + self.across, self.y)

    def _row(
        self,
        laid: "_Laid",
        cells: list[tuple[str, ...]],
        under: Sequence[str],
        high: float,
    ) -> None:
        top = self.y - _PAD
        for column, at, lines in zip(laid.columns, laid.at, cells, strict=bool(cells)):
            self._cell(column, at, lines, top, bold=column.bold)
        y = top - max(map(len, cells), default=0) * _STEP
        for i, line in enumerate(under, 1):
            self.ink.text(laid.below_at, y - i * _STEP + _DESCENT, line, SMALL)
        self.y -= high
        self.ink.style(RULE)
        self.ink.line(LEFT, self.y, LEFT + self.across, self.y)

    def _cell(
        self, column: Column, at: float, lines: Sequence[str], top: float, bold: bool
    ) -> None:
        inner = column.width - _GAP
        x = at + _GAP / 2 + inner * column.align
        for i, line in enumerate(lines, 1):
            y = top - i * _STEP + _DESCENT
            if line == TICK:
                self._tick(at + _GAP / 2, y)
            elif line == BLANK:
                self.ink.style(EDGE)
                self.ink.line(at + _GAP / 2, y - 0.6, at + _GAP / 2 + inner, y - 0.6)
            elif line:
                self.ink.text(x, y, line, SMALL, align=column.align, bold=bold)

    def _tick(self, x: float, y: float) -> None:
        self.ink.style(EDGE)
        self.ink.box(x, y - 0.7, 3.4, 3.4)

    def _begin(self) -> None:
        ink = self.ink
        ink.page_size(self.width, self.height)
        self._open = True
        ink.text(LEFT, self.height - 13.0, self._head, SMALL, most=self.across * 0.6)
        right = self.width - RIGHT
        ink.text(right, self.height - 13.0, self._section, SMALL, align=1, most=self.across * 0.37)
        ink.style(RULE)
        ink.line(LEFT, self.height - 15.0, right, self.height - 15.0)
        ink.line(LEFT, BOTTOM - 2.5, right, BOTTOM - 2.5)
        ink.text(LEFT, BOTTOM - 6.5, self._foot, SMALL, most=self.across - 45)
        ink.number(right, BOTTOM - 6.5)
        self.y = self.height - TOP


_STEP = SMALL * LEAD * POINT_MM
_DESCENT = 0.9
"""From the foot of a line up to its base line."""


@dataclass(frozen=True, slots=True)
class _Laid:
    """Where the columns of a table are, each with its width."""

    columns: tuple[Column, ...]
    at: tuple[float, ...]
    inner: tuple[float, ...]
    heads: tuple[tuple[str, ...], ...]
    head_height: float
    below_at: float
    below_width: float

    @classmethod
    def of(cls, columns: Sequence[Column], across: float) -> "_Laid":
        fixed = sum(column.width for column in columns)
        free = [column for column in columns if not column.width]
        share = (across - fixed) / len(free) if free else 0.0
        widths = [column.width or share for column in columns]
        resolved = tuple(
            replace(column, width=width) for column, width in zip(columns, widths, strict=True)
        )
        at = tuple(LEFT + sum(widths[:i]) for i in range(len(widths)))
        inner = tuple(width - _GAP for width in widths)
        heads = tuple(
            wrapped(column.title, SMALL, width, True)
            for column, width in zip(columns, inner, strict=True)
        )
        titled = any(column.title for column in columns)
        high = max(map(len, heads)) * _STEP + 2 * _PAD if titled else 0.0
        second = next((i for i, c in enumerate(columns) if i and not c.align), 0)
        return cls(
            resolved,
            at,
            inner,
            heads,
            high,
            at[second] + _GAP / 2,
            across - (at[second] - LEFT) - _GAP,
        )
