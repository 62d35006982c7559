"""Rows of cells on a page, of heights that are known: drawn, and split between rows.

It does what the library's table does with such rows, in a fraction of its work: nothing is
measured, and the rows that stay together are counted once. Lengths in points.
"""

from __future__ import annotations

from itertools import accumulate
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from reportlab.platypus import Flowable

if TYPE_CHECKING:
    from collections.abc import Sequence

HEAD_GREY = 0.88


class CellStyle(Struct, frozen=True):
    """How text stands in its cell: font, size, leading; ``align`` 0 left to 1 right; padding."""

    font: str
    size: float
    leading: float
    align: float
    top: float = 0.0
    bottom: float = 0.0
    left: float = 0.0
    right: float = 0.0


class Line(Struct, frozen=True):
    """A row: its cells are text, "" or something that draws itself.

    ``rules`` are weight and grey of the lines below it, one over the other. ``with_next`` keeps it
    on the page of the row below.
    """

    cells: Sequence[Any]
    styles: Sequence[CellStyle]
    high: float
    rules: tuple[tuple[float, float], ...] = ()
    with_next: bool = False


class Grid(Flowable):  # type: ignore[misc]
    """Rows one below the other; the first ``heads`` are shaded and stand on every page."""

    def __init__(
        self,
        rows: Sequence[Line],
        widths: Sequence[float],
        heads: int = 0,
        before: float = 0.0,
        after: float = 0.0,
    ) -> None:
        super().__init__()
        self.rows, self.widths, self.heads = rows, widths, heads
        self.spaceBefore, self.spaceAfter = before, after
        self.hAlign = "CENTER"

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """The width and height of it all."""
        return sum(self.widths), sum(row.high for row in self.rows)

    def split(self, _width: float, height: float) -> list[Grid]:
        """What goes into this height and what is left; nothing where no row does."""
        end = used = 0.0
        for number, row in enumerate(self.rows, 1):
            used += row.high
            if used > height:
                break
            if not row.with_next:
                end = number
        end = int(end)
        if end <= self.heads:
            return []
        if end == len(self.rows):
            return [self]
        rest = [*self.rows[: self.heads], *self.rows[end:]]
        return [
            Grid(self.rows[:end], self.widths, self.heads, before=self.getSpaceBefore()),
            Grid(rest, self.widths, self.heads, after=self.getSpaceAfter()),
        ]

    def draw(self) -> None:
        """The cells, then the rules over them."""
        canvas, across = self.canv, sum(self.widths)
        lefts = [0.0, *accumulate(self.widths[:-1])]
        top = sum(row.high for row in self.rows)
        bottoms = [top - used for used in accumulate(row.high for row in self.rows)]
        if self.heads:
            canvas.setFillGray(HEAD_GREY)
            canvas.rect(0, bottoms[self.heads - 1], across, top - bottoms[self.heads - 1], 0, 1)
        canvas.setFillGray(0)
        now: tuple[str, float] | None = None
        for row, bottom in zip(self.rows, bottoms, strict=True):
            for cell, style, left, wide in zip(
                row.cells, row.styles, lefts, self.widths, strict=True
            ):
                if not cell:
                    continue
                if isinstance(cell, str):
                    if (style.font, style.size) != now:
                        now = style.font, style.size
                        canvas.setFont(style.font, style.size, style.leading)
                    self._text(cell, style, left, wide, bottom + row.high)
                else:
                    _, high = cell.wrap(wide - style.left - style.right, row.high)
                    x, _ = _place(style, left, wide)
                    cell.drawOn(canvas, x, bottom + row.high - style.top - high)
        self._rules(bottoms, across)

    def _text(self, cell: str, style: CellStyle, left: float, wide: float, top: float) -> None:
        """The lines of a cell."""
        y = top - style.top - style.size
        x, way = _place(style, left, wide)
        draw = getattr(self.canv, way)
        for line in cell.split("\n"):
            draw(x, y, line)
            y -= style.leading

    def _rules(self, bottoms: Sequence[float], across: float) -> None:
        """The lines below rows, those of one kind after another."""
        canvas = self.canv
        kinds: dict[tuple[float, float], list[float]] = {}
        for row, bottom in zip(self.rows, bottoms, strict=True):
            for rule in row.rules:
                kinds.setdefault(rule, []).append(bottom)
        canvas.setDash()
        canvas.setLineCap(1)
        for (weight, grey), places in sorted(kinds.items()):
            canvas.setLineWidth(weight)
            canvas.setStrokeGray(grey)
            for y in places:
                canvas.line(0, y, across, y)


def _place(style: CellStyle, left: float, wide: float) -> tuple[float, str]:
    """Where contents of a cell begin, end or have their middle, and how text is drawn there."""
    if style.align == 0:
        return left + style.left, "drawString"
    if style.align == 1:
        return left + wide - style.right, "drawRightString"
    return left + (wide + style.left - style.right) * 0.5, "drawCentredString"
