"""From a build to the shop and back: prices that count, footprints that are copied."""

from decimal import Decimal
from pathlib import Path

import pytest
from textual.events import Key

from domain.build.actions import add, applied
from domain.build.edits import SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.fabrication.footprints.exchange import measured
from domain.shop.shop import Shop
from domain.shop.shop_actions import add_item
from storage.store.builds import Store
from tests.tui.driving import (
    SIZES,
    build_screen,
    press,
    reopened,
    running,
    screen_text,
    status,
    stored,
)
from tui.screens.shop import ShopScreen
from tui.views.build.pack import PackView


def with_footprint(name: str = "Front amp feet") -> Build:
    build = start_build("Estate")
    build = applied(build, add(build, "footprints", name=name, mass_kg=1.8, length_m=0.205))
    return applied(build, add(build, "studs", x_m=0.02), add(build, "parts", name="Rack"))


def with_amplifier() -> Build:
    """A build that feeds something, and so has a block to buy."""
    build = start_build("Estate")
    return applied(build, add(build, "amplifiers"))


def kept(path: Path) -> Shop:
    with Store(path) as store:
        return store.shop().open().document


async def test_alt_with_a_letter_types_none(tmp_path: Path) -> None:
    # A terminal sends the letter along with alt; a pilot's key press has none.
    path = tmp_path / "store.db"
    key = stored(path, with_footprint())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await screen.go_to("footprints", "f1", "name")
        screen.post_message(Key("alt+k", "k"))
        await pilot.pause()
        assert not screen.editing.open
        assert status(pilot).startswith("Kept in the shop")


@pytest.mark.parametrize("size", SIZES)
async def test_a_line_of_materials_is_priced_in_the_shop(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build("Estate"))
    async with running(path, size, key) as pilot:
        await press(pilot, "f8", "f8")
        line = build_screen(pilot).held(PackView).shopping().lines[0].line
        await press(pilot, "ctrl+n")
        assert isinstance(pilot.app.screen, ShopScreen)
        assert status(pilot).startswith("Price:")
        await press(pilot, "1,50", "enter")
        (item,) = kept(path).items
        assert (item.item_rule, item.size_rule) == (line.item, line.size)
        assert item.price == Decimal("1.5")
        await press(pilot, "f12")
        assert build_screen(pilot).held(PackView).shopping().lines[0].item == item
        # It has its item now: the same key goes there and adds no other.
        await press(pilot, "ctrl+n", "2", "enter", "f12")
        assert [each.price for each in kept(path).items] == [2]


@pytest.mark.parametrize("size", SIZES)
async def test_a_footprint_is_kept_in_one_build_and_taken_in_another(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    one, other = stored(path, with_footprint()), stored(path, start_build("Other"))
    async with running(path, size, one) as pilot:
        await press(pilot, "f6")
        screen = build_screen(pilot)
        await press(pilot, "alt+k")
        assert status(pilot).startswith("Go to a hole pattern first")
        await screen.go_to("footprints", "f1", "name")
        await press(pilot, "alt+k")
        assert status(pilot) == "Kept in the shop: Front amp feet, 1 stud. F12 goes there"
        await press(pilot, "alt+k")
        assert "in the shop already" in status(pilot)
        assert screen.workbench.revision == 0
    library = kept(path).library
    async with running(path, size, other) as pilot:
        await press(pilot, "alt+a")
        assert "Front amp feet" in screen_text(pilot)
        await press(pilot, *"zzz", "enter", "escape", "alt+a", *"amp FRONT", "enter")
        assert status(pilot).startswith("Taken as a copy: Front amp feet, 1 stud")
        taken = reopened(path, other)
        assert measured(taken, "f1") == measured(library, "f1")
        assert build_screen(pilot).workbench.revision == 1
        await press(pilot, "ctrl+z")
        assert reopened(path, other) == start_build("Other")
        await press(pilot, "ctrl+y")
    with Store(path) as store:
        store.shop().change(
            lambda now: SetField(table="footprints", id="f1", field="length_m", value=0.3)
        )
    assert reopened(path, other) == taken


async def test_other_measures_of_the_same_name_are_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, with_footprint())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await screen.go_to("footprints", "f1", "name")
        await press(pilot, "alt+k")
        await screen.go_to("footprints", "f1", "mass_kg")
        await press(pilot, "2.5kg", "enter", "alt+k", "escape")
        assert [f.mass_kg for f in kept(path).library.footprints] == [1.8]
        await press(pilot, "alt+k", "down", "enter")
        assert [f.name for f in kept(path).library.footprints] == [
            "Front amp feet",
            "Front amp feet 2",
        ]
        await press(pilot, "alt+k", "enter")
        assert {f.mass_kg for f in kept(path).library.footprints} == {2.5}
        assert len(kept(path).library.studs) == 2


@pytest.mark.parametrize("name", ["[/red]", "=1+1", "🔊 低音"])
async def test_odd_names_go_there_and_back(tmp_path: Path, name: str) -> None:
    path = tmp_path / "store.db"
    key = stored(path, with_footprint(name))
    async with running(path, key=key) as pilot:
        await build_screen(pilot).go_to("studs", "u1", "x_m")
        await press(pilot, "alt+k", "alt+a")
        assert name[:4] in screen_text(pilot)
        await press(pilot, "enter")
        assert [f.name for f in reopened(path, key).footprints] == [name, name]
        assert name[:4] in status(pilot)


async def test_a_price_that_is_changed_in_the_shop_counts_on_the_way_back(tmp_path: Path) -> None:
    # by hand: the blocks of the build at 30.00, then at 45.50
    path = tmp_path / "store.db"
    key = stored(path, with_amplifier())
    async with running(path, key=key) as pilot:
        await press(pilot, "f12", "ctrl+n", "Any block", "tab", "blocks", "tab", "tab", "tab")
        await press(pilot, "30", "enter", "f12", "f8")
        screen = build_screen(pilot)
        line = next(m for m in screen.held(PackView).shopping().lines if m.line.group == "Blocks")
        assert line.item.name == "Any block"
        before = screen.held(PackView).shopping().price
        await press(pilot, "f12")
        assert isinstance(pilot.app.screen, ShopScreen)
        pilot.app.screen.grid.go("i1", "price")
        await press(pilot, "45,50", "enter", "f10")
        after = screen.held(PackView).shopping().price
        packs = line.buys[0].packs
        assert after - before == packs * Decimal("15.50")
        await screen.action_start("materials")
        await pilot.pause()
        assert f"{packs * Decimal('45.50'):.2f}" in screen_text(pilot)
        await screen.action_start("quote")
        await pilot.pause()
        assert f"{after:.2f}" in "\n".join(pilot.app.screen._lines)  # type: ignore[attr-defined]


async def test_what_a_build_uses_is_taken_off_the_shelf_once_it_is_agreed(tmp_path: Path) -> None:
    # conservation: what is gone from the shelf is what the list took from it
    path = tmp_path / "store.db"
    key = stored(path, with_amplifier())
    with Store(path) as store:
        store.shop().change(lambda now: add_item(now, name="Any block", group="Blocks", on_shelf=5))
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f8")
        lines = screen.held(PackView).shopping().lines
        used = next(m for m in lines if m.line.group == "Blocks").from_shelf
        assert used > 0
        await screen.action_start("take_off_shelf")
        await press(pilot, "enter")
        assert kept(path).items[0].on_shelf == 5
        await screen.action_start("take_off_shelf")
        await press(pilot, "down", "enter")
        assert status(pilot).startswith(f"Taken from stock: {used:g} each Any block")
        assert kept(path).items[0].on_shelf == 5 - used
        await press(pilot, "f12", "ctrl+z")
        assert kept(path).items[0].on_shelf == 5


async def test_the_shop_is_a_click_away(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build("Estate"))
    async with running(path, key=key) as pilot:
        await pilot.click("#to_shop", offset=(2, 0))
        assert isinstance(pilot.app.screen, ShopScreen)
        await pilot.click("#tabs", offset=(14, 0))
        assert pilot.app.screen.view.id == "times"
        await press(pilot, "f10", "f10")
        await pilot.click("#title", offset=(12, 0))
        assert isinstance(pilot.app.screen, ShopScreen)
