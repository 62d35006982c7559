"""The labels for the ends of wire as a label printer takes them: one a page, of its own size.

On tape a label is as high as the tape is wide and as long as its text; a die-cut label has both
sizes. Lengths in millimetres, type sizes in points.
"""

from collections.abc import Sequence

from domain.build.dialect import speech_of
from domain.cable.cut_list import WireLabel
from storage.pack.contents import LabelStock
from storage.pack.fonts import POINT_MM, width_mm
from storage.pack.ink import Ink
from storage.pack.pack_context import Pack
from storage.pack.sections.labels import with_end

_EDGE = 1.0
"""Free above and below the text: print heads are narrower than their tape. Common practice."""

_SIDE = 3.0
"""Free before and behind the text, where the cutter cuts. Common practice."""

_LONGEST = 140.0
"""A label on tape is no longer: a longer name is cut short, its gauge and colour stay."""

_LARGEST = 12.0

_SPARE = 0.1
"""Added to the width of text, so that rounding never cuts it short."""

_LINE = 1.2
"""Line spacing as a multiple of the type size."""


def label_tape(pack: Pack, stock: str) -> bytes:
    """A PDF with a label a page, the two ends of a piece one after the other."""
    made = pack.cuts.labels
    size = LabelStock(stock)
    ink = Ink(
        f"{pack.title}: labels", size.long_mm or _LONGEST, size.high_mm, speech_of(pack.build)
    )
    for label in made:
        _page(ink, size, label)
    return ink.close()


def _page(ink: Ink, stock: LabelStock, label: WireLabel) -> None:
    lines = [ink.said(line) for line in label.lines]
    type_pt = min(_LARGEST, (stock.high_mm - 2 * _EDGE) / len(lines) / _LINE / POINT_MM)
    most = (stock.long_mm or _LONGEST) - 2 * _SIDE
    if stock.long_mm:
        # As small as on the narrowest tape, where the text would else be cut short.
        least = min(
            type_pt, (LabelStock.TAPE_9.high_mm - 2 * _EDGE) / len(lines) / _LINE / POINT_MM
        )
        widest = max(_wide(lines, type_pt), most)
        type_pt = max(least, type_pt * most / widest)
    lines[0] = with_end(lines[0], most, type_pt)
    long = stock.long_mm or min(_wide(lines, type_pt), most) + 2 * _SIDE
    ink.page_size(long, stock.high_mm)
    pitch = type_pt * POINT_MM * _LINE
    top = (stock.high_mm + len(lines) * pitch) / 2
    for i, line in enumerate(lines):
        y = top - (i + 0.8) * pitch
        ink.text(_SIDE, y, line, type_pt, most=most, bold=i == 0)
    ink.end_page()


def _wide(lines: Sequence[str], type_pt: float) -> float:
    return max(width_mm(line, type_pt, bold=i == 0) for i, line in enumerate(lines)) + _SPARE
