"""The page of the shop's kits: sets of items under one name, put on a bill in one step."""

from typing import ClassVar

from domain.build.edits import Edit, RemoveRecord
from domain.document.records import find, label
from domain.shop.kit_actions import add_kit, add_kit_part, copy_kit, without
from domain.shop.kit_records import KitPart
from domain.shop.shop import KIT_PARTS, KITS, Shop
from tui.grids.view import SpecialTables
from tui.tables.shop import kit_specs
from tui.tables.table_spec import TableSpec
from tui.views.shop.shop_view import ShopTable, ShopView


class KitTable(ShopTable):
    """Kits; below stand the items of the one with the cursor."""

    def cursor_moved(self) -> None:
        """The items follow to the kit with the cursor."""
        self.screen.show_tables()

    def added(self, shop: Shop, here: str) -> Edit:
        """A kit under a name that is free."""
        return add_kit(shop)

    def copied(self, shop: Shop, here: str) -> Edit:
        """A copy with all that it holds."""
        return copy_kit(shop, here)

    def removed(self, shop: Shop, here: str) -> tuple[Edit, ...]:
        """With all that it holds; the items themselves stay."""
        return (*without(shop, "kit", here), RemoveRecord(table=KITS, id=here))


class KitPartTable(ShopTable):
    """Items of the kit with the cursor."""

    view: "KitsView"

    def caption(self) -> str:
        """Whose they are."""
        name = self.view.kit_name()
        return f"Items of {name}" if name else self.spec.caption

    def row_name(self, here: str) -> str:
        """What it holds is called as its item."""
        shop = self.view.bench.document
        part = find(shop, here)
        item = label(shop, part.item) if isinstance(part, KitPart) else here
        return f"{item} from {self.view.kit_name()}"

    def add(self) -> None:
        """Add an item to the kit with the cursor."""
        if self.view.kit_here():
            super().add()
        else:
            self.screen.say("An item belongs to a kit: add a kit first (in F5)", bad=True)

    def added(self, shop: Shop, here: str) -> Edit:
        """One more item."""
        return add_kit_part(shop, self.view.kit_here(), here)

    def copied(self, shop: Shop, here: str) -> Edit:
        """One more item, as a new one: none is in a kit twice by copying."""
        return add_kit_part(shop, self.view.kit_here(), here)

    def removed(self, shop: Shop, here: str) -> tuple[Edit, ...]:
        """It alone."""
        return (RemoveRecord(table=KIT_PARTS, id=here),)


class KitsView(ShopView):
    """Kits, and what one of them holds."""

    id = "kits"
    title = "Kits"
    key = "f5"
    file = "kits"
    special_tables: ClassVar[SpecialTables] = {KITS: KitTable, KIT_PARTS: KitPartTable}

    def specs(self) -> list[TableSpec]:
        """Kits above, the items of one below."""
        return kit_specs()

    def narrowed_to(self) -> str:
        """The kit with the cursor."""
        return self.kit_here()

    def kit_here(self) -> str:
        """The kit with the cursor; empty: there is none."""
        return self.tables[KITS].grid.row_id

    def kit_name(self) -> str:
        """What it is called."""
        id = self.kit_here()
        return label(self.bench.document, id) if id else ""
