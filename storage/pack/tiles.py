"""How a full-size pattern is split over sheets of paper.

All lengths in millimetres. Each page has a window for the pattern, a strip at its foot for
words, check bars and key, and a strip at its left for the upright check bars. Neighbouring
windows overlap; crosses at the corners of the tiles are in the middle of the overlap, so every
sheet round a corner prints the same cross and the sheets are laid cross on cross.
"""

from collections.abc import Iterator
from math import ceil

from msgspec import Struct

PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
"""Paper by its name: width and height when upright [mm] (ANSI/ASME Y14.1; ISO 216)."""

OVERLAP = 15.0
"""Width that neighbouring sheets both print."""

MARGIN = 9.0
"""Printers reach this close to the edge of the paper. Common practice: 1/4 in, and some more."""

FOOT = 31.0
SIDE = 13.0
CLEAR = 3.0
"""Margin around the pattern, so that its outline is not on the edge of a window."""


class Tile(Struct, frozen=True):
    """One sheet: its row from the top and column from the left, both from 1.

    ``x`` and ``y`` are the pattern's coordinates at the lower left corner of its window.
    """

    row: int
    column: int
    x: float
    y: float

    @property
    def name(self) -> str:
        """The sheet's name as printed on it."""
        return f"row {self.row}, column {self.column}"


class Tiling(Struct, frozen=True):
    """All sheets of a pattern: page and window [mm], steps from sheet to sheet."""

    page_width: float
    page_height: float
    window_width: float
    window_height: float
    columns: int
    rows: int
    left: float
    bottom: float

    @property
    def sheets(self) -> int:
        """How many sheets there are."""
        return self.columns * self.rows

    @property
    def step_x(self) -> float:
        """From one column to the next."""
        return self.window_width - OVERLAP

    @property
    def step_y(self) -> float:
        """From one row to the next."""
        return self.window_height - OVERLAP

    @property
    def window(self) -> tuple[float, float]:
        """Lower left corner of the window on the page."""
        return MARGIN + SIDE, MARGIN + FOOT

    def tiles(self) -> Iterator[Tile]:
        """The sheets, in reading order."""
        for row in range(1, self.rows + 1):
            for column in range(1, self.columns + 1):
                yield Tile(
                    row,
                    column,
                    self.left + (column - 1) * self.step_x,
                    self.bottom + (self.rows - row) * self.step_y,
                )

    def corners(self, tile: Tile) -> tuple[tuple[float, float], ...]:
        """The crosses of a sheet, in the pattern's coordinates: its four tile corners."""
        x, y = tile.x + OVERLAP / 2, tile.y + OVERLAP / 2
        return (
            (x, y),
            (x + self.step_x, y),
            (x + self.step_x, y + self.step_y),
            (x, y + self.step_y),
        )


def lay_tiles(width: float, height: float, paper: str) -> Tiling:
    """The fewest sheets for a pattern of that size: upright or across, upright where equal.

    ``KeyError`` for a paper that is not in ``PAPERS``.
    """
    short, long = PAPERS[paper]
    return min(
        (_laid(width, height, *page) for page in ((short, long), (long, short))),
        key=lambda tiling: tiling.sheets,
    )


def _laid(width: float, height: float, page_width: float, page_height: float) -> Tiling:
    across = page_width - 2 * MARGIN - SIDE
    up = page_height - 2 * MARGIN - FOOT
    columns, rows = _count(width, across), _count(height, up)
    # The pattern lies in the middle of what the sheets cover together.
    left = (width - (columns * (across - OVERLAP) + OVERLAP)) / 2
    bottom = (height - (rows * (up - OVERLAP) + OVERLAP)) / 2
    return Tiling(page_width, page_height, across, up, columns, rows, left, bottom)


def _count(size: float, window: float) -> int:
    return max(1, ceil((size + 2 * CLEAR - OVERLAP) / (window - OVERLAP) - 1e-9))
