"""The page of the shop's kits, and a kit put on the bill of a build, by keys.

Expected values: put down by hand; what was put in is in the store.
"""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from domain.build.records import Build
from domain.evaluate import evaluate
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from storage.store.builds import Store
from tests.storage.store.stocking import Stocking
from tests.tui.driving import SIZES, build_screen, press, reopened, running, screen_text, status
from tests.tui.driving import stored as stored_build
from tests.tui.keeping_shop import kept, shop_screen, stocked
from tests.tui.views.test_pack import estate, settle
from tui.dialogs.boxes import Pick


def held(shop: Shop) -> dict[str, list[tuple[str, float]]]:
    """Kits by name, with the names of what they hold."""
    names = {item.id: item.name for item in shop.items}
    return {
        kit.name: [(names[p.item], p.count) for p in shop.kit_parts if p.kit == kit.id]
        for kit in shop.kits
    }


@pytest.mark.parametrize("size", SIZES)
async def test_a_kit_is_made_filled_copied_and_taken_back_by_keys(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path, size) as pilot:
        await press(pilot, "f12", "f5", "ctrl+n", "Amp kit", "enter")
        assert held(kept(path)) == {"Amp kit": []}
        # F5 once more: the items of the kit with the cursor; the item is chosen from a list.
        await press(pilot, "f5", "ctrl+n")
        assert "Items of Amp kit" in screen_text(pilot)
        await press(pilot, "Ties", "enter", "40", "enter", "ctrl+n", "right", "2", "enter")
        assert held(kept(path)) == {"Amp kit": [("Ties", 40), ("Ferrules 4", 2)]}
        # 40 at 5 each and two at 0.40 each
        assert "200.80" in screen_text(pilot)
        await press(pilot, "f5", "ctrl+d")
        assert list(held(kept(path))) == ["Amp kit", "Amp kit 2"]
        assert held(kept(path))["Amp kit 2"] == held(kept(path))["Amp kit"]
        await press(pilot, "ctrl+x")
        assert status(pilot) == "Removed Amp kit 2: ctrl+z brings it back"
        assert list(held(kept(path))) == ["Amp kit"]
        await press(pilot, "ctrl+z", "ctrl+z")
        assert held(kept(path)) == {"Amp kit": [("Ties", 40), ("Ferrules 4", 2)]}
        # An item that a kit holds goes out of it too, and says so; it comes back with it.
        await press(pilot, "f2")
        shop_screen(pilot).grid.go(kept(path).items[-1].id, "name")
        await press(pilot, "ctrl+x")
        assert status(pilot).startswith("Removed Ties, out of Amp kit too: ctrl+z")
        assert held(kept(path)) == {"Amp kit": [("Ferrules 4", 2)]}
        await press(pilot, "ctrl+z")
        assert held(kept(path)) == {"Amp kit": [("Ties", 40), ("Ferrules 4", 2)]}


async def test_wrong_kits_are_refused_in_words_and_nothing_changes(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12", "f5", "f5", "ctrl+n")
        assert "add a kit first" in status(pilot)
        await press(pilot, "f5", "ctrl+n", "Amp kit", "enter", "ctrl+n", "f5", "ctrl+n")
        before = kept(path)
        for keys, why in (
            (["right", "-2"], "-2"),
            (["0"], "greater than 0"),
            (["2.5"], "counted"),
            (["left", "Amp kit"], "Amp kit"),
            (["f5", "Amp kit"], "already"),
            (["  "], "name"),
        ):
            await press(pilot, *keys, "enter")
            assert why in screen_text(pilot), keys
            await press(pilot, "escape")
            assert kept(path) == before, keys


def shop_with_kit(path: Path) -> None:
    """Clamps and terminals that the estate's bill takes too, and tape, in one kit."""
    rows = (
        ("Rings", "Terminals", "0.50", "Ring terminal"),
        ("Tape", "Consumables", "2.00", "nothing of the plan"),
    )
    with Store(path) as store:
        Stocking(store).replace_all(
            [
                CatalogueItem.of({"name": name, "group": group, "price": price, "item_rule": rule})
                for name, group, price, rule in rows
            ]
        )


def named(pilot: Pilot[int]) -> list[str]:
    screen = pilot.app.screen
    assert isinstance(screen, Pick)
    return screen_text(pilot).split("\n")


@pytest.mark.parametrize("size", SIZES)
async def test_a_kit_goes_on_the_bill_whole_or_beyond_what_the_plan_lists(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored_build(path, estate())
    shop_with_kit(path)
    rings = sum(
        line.quantity
        for line in evaluate(estate()).materials
        if line.item.startswith("Ring terminal")
    )
    assert rings > 3
    async with running(path, size, key) as pilot:
        await press(pilot, "f8")
        await settle(pilot)
        await press(pilot, "alt+q")
        assert status(pilot).startswith("The shop has no kits yet: F12, then F5")
        await press(pilot, "f12", "f5", "ctrl+n", "Amp kit", "enter", "f5", "ctrl+n")
        await press(pilot, "Tape", "enter", "3", "enter", "ctrl+n", "Rings", "enter")
        await press(pilot, f"{rings + 2:.0f}", "enter", "f12")
        await press(pilot, "alt+q")
        assert any("Amp kit" in line for line in named(pilot))
        await press(pilot, "enter")
        asked = screen_text(pilot)
        assert "The plan lists some of Amp kit already" in asked
        assert "Only what the plan does not list: 2 items" in asked
        await press(pilot, "enter")
        assert status(pilot).startswith("Added Amp kit, 2 items: ctrl+z")
        assert extras(path, key) == [("Tape", 3), ("Rings", 2)]
        await press(pilot, "ctrl+z")
        assert extras(path, key) == []
        await press(pilot, "alt+q", "enter", "down", "enter")
        assert extras(path, key) == [("Tape", 3), ("Rings", rings + 2)]
        # In their own table a quantity is typed anew, and a line goes alone.
        screen = build_screen(pilot)
        screen.focus_grid(screen.grid_of("extras"))
        await press(pilot, "home", "right", "5", "enter")
        assert extras(path, key)[0] == ("Tape", 5)
        await press(pilot, "ctrl+x")
        assert extras(path, key) == [("Rings", rings + 2)]


def extras(path: Path, key: int) -> list[tuple[str, float]]:
    build: Build = reopened(path, key)
    return [(extra.name, extra.quantity) for extra in build.extras]


async def test_leaving_the_lists_adds_nothing(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored_build(path, estate())
    shop_with_kit(path)
    async with running(path, key=key) as pilot:
        await press(pilot, "f12", "f5", "ctrl+n", "Amp kit", "enter", "f5", "ctrl+n", "f12")
        await press(pilot, "f8", "alt+q", "escape")
        assert extras(path, key) == []
        await press(pilot, "alt+q", "enter", "escape")
        assert extras(path, key) == []
        assert build_screen(pilot)
