"""A cell is drawn as the library draws it, which lays each out anew."""

from pathlib import Path

import pytest
from rich.segment import Segment
from rich.style import Style
from textual.widgets import DataTable

from domain.build.actions import applied
from domain.build.edits import SetField
from tests.tui.driving import SIZES, build_screen, press, running, stored
from tests.tui.screens.test_editing import three_amplifiers
from tui.widgets.grid import Grid


def cells(lines: list[list[Segment]]) -> list[tuple[str, Style]]:
    """Each character with its style."""
    (line,) = lines
    return [(char, segment.style or Style()) for segment in line for char in segment.text]


@pytest.mark.parametrize("size", SIZES)
async def test_every_cell_is_drawn_as_the_library_draws_it(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    odd = SetField(table="amplifiers", id="a1", field="name", value="表 🚐 e\u0301 [b]")
    key = stored(path, applied(three_amplifiers(), odd))
    base = Style(color="red", bold=True)
    drawn = 0
    async with running(path, size, key) as pilot:
        for page in ("f2", "f4", "alt+1", "f7"):
            await press(pilot, page)
            for grid in build_screen(pilot).grids():
                drawn += compared(grid, base)
            await press(pilot, "f2", "enter", "4", "x")  # a cell with a cursor in it
            drawn += compared(build_screen(pilot).grid, base)
            await press(pilot, "escape")
    assert drawn > 500


def compared(grid: Grid, base: Style) -> int:
    """How many cells of a table were compared."""
    count = 0
    for row in range(-1, grid.row_count):
        for place, column in enumerate(grid.ordered_columns):
            for cursor in (False, True):
                how = (row, place, base, column.get_render_width(grid))
                ours = grid._render_cell(*how, cursor=cursor)
                theirs = DataTable._render_cell(grid, *how, cursor=cursor)
                assert cells(ours) == cells(theirs), how
                count += 1
    return count
