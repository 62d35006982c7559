"""Which columns of a table are shown, who chose them, and for how long that is kept.

Expected by definition: the columns that were ticked, in the table's own order.
"""

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import ContentSwitcher

from storage.store.builds import Store
from tests.tui.driving import build_screen, press, running, screen_text, status, stored
from tests.tui.screens.test_editing import three_amplifiers
from tests.tui.stillness import settled
from tui.grids.grid_screen import GridScreen
from tui.tables.build_tables import AT_FIRST, SPECS
from tui.widgets.line_view import LineView


def caption(pilot: Pilot[int]) -> str:
    """What stands over the first table."""
    return screen_text(pilot).splitlines()[2]


def titles(screen: GridScreen) -> list[str]:
    """The columns of the table with the cursor."""
    return [column.title.lstrip("·") for column in screen.grid.spec.columns]


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (60, 18)])
async def test_a_table_shows_what_is_compared_at_first(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    async with running(path, size, stored(path, three_amplifiers())) as pilot:
        screen = build_screen(pilot)
        for page in ("f2", "f3", "f4", "f5"):
            await press(pilot, page)
            for grid in screen.grids():
                if grid.whole.at_first:
                    assert AT_FIRST <= len(grid.spec.columns) <= 8
        await press(pilot, "f4")
        assert "(alt+d: " in screen_text(pilot) or size[0] == 60


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (60, 18), (200, 50)])
async def test_what_stands_over_a_table_says_what_leads_to_columns_out_of_sight(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """Expected: what right comes to is told by the arrow, and all the rest by its key."""
    path = tmp_path / "store.db"
    both = 0
    async with running(path, size, stored(path, three_amplifiers())) as pilot:
        screen = build_screen(pilot)
        for page in ("f2", "f3", "f4", "f5", "f8"):
            await press(pilot, page)
            room = screen.query_one(ContentSwitcher).size.width
            for grid in screen.grids():
                over = screen.query_one(f"#caption-{grid.spec.id}", LineView).lines[0].plain
                wider, hidden = grid.columns_width > room, grid.hidden
                assert ("->" in over) is wider, over
                assert (f"alt+d: {hidden} more" in over) is bool(hidden), over
                both += wider and bool(hidden)
    assert both or size[0] == 200


async def test_what_is_chosen_is_kept_for_the_person(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, (80, 24), key, person="Kim") as pilot:
        screen = build_screen(pilot)
        first = titles(screen)
        # away with the second, and on to the last one, which is the place
        await press(pilot, "alt+d", "space", "up", "space", "enter")
        chosen = [*(title for title in first if title != first[1]), "Place"]
        assert titles(screen) == chosen
        assert "alt+d brings them back" in status(pilot)
        await press(pilot, "f3", "f2")
        assert titles(screen) == chosen
    async with running(path, (80, 24), key, person="Kim") as pilot:
        assert titles(build_screen(pilot)) == chosen
        await press(pilot, "alt+d", "space", "escape")  # as it was
        assert titles(build_screen(pilot)) == chosen
    async with running(path, (80, 24), key, person="Lee") as pilot:
        assert titles(build_screen(pilot)) == first
        await press(pilot, "alt+d", "a", "enter")
        assert len(titles(build_screen(pilot))) == len(build_screen(pilot).grid.whole.columns)
    async with running(path, (80, 24), key, person="Kim") as pilot:
        await press(pilot, "alt+d", "d")
        assert titles(build_screen(pilot)) == first
    with Store(path, person="Kim") as store:
        assert store.wanted_columns() == {}


async def test_whoever_goes_to_a_column_that_is_not_shown_sees_it(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, (80, 24), stored(path, three_amplifiers())) as pilot:
        screen = build_screen(pilot)
        assert "Location" not in titles(screen)
        assert await screen.go_to("amplifiers", "a1", "zone")
        assert titles(screen)[screen.grid.cursor_column] == "Location"
        assert screen.grid.spec.columns[screen.grid.cursor_column].field == "zone"
        await press(pilot, "enter", "escape", "d")  # typed there, and the terminal changes
        assert screen.editing.open
        await pilot.resize_terminal(60, 18)
        await pilot.pause()
        assert screen.editing.open
        assert "Location" in titles(screen)


async def test_a_form_has_no_columns_to_choose(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, key=stored(path, three_amplifiers()), page="") as pilot:
        screen = build_screen(pilot)
        await press(pilot, "home", "enter", "alt+d")
        assert "shows all of its fields" in status(pilot)
        await press(pilot, "escape")
        # The drawing's figure may be put away: its key then says so in the caption alone.
        await press(pilot, "alt+d", "up", "space", "enter", "alt+v")
        assert "·Figure" not in [column.title for column in screen.grid.spec.columns]
        assert "Current" in screen_text(pilot)
        # What stands over a table is cut for the room that it has now, not for that it had.
        assert "…" in caption(pilot)
        await pilot.resize_terminal(200, 40)
        await settled(pilot)
        assert "…" not in caption(pilot)


def test_only_what_has_a_form_hides_columns() -> None:
    hiding = {spec.table for spec in SPECS if spec.at_first}
    assert "runs" in hiding
    assert hiding.isdisjoint({"zones", "spots", "parts", "holes", "leads", "remotes"})
