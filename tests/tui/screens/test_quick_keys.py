"""Keys that come quickly, and commands that begin while a value cannot be taken."""

from pathlib import Path

import pytest
from rich.style import Style
from textual.events import Click, Key
from textual.pilot import Pilot
from textual.widgets import OptionList

from domain.build.actions import add, applied
from domain.build.start import start_build
from tests.tui.driving import (
    build_screen,
    is_key,
    press,
    reopened,
    running,
    status,
    stored,
)
from tui.dialogs.boxes import mark_another
from tui.dialogs.palette import Palette, rank
from tui.pages.page import TextPage
from tui.screens.build import BuildScreen
from tui.screens.builds import BuildsScreen


def two_amplifiers(path: Path) -> int:
    """A store with a build of two amplifiers; its key."""
    build = start_build()
    for name in ("Front", "Sub"):
        build = applied(build, add(build, "amplifiers", name=name))
    return stored(path, build)


async def at_once(pilot: Pilot[int], *keys: str) -> None:
    """Press keys without waiting for what any of them does, then wait for all."""
    for key in keys:
        for each in [key] if is_key(key) else key:
            pilot.app.post_message(Key(each, each if len(each) == 1 else None))
    for _ in range(10):
        await pilot.pause()


async def test_a_value_that_cannot_be_taken_stops_whoever_would_move_on(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        for command in (
            "next finding",
            "materials",
            "take a hole pattern",
            "sheet sizes",
            "shop",
            "fix the finding",
            "remove the",
        ):
            screen.grid.go("a1", "efficiency")
            await press(pilot, *"zzz")
            await press(pilot, "ctrl+p", *command, "enter")
            assert pilot.app.screen is screen, command
            assert screen.grid.spec.id == "amplifiers"
            assert screen.grid.row_id == "a1"
            assert screen.editing.open
            assert screen.editing.editor.value == "zzz"
            assert "Not taken" in status(pilot)
            # The counter-example: what can be taken is, and the command goes on.
            await press(pilot, "ctrl+u", *"60%")
            await press(pilot, "ctrl+p", *"materials", "enter")
            assert screen.view.id == "pack"
            amplifiers = reopened(path, key).amplifiers
            assert [amplifier.efficiency for amplifier in amplifiers] == [0.6, None]
            await press(pilot, "ctrl+z", "f2")
            assert reopened(path, key).amplifiers[0].efficiency is None


async def test_a_change_of_view_tells_whether_it_went(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        screen.grid.go("a1", "efficiency")
        await press(pilot, *"zzz")
        assert not await screen.go_to("header", "", "title")
        assert not await screen.show_view(screen.view_named("pack"))
        await press(pilot, "escape")
        assert await screen.go_to("header", "", "title")
        assert screen.grid.spec.id == "header"


async def test_undo_by_name_drops_what_is_typed_as_its_key_does(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, key=key) as pilot:
        await press(pilot, "f2", *"other", "ctrl+p", *"undo", "enter")
        assert not build_screen(pilot).editing.open
    assert [each.name for each in reopened(path, key).amplifiers] == ["Front", "Sub"]


async def test_typing_ahead_waits_for_what_opens(tmp_path: Path) -> None:
    """From the list into a build, a view, the palette and a list to pick from, in one breath."""
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path) as pilot:
        await at_once(
            pilot, "enter", "f2", "right", "9", "0", "enter", "ctrl+p", *"locations", "enter"
        )
        screen = build_screen(pilot)
        assert screen.grid.spec.id == "zones"
        await at_once(pilot, "f1", "escape", "f10", "enter", "f2", "down", "right", "8", "enter")
        assert build_screen(pilot) is not screen
    assert [each.channel_w for each in reopened(path, key).amplifiers] == [90, 8]


async def test_the_palette_closes_once(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, key=key) as pilot:
        for last in ("escape", "enter"):
            await at_once(pilot, "ctrl+p", "ctrl+p", "f", last, last, last, last, "f1", "escape")
            await at_once(pilot, "escape", "ctrl+p", "escape", "ctrl+p", *"zz", "escape", "escape")
        assert isinstance(pilot.app.screen, BuildScreen | BuildsScreen | TextPage)
        screen = pilot.app.screen
        await press(pilot, "ctrl+p")
        palette = pilot.app.screen
        assert isinstance(palette, Palette)
        palette.dismiss(None)
        palette.dismiss(None)
        await pilot.pause()
        assert pilot.app.screen is screen
        await press(pilot, "ctrl+p", "drop", "escape")  # typed or not, one escape leaves it
        assert pilot.app.screen is screen


async def test_a_list_takes_keys_before_it_is_laid_out(tmp_path: Path) -> None:
    """In a terminal too small for a single line of it, no move of the mark fails."""
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, (20, 5), key=key) as pilot:
        await at_once(pilot, "ctrl+p", "pagedown", "pageup", "up", "down", "g", "pagedown")
        palette = pilot.app.screen
        assert isinstance(palette, Palette)
        options = palette.query_one(OptionList)
        options.clear_options()
        for step in (10, -10, 1, -1):
            mark_another(options, step)
        assert options.highlighted is None
        options.add_options(map(str, range(12)))
        marked: list[int | None] = []
        for step in (1, -1, 10, 1, 1, -10):
            mark_another(options, step)
            marked.append(options.highlighted)
        assert marked == [0, 11, 11, 0, 1, 0]


async def test_a_click_on_a_line_that_is_no_longer_there_chooses_nothing(tmp_path: Path) -> None:
    """The terminal shows the longer list until the next frame; a click falls on what it shows."""
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+p")
        palette = pilot.app.screen
        assert isinstance(palette, Palette)
        options = palette.query_one(OptionList)
        last = options.option_count - 1
        assert last > 0
        options.clear_options()
        style = Style.from_meta({"option": last})
        click = Click(options, 5, 1, 0, 0, 1, False, False, False, 5, 1, style)
        options.post_message(click)
        await pilot.pause()
        assert pilot.app.screen is palette


def test_what_is_typed_finds_the_better_name_first() -> None:
    names = ("Wounds", "Go to grounds", "Grounds", "Get round Sunday")
    assert [rank("ground", name) for name in names] == [5, 1, 0, 4]
    assert rank("und", "Grounds") == 2


def test_what_a_command_does_is_found_behind_what_it_is_called() -> None:
    relay = "Second battery behind a relay", "a further battery, its isolator relay, runs, fuses"
    assert rank("isolator", *relay) == 3
    assert rank("battery isolator", *relay) == 3
    assert rank("isolator", "Isolators") < rank("isolator", *relay) < rank("iso", "I was sold")
    assert rank("is", *relay) == 5, "so short a word is in nearly all that is told"


async def test_what_comes_when_a_screen_is_half_closed_shows_nothing(tmp_path: Path) -> None:
    """Its children go one after the other; timers and scrolls that were on their way still come."""
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await screen.query_one("#more").remove()
        screen.show_more(False)
        await pilot.app.pop_screen()
        assert not screen.is_attached
        screen.show_more(False)
        screen.settling.now()
        screen.settling._show()


@pytest.mark.parametrize("step", [1, -1])
async def test_keys_for_a_table_that_was_put_away_go_to_one_that_is_seen(
    tmp_path: Path, step: int
) -> None:
    path = tmp_path / "store.db"
    key = two_amplifiers(path)
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f2")
        elsewhere = screen.grid
        for go in (lambda: screen.leave_table(step), lambda: screen.visit(screen.view)):
            await press(pilot, "f3")
            assert elsewhere not in screen.seen_grids()
            screen.grid = elsewhere
            waits = go()
            if waits is not None:
                await waits
            assert screen.grid in screen.seen_grids()
