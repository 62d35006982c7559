"""Pages of text: headings, paragraphs, tables and pictures between a header and a footer.

reportlab.platypus breaks the pages and keeps blocks together. Text is wrapped here before it is
passed on, because the library's paragraphs would read markup in what people typed, and would break
right-to-left text after putting it in visual order.
Lengths in millimetres, type sizes in points.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from msgspec import Struct
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageTemplate,
)

from storage.pack.fonts import BOLD, PLAIN, POINT_MM, fitted
from storage.pack.ink import Ink, Style
from storage.pack.table.grid import CellStyle, Grid, Line
from storage.pack.tiles import PAPERS
from storage.pack.wrapping import wrapped

LEFT, RIGHT, TOP, BOTTOM = 17.0, 12.0, 20.0, 17.0
"""Margins; the left one leaves room for punched holes."""

BODY = 9.5
SMALL = 9.0
"""The smallest type on these pages [pt]."""

LEAD = 1.22
"""Line spacing as a multiple of the type size."""

RULE = Style(0.1, grey=0.55)
EDGE = Style(0.3)
_RULES = tuple((style.weight / POINT_MM, style.grey) for style in (RULE, EDGE))
"""Below every row of a table, and over it below the headings."""

_PAD = 0.85
_GAP = 3.0
"""Between columns."""

_MOST_LINES = 50
"""Most lines in a row, so that it fits on a page."""

_LAST_ROWS = 3
"""Rows at the end of a table that stay together, more if the last group has more of them."""

_LAST_HIGH = 60.0
"""They may be as high as this together; higher rows are not alone where they are."""

TICK = "\x00tick"
"""A cell with a box to tick, or a box before a paragraph."""

BLANK = "\x00blank"
"""A cell with a line to write on."""


class Column(Struct, frozen=True):
    """A column: heading, width (0: what is left), alignment (0 left, 0.5 centred, 1 right).

    ``most`` is the largest number of lines in a cell.
    """

    title: str
    width: float = 0.0
    align: float = 0.0
    most: int = 3
    bold: bool = False


class Row(Struct, frozen=True):
    """The cells of a row, and text below them from the first text column to the right edge.

    Without cells it is a note between rows.
    """

    cells: tuple[str, ...] = ()
    below: str = ""


class Group(Struct, frozen=True):
    """A heading between the rows of a table."""

    title: str


Rows = Iterable[Row | Group | tuple[str, ...]]


class Paper:
    """A document of portrait pages. ``starts`` has the first page of each section.

    What is added is laid out when the next section begins, or by ``end``.
    """

    def __init__(self, ink: Ink, paper: str, head: str, foot: str) -> None:
        self.ink = ink
        self.width, self.height = PAPERS[paper]
        self.starts: dict[str, int] = {}
        self._head, self._foot = head, foot
        self._section = ""
        self._story: list[Any] = []

    @property
    def across(self) -> float:
        """Width between the margins."""
        return self.width - LEFT - RIGHT

    def section(self, title: str) -> None:
        """Begin a section on a new page."""
        self.named(title)
        self._section = title
        self._add(wrapped(self.ink.said(title), 16, self.across, True, 1), 16, bold=True, after=3.1)

    def named(self, title: str) -> None:
        """Begin a section whose pages are drawn elsewhere."""
        self.end()
        self.starts[title] = self.ink.page
        self.ink.bookmark(title)

    def heading(self, title: str, keep: float = 22.0, mark: bool = False) -> None:
        """A heading, kept with at least ``keep`` of what follows; ``mark``: in the outline too."""
        lines = wrapped(self.ink.said(title), 11.5, self.across, True, 2)
        self.need(keep + 5.0 * len(lines))
        self._add(lines, 11.5, bold=True, before=2.0, after=1.8)
        self._story[-1].mark = title if mark else ""

    def words(
        self,
        text: str,
        *,
        indent: float = 0.0,
        mark: str = "",
        bold: bool = False,
        after: float = 1.2,
    ) -> None:
        """A paragraph; ``mark`` is a sign before its first line, or ``TICK`` for a box."""
        lines = wrapped(self.ink.said(text), BODY, self.across - indent, bold)
        self._add(lines, BODY, indent=indent, mark=mark, bold=bold, after=after)

    def _add(
        self,
        lines: Sequence[str],
        size: float,
        *,
        indent: float = 0.0,
        mark: str = "",
        bold: bool = False,
        before: float = 0.0,
        after: float,
    ) -> None:
        """Lines of text, the first with a mark before it, as a table that may split anywhere."""
        first = _style(0.0, bold, size, 0.0, 0.0, indent - (6.0 if mark == TICK else 4.0))
        words = _style(0.0, bold, size, 0.0, 0.0, 0.0)
        marks = [_Mark(self.ink, mark) if mark == TICK else mark, *[""] * len(lines)]
        rows = [
            Line((own, line), (first, words), words.leading)
            for own, line in zip(marks, lines, strict=False)
        ]
        widths = _points(indent, self.across - indent)
        self._story.append(Grid(rows, widths, before=before / POINT_MM, after=after / POINT_MM))

    def picture(self, height: float, draw: Callable[[float], None]) -> None:
        """A drawing in one piece; ``draw`` is called with its lower edge on the page."""
        self._story.append(_Picture(height, draw))

    @contextmanager
    def together(self) -> Iterator[None]:
        """Keep what is added inside the block on one page, unless it is longer than that."""
        before, self._story = self._story, []
        yield
        self._story = [*before, _Together(self._story)]

    def need(self, height: float) -> None:
        """Begin a new page unless this much room is left."""
        self._story.append(CondPageBreak(min(height, self.height - TOP - BOTTOM) / POINT_MM))

    def space(self, height: float) -> None:
        """Leave space below what was added last, but none at the top of a page."""
        if self._story:
            last = self._story[-1]
            last.spaceAfter = last.getSpaceAfter() + height / POINT_MM

    def end(self) -> None:
        """Lay out what was added and finish the last page."""
        story, self._story = self._story, []
        if not story:
            return
        frame = Frame(
            *_points(LEFT, BOTTOM, self.across, self.height - TOP - BOTTOM),
            leftPadding=0,
            rightPadding=0,
            topPadding=0,
            bottomPadding=0,
        )
        size = _points(self.width, self.height)
        page = PageTemplate(frames=[frame], pagesize=size, onPage=lambda *_: self._edges())
        document = BaseDocTemplate(None, pagesize=size, pageTemplates=[page])
        document.afterFlowable = self._after
        document.build(story, canvasmaker=lambda *_, **__: self.ink.canvas)

    def table(self, columns: Sequence[Column], rows: Rows, none: str = "none") -> None:
        """A table with its headings on every page; ``none`` is printed if it has no rows."""
        made = _Table(self.ink, columns, self.across)
        for row in rows:
            made.add(row)
        if len(made.rows) > made.heads:
            self._story.append(made.flowable())
        else:
            self.words(none, after=2.5)

    def _after(self, flowable: Any) -> None:
        """Add the page of a marked heading to the outline."""
        if mark := getattr(flowable, "mark", ""):
            self.ink.bookmark(mark, 1)

    def _edges(self) -> None:
        """Header and footer of a page."""
        ink, right = self.ink, self.width - RIGHT
        ink.text(LEFT, self.height - 13.0, self._head, SMALL, most=self.across * 0.6)
        ink.text(right, self.height - 13.0, self._section, SMALL, align=1, most=self.across * 0.37)
        ink.style(RULE)
        ink.line(LEFT, self.height - 15.0, right, self.height - 15.0)
        ink.line(LEFT, BOTTOM - 2.5, right, BOTTOM - 2.5)
        ink.text(LEFT, BOTTOM - 6.5, self._foot, SMALL, most=self.across - 45)
        ink.number(right, BOTTOM - 6.5)


class _Together(KeepTogether):  # type: ignore[misc]
    """A block in one piece; the library leaves out the space before it when it measures."""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        size: tuple[float, float] = super().wrap(width, height)
        self._H += max((each.getSpaceBefore() for each in self._content), default=0.0)
        return size


@dataclass(eq=False)
class _Picture(Flowable):  # type: ignore[misc]
    """A drawing at its place on the page."""

    high: float
    paint: Callable[[float], None]

    def __post_init__(self) -> None:
        super().__init__()

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return width, self.high / POINT_MM

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803
        canvas.saveState()
        self.paint(y * POINT_MM)
        canvas.restoreState()


@dataclass(eq=False)
class _Mark(Flowable):  # type: ignore[misc]
    """A cell that is a box to tick, or a line to write on."""

    ink: Ink
    what: str

    def __post_init__(self) -> None:
        super().__init__()

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.wide = width
        return 0.0, SMALL * LEAD

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803
        left, base = x * POINT_MM, y * POINT_MM + 0.9
        self.ink.style(EDGE)
        if self.what == TICK:
            self.ink.box(left, base - 0.7, 3.4, 3.4)
        else:
            self.ink.line(left, base - 0.6, left + self.wide * POINT_MM, base - 0.6)


class _Table:
    """The rows of a table in the library's terms: cells, styles, rules, rows kept together."""

    def __init__(self, ink: Ink, columns: Sequence[Column], across: float) -> None:
        free = sum(not column.width for column in columns)
        share = (across - sum(column.width for column in columns)) / max(free, 1)
        self.ink, self.columns = ink, columns
        self.widths = [column.width or share for column in columns]
        self.second = next((i for i, c in enumerate(columns) if i and not c.align), 0)
        self.rows: list[list[Any]] = []
        self.styles: list[list[CellStyle]] = []
        self.heights: list[float] = []
        self.with_next: set[int] = set()
        self.plain = [_style(column.align, column.bold) for column in columns]
        self.group = [_style(0.0, True, BODY, 1.2, 1.1)] * len(columns)
        self.block: int | None = None
        self.last_group = 0
        self.heads = int(any(column.title for column in columns))
        if self.heads:
            heads = zip(columns, self.widths, strict=True)
            titles = [
                "\n".join(wrapped(ink.said(c.title), SMALL, w - _GAP, True)) for c, w in heads
            ]
            self._put(titles, [_style(column.align, True) for column in columns])

    def add(self, row: Row | Group | tuple[str, ...]) -> None:
        """Add a row; a group heading is kept with the row that follows it."""
        at = len(self.rows)
        if isinstance(row, Group):
            self.block = at if self.block is None else self.block
            self.last_group = self.block
            self._put(
                [fitted(self.ink.said(row.title), BODY, sum(self.widths) - _GAP, True)], self.group
            )
            return
        each = row if isinstance(row, Row) else Row(row)
        cells = [self._cell(i, text) for i, text in enumerate(each.cells)]
        self._put(self._with(cells, each.below) if each.below else cells, self.plain)
        if self.block is not None:
            self.with_next |= set(range(self.block, at))
        self.block = None

    def flowable(self) -> Grid:
        """The finished table."""
        count = len(self.rows)
        for first in sorted({self.last_group, count - _LAST_ROWS}):
            high = sum(self.heights[first:]) * POINT_MM
            if first > self.heads + 1 and high <= _LAST_HIGH:
                self.with_next |= set(range(first, count - 1))
                break
        rows = [
            Line(cells, styles, high, _RULES[: 1 + (n < self.heads)], n in self.with_next)
            for n, (cells, styles, high) in enumerate(
                zip(self.rows, self.styles, self.heights, strict=True)
            )
        ]
        widths = _points(*self.widths)
        return Grid(rows, widths, self.heads, before=1.5 / POINT_MM, after=2.5 / POINT_MM)

    def _put(self, cells: list[Any], styles: list[CellStyle]) -> None:
        one, lines = styles[0], max(map(_lines, cells))
        self.heights.append(lines * one.leading + one.top + one.bottom)
        self.rows.append([*cells, *[""] * (len(self.columns) - len(cells))])
        self.styles.append(styles)

    def _cell(self, column: int, text: str) -> Any:
        if text[:1] == "\x00":
            return _Mark(self.ink, text)
        each = self.columns[column]
        inner = self.widths[column] - _GAP
        return "\n".join(wrapped(self.ink.said(text), SMALL, inner, each.bold, each.most))

    def _with(self, cells: list[Any], below: str) -> list[Any]:
        """Cells with text below them: further lines of one cell that run on past its right edge."""
        at = self.second
        high = max(map(_lines, cells), default=0)
        own = cells[at].split("\n") if cells else []
        room = sum(self.widths[at:]) - _GAP
        more = wrapped(self.ink.said(below), SMALL, room, most=_MOST_LINES - high)
        words = "\n".join((*own, *[""] * (high - len(own)), *more))
        return [*(cells or [""] * len(self.columns))[:at], words, *cells[at + 1 :]]


def _style(
    align: float,
    bold: bool,
    size: float = SMALL,
    top: float = _PAD,
    bottom: float = _PAD,
    left: float = _GAP / 2,
) -> CellStyle:
    padding = _points(top, bottom, left, _GAP / 2)
    return CellStyle(BOLD if bold else PLAIN, size, size * LEAD, align, *padding)


def _lines(cell: Any) -> int:
    return cell.count("\n") + 1 if isinstance(cell, str) else 1


def _points(*lengths: float) -> tuple[float, ...]:
    return tuple(each / POINT_MM for each in lengths)
