"""The page of the shop's footprints: devices measured once, for every build."""

from typing import ClassVar

from domain.build import actions, removal
from domain.build.edits import Batch, Edit
from domain.document.names import numbered
from domain.document.records import label
from domain.shop.shop import Shop
from domain.shop.shop_actions import free_name
from tui.grids.view import SpecialTables
from tui.tables.shop import library_specs
from tui.tables.table_spec import TableSpec
from tui.views.shop.shop_view import ShopTable, ShopView


class FootprintTable(ShopTable):
    """Footprints; the studs below are those of the one with the cursor."""

    def cursor_moved(self) -> None:
        """The studs follow to the footprint with the cursor."""
        self.screen.show_tables()

    def added(self, shop: Shop, here: str) -> Edit:
        """A footprint under a name that is free."""
        name = free_name("New hole pattern", (each.name for each in shop.footprints))
        return actions.add(shop.library, "footprints", name=name)

    def copied(self, shop: Shop, here: str) -> Edit:
        """A copy with its studs."""
        from domain.fabrication.footprints.exchange import copy_of, footprint_name

        library = shop.library
        name = numbered(footprint_name(library, here), (each.name for each in library.footprints))
        return Batch(edits=tuple(copy_of(library, here, library, name)), label=f"copy to {name}")

    def removed(self, shop: Shop, here: str) -> tuple[Edit, ...]:
        """With its studs."""
        return removal.remove(shop.library, "footprints", here).edits


class LibraryStudTable(ShopTable):
    """Studs of the footprint with the cursor."""

    view: "LibraryView"

    def caption(self) -> str:
        """Whose they are."""
        name = self.view.footprint_name()
        return (
            f"Mounting holes of {name}, from its lower left corner" if name else self.spec.caption
        )

    def row_name(self, here: str) -> str:
        """Studs have no names."""
        return f"a stud of {self.view.footprint_name()}"

    def add(self) -> None:
        """Add a stud to the footprint with the cursor."""
        if self.view.footprint_here():
            super().add()
        else:
            self.screen.say(
                "A stud belongs to a hole pattern: add a hole pattern first (in F4)", bad=True
            )

    def added(self, shop: Shop, here: str) -> Edit:
        """A stud of the footprint with the cursor."""
        return actions.add(shop.library, "studs", footprint=self.view.footprint_here())

    def copied(self, shop: Shop, here: str) -> Edit:
        """Another like it."""
        return actions.duplicate(shop.library, "studs", here)

    def removed(self, shop: Shop, here: str) -> tuple[Edit, ...]:
        """The stud alone."""
        return removal.remove(shop.library, "studs", here).edits


class LibraryView(ShopView):
    """Footprints and the studs of one of them."""

    id = "library"
    title = "Hole patterns"
    key = "f4"
    file = "footprints"
    special_tables: ClassVar[SpecialTables] = {
        "footprints": FootprintTable,
        "studs": LibraryStudTable,
    }

    def specs(self) -> list[TableSpec]:
        """Footprints above, studs below."""
        return library_specs()

    def narrowed_to(self) -> str:
        """The footprint with the cursor."""
        return self.footprint_here()

    def footprint_here(self) -> str:
        """The footprint with the cursor; empty: there is none."""
        return self.tables["footprints"].grid.row_id

    def footprint_name(self) -> str:
        """What it is called."""
        id = self.footprint_here()
        return label(self.bench.document, id) if id else ""
