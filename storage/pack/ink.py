"""Lines, arcs and words on a page, in millimetres from its lower left corner.

Everything is black or grey: lines are distinguished by weight and dashes.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from io import BytesIO
from math import ceil, cos, radians, sin, tan
from typing import Any

from msgspec import Struct
from reportlab import rl_config
from reportlab.lib.rl_accel import fp_str
from reportlab.pdfgen.canvas import Canvas

from domain.fabrication.shape.flat_pattern import Arc, Line, Path
from storage.pack.fonts import BOLD, PLAIN, POINT_MM, fitted, is_plain, pieces, width_mm

_FINEST_DEG = 30.0
"""Largest arc drawn as one cubic curve: it is off by 4e-7 of the radius."""


class Style(Struct, frozen=True):
    """A kind of line: weight [mm], dashes and gaps [mm], grey from 0 (black) to 1."""

    weight: float
    dashes: tuple[float, ...] = ()
    grey: float = 0.0


OUTLINE = Style(0.35)
HOLE = Style(0.25)
THIN = Style(0.1)
BEND = Style(0.25, (6.0, 1.2, 0.8, 1.2))
SCORE = Style(0.12)
HEAT = Style(0.3, (0.3, 1.2))
TRIM = Style(0.1, (2.0, 2.0), 0.4)

SCORE_ASIDE = 0.7
"""A score is drawn as a thin line on each side of its bend line, at this distance [mm]."""


Later = Callable[[int], None]
"""Draws what is not known until the end; takes the number of pages."""

# Page streams in base 85 are a quarter larger and, coded without the C extension, slow.
rl_config.useA85 = 0


class Sheets(Canvas):  # type: ignore[misc]
    """A canvas that prints text in any script and keeps its pages open until all are drawn.

    Text is bold if the current font is ``BOLD``, plain with any other.
    """

    def __init__(self, title: str, width: float, height: float) -> None:
        self.title = title
        self.file = BytesIO()
        self.held: list[dict[str, Any]] = []
        self.later: list[Later] = []
        super().__init__(self.file, pagesize=_points(width, height), invariant=1, pageCompression=1)

    def showPage(self) -> None:  # noqa: N802
        """Finish this page and begin the next."""
        self.held.append(dict(self.__dict__))
        self.later = []
        self._startPage()

    def save(self) -> None:
        """Do nothing: the library saves after every run of pages, ``finish`` once at the end."""

    def finish(self) -> bytes:
        """The finished file."""
        self.setTitle(self.title)
        self.setCreator("Mainrun")
        self.setAuthor("")
        self.setSubject("print at 100 %, no scaling")
        self.setViewerPreference("PrintScaling", "None")
        for state in self.held:
            self.__dict__.update(state)
            for draw in self.later:
                draw(len(self.held))
            super().showPage()
        super().save()
        return self.file.getvalue()

    def drawString(self, x: float, y: float, text: str, *_: Any, **__: Any) -> None:  # noqa: N802
        """Print text from a point on its base line, in the fonts that have its letters."""
        if is_plain(text) and self._fontname in (PLAIN, BOLD):  # nearly all: as the library would
            if text:
                at, shown = fp_str(x, y), self._escape(text)
                self._code.append(f"BT 1 0 0 1 {at} Tm ({shown}) Tj T* ET")
            return
        bold, size = self._fontname == BOLD, self._fontsize
        before = ""
        for font, piece in pieces(text, bold):
            if before:
                x += self.stringWidth(before, self._fontname, size)
            if font != self._fontname:
                self.setFont(font, size)
            super().drawString(x, y, piece)
            before = piece
        if self._fontname not in (PLAIN, BOLD):
            self.setFont(BOLD if bold else PLAIN, size)

    def drawRightString(self, x: float, y: float, text: str, *_: Any, **__: Any) -> None:  # noqa: N802
        """Print text that ends at a point on its base line."""
        wide = width_mm(text, self._fontsize, self._fontname == BOLD) / POINT_MM
        self.drawString(x - wide, y, text)

    def drawCentredString(self, x: float, y: float, text: str, *_: Any, **__: Any) -> None:  # noqa: N802
        """Print text centred on a point on its base line."""
        wide = width_mm(text, self._fontsize, self._fontname == BOLD) / POINT_MM
        self.drawString(x - wide / 2, y, text)


class Ink:
    """A PDF document drawn page by page; the same drawing gives the same bytes."""

    def __init__(
        self, title: str, width: float, height: float, said: Callable[[str], str] = str
    ) -> None:
        self.canvas = Sheets(title, width, height)
        self.said = said
        """Turns what is printed into the words of its reader."""
        self._marks = 0

    @property
    def page(self) -> int:
        """Number of the current page, from 1."""
        return len(self.canvas.held) + 1

    def page_size(self, width: float, height: float) -> None:
        """Set the size of this page and of those that follow."""
        self.canvas.setPageSize(_points(width, height))

    def later(self, draw: Later) -> None:
        """Call ``draw`` for this page once all pages are known."""
        self.canvas.later.append(draw)

    def number(self, right: float, y: float) -> None:
        """Print "page 3 of 12", ending at a point on its base line."""
        page = self.page

        def write(total: int) -> None:
            self.text(right, y, f"page {page} of {total}", 9, align=1)

        self.later(write)

    def bookmark(self, title: str, level: int = 0) -> None:
        """Add this page to the document's outline."""
        self._marks += 1
        key = f"mark{self._marks}"

        def mark(total: int) -> None:
            self.canvas.bookmarkPage(key)
            self.canvas.addOutlineEntry(title, key, level, closed=level > 0)

        self.later(mark)

    def end_page(self) -> None:
        """Finish this page and begin the next."""
        self.canvas.showPage()

    def close(self) -> bytes:
        """The finished file."""
        return self.canvas.finish()

    @contextmanager
    def window(
        self, x: float, y: float, width: float, height: float, shift: tuple[float, float] = (0, 0)
    ) -> Iterator[None]:
        """Clip drawing to this rectangle, with everything moved by ``shift``."""
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(*_points(x, y, width, height))
        self.canvas.clipPath(path, stroke=0, fill=0)
        self.canvas.translate(*_points(*shift))
        yield
        self.canvas.restoreState()

    def style(self, style: Style) -> None:
        """Set the style of the lines that follow."""
        self.canvas.setLineWidth(style.weight / POINT_MM)
        self.canvas.setDash([each / POINT_MM for each in style.dashes])
        self.canvas.setStrokeGray(style.grey)
        self.canvas.setLineCap(1 if style is HEAT else 0)

    def line(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A straight line."""
        self.canvas.line(*_points(x0, y0, x1, y1))

    def lines(self, lines: Iterable[Line]) -> None:
        """Straight lines."""
        for each in lines:
            self.line(each.x0, each.y0, each.x1, each.y1)

    def curve(self, points: Iterable[tuple[float, float]]) -> None:
        """An open line through the points."""
        drawn = self.canvas.beginPath()
        for i, point in enumerate(points):
            (drawn.lineTo if i else drawn.moveTo)(*_points(*point))
        self.canvas.drawPath(drawn, stroke=1, fill=0)

    def box(self, x: float, y: float, width: float, height: float) -> None:
        """The outline of a rectangle."""
        self.canvas.rect(*_points(x, y, width, height), stroke=1, fill=0)

    def circle(self, x: float, y: float, radius: float) -> None:
        """The outline of a circle."""
        self.canvas.circle(*_points(x, y, radius), stroke=1, fill=0)

    def bar(self, x: float, y: float, width: float, height: float, grey: float = 0.0) -> None:
        """A filled rectangle without an outline."""
        self.canvas.setFillGray(grey)
        self.canvas.rect(*_points(x, y, width, height), stroke=0, fill=1)
        self.canvas.setFillGray(0)

    def path(self, path: Path, fill: float | None = None) -> None:
        """A closed path of lines and arcs, filled if a grey is given."""
        if not path:
            return
        drawn = self.canvas.beginPath()
        drawn.moveTo(*_points(*path[0].start))
        for each in path:
            if isinstance(each, Line):
                drawn.lineTo(*_points(*each.end))
            else:
                for curve in _curves(each):
                    drawn.curveTo(*_points(*curve))
        drawn.close()
        self._draw(drawn, fill)

    def polygon(
        self, points: Iterable[tuple[float, float]], fill: float | None, stroke: bool = True
    ) -> None:
        """A closed polygon."""
        drawn = self.canvas.beginPath()
        for i, point in enumerate(points):
            (drawn.lineTo if i else drawn.moveTo)(*_points(*point))
        drawn.close()
        self._draw(drawn, fill, stroke)

    def _draw(self, drawn: Any, fill: float | None, stroke: bool = True) -> None:
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.drawPath(drawn, stroke=int(stroke), fill=int(fill is not None))
        self.canvas.setFillGray(0)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size_pt: float,
        *,
        turn_deg: float = 0.0,
        most: float | None = None,
        align: float = 0.0,
        bold: bool = False,
    ) -> None:
        """A line of text from a point on its base line, shortened if wider than ``most``.

        ``align`` is the share of the text to the left of the point: 0, 0.5 or 1.
        """
        text = self.said(text)
        if most is not None:
            text = fitted(text, size_pt, most, bold)
        canvas = self.canvas
        if turn_deg:
            canvas.saveState()
            canvas.translate(*_points(x, y))
            canvas.rotate(turn_deg)
            x, y = 0.0, 0.0
        shift = width_mm(text, size_pt, bold) * align if align else 0.0
        canvas.setFont(BOLD if bold else PLAIN, size_pt)
        canvas.drawString((x - shift) / POINT_MM, y / POINT_MM, text)
        if turn_deg:
            canvas.restoreState()


def _points(*lengths: float) -> tuple[float, ...]:
    return tuple(each / POINT_MM for each in lengths)


def _curves(arc: Arc) -> Iterator[tuple[float, ...]]:
    """The arc as cubic curves: two handles and an end each."""
    turned = arc.end_deg - arc.start_deg
    count = max(1, ceil(abs(turned) / _FINEST_DEG - 1e-9))
    step = radians(turned / count)
    handle = 4 / 3 * tan(step / 4) * arc.r
    for i in range(count):
        begin = radians(arc.start_deg) + i * step
        end = begin + step
        (x0, y0), (x1, y1) = (
            (arc.cx + arc.r * cos(angle), arc.cy + arc.r * sin(angle)) for angle in (begin, end)
        )
        yield (
            x0 - handle * sin(begin),
            y0 + handle * cos(begin),
            x1 + handle * sin(end),
            y1 - handle * cos(end),
            x1,
            y1,
        )
