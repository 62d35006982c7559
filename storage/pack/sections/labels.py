"""Strips of labels for the ends of every piece of wire: cut on the dashes, fold round the wire."""

from collections.abc import Sequence
from functools import partial

from domain.cable.cut_list import WireLabel
from storage.pack.fonts import fitted, width_mm
from storage.pack.ink import TRIM, Ink
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, SMALL, Paper

WIDE, HIGH = 90.0, 16.0
"""One label [mm]."""

_LINE = 4.4


def with_end(text: str, most: float, type_pt: float = SMALL) -> str:
    """A label cut short in its name, so that gauge and colour at its end stay.

    ``most`` is the width that it may take [mm].
    """
    if width_mm(text, type_pt, True) <= most or text.count(", ") < 2:
        return text
    name, size, colour = text.rsplit(", ", 2)
    number = name.rsplit(" ", 1)[-1]
    end = f"{f' {number}' if number.count('/') == 1 else ''}, {size}, {colour}"
    return fitted(name, type_pt, most - width_mm(end, type_pt, True), True) + end


def labels(pack: Pack, paper: Paper) -> None:
    """Labels in two columns, the two ends of a piece side by side."""
    made = pack.cuts.labels
    if not made:
        paper.words("No wire to label.")
        return
    paper.words("Cut on the dashes, one at each end of every piece; seal under clear tape.")
    paper.space(2.0)
    wide = min(WIDE, paper.across / 2)
    for start in range(0, len(made), 2):
        paper.picture(HIGH, partial(_row, paper.ink, wide, made[start : start + 2]))


def _row(ink: Ink, wide: float, made: Sequence[WireLabel], low: float) -> None:
    """Two labels beside each other; the dashes between rows lie on one another."""
    for column, each in enumerate(made):
        x = LEFT + column * wide
        what, *more = each.lines
        for i, line in enumerate((with_end(what, wide - 4), *more)):
            y = low + HIGH - 4.8 - i * _LINE
            ink.text(x + 2, y, line, SMALL, most=wide - 4, bold=i == 0)
    ink.style(TRIM)
    for y in (low, low + HIGH):
        ink.line(LEFT, y, LEFT + 2 * wide, y)
    for column in range(3):
        ink.line(LEFT + column * wide, low, LEFT + column * wide, low + HIGH)
