"""A terminal that is lost takes nothing along: half-typed text is offered where it was typed."""

import os
import signal
from pathlib import Path

from domain.build.actions import add_amplifier, applied
from domain.build.start import start_build
from storage.store.builds import Store
from storage.store.left_off import LeftOff
from tests.tui.driving import (
    build_screen,
    press,
    reopened,
    running,
    screen_text,
    status,
    stored,
)
from tests.tui.keeping_shop import names, shop_screen, stocked
from tests.tui.terminal import Terminal
from tui.app import MainrunApp


def one_amplifier(path: Path) -> int:
    build = start_build("Comp car")
    return stored(path, applied(build, add_amplifier(build, name="Front")))


async def lost(path: Path, key: int | None, *keys: str, person: str = "Kim") -> None:
    """Press keys, then lose the terminal."""
    async with running(path, key=key, person=person) as pilot:
        await press(pilot, *keys)
        assert isinstance(pilot.app, MainrunApp)
        os.kill(os.getpid(), signal.SIGHUP)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert pilot.app.return_value == 129


async def test_half_typed_text_is_offered_where_it_was_typed(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = one_amplifier(path)
    await lost(path, key, "f4", "down", "home", "enter", "[red]1")
    async with running(path, person="Lee") as pilot:
        assert "typing" not in screen_text(pilot)  # it is Kim's
    async with running(path, person="Kim") as pilot:
        assert (
            status(pilot)
            == "When the terminal was lost you were typing '[red]1' in Comp car: enter"
        )
        await press(pilot, "enter")
        screen = build_screen(pilot)
        assert screen.view.id == "wiring"
        assert screen.editing.open
        assert screen.editing.editor.value == "[red]1"
        assert status(pilot) == "Typed when the terminal was lost: enter takes it, esc drops it"
        row = screen.grid.row_id.removesuffix(".name")
        await press(pilot, "enter")
    assert [run.name for run in reopened(path, key).runs if run.id == row] == ["[red]1"]
    async with running(path, key=key, person="Kim") as pilot:
        assert not build_screen(pilot).editing.open  # it was offered once


async def test_without_text_one_comes_back_to_the_cell(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = one_amplifier(path)
    await lost(path, key, "f5", "right")
    async with running(path, key=key, person="Kim", page="") as pilot:
        screen = build_screen(pilot)
        assert screen.view.id == "grounds"
        assert screen.grid.cursor_column == 1
        assert not screen.editing.open


async def test_a_row_that_went_meanwhile_is_told_with_the_text(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = one_amplifier(path)
    await lost(path, key, "right", "Rear 4")
    async with running(path, key=key, person="Lee") as pilot:
        await press(pilot, "ctrl+x")
    async with running(path, key=key, person="Kim", page="") as pilot:
        assert "you were typing 'Rear 4'; its row is gone" in status(pilot)
        assert not build_screen(pilot).editing.open


async def test_the_shop_is_gone_on_with_too(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    before = names(path)
    await lost(path, None, "f12", "down", "Half a na")
    async with running(path, person="Kim") as pilot:
        assert status(pilot).endswith("in the shop: F12")
        await press(pilot, "f12")
        assert shop_screen(pilot).editing.editor.value == "Half a na"
        await press(pilot, "me", "enter")
    assert names(path) == [before[0], "Half a name", *before[2:]]


async def test_quitting_keeps_nothing(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = one_amplifier(path)
    async with running(path, key=key, person="Kim") as pilot:
        await press(pilot, "f4", "1", "ctrl+q")
    with Store(path, person="Kim") as store:
        assert store.left_off() == []


def test_a_closed_terminal_on_a_real_one(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = str(one_amplifier(path))
    with Terminal(path, "open", key, MAINRUN_PERSON="Kim") as terminal:
        terminal.until("saved")
        terminal.send(b"\x1b2\rhalf typed")
        terminal.until("typed")
        terminal.close()
        assert terminal.process.wait(60) == 129
    with Terminal(path, "open", key, MAINRUN_PERSON="Kim") as terminal:
        terminal.until("Typed when the terminal was lost")
        terminal.send(b" on\r")
        terminal.until("rev 1")
    assert reopened(path, int(key)).amplifiers[0].name == "half typed on"


def test_what_another_program_wrote_there_is_harmless(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = one_amplifier(path)
    with Store(path, person="Kim") as store:
        store.keep_left_off(LeftOff(key, "pack", "nothing", "", "", "\x1b[2J" + "x" * 9000))
    with Store(path, person="Kim") as store:
        (left,) = store.left_off()
        assert left.typed is not None
        assert left.typed.startswith("\u241b[2J")
        assert len(left.typed) == 2000


async def test_a_place_that_no_version_has_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = one_amplifier(path)
    with Store(path, person="Kim") as store:
        store.keep_left_off(LeftOff(key, "no page", "nothing", "a1", "name", "lost words"))
    async with running(path, key=key, person="Kim", page="") as pilot:
        assert "lost words" in status(pilot)
        assert "Front" in screen_text(pilot)
