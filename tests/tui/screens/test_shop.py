"""The shop on the screen: keys in, rows in the store, text on the screen."""

import os
from pathlib import Path

import pytest
from textual.events import Paste

from domain.build.start import start_build
from domain.shop.catalogue import CatalogueItem
from tests.tui.driving import SIZES, press, running, screen_text, status, stored
from tests.tui.keeping_shop import kept, names, seen, shop_screen, stocked
from tui.screens.builds import BuildsScreen
from tui.tables.item_list import MOST_SEEN, ItemList


@pytest.mark.parametrize("size", SIZES)
async def test_an_item_is_added_typed_and_saved_at_once(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    stored(path, start_build("Estate"))
    async with running(path, size) as pilot:
        assert "F12 Shop" in screen_text(pilot)
        await press(pilot, "f12", "ctrl+n", "Ferrules", "tab", "ter", "tab", "25", "tab", "tab")
        await press(pilot, "12,50", "enter")
        shown = screen_text(pilot)
        assert "Ferrules" in shown
        assert "12.50" in shown
        assert "saved rev 5" in shown
        (item,) = kept(path).items
        assert (item.name, item.group, item.pack) == ("Ferrules", "Terminals", 25)
        assert str(item.price) == "12.50"
        await press(pilot, "f12")
        assert isinstance(pilot.app.screen, BuildsScreen)


@pytest.mark.parametrize("size", SIZES)
async def test_a_store_that_may_only_be_read_says_so_before_anything_is_typed(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build("Estate"))
    monkeypatch.setattr("os.access", lambda path, mode: mode != os.W_OK)
    async with running(path, size, key) as pilot:
        assert screen_text(pilot).splitlines()[0].endswith("read-only rev 0")
        await press(pilot, "f12")
        assert screen_text(pilot).splitlines()[0].endswith("read-only rev 0")
        await press(pilot, "f12", "f10")
        assert screen_text(pilot).splitlines()[0].split() == ["Builds", "read-only", "F12", "Shop"]
    assert kept(path).items == ()


@pytest.mark.parametrize("size", SIZES)
async def test_odd_names_are_shown_as_text(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    stored(path, start_build("Estate"))
    async with running(path, size) as pilot:
        await press(pilot, "f12")
        for name in ("[/red]", "[bold]x", "=1+1", "\x1b[31mred", "🔊 低音", "'x"):
            await press(pilot, "ctrl+n")
            shop_screen(pilot).editing.start("")
            shop_screen(pilot).editing.typed(name)
            await press(pilot, "enter")
            (item,) = kept(path).items
            assert "\x1b" not in item.name
            assert item.name[-3:] == name[-3:]
            for key in ("f4", "ctrl+n", "f1", "escape", "f2"):
                await press(pilot, key)
                assert "\x1b" not in screen_text(pilot)
            assert item.name[:4] in screen_text(pilot)
            await press(pilot, "ctrl+x")
            assert item.name[:4] in status(pilot)


BAD_VALUES = (
    ("price", "cheap", "no number such as 12.50"),
    ("price", "1,250", "write one of these"),
    ("price", "-1", "no number"),
    ("pack", "0", "greater than 0"),
    ("pack", "2.5", "whole number"),
    ("group", "paint", "not one of them; type the start of one, as Wire"),
    ("group", "f", "could be Fuses, Fasteners"),
    ("name", "Ties", "already"),
    ("name", " ", "name"),
)
"""The column, what is typed into it, and what is then said of it."""


async def test_a_bad_value_is_refused_and_the_old_one_stays(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    before = kept(path)
    async with running(path, (200, 40)) as pilot:
        await press(pilot, "f12")
        screen = shop_screen(pilot)
        for column, typed, said in BAD_VALUES:
            screen.grid.go("i1", column)
            screen.editing.start("")
            screen.editing.typed(typed)
            await press(pilot, "enter")
            assert screen.editing.open, typed
            assert status(pilot).startswith("! Not taken")
            assert said in status(pilot)
            await press(pilot, "f12")
            assert shop_screen(pilot) is screen
            await press(pilot, "escape")
            assert not screen.editing.open
            assert kept(path) == before


async def test_undo_and_redo_work_in_the_shop_and_across_a_restart(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    before = kept(path)
    async with running(path) as pilot:
        await press(pilot, "f12", "ctrl+x")
        assert status(pilot) == "Removed Ferrules 4: ctrl+z brings it back"
        await press(pilot, "ctrl+d")
        assert names(path) == ["Red spool", "Red spool 2", "Black spool", "Ties"]
        await press(pilot, "ctrl+z")
        assert status(pilot) == "Undone: add Red spool 2"
    async with running(path) as pilot:
        await press(pilot, "f12", "ctrl+z")
        assert kept(path) == before
        await press(pilot, "ctrl+y")
        assert names(path) == ["Red spool", "Black spool", "Ties"]
        await press(pilot, "ctrl+z", "ctrl+z")
        assert names(path) == []
        await press(pilot, "ctrl+z")
        assert status(pilot) == "Nothing to undo"


async def test_items_are_filtered_sorted_and_stay_in_place_while_typed(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12", "ctrl+f", "north")
        assert seen(pilot) == ["Ferrules 4", "Black spool"]
        assert "Items: 2 of 4 · with: north" in screen_text(pilot)
        await press(pilot, "enter", "Renamed", "enter")
        assert seen(pilot) == ["Renamed", "Black spool"]
        await press(pilot, "ctrl+n")
        assert seen(pilot) == ["Renamed", "New item", "Black spool"]
        await press(pilot, "escape")
        assert len(seen(pilot)) == 5
        screen = shop_screen(pilot)
        screen.grid.go("i2", "price")
        await press(pilot, "alt+r")
        assert seen(pilot) == ["Renamed", "Ties", "Red spool", "New item", "Black spool"]
        assert "sorted by Price, up" in screen_text(pilot)
        await press(pilot, "ctrl+down")
        assert "in the shop's order" in status(pilot)
        await press(pilot, "alt+r")
        assert seen(pilot)[:3] == ["Red spool", "Ties", "Renamed"]
        await press(pilot, "alt+r", "ctrl+down")
        assert names(path)[:2] == ["New item", "Renamed"]
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildsScreen)


async def test_a_filter_takes_pasted_text_and_fits_nothing_aloud(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12", "ctrl+f")
        pilot.app.screen.post_message(Paste("red\nspool"))
        await pilot.pause()
        assert seen(pilot) == ["Red spool"]
        await press(pilot, "zz", "enter")
        assert seen(pilot) == []
        assert "Items: 0 of 4" in screen_text(pilot)
        await press(pilot, "ctrl+n")
        assert seen(pilot) == ["New item"]
        assert names(path)[-1] == "New item"


async def test_text_is_pasted_into_a_cell_once(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12")
        pilot.app.screen.post_message(Paste("Blue spool"))
        await pilot.pause()
        await press(pilot, "enter")
        assert seen(pilot)[0] == "Blue spool"
    assert names(path)[0] == "Blue spool"


def test_a_long_catalogue_is_shown_in_part_and_a_filter_brings_the_rest() -> None:
    items = [
        CatalogueItem(id=f"i{i}", name=f"Item {i}", group="Wire") for i in range(1, MOST_SEEN + 50)
    ]
    shown = ItemList()
    assert len(shown.seen(items)) == MOST_SEEN
    assert shown.count == len(items)
    shown.narrow(f"item {MOST_SEEN + 20}")
    assert [item.id for item in shown.seen(items)] == [f"i{MOST_SEEN + 20}"]
    shown.narrow("")
    shown.sort("name")
    shown.sort("name")
    assert shown.seen(items)[0].name == "Item 999"


async def test_own_times_are_typed_pinned_and_given_back(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12", "f3", "20", "enter")
        screen = shop_screen(pilot)
        first = screen.grid.row_ids[0]
        assert kept(path).own_times() == {first: 20}
        assert "own" in screen_text(pilot)
        await press(pilot, "=")
        assert len(kept(path).own_times()) == 2
        await press(pilot, "-", "1", "enter")
        assert "no number" in status(pilot)
        await press(pilot, "escape", "delete")
        assert kept(path).own_times() == {first: 20}
        screen.grid.go(first, "·title")
        await press(pilot, "x")
        assert "type the time beside it" in status(pilot)
        await press(pilot, "ctrl+n", "ctrl+d", "ctrl+x", "ctrl+up")
        assert kept(path).own_times() == {first: 20}
        screen.grid.go(first, "value")
        await press(pilot, "delete")
        assert kept(path).own_times() == {}


@pytest.mark.parametrize("size", SIZES)
async def test_a_footprint_is_measured_in_the_shop(tmp_path: Path, size: tuple[int, int]) -> None:
    # by hand: 205 mm typed, 0.205 m kept
    path = stocked(tmp_path / "store.db")
    async with running(path, size) as pilot:
        await press(pilot, "f12", "f4", "ctrl+n", "Small amp", "tab", "1.8kg", "tab", "205mm")
        await press(pilot, "enter", "f4", "ctrl+n", "12mm", "tab", "20mm", "down")
        (footprint,), (stud,) = kept(path).library.footprints, kept(path).library.studs
        assert (footprint.name, footprint.mass_kg, footprint.length_m) == ("Small amp", 1.8, 0.205)
        assert (stud.footprint, stud.x_m, stud.y_m) == (footprint.id, 0.012, 0.02)
        assert "Mounting holes of Small amp" in screen_text(pilot)
        await press(pilot, "f4", "ctrl+d")
        library = kept(path).library
        assert [each.name for each in library.footprints] == ["Small amp", "Small amp 2"]
        assert [each.footprint for each in library.studs] == ["f1", "f2"]
        await press(pilot, "ctrl+x")
        assert kept(path).library.footprints == (footprint,)
        assert kept(path).library.studs == (stud,)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildsScreen)


async def test_palette_and_help_have_every_command(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12")
        screen = shop_screen(pilot)
        named = {command.title for command in pilot.app.get_system_commands(screen)}
        assert {"Items", "Times", "Hole patterns", "Take from a file", "Back", "Undo"} <= named
        await press(pilot, "question_mark")
        assert "one for all builds" in screen_text(pilot)


@pytest.mark.parametrize("key", ["up", "down", "pagedown", "home", "end", "left"])
async def test_a_row_is_added_after_any_key_in_an_empty_table(tmp_path: Path, key: str) -> None:
    path = tmp_path / "store.db"
    stored(path, start_build("Estate"))
    async with running(path) as pilot:
        await press(pilot, "f12", key, "ctrl+x", key, "ctrl+n")
        assert len(kept(path).items) == 1
        await press(pilot, "escape", "ctrl+x", key, "ctrl+n")
        assert len(kept(path).items) == 1
