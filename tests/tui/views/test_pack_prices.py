"""Materials are priced all at once: items of the shop in one key, prices down the column."""

from decimal import Decimal
from pathlib import Path

import pytest

from domain.evaluate import evaluate
from domain.money.matching import match
from domain.shop.catalogue import CatalogueItem
from storage.store.builds import Store
from tests.storage.store.stocking import Stocking
from tests.tui.driving import SIZES, build_screen, press, running, screen_text, status, stored
from tests.tui.keeping_shop import kept, names, seen, shop_screen
from tests.tui.views.test_pack import estate, settle
from tui.pages.compare import ComparePage
from tui.screens.build import BuildScreen


@pytest.mark.parametrize("size", SIZES)
async def test_all_lines_become_items_in_one_key_and_are_priced_down(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    with Store(path) as store:
        Stocking(store).replace_all(
            [
                CatalogueItem(name="Paint", group="Consumables", item_rule="Paint"),
                CatalogueItem(name="Ring", group="Terminals", item_rule="Ring terminal"),
            ]
        )
    lines = evaluate(estate()).materials
    rings = sum(line.item.startswith("Ring terminal") for line in lines)
    async with running(path, size, key) as pilot:
        await press(pilot, "f8")
        await settle(pilot)
        await press(pilot, "alt+i")
        # All that is to be priced is seen, also what was there before; what no line takes is not.
        assert seen(pilot)[0] == "Ring"
        assert "Paint" not in seen(pilot)
        assert len(seen(pilot)) == len(names(path)) - 1 == 1 + len(lines) - rings
        assert "to price" in screen_text(pilot)
        # The price is of one pack: how much that is stands beside it, where there is room for it.
        titles = next(line for line in screen_text(pilot).splitlines() if " Price " in line)
        assert " Pack " in titles
        assert " Unit " in titles
        # Wires that differ by their size alone are told apart, also where there is little room.
        shown = [line[:27] for line in screen_text(pilot).splitlines() if "AWG" in line[:27]]
        assert len(shown) > 8
        assert len(set(shown)) == len(shown)
        wire = next(item for item in kept(path).items if item.group == "Wire")
        assert any((wire.item_rule, wire.size_rule) == (line.item, line.size) for line in lines)
        # Prices go down the column, a row for each enter.
        await press(pilot, "0.50", "enter", "1,25", "enter", "3", "enter")
        items = [item for item in kept(path).items if item.name != "Paint"]
        assert [item.price for item in items[:4]] == [
            Decimal("0.50"),
            Decimal("1.25"),
            Decimal("3"),
            None,
        ]
        assert shop_screen(pilot).grid.row_id == items[3].id
        # To the build and back: where one was, and an amount with its sign goes into the price.
        was = seen(pilot)
        await press(pilot, "f12", "f12")
        assert shop_screen(pilot).grid.row_id == items[3].id
        assert seen(pilot) == was
        await press(pilot, "$4.50", "enter")
        assert next(i for i in kept(path).items if i.id == items[3].id).price == Decimal("4.50")
        # Every line has its item now; back at the build the prices stand there.
        assert all(each.item for each in match(lines, kept(path).items))
        await press(pilot, "f12")
        assert isinstance(pilot.app.screen, BuildScreen)
        await press(pilot, "alt+i")
        assert "Ring" not in seen(pilot)
        assert len(seen(pilot)) == len(items) - 4
        await press(pilot, "escape")
        assert len(seen(pilot)) == len(items) + 1
        # One edit: four prices and the items are taken back by five keys.
        await press(pilot, *["ctrl+z"] * 5)
        assert names(path) == ["Paint", "Ring"]


async def test_where_everything_is_priced_nothing_is_added(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    groups = list(dict.fromkeys((m.group, m.unit) for m in evaluate(estate()).materials))
    with Store(path) as store:
        Stocking(store).replace_all(
            [
                CatalogueItem.of(
                    {"name": f"{group} {unit}", "group": group, "unit": unit, "price": "1"}
                )
                for group, unit in groups
            ]
        )
    async with running(path, key=key) as pilot:
        await press(pilot, "f8", "alt+i")
        await settle(pilot)
        assert build_screen(pilot)
        assert status(pilot) == "Every line of materials has an item with a price"
        assert len(names(path)) == len(groups)


async def test_wire_options_and_compared_builds_say_what_their_wire_costs(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    any_wire = {"name": "Any", "group": "Wire", "unit": "m", "price": "3"}
    with Store(path) as store:
        Stocking(store).replace_all([CatalogueItem.of(any_wire)])
        store.duplicate(key, "Estate again")
    sheet = evaluate(estate())
    runs = {run.id for run in sheet.runs}
    metres = sum(m.quantity for m in sheet.materials if m.group == "Wire" and runs & {*m.asked_by})
    async with running(path, (200, 60), key) as pilot:
        await press(pilot, "f4")
        await settle(pilot)
        grid = build_screen(pilot).grid_of("designs")
        place = [column.title for column in grid.spec.columns].index("·Wire cost")
        costs = [str(grid.get_row_at(row)[place]).strip() for row in range(grid.row_count)]
        # by arithmetic: metres of the bill of materials at 3 each
        assert float(costs[0].split()[-1]) == pytest.approx(3 * metres, abs=0.006)
        assert len(costs) == len(sheet.designs)
        assert costs[0] in screen_text(pilot)
        # A price that is taken out in the shop leaves the cells empty.
        await press(pilot, "f12")
        shop_screen(pilot).grid.go("i1", "price")
        await press(pilot, "delete", "f12")
        assert kept(path).items[0].price is None
        assert str(grid.get_row_at(0)[place]).strip() == ""
        await press(pilot, "f12", "ctrl+z", "f12", "f10", "home", "space", "down", "alt+y")
        assert isinstance(pilot.app.screen, ComparePage)
        (line,) = [line for line in screen_text(pilot).split("\n") if "Wire cost" in line]
        assert line.count(costs[0]) == 2
