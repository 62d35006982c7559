"""The shop as it is reached from a build: its screen, and footprints that go there and back."""

from typing import TYPE_CHECKING

from domain.build.choices import UnitHabit
from domain.build.edits import EditRefused
from domain.build.records import Footprint, Mount, Stud
from domain.document.records import find
from domain.units.show import format_quantity
from storage.errors import StoreError
from tui.report.plain import some
from tui.screens.dialogs import Pick
from tui.tables.pack import material_rows
from tui.views.pack import PackActions
from tui.widgets.grid import Grid

if TYPE_CHECKING:
    from domain.build.records import Build
    from domain.shop.shop import Shop
    from tui.workbench import Bench

NO_STORE = "This build is not kept in a store: there is no shop beside it"


class ShopActions(PackActions):
    """What leads from a build to the shop."""

    def action_shop(self) -> None:
        """Open the shop; back from it, prices are read anew."""
        if self.editing.confirm():
            self._open_shop()

    def action_add(self) -> None:
        """Add a row; in the materials, the shop's item for the line, to be priced there."""
        if self.grid.spec.id != "materials" or not self.grid.row_id:
            super().action_add()
            return
        from domain.shop.shop_actions import item_for_line

        line = next(row for row in material_rows(self.shopping()) if row.id == self.grid.row_id)
        item = line.matched.item
        shop = self._shop() if item is None else None
        if shop is not None:
            units = self.workbench.build.header.units
            try:
                shop.make(lambda now: item_for_line(now, line.matched.line, units))
            except (EditRefused, StoreError) as error:
                self.warn(f"Not added: {error}")
                return
            item = shop.document.items[-1]
        if item is not None:
            self._open_shop(item.id)

    def _open_shop(self, item: str = "") -> None:
        store = self.workbench.store
        if store is None:
            self.say(NO_STORE)
            return
        from tui.screens.shop import ShopScreen

        try:
            screen = ShopScreen(store, self.workbench.build.header.units, item)
        except StoreError as error:
            self.warn(f"The shop cannot be opened: {error}")
            return
        self.app.push_screen(screen, self._back_from_shop)

    def _back_from_shop(self, _: None) -> None:
        self.read_stock()
        if self.view == "pack":
            self.show_grids()
            self.show_captions()

    def action_take_off_shelf(self) -> None:
        """Take what this build uses out of the shop's stock, after asking."""
        from domain.money.matching import shelf_use
        from storage.store.shelf import ShopCatalogue

        store = self.workbench.store
        if not self.editing.confirm():
            return
        if store is None:
            self.say(NO_STORE)
            return
        self.read_stock()
        lines = self.shopping().lines
        if not self.laid_out():
            self.say("The sheets to cut are still being laid out: try again in a moment")
            return
        used = shelf_use(lines)
        if not used:
            self.say("Nothing that this build uses is on the shelf")
            return
        items = {line.item.id: line.item for line in lines if line.item is not None}
        told = [f"{used[id]:g} {items[id].unit.value} {items[id].name}" for id in used]

        def chosen(place: int | None) -> None:
            if place != 1:
                return
            try:
                ShopCatalogue(store).take_off_shelf(used)
            except StoreError as error:
                self.warn(f"Not taken: {error}")
                return
            self._back_from_shop(None)
            self.say(f"Taken off the shelf: {some(told)}. F12 and ctrl+z put it back")

        options = ["Leave the shelf as it is", f"Take {some(told)}"]
        self.app.push_screen(Pick("Take what this build uses off the shelf", options), chosen)

    def action_keep_footprint(self) -> None:
        """Put a copy of the footprint with the cursor into the shop."""
        from domain.fabrication.footprints.exchange import footprint_name, measured
        from domain.shop.shop_actions import free_name

        id = self._footprint_here()
        if not id:
            self.say("Go to a footprint first: Custom parts (F6), table Footprints")
            return
        if not self.editing.confirm():
            return
        shop = self._shop()
        if shop is None:
            return
        build, library = self.workbench.build, shop.document.library
        name = footprint_name(build, id)
        known = {each.name: each.id for each in library.footprints}
        if name not in known:
            self._keep(shop, id, name)
        elif measured(library, known[name]) == measured(build, id):
            self.say(f"{name} is in the shop already, with the same measures")
        else:
            another = free_name(name, known)
            options = ["Replace the shop's by this one", f"Keep both, this one as {another}"]

            def chosen(place: int | None) -> None:
                if place is not None:
                    self._keep(shop, id, (name, another)[place])

            self.app.push_screen(Pick(f"{name} in the shop has other measures", options), chosen)

    def _keep(self, shop: "Bench[Shop]", id: str, name: str) -> None:
        from domain.fabrication.footprints.exchange import kept_footprint

        build = self.workbench.build
        try:
            shop.make(lambda now: kept_footprint(now.library, build, id, name))
        except (EditRefused, StoreError) as error:
            self.warn(f"Not kept: {error}")
            return
        self.say(f"Kept in the shop: {name}, {_studs(build, id)}. F12 goes there")

    def action_take_footprint(self) -> None:
        """Add a copy of one of the shop's footprints to this build."""
        if not self.editing.confirm():
            return
        shop = self._shop()
        if shop is None:
            return
        from tui.screens.list_search import Find

        library = shop.document.library
        if not library.footprints:
            self.say("The shop has no footprints yet: alt+k keeps one of a build there")
            return
        units = self.workbench.build.header.units
        names = [_described(library, each, units) for each in library.footprints]

        async def chosen(place: int | None) -> None:
            if place is not None:
                await self._take(library, library.footprints[place].id)

        self.app.push_screen(Find("Take a footprint from the shop", names), chosen)

    async def _take(self, library: "Build", id: str) -> None:
        from domain.fabrication.footprints.exchange import taken_footprint

        had = {each.id for each in self.workbench.build.footprints}
        await self.show_view("parts")
        if not self.commit(taken_footprint(self.workbench.build, library, id)):
            return
        new = next(each for each in self.workbench.build.footprints if each.id not in had)
        grid = self.query_one("#grid-footprints", Grid)
        grid.go(new.id, "name")
        self.focus_grid(grid)
        what = f"{new.name}, {_studs(library, id)}"
        self.say(f"Taken as a copy: {what}; the shop's changes do not reach it")

    def _footprint_here(self) -> str:
        """The footprint of the record with the cursor; empty: there is none."""
        build = self.workbench.build
        record = find(build, self.grid.row_id) if self.view == "parts" else None
        if isinstance(record, Stud | Mount):
            return record.footprint
        return record.id if isinstance(record, Footprint) else ""

    def _shop(self) -> "Bench[Shop] | None":
        """The shop as it is now; ``None`` with the reason in the status line."""
        store = self.workbench.store
        if store is None:
            self.say(NO_STORE)
            return None
        from tui.workbench import shop_bench

        try:
            return shop_bench(store, self.workbench.build.header.units)
        except StoreError as error:
            self.warn(f"The shop cannot be opened: {error}")
            return None


def _studs(build: "Build", id: str) -> str:
    many = sum(stud.footprint == id for stud in build.studs)
    return "1 stud" if many == 1 else f"{many} studs"


def _described(library: "Build", footprint: Footprint, units: UnitHabit) -> str:
    sides = (footprint.length_m, footprint.width_m)
    size = " x ".join(format_quantity("small_length", side, units) for side in sides)
    return f"{footprint.name}  {size}, {_studs(library, footprint.id)}"
