"""Pages that fill from the top: headings, words, tables and pictures between a head and a foot.

reportlab.platypus breaks the pages, splits tables and repeats their heads, and keeps together what
belongs together. Words are broken into lines here before it gets them: its own paragraphs read
markup in what people typed, and break right-to-left text only after it was set. Lengths in
millimetres, sizes of letters in points.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import Color
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    LongTable,
    PageTemplate,
)
from reportlab.platypus.tables import CellStyle

from storage.pack.fonts import BOLD, PLAIN, POINT_MM, fitted
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

_MOST_LINES = 50
"""A row of a table must fit on a page."""

TICK = "\x00tick"
"""A cell with a box to tick, or a box before words."""

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
    """Cells of a table, and words below them from the first column of words to the right edge.

    Without cells it is a note between the rows.
    """

    cells: tuple[str, ...] = ()
    below: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """A heading between the rows of a table."""

    title: str


Rows = Iterable[Row | Group | tuple[str, ...]]


class Paper:
    """A document in upright pages. ``starts`` has the first page of each section.

    What is added is laid out at the next section, or by ``end``.
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
        self._add(wrapped(title, 16, self.across, True, 1), 16, bold=True, after=3.1)

    def named(self, title: str) -> None:
        """Begin a section whose pages are drawn by someone else."""
        self.end()
        self.starts[title] = self.ink.page
        self.ink.bookmark(title)

    def heading(self, title: str, keep: float = 22.0, mark: bool = False) -> None:
        """A heading that stays with at least so much of what follows."""
        lines = wrapped(title, 11.5, self.across, True, 2)
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
        """Words over the whole width; ``mark`` stands before the first line, or is a ``TICK``."""
        lines = wrapped(text, BODY, self.across - indent, bold)
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
        """Lines of words, the first with a mark before it, as a table that splits anywhere."""
        first = _style(0.0, bold, size, 0.0, 0.0, indent - (6.0 if mark == TICK else 4.0))
        words = _style(0.0, bold, size, 0.0, 0.0, 0.0)
        rows: list[list[Any]] = [["", line] for line in lines]
        rows[0][0] = _Mark(self.ink, mark) if mark == TICK else mark
        self._story.append(
            LongTable(
                rows,
                colWidths=_points(indent, self.across - indent),
                rowHeights=[words.leading] * len(rows),
                cellStyles=[[first, words]] * len(rows),
                normalizedData=1,
                spaceBefore=before / POINT_MM,
                spaceAfter=after / POINT_MM,
            )
        )

    def picture(self, height: float, draw: Callable[[float], None]) -> None:
        """Something drawn, in one piece; ``draw`` takes its lower edge on the page."""
        self._story.append(_Picture(height, draw))

    @contextmanager
    def together(self) -> Iterator[None]:
        """Keep on one page what is added meanwhile, unless it fills more than one."""
        before, self._story = self._story, []
        yield
        self._story = [*before, KeepTogether(self._story)]

    def need(self, height: float) -> None:
        """Go on to a new page where there is not so much room left on this one."""
        self._story.append(CondPageBreak(min(height, self.height - TOP - BOTTOM) / POINT_MM))

    def space(self, height: float) -> None:
        """Leave some room below what was added last, none at the top of a page."""
        if self._story:
            last = self._story[-1]
            last.spaceAfter = last.getSpaceAfter() + height / POINT_MM

    def end(self) -> None:
        """Lay out what was added and finish its last page."""
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
        """A table with its headings on every page; ``none`` is said where it has no rows."""
        made = _Table(self.ink, columns, self.across)
        for row in rows:
            made.add(row)
        if len(made.rows) > made.heads:
            self._story.append(made.flowable())
        else:
            self.words(none, after=2.5)

    def _after(self, flowable: Any) -> None:
        """Name the page on which a marked heading was laid."""
        if mark := getattr(flowable, "mark", ""):
            self.ink.bookmark(mark, 1)

    def _edges(self) -> None:
        """Head and foot of a page."""
        ink, right = self.ink, self.width - RIGHT
        ink.text(LEFT, self.height - 13.0, self._head, SMALL, most=self.across * 0.6)
        ink.text(right, self.height - 13.0, self._section, SMALL, align=1, most=self.across * 0.37)
        ink.style(RULE)
        ink.line(LEFT, self.height - 15.0, right, self.height - 15.0)
        ink.line(LEFT, BOTTOM - 2.5, right, BOTTOM - 2.5)
        ink.text(LEFT, BOTTOM - 6.5, self._foot, SMALL, most=self.across - 45)
        ink.number(right, BOTTOM - 6.5)


@dataclass(eq=False)
class _Picture(Flowable):  # type: ignore[misc]
    """Something drawn at its place on the page."""

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
    """The rows of a table as the library takes them: cells, their styles, rules and blocks."""

    def __init__(self, ink: Ink, columns: Sequence[Column], across: float) -> None:
        free = sum(not column.width for column in columns)
        share = (across - sum(column.width for column in columns)) / max(free, 1)
        self.ink, self.columns = ink, columns
        self.widths = [column.width or share for column in columns]
        self.second = next((i for i, c in enumerate(columns) if i and not c.align), 0)
        self.rows: list[list[Any]] = []
        self.styles: list[list[CellStyle]] = []
        self.heights: list[float] = []
        self.commands: list[tuple[Any, ...]] = [_rule(RULE, -1)]
        self.plain = [_style(column.align, column.bold) for column in columns]
        self.group = [_style(0.0, True, BODY, 1.2, 1.1)] * len(columns)
        self.block: int | None = None
        self.heads = int(any(column.title for column in columns))
        if self.heads:
            heads = zip(columns, self.widths, strict=True)
            titles = ["\n".join(wrapped(c.title, SMALL, w - _GAP, True)) for c, w in heads]
            self._put(titles, [_style(column.align, True) for column in columns])
            self.commands += [_rule(EDGE, 0), ("BACKGROUND", (0, 0), (-1, 0), _grey(0.88))]

    def add(self, row: Row | Group | tuple[str, ...]) -> None:
        """One more row; the heading of a group stays with what follows it."""
        at = len(self.rows)
        if isinstance(row, Group):
            self.block = at if self.block is None else self.block
            self._put([fitted(row.title, BODY, sum(self.widths) - _GAP, True)], self.group)
            return
        each = row if isinstance(row, Row) else Row(row)
        cells = [self._cell(i, text) for i, text in enumerate(each.cells)]
        self._put(self._with(cells, each.below) if each.below else cells, self.plain)
        if self.block is not None:
            self.commands.append(("NOSPLIT", (0, self.block), (0, at)))
        self.block = None

    def flowable(self) -> LongTable:
        """The table as the library lays it out."""
        return LongTable(
            self.rows,
            colWidths=_points(*self.widths),
            rowHeights=self.heights,
            cellStyles=self.styles,
            style=self.commands,
            repeatRows=self.heads,
            normalizedData=1,
            spaceBefore=1.5 / POINT_MM,
            spaceAfter=2.5 / POINT_MM,
        )

    def _put(self, cells: list[Any], styles: list[CellStyle]) -> None:
        one, lines = styles[0], max(map(_lines, cells))
        self.heights.append(lines * one.leading + one.topPadding + one.bottomPadding)
        self.rows.append([*cells, *[""] * (len(self.columns) - len(cells))])
        self.styles.append(styles)

    def _cell(self, column: int, text: str) -> Any:
        if text[:1] == "\x00":
            return _Mark(self.ink, text)
        each = self.columns[column]
        inner = self.widths[column] - _GAP
        return "\n".join(wrapped(text, SMALL, inner, each.bold, each.most))

    def _with(self, cells: list[Any], below: str) -> list[Any]:
        """Cells with words below them: more lines of one cell, beyond its right edge."""
        at = self.second
        high = max(map(_lines, cells), default=0)
        own = cells[at].split("\n") if cells else []
        room = sum(self.widths[at:]) - _GAP
        more = wrapped(below, SMALL, room, most=_MOST_LINES - high)
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
    style = CellStyle("")
    style.fontname, style.fontsize, style.leading = BOLD if bold else PLAIN, size, size * LEAD
    style.topPadding, style.bottomPadding, style.leftPadding = _points(top, bottom, left)
    style.rightPadding = _GAP / 2 / POINT_MM
    style.alignment, style.valign = {0.0: "LEFT", 0.5: "CENTER"}.get(align, "RIGHT"), "TOP"
    return style


def _lines(cell: Any) -> int:
    return cell.count("\n") + 1 if isinstance(cell, str) else 1


def _rule(style: Style, below: int) -> tuple[Any, ...]:
    """The library's command for a rule below a row; -1: below every one."""
    first = max(below, 0)
    weight = style.weight / POINT_MM
    return ("LINEBELOW", (0, first), (-1, below), weight, _grey(style.grey))


def _grey(grey: float) -> Color:
    return Color(grey, grey, grey)


def _points(*lengths: float) -> tuple[float, ...]:
    return tuple(each / POINT_MM for each in lengths)
