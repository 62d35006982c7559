"""A build is opened: its records are seen first, what follows from them comes after."""

from pathlib import Path
from typing import Any

import pytest
from textual._compositor import Compositor
from textual._context import active_app

from domain.build.edits import SetField
from domain.evaluate import evaluate
from storage.store.builds import Store
from tests.tui.driving import (
    NARROW,
    WIDE,
    build_screen,
    press,
    reopened,
    running,
    screen_text,
    stored,
)
from tests.tui.screens.test_editing import three_amplifiers
from tui.screens.build import BuildScreen
from tui.screens.builds import BuildsScreen
from tui.workbench import Workbench

pytestmark = pytest.mark.usefixtures("drawn_each_time")


@pytest.mark.parametrize("size", [WIDE, NARROW])
async def test_the_records_are_seen_before_anything_is_worked_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    seen: list[tuple[bool, str]] = []
    drawn = BuildScreen.drawn

    def look(screen: BuildScreen) -> None:
        strips = screen._compositor.render_strips()
        seen.append((screen.workbench.awaits, "\n".join(strip.text for strip in strips)))
        drawn(screen)

    monkeypatch.setattr(BuildScreen, "drawn", look)
    async with running(path, size, key, page="") as pilot:
        before = [text for awaits, text in seen if awaits]
        name = three_amplifiers().amplifiers[0].name
        assert any(name in text for text in before)
        assert not any(" average" in text or "NOTE" in text for text in before)
        # A power that was typed is known; of a fuse that is not chosen nothing is said.
        assert all("Front  500 W" in text and "[…]" in text for text in before)
        assert not any("[~]" in text for text in before)
        after = screen_text(pilot)
        assert name in after
        assert after not in before
        assert ("average" in after) == (size == WIDE)
        assert build_screen(pilot).workbench.sheet == evaluate(three_amplifiers())


async def test_nothing_is_drawn_while_updates_are_held_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    held_back: list[int] = []
    render = Compositor.render_update

    def look(compositor: Compositor, **how: Any) -> Any:
        held_back.append(active_app.get()._batch_count)
        return render(compositor, **how)

    monkeypatch.setattr(Compositor, "render_update", look)
    async with running(path, key=key, page="") as pilot:
        await press(pilot, "f2", "f4", "alt+1")
        assert "average" in screen_text(pilot)
    assert held_back
    assert not any(held_back)


async def test_a_build_that_is_opened_from_the_list_has_its_figures_too(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    stored(path, three_amplifiers())
    async with running(path) as pilot:
        await press(pilot, "enter")
        assert "average" in screen_text(pilot)


def test_an_edit_waits_for_nothing_that_was_put_off(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    edit = SetField(table="amplifiers", id="a1", field="channel_w", value=900)
    with Store(path) as store:
        opened = store.open(key)
        bench = Workbench(store, key, opened.document, opened.revision, later=True)
        assert bench.awaits
        assert bench.settled
        assert (bench.sheet.runs, bench.sheet.findings) == ((), ())
        bench.do(edit)
        assert not bench.awaits
        assert bench.before == evaluate(three_amplifiers())
        assert bench.sheet == evaluate(reopened(path, key))
        again = Workbench(store, key, reopened(path, key), bench.revision, later=True)
        assert again.undo()
        assert again.sheet == evaluate(three_amplifiers()) == evaluate(reopened(path, key))


async def test_the_list_of_builds_lies_below_the_build_that_it_began_in(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        begun = build_screen(pilot)
        assert pilot.app.screen_stack == [begun]
        await press(pilot, "f10")
        assert isinstance(pilot.app.screen, BuildsScreen)
        assert not begun.is_attached
        below = pilot.app.screen
        await press(pilot, "enter", "f2", "right", "4x50", "enter", "f10")
        assert pilot.app.screen_stack == [below]
    assert reopened(path, key).amplifiers[0].channel_w == 50


async def test_where_the_build_is_not_there_the_list_says_so(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key + 7, page="") as pilot:
        assert isinstance(pilot.app.screen, BuildsScreen)
        (said,) = (note.message for note in pilot.app._notifications)
        assert said.startswith(f"there is no build {key + 7} in this store")
        assert three_amplifiers().header.title in screen_text(pilot)
