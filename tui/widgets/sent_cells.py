"""What the terminal shows, cell by cell, so that only the cells that differ are sent to it.

Textual sends the whole of each line or region that is drawn anew. Where a table scrolls by a
page, most of its cells hold after that what they held before.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from rich.cells import cell_len, split_graphemes
from rich.color import ColorSystem
from rich.console import Console
from rich.control import Control
from rich.style import Style
from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate
from textual.strip import Strip


class Look(NamedTuple):
    """How a sign is drawn: the numbers of its style, and what of them is seen of a blank."""

    style: str
    ground: str


PLAIN = Look("", "")

Cell = tuple[str, Look]
"""The sign in a cell and how it is drawn; a wide sign leaves the next cell empty."""

UNKNOWN: Cell = ("", Look("?", "?"))
"""What was there before the program began, or what it cannot tell the width of."""

ERASED_FROM = 8
"""Blank cells from which on erasing them is shorter than writing them."""

NEVER = 10**9
"""More cells than any terminal has."""

SKIPPED_FROM = 5
"""Cells that are as they should be from which on it is shorter to go past than to write them."""


class SentCells:
    """The cells of the terminal as they were last sent."""

    def __init__(self, *, erases: bool = True) -> None:
        self._rows: list[list[Cell]] = []
        self._erases = erases
        """Whether the terminal can be told to erase so many cells."""

    def forget(self) -> None:
        """The terminal may show anything: all that is drawn from now on is sent."""
        self._rows = []

    def only_new(self, update: LayoutUpdate | ChopsUpdate) -> "OnlyNew":
        """The update, sent as far as it changes anything."""
        return OnlyNew(self, update)

    def changes(self, update: LayoutUpdate | ChopsUpdate, console: Console) -> str:
        """What makes the terminal show an update, as it is to be sent."""
        out = _Writer(ERASED_FROM if self._erases else NEVER)
        for x, y, strip in _pieces(update):
            cells = _cells(strip, console)
            if cells is None:
                # Nobody can tell which cell is which: as Textual has it.
                out.write_whole(x, y, strip.render(console))
                cells = [UNKNOWN] * strip.cell_length
            else:
                self._write(out, x, y, cells)
            self._row(y, x + len(cells))[x : x + len(cells)] = cells
        return out.ended()

    def _row(self, y: int, width: int) -> list[Cell]:
        while len(self._rows) <= y:
            self._rows.append([])
        row = self._rows[y]
        if len(row) < width:
            row += [UNKNOWN] * (width - len(row))
        return row

    def _write(self, out: "_Writer", x: int, y: int, cells: Sequence[Cell]) -> None:
        shown = self._row(y, x + len(cells))[x : x + len(cells)]
        if shown == cells:
            return
        # Where nothing is known of a row yet, each cell of it is new.
        anew = shown.count(UNKNOWN) == len(shown)
        for first, end in [(0, len(cells))] if anew else _runs(shown, cells):
            out.write(x + first, y, cells[first:end])


class OnlyNew(CompositorUpdate):
    """An update of which the cells that differ are sent."""

    def __init__(self, sent: SentCells, update: LayoutUpdate | ChopsUpdate) -> None:
        self._sent = sent
        self._update = update

    def render_segments(self, console: Console) -> str:
        """What is sent."""
        return self._sent.changes(self._update, console)


class _Writer:
    """Puts together what is sent, with as few signs as will do."""

    def __init__(self, erased_from: int) -> None:
        self._erased_from = erased_from
        self._parts: list[str] = []
        self._at = (-1, -1)
        self._look = PLAIN

    def write(self, x: int, y: int, cells: Sequence[Cell]) -> None:
        """Write cells at a place."""
        self._move(x, y)
        place = 0
        while place < len(cells):
            sign, look = cells[place]
            blanks = _blanks(cells, place) if cells[place] == _BLANK else 0
            if blanks >= self._erased_from:
                self._turn(PLAIN)
                self._parts.append(f"\x1b[{blanks}X")
                place += blanks
                if place < len(cells):
                    self._parts.append(f"\x1b[{blanks}C")
                    self._at = (self._at[0] + blanks, y)
                continue
            if sign != " " or look.style != self._look.ground:
                self._turn(look)
            self._parts.append(sign)
            place += 1
            self._at = (self._at[0] + 1, y)

    def write_whole(self, x: int, y: int, text: str) -> None:
        """Write a text that brings its own styles."""
        self._turn(PLAIN)
        self._parts += [Control.move_to(x, y).segment.text, text]
        self._at = (-1, -1)

    def ended(self) -> str:
        """All of it."""
        self._turn(PLAIN)
        return "".join(self._parts)

    def _move(self, x: int, y: int) -> None:
        here, line = self._at
        if (x, y) == self._at:
            return
        if y == line and x > here >= 0:
            self._parts.append(f"\x1b[{x - here}C" if x > here + 1 else "\x1b[C")
        else:
            self._parts.append(Control.move_to(x, y).segment.text)
        self._at = (x, y)

    def _turn(self, look: Look) -> None:
        if look.style == self._look.style:
            return
        if not look.style:
            self._parts.append("\x1b[m")
        else:
            self._parts.append(f"\x1b[{'0;' if self._look.style else ''}{look.style}m")
        self._look = look


def _runs(shown: Sequence[Cell], cells: Sequence[Cell]) -> Iterator[tuple[int, int]]:
    """Stretches of cells that are to be sent, with what lies between them where that is short."""
    first = end = -1
    for place, cell in enumerate(cells):
        if cell == shown[place] and not (place == end and not cell[0]):
            continue
        between = cells[end - 1 : place]
        if first < 0:
            first = place
        elif (
            len(between) > SKIPPED_FROM or len({look for sign, look in between if sign != " "}) > 1
        ):
            yield first, end
            first = place
        end = place + 1
    if first >= 0:
        yield first, end


_BLANK: Cell = (" ", PLAIN)


def _blanks(cells: Sequence[Cell], place: int) -> int:
    """How many plain blanks stand from a place on."""
    end = place
    while end < len(cells) and cells[end] == _BLANK:
        end += 1
    return end - place


def _pieces(update: LayoutUpdate | ChopsUpdate) -> Iterator[tuple[int, int, Strip]]:
    """What an update draws, as (column, row, strip)."""
    if isinstance(update, LayoutUpdate):
        for y, line in enumerate(update.strips, update.region.y):
            x = update.region.x
            for strip in line:
                yield x, y, strip
                x += strip.cell_length
        return
    for y, first, last in update.spans:
        for end, (x, piece) in zip(update.chop_ends[y], update.chops[y].items(), strict=False):
            if piece is None or x > last or end <= first:
                continue
            whole = first <= x < last and end <= last
            yield x, y, piece if whole else piece.crop(0, min(end, last) - x)


def _cells(strip: Strip, console: Console) -> list[Cell] | None:
    """The cells of a strip; ``None`` where it cannot be told which sign is in which."""
    system = console._color_system or ColorSystem.TRUECOLOR
    cells: list[Cell] = []
    for text, style, control in strip:
        if control:
            return None
        look = _look(style, system)
        blank = look if look.style == look.ground else _blank(look)
        if text.isascii() and text.isprintable():
            cells += [(sign, look if sign != " " else blank) for sign in text]
            continue
        for start, end, width in split_graphemes(text)[0]:
            sign = text[start:end]
            if width not in (1, 2) or len(sign) > 1 or cell_len(sign) != width:
                return None
            cells.append((sign, look if sign != " " else blank))
            cells += [("", look)] * (width - 1)
    return cells if len(cells) == strip.cell_length else None


@lru_cache(maxsize=4096)
def _look(style: Style | None, system: ColorSystem) -> Look:
    """How a style is drawn; nothing is said of the terminal's own colours."""
    if style is None:
        return PLAIN
    ground: list[str] = []
    if style.bgcolor is not None and not style.bgcolor.is_default:
        ground += style.bgcolor.downgrade(system).get_ansi_codes(foreground=False)
    drawn = Strip.render_style(style.without_color, "x", system)
    letters = [drawn.partition("x")[0].removeprefix("\x1b[").removesuffix("m")]
    if style.color is not None and not style.color.is_default:
        letters += style.color.downgrade(system).get_ansi_codes()
    whole = ";".join(part for part in (*letters, *ground) if part)
    marked = style.reverse or style.underline or style.underline2 or style.strike or style.overline
    return Look(whole, whole if marked else ";".join(ground))


@lru_cache(maxsize=4096)
def _blank(look: Look) -> Look:
    """How a blank is drawn, of which only the ground is seen."""
    return Look(look.ground, look.ground)
