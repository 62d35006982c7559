"""Lines, arcs and words on a page, in millimetres from its lower left corner.

Everything is black or grey: what a line means is told by its weight and its dashes.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from math import ceil, cos, radians, sin, tan
from typing import Any

from domain.fabrication.shape.flat_pattern import Arc, Line, Path
from storage.pack.fonts import POINT_MM, fitted, pieces, width_mm

_FINEST_DEG = 30.0
"""Arcs are drawn as cubic curves of at most this much: off by 4e-7 of the radius."""


@dataclass(frozen=True, slots=True)
class Style:
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
"""A score is drawn as a thin line at each side of its bend line, so far away [mm]."""


Later = Callable[[int], None]
"""Draws what is known at the end only; takes the number of pages."""


class Ink:
    """A PDF document that is drawn on page by page; the same drawing gives the same bytes.

    Pages are held back until the end, when their number is known.
    """

    def __init__(self, title: str, width: float, height: float) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._bytes = BytesIO()
        size = (width / POINT_MM, height / POINT_MM)
        self._canvas: Any = Canvas(self._bytes, pagesize=size, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setCreator("Mainrun")
        self._canvas.setAuthor("")
        self._canvas.setSubject("print at 100 %, no scaling")
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._held: list[tuple[dict[str, Any], list[Later]]] = []
        self._later: list[Later] = []
        self._marks = 0

    @property
    def page(self) -> int:
        """Number of the page that is drawn on, from 1."""
        return len(self._held) + 1

    def page_size(self, width: float, height: float) -> None:
        """Size of this page and of those that follow."""
        self._canvas.setPageSize((width / POINT_MM, height / POINT_MM))

    def later(self, draw: Later) -> None:
        """Draw on this page when all pages are done."""
        self._later.append(draw)

    def number(self, right: float, y: float) -> None:
        """Write "page 3 of 12" up to a point on its base line."""
        page = self.page

        def write(total: int) -> None:
            self.text(right, y, f"page {page} of {total}", 9, align=1)

        self.later(write)

    def bookmark(self, title: str, level: int = 0) -> None:
        """Name this page in the outline of the document."""
        self._marks += 1
        key = f"mark{self._marks}"

        def mark(total: int) -> None:
            self._canvas.bookmarkPage(key)
            self._canvas.addOutlineEntry(title, key, level, closed=level > 0)

        self.later(mark)

    def end_page(self) -> None:
        """Go on to the next page."""
        self._held.append((dict(self._canvas.__dict__), self._later))
        self._later = []
        self._canvas._startPage()

    def close(self) -> bytes:
        """The finished file."""
        for state, later in self._held:
            self._canvas.__dict__.update(state)
            for draw in later:
                draw(len(self._held))
            self._canvas.showPage()
        self._canvas.save()
        return self._bytes.getvalue()

    @contextmanager
    def window(
        self, x: float, y: float, width: float, height: float, shift: tuple[float, float] = (0, 0)
    ) -> Iterator[None]:
        """Draw only inside this rectangle, with everything shifted by ``shift``."""
        self._canvas.saveState()
        path = self._canvas.beginPath()
        path.rect(*_points(x, y, width, height))
        self._canvas.clipPath(path, stroke=0, fill=0)
        self._canvas.translate(*_points(*shift))
        yield
        self._canvas.restoreState()

    def style(self, style: Style) -> None:
        """How the following lines look."""
        self._canvas.setLineWidth(style.weight / POINT_MM)
        self._canvas.setDash([each / POINT_MM for each in style.dashes])
        self._canvas.setStrokeGray(style.grey)
        self._canvas.setLineCap(1 if style is HEAT else 0)

    def line(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A straight line."""
        self._canvas.line(*_points(x0, y0, x1, y1))

    def lines(self, lines: Iterable[Line]) -> None:
        """Straight lines."""
        for each in lines:
            self.line(each.x0, each.y0, each.x1, each.y1)

    def curve(self, points: Iterable[tuple[float, float]]) -> None:
        """An open line through the points."""
        drawn = self._canvas.beginPath()
        for i, point in enumerate(points):
            (drawn.lineTo if i else drawn.moveTo)(*_points(*point))
        self._canvas.drawPath(drawn, stroke=1, fill=0)

    def box(self, x: float, y: float, width: float, height: float) -> None:
        """A rectangle that is not filled."""
        self._canvas.rect(*_points(x, y, width, height), stroke=1, fill=0)

    def circle(self, x: float, y: float, radius: float) -> None:
        """A circle that is not filled."""
        self._canvas.circle(*_points(x, y, radius), stroke=1, fill=0)

    def bar(self, x: float, y: float, width: float, height: float, grey: float = 0.0) -> None:
        """A filled rectangle with no line round it."""
        self._canvas.setFillGray(grey)
        self._canvas.rect(*_points(x, y, width, height), stroke=0, fill=1)
        self._canvas.setFillGray(0)

    def path(self, path: Path, fill: float | None = None) -> None:
        """A closed path of lines and arcs, filled with a grey where one is given."""
        if not path:
            return
        drawn = self._canvas.beginPath()
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
        drawn = self._canvas.beginPath()
        for i, point in enumerate(points):
            (drawn.lineTo if i else drawn.moveTo)(*_points(*point))
        drawn.close()
        self._draw(drawn, fill, stroke)

    def _draw(self, drawn: Any, fill: float | None, stroke: bool = True) -> None:
        if fill is not None:
            self._canvas.setFillGray(fill)
        self._canvas.drawPath(drawn, stroke=int(stroke), fill=int(fill is not None))
        self._canvas.setFillGray(0)

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
        """A line of words from a point on its base line, cut short where wider than ``most``.

        ``align`` is how much of the words lies before the point: 0, 0.5 or 1.
        """
        if most is not None:
            text = fitted(text, size_pt, most, bold)
        canvas = self._canvas
        shift = -width_mm(text, size_pt, bold) * align if align else 0.0
        if turn_deg:
            canvas.saveState()
            canvas.translate(*_points(x, y))
            canvas.rotate(turn_deg)
            x, y = 0.0, 0.0
        at, base = _points(x + shift, y)
        for font, piece in pieces(text, bold):
            canvas.setFont(font, size_pt)
            canvas.drawString(at, base, piece)
            at += canvas.stringWidth(piece, font, size_pt)
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
