"""Two people on one store: each sees what the other does, and neither loses what is theirs."""

from asyncio import sleep, timeout
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager
from pathlib import Path

from textual.pilot import Pilot

from domain.build.actions import add_amplifier, applied
from domain.build.edits import SetField
from domain.build.start import start_build
from domain.evaluate import evaluate
from storage.store.builds import Store
from tests.storage.store.builds import file_of, set_length
from tests.tui.driving import (
    build_screen,
    looked,
    press,
    reopened,
    running,
    screen_text,
    status,
    stored,
)
from tui.app import LOOK_EVERY_S
from tui.widgets.grid import BY_OTHERS

KIM, LEE = "Kim", "Lee [red]"


@asynccontextmanager
async def two(folder: Path) -> AsyncIterator[tuple[Pilot[int], Pilot[int], Path, int]]:
    """Kim and Lee on one build with two amplifiers."""
    path, build = folder / "store.db", start_build()
    for name in ("Front", "Sub"):
        build = applied(build, add_amplifier(build, name=name))
    key = stored(path, build)
    async with AsyncExitStack() as stack:
        kim, lee = [
            await stack.enter_async_context(running(path, key=key, person=person))
            for person in (KIM, LEE)
        ]
        for pilot in (kim, lee, kim):
            await looked(pilot)
        yield kim, lee, path, key


async def test_an_edit_is_on_the_other_screen_with_its_figures_and_its_name(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, path, key):
        await press(kim, "right", "2x300", "enter")
        await looked(lee)
        screen = build_screen(lee)
        assert screen.workbench.build == reopened(path, key)
        assert screen.workbench.sheet == evaluate(reopened(path, key))
        assert "2x300" in screen_text(lee)
        assert status(lee).startswith("Kim: ")
        grid = screen.grid_of("amplifiers")
        assert BY_OTHERS in {str(grid.get_cell_at((0, c)).style) for c in range(3)}  # type: ignore[arg-type]
        screen.together._unmark()
        styles = {str(cell.style) for row in range(2) for cell in grid.get_row_at(row)}
        assert BY_OTHERS not in styles
        await press(lee, "right", "down", "4x50", "enter")
        await looked(kim)
        assert "4x50" in screen_text(kim)
        assert status(kim).startswith("Lee [red]: ")


async def test_a_name_is_told_with_what_it_was(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, *_):
        await press(kim, "home", "enter", "Doors", "enter", "escape")
        await looked(lee)
        assert status(lee) == "Kim: Amplifier Front -> Doors"
        await press(kim, "ctrl+n")
        await press(kim, "escape", "ctrl+z")
        await looked(lee)
        assert "removed" not in status(lee)
        assert "took back add" in status(lee)


async def test_it_comes_by_itself(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, *_):
        await press(kim, "right", "2x300", "enter")
        async with timeout(60 * LOOK_EVERY_S):
            while "2x300" not in screen_text(lee):
                await sleep(LOOK_EVERY_S / 5)


async def test_cursor_and_half_typed_text_stay(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, path, key):
        await press(lee, "right", "down", "4x1")
        await press(kim, "ctrl+n", "1x500", "enter")
        await looked(lee)
        screen = build_screen(lee)
        assert screen.editing.open
        assert screen.editing.editor.value == "4x1"
        assert "1x500" in screen_text(lee)
        assert screen.grid.row_id == "a2"
        await press(lee, "20", "enter")
        powers = [(each.channels, each.channel_w) for each in reopened(path, key).amplifiers]
        assert powers[1:] == [(4, 120), (1, 500)]


async def test_the_later_one_is_told_whose_value_it_replaced_and_one_key_takes_it_back(
    tmp_path: Path,
) -> None:
    async with two(tmp_path) as (kim, lee, path, key):
        for pilot in (kim, lee):
            await press(pilot, "f4")
        for pilot, text in ((kim, "3ft"), (lee, "4ft")):
            build_screen(pilot).grid.go("r1", "length_m")
            await press(pilot, text)
        await press(kim, "enter")
        await looked(lee)
        await press(lee, "enter")
        assert "yours replaced 3 ft by Kim, ctrl+z gives it back" in status(lee)
        await looked(kim)
        await press(lee, "ctrl+z")
        await looked(kim)
        assert (
            reopened(path, key).runs[0].length_m
            == build_screen(kim).workbench.build.runs[0].length_m
        )
        assert status(kim).startswith("Lee [red]: took back")
        await press(lee, "escape", "ctrl+z")
        assert "nothing of yours is left to take back" in status(lee)


async def test_what_the_other_went_on_from_is_not_taken_back(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, path, key):
        await press(kim, "right", "2x300", "enter")
        await looked(lee)
        await press(lee, "right", "2x400", "enter")
        await press(kim, "ctrl+z")
        assert "cannot be taken back: Lee [red] has made an edit there" in status(kim)
        assert "2x400" in screen_text(kim)
        await press(lee, "ctrl+z")
        await press(kim, "ctrl+z")
        assert reopened(path, key).amplifiers == build_screen(kim).workbench.build.amplifiers


async def test_a_row_removed_under_half_typed_text_is_told(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, *_):
        await press(lee, "right", "down", "4x1")
        await press(kim, "down", "ctrl+x")
        await looked(lee)
        assert not build_screen(lee).editing.open
        assert build_screen(lee).grid.row_ids == ["a1"]
        assert status(lee) == "! The row is gone that '4x1' was typed into: it was not taken"
        await press(lee, "4x75", "enter")
        assert "4x75" in screen_text(lee)


async def test_who_else_is_here_and_on_which_page_stands_in_the_header(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, path, _):
        assert "also here: Lee [red] (Amplifiers)" in screen_text(kim)
        await press(lee, "f8")
        await looked(lee)
        await looked(kim)
        assert "also here: Lee [red] (Pack)" in screen_text(kim)
        await press(lee, "f12")
        await looked(lee)
        await looked(kim)
        assert "also here" not in screen_text(kim)
        await press(kim, "f12")
        await looked(kim)
        await looked(lee)
        assert "also here: Kim (Shop: Items" in screen_text(lee)
        await press(kim, "f12", "f10")
        await looked(kim)
        assert "Lee [red] (Shop: Items" in screen_text(kim)
    with Store(path) as store:
        assert store.others() == ()


async def test_the_shop_is_seen_by_both(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, lee, *_):
        for pilot in (kim, lee):
            await press(pilot, "f12")
        await press(kim, "ctrl+n", "Lug 35", "enter")
        await looked(lee)
        assert "Lug 35" in screen_text(lee)


async def test_another_program_that_removes_what_one_looks_at(tmp_path: Path) -> None:
    async with two(tmp_path) as (kim, _, path, key):
        with Store(path, person="Max") as store:
            kept = store.build(key)
            kept.change(lambda build: SetField(table="header", field="title", value="Theirs"))
            for id in ("r1",):
                kept.change(lambda build, id=id: set_length(id, 2.0))  # type: ignore[misc]
        await looked(kim)
        assert "Theirs" in screen_text(kim)
        assert status(kim).startswith("Max: Length of")
        assert "; Max: Title New build -> Theirs" in status(kim)
        with Store(path) as store:
            file_of(store).execute("DELETE FROM build")
        await looked(kim)
        assert "there is no build" in status(kim)
