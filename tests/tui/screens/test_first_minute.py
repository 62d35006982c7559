"""The first minute: what an empty store says, the first plan of the help page, the tour.

Expected by definition; that the plan's keys work is pressed in ``tests/tui/views/test_first_plan``.
"""

from pathlib import Path

import pytest
from rich.cells import cell_len
from textual import events

from tests.tui.driving import SIZES, press, running, screen_text, status
from tests.tui.views.test_first_plan import FIRST_PLAN as PRESSED
from tui.dialogs.first_plan import FIRST_PLAN
from tui.screens.build import BuildScreen
from tui.screens.builds import BuildsScreen
from tui.screens.tour import STOPS, Tour


def test_the_plan_of_the_help_page_is_the_one_that_is_pressed() -> None:
    assert len(FIRST_PLAN) <= 10
    assert [key for keys, _ in FIRST_PLAN for key in keys] == [*PRESSED, "ctrl+g"]


@pytest.mark.parametrize("size", SIZES)
async def test_an_empty_store_says_what_to_press(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path / "store.db", size) as pilot:
        shown = screen_text(pilot)
        assert "No builds yet: ctrl+n starts one; F1" in shown
        assert "adds all." in shown
        await press(pilot, "f1")
        shown = screen_text(pilot)
        for keys, _ in FIRST_PLAN[1:]:
            assert " ".join(keys).replace("ctrl+g", "^G") in shown


@pytest.mark.parametrize("size", SIZES)
async def test_the_tour(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path / "store.db", size) as pilot:
        await press(pilot, "alt+t")
        for said, _ in STOPS:
            assert cell_len(said) <= 78
            assert isinstance(pilot.app.screen, BuildScreen)
            assert isinstance(pilot.app.screen.guide, Tour)
            assert status(pilot) == said
            await press(pilot, "enter")
        assert isinstance(pilot.app.screen, BuildsScreen)
        for key in ("x", "escape", "f4", "ctrl+x", "delete"):
            await press(pilot, "alt+t", "enter", key)
            assert isinstance(pilot.app.screen, BuildsScreen), key
        await press(pilot, "alt+t")
        await pilot.click("#keys", offset=(3, 0))
        await pilot.pause()
        assert status(pilot) == STOPS[1][0]
        await press(pilot, "x")
        assert "No builds yet" in screen_text(pilot)


async def test_keys_that_come_before_a_stop_is_shown_lead_past_it_and_out(tmp_path: Path) -> None:
    async with running(tmp_path / "store.db", SIZES[0]) as pilot:
        await press(pilot, "alt+t")
        screen = pilot.app.screen
        for _ in range(len(STOPS)):
            screen.post_message(events.Key("enter", None))
        await pilot.pause()
        await pilot.pause()
        assert isinstance(pilot.app.screen, BuildsScreen)
