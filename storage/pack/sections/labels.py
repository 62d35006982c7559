"""Strips of labels for the ends of every piece of wire: cut on the dashes, fold round the wire."""

from storage.pack.fonts import fitted, width_mm
from storage.pack.ink import TRIM
from storage.pack.pack_context import Pack
from storage.pack.paper import BOTTOM, LEFT, SMALL, Paper

WIDE, HIGH = 90.0, 16.0
"""One label [mm]."""

_LINE = 4.4


def _with_end(text: str, most: float) -> str:
    """A label cut short in its name, so that gauge and colour at its end stay."""
    if width_mm(text, SMALL, True) <= most or text.count(", ") < 2:
        return text
    name, size, colour = text.rsplit(", ", 2)
    number = name.rsplit(" ", 1)[-1]
    end = f"{f' {number}' if number.count('/') == 1 else ''}, {size}, {colour}"
    return fitted(name, SMALL, most - width_mm(end, SMALL, True), True) + end


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
        low = paper.take(HIGH)
        fresh = start == 0 or low + 2 * HIGH > paper.height - 36
        for column, each in enumerate(made[start : start + 2]):
            x = LEFT + column * wide
            what, *more = each.lines
            lines = [_with_end(what, wide - 4), *more]
            for i, line in enumerate(lines):
                y = low + HIGH - 4.8 - i * _LINE
                paper.ink.text(x + 2, y, line, SMALL, most=wide - 4, bold=i == 0)
        paper.ink.style(TRIM)
        if fresh or start == 0:
            paper.ink.line(LEFT, low + HIGH, LEFT + 2 * wide, low + HIGH)
        paper.ink.line(LEFT, low, LEFT + 2 * wide, low)
        for column in range(3):
            paper.ink.line(LEFT + column * wide, low, LEFT + column * wide, low + HIGH)
    assert paper.y >= BOTTOM
