"""What the next key goes to can be seen: the marked line of a list, the cursor in a long form.

Expected by definition: one line of a list is marked, the one that enter takes.
"""

from pathlib import Path

import pytest
from textual.events import Key
from textual.pilot import Pilot
from textual.widgets import OptionList

from tests.tui.driving import SIZES, press, running
from tui.screens.build import BuildScreen


def reversed_lines(pilot: Pilot[int]) -> list[str]:
    """The texts of the list that are drawn reversed."""
    options = pilot.app.screen.query_one(OptionList)
    lines = [options.render_line(y) for y in range(options.size.height)]
    return [
        line.text.strip()
        for line in lines
        if any(segment.style and segment.style.reverse for segment in line)
    ]


@pytest.mark.parametrize(
    ("opens", "of_each"),
    [("ctrl+n", 1), ("alt+d", 1), ("ctrl+p", 2)],  # a command has a second line, what it does
)
async def test_a_list_marks_what_enter_takes(tmp_path: Path, opens: str, of_each: int) -> None:
    async with running(tmp_path / "store.db") as pilot:
        await press(pilot, "ctrl+n", "enter", "4x75", "enter", "f2" if opens == "alt+d" else "f1")
        await press(pilot, *(() if opens == "alt+d" else ("escape",)), opens)
        first = reversed_lines(pilot)
        assert len(first) == of_each
        await press(pilot, "down")
        second = reversed_lines(pilot)
        assert len(second) == of_each
        assert first[0] != second[0]


@pytest.mark.parametrize("size", SIZES)
async def test_a_form_that_opens_shows_the_field_to_fill_in(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with running(tmp_path / "store.db", size) as pilot:
        await press(pilot, "ctrl+n", "enter", "4x75", "enter", "1x500", "enter", "2x150", "enter")
        await press(pilot, "ctrl+n", *"dc")
        pilot.app.post_message(Key("enter", None))  # and nothing is waited for but what follows
        screen = pilot.app.screen_stack[-2]
        assert isinstance(screen, BuildScreen)
        for _ in range(40):
            await pilot.pause(0.05)
            if screen.grid.row_id.endswith("rated_a") and cursor_seen(screen):
                break
        assert screen.grid.row_id.endswith("rated_a")
        assert cursor_seen(screen)


def cursor_seen(screen: BuildScreen) -> bool:
    """Whether the cell under the cursor is within the page that is shown."""
    view = screen.query_one(f"#{screen.view.id}")
    return view.content_region.contains_region(screen.grid.cell_region())
