"""The shop on the screen: files, two windows, and stores that are busy, damaged or read-only."""

import sqlite3
from contextlib import closing
from pathlib import Path

from domain.shop.shop_actions import add_item
from storage.store.builds import Store
from tests.storage.store.stocking import Stocking
from tests.tui.driving import looked, press, running, screen_text, status
from tests.tui.keeping_shop import kept, names, seen, shop_screen, stocked, toasts
from tests.tui.stillness import settled
from tui.screens.builds import BuildsScreen
from tui.screens.shop import ShopScreen


async def test_a_file_goes_out_and_comes_back(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    before = kept(path)
    out = tmp_path / "out.csv"
    async with running(path) as pilot:
        await press(pilot, "f12", "ctrl+l", "ctrl+a", "ctrl+k", str(out), "enter")
        await pilot.app.workers.wait_for_complete()
        await press(pilot, "escape")
        assert out.read_text().count("\n") == 5
        await press(pilot, "ctrl+l", "ctrl+a", "ctrl+k", str(out), "enter", "enter")
        assert isinstance(pilot.app.screen, ShopScreen)
        await press(pilot, "ctrl+n")
        out.write_text(out.read_text() + "=cmd|x,Fuses,,,1,each,2,0,@home\n")
        await press(pilot, "alt+l", "ctrl+a", "ctrl+k", str(out), "enter")
        assert "leaves out 1 of the items here" in screen_text(pilot)
        await press(pilot, "enter")
        assert "New item" in names(path)
        await press(pilot, "alt+l", "ctrl+a", "ctrl+k", str(out), "enter", "down", "enter")
        await pilot.app.workers.wait_for_complete()
        await settled(pilot)
        assert status(pilot) == "Taken: the catalogue holds 5 items; ctrl+z takes it back"
        assert names(path)[-1] == "=cmd|x"
        await press(pilot, "ctrl+z", "ctrl+z")
        assert kept(path) == before
    again = tmp_path / "again.csv"
    async with running(path) as pilot:
        await press(pilot, "f12", "ctrl+y", "ctrl+y", "ctrl+l", "ctrl+a", "ctrl+k", str(again))
        await press(pilot, "enter")
        await pilot.app.workers.wait_for_complete()
    assert "'=cmd|x" in again.read_text()
    assert "'@home" in again.read_text()


BAD_FILES = (
    (None, "cannot be read"),
    (b"", "the file is empty"),
    (b"name,price\nx,1\n", "no column 'group'"),
    (b"footprint,mass kg\n", "unknown column"),
    (b"\xff\xfe", "no UTF-8"),
    ("folder", "is no file"),
)
"""What is in a file, and what is then said of it."""


async def test_a_bad_file_is_refused_whole(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    before = kept(path)
    async with running(path, (200, 40)) as pilot:
        await press(pilot, "f12")
        for place, (content, said) in enumerate(BAD_FILES):
            file = tmp_path / f"x{place}"
            if isinstance(content, bytes):
                file.write_bytes(content)
            elif content == "folder":
                file.mkdir()
            pilot.app.clear_notifications()
            await press(pilot, "alt+l", "ctrl+a", "ctrl+k", str(file), "enter")
            assert status(pilot).startswith("! Not taken")
            assert said in status(pilot) + toasts(pilot)
            assert kept(path) == before


async def test_two_windows_change_the_shop_and_nothing_is_lost(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12")
        with Store(path) as other:
            shop = other.shop()
            shop.change(lambda now: add_item(now, name="From the other window"))
        await looked(pilot)
        assert "From the other window" in screen_text(pilot)
        await press(pilot, "Renamed", "enter")
        assert names(path)[0] == "Renamed"
        assert names(path)[-1] == "From the other window"
        with Store(path, person="Lee") as other:
            catalogue = Stocking(other)
            catalogue.remove("i1")
        await looked(pilot)
        await press(pilot, "ctrl+z")
        assert "cannot be taken back: Lee has made an edit there" in status(pilot)
        assert "Renamed" not in screen_text(pilot)
        shop_screen(pilot).grid.go("i2", "name")
        await press(pilot, "Gone")
        with Store(path) as other:
            Stocking(other).remove("i2")
        await looked(pilot)
        assert "The row is gone that 'Gone' was typed into" in status(pilot)
        assert names(path) == ["Black spool", "Ties", "From the other window"]
        assert seen(pilot) == names(path)


async def test_a_store_that_another_program_writes_is_told(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    before = kept(path)
    async with running(path) as pilot:
        await press(pilot, "f12")
        with closing(sqlite3.connect(path, isolation_level=None)) as busy:
            busy.execute("BEGIN IMMEDIATE")
            await press(pilot, "Renamed", "enter")
            assert "Not saved" in status(pilot)
            assert "being written by another program" in toasts(pilot)
            assert shop_screen(pilot).editing.open
            busy.execute("ROLLBACK")
        assert kept(path) == before
        await press(pilot, "enter")
        assert names(path)[0] == "Renamed"


async def test_a_damaged_shop_is_told_and_the_builds_stay_open(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    with closing(sqlite3.connect(path)) as file, file:
        file.execute("UPDATE catalogue SET pack = -1 WHERE id = 'i3'")
    async with running(path, (200, 40)) as pilot:
        await press(pilot, "f12")
        assert isinstance(pilot.app.screen, BuildsScreen)
        assert "damaged in item 3: pack" in status(pilot)
        assert "catalogue --import FILE --force" in toasts(pilot)
        await press(pilot, "enter")
        await looked(pilot)  # the build's materials miss their prices, which is said too
        await press(pilot, "f12")
        assert "The shop cannot be opened" in status(pilot)


async def test_a_store_that_may_only_be_read_is_shown(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        pilot.app.store.database.read_only = True  # type: ignore[attr-defined]
        await press(pilot, "f12", "ctrl+n")
        assert "may only be read" in toasts(pilot)
        assert len(seen(pilot)) == 4
