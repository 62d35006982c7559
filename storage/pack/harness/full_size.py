"""The harness 1:1 on long paper: a board to lay the wires out on. Lengths in millimetres.

What goes straight on stands on one line, branches on lines of their own below; the upright lines
down to them have no length. What is longer than a page may be goes on on the next, mark on mark.
"""

from math import ceil

from domain.build.dialect import speech_of
from domain.cable.harness_tree import Branch, harness_tree
from domain.checks.cautions import high_voltage
from storage.errors import TransferError
from storage.pack.harness.page import words_of
from storage.pack.ink import Ink, Style
from storage.pack.pack_context import Pack

LONGEST = 5000.0
"""No page is longer: a PDF page ends at 14,400 points, which are 5,080 mm (ISO 32000-1, memory)."""

MOST_PAGES = 40
OVERLAP = 60.0
MARGIN = 30.0
_LINE_HIGH = 70.0
_HEAD = 60.0
_NODE = 3.0
_TYPE = 14.0
_BAR = 1000.0
_WIRE, _DOWN, _THIN = Style(1.2), Style(0.5, (4.0, 3.0)), Style(0.2)


def full_size(pack: Pack) -> bytes:
    """A PDF; ``TransferError`` where no run goes by sections, or it would have too many pages."""
    branches = harness_tree(pack.build, pack.sheet)
    if not branches:
        raise TransferError(
            "there is no harness to draw: name places and sections first (alt+j in the build)"
        )
    long = max(branch.end_m for branch in branches) * 1000
    high = (max(branch.line for branch in branches) + 1) * _LINE_HIGH + _HEAD + 2 * MARGIN
    room = LONGEST - 2 * MARGIN
    pages = 1 if long <= room else ceil((long - OVERLAP) / (room - OVERLAP) - 1e-9)
    if pages > MOST_PAGES or high > LONGEST:
        raise TransferError(
            f"the harness is {long / 1000:.0f} m long with {round((high - _HEAD) / _LINE_HIGH)} "
            f"lines, more than {MOST_PAGES} pages of 5 m take: look for a length that is wrong"
        )
    shown = max(min(long, room), _BAR)
    ink = Ink(f"{pack.title}: harness", shown + 2 * MARGIN, high, speech_of(pack.build))
    for page in range(pages):
        start = page * (room - OVERLAP)
        _head(ink, pack, high, (page + 1, pages))
        with ink.window(0, 0, shown + 2 * MARGIN, high - _HEAD, (MARGIN - start, 0)):
            for branch in branches:
                _branch(ink, pack, branch, high)
            if pages > 1:
                _marks(ink, start, page, pages, high)
        ink.end_page()
    return ink.close()


def _y(line: int, high: float) -> float:
    return high - MARGIN - _HEAD - line * _LINE_HIGH - 30.0


def _branch(ink: Ink, pack: Pack, branch: Branch, high: float) -> None:
    x0, x1 = branch.start_m * 1000, branch.end_m * 1000
    y = _y(branch.line, high)
    if branch.off != branch.line:
        ink.style(_DOWN)
        ink.line(x0, _y(branch.off, high), x0, y)
    ink.style(_WIRE)
    ink.line(x0, y, x1, y)
    for x, place in ((x0, branch.near), (x1, branch.far)):
        ink.circle(x, y, _NODE)
        again = ", again" if branch.again and place == branch.far else ""
        ink.text(x + 5.0, y - 9.0, f"{pack.name(place)}{again}", _TYPE, bold=True)
    most = max(x1 - x0 - 10.0, 60.0)
    ink.text(x0 + 5.0, y + 13.0, words_of(pack, branch), _TYPE, most=most)
    wires = ", ".join(f"{pack.name(id)} ({id})" for id in branch.section.runs)
    ink.text(x0 + 5.0, y + 5.0, f"Pulled in this order: {wires}", _TYPE * 0.75, most=most)


def _head(ink: Ink, pack: Pack, high: float, page: tuple[int, int]) -> None:
    top = high - MARGIN
    ink.text(MARGIN, top - 8.0, f"{pack.title}: harness, full size", 20, bold=True)
    sheet = f"Sheet {page[0]} of {page[1]}. " if page[1] > 1 else ""
    how = f"{sheet}Print at 100 % (actual size), measure the bar: 1000 mm. {pack.stand}"
    ink.text(MARGIN, top - 17.0, how, _TYPE)
    if caution := high_voltage(pack.build, short=True):
        ink.text(MARGIN, top - 26.0, caution, _TYPE, bold=True)
    ink.bar(MARGIN, top - 36.0, _BAR, 1.5)
    ink.style(_THIN)
    for tick in range(0, 1001, 100):
        ink.line(MARGIN + tick, top - 39.0, MARGIN + tick, top - 34.5)


def _marks(ink: Ink, start: float, page: int, pages: int, high: float) -> None:
    """Where the page before and the next are laid on: upright lines in the middle of what both
    print.
    """
    room = LONGEST - 2 * MARGIN
    ink.style(_THIN)
    for there, x in ((page > 0, OVERLAP / 2), (page < pages - 1, room - OVERLAP / 2)):
        if there:
            ink.line(start + x, MARGIN / 2, start + x, high - _HEAD - MARGIN)
