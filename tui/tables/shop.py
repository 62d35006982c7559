"""Tables of the shop: items, times, kits, and the library of footprints with their studs."""

from typing import Any

from msgspec.structs import replace

from domain.document.declared import declared
from domain.money.cents import price_text
from domain.money.kits import kit_price, parts_of, price_of
from domain.shop.catalogue import CatalogueItem
from domain.shop.kit_records import Kit, KitPart
from domain.shop.shop import ITEMS, KIT_PARTS, KITS, TIMES, Shop
from domain.shop.times import OwnTime, default_times
from tui.tables.columns import Column, Explained
from tui.tables.item_list import ItemList
from tui.tables.parts import FOOTPRINTS, STUDS
from tui.tables.table_spec import TableSpec, every_record


class _ItemColumn(Column, frozen=True):
    """A field of an item; prices are filled in down the column."""

    @property
    def after_enter(self) -> str:
        """From price to price; else to the next field."""
        return "down" if self.field == "price" else "right"

    @property
    def end_tells(self) -> bool:
        """Of a name it does: items that differ by size alone are priced one below the other."""
        return self.field == "name"


def items_spec(shown: ItemList) -> TableSpec:
    """The items that are to be seen."""
    columns = (
        ("name", 24),
        ("group", 15),
        ("pack", 7),
        ("unit", 5),
        ("price", 9),
        ("on_shelf", 8),
        ("item_rule", 22),
        ("size_rule", 14),
        ("supplier", 20),
    )
    fields = declared(CatalogueItem)
    titles = {"on_shelf": "In stock"}
    return TableSpec(
        ITEMS,
        "items",
        ITEMS,
        "Items",
        tuple(
            _ItemColumn(ITEMS, name, titles.get(name, fields[name].about.title), width)
            for name, width in columns
        ),
        lambda shop, sheet, part: list(shown.seen(shop.items)),
        empty="none here; ctrl+n adds one, alt+l takes them from a CSV file",
    )


_OPERATION = "the operations stay as they are; type the time beside it"


def times_spec() -> TableSpec:
    """The times of all operations."""
    return TableSpec(
        TIMES,
        "times",
        TIMES,
        "Times: your own, or (~) starting values that nobody measured",
        (
            Explained(TIMES, "·title", "·Operation", 48, figure=_title, why=_OPERATION),
            Column(TIMES, "value", "Time", 8),
            Explained(TIMES, "·unit", "·Unit", 17, figure=_unit, why=_OPERATION),
            Explained(TIMES, "·whose", "·Whose", 8, figure=_whose, why=_OPERATION),
        ),
        every_record(TIMES),
        first="value",
    )


_OF_ITEM = "it follows from the item: F2 has its unit and its price"
_OF_KIT = "it follows from the items that stand below"


def kit_specs() -> list[TableSpec]:
    """The kits, and the items of the one with the cursor."""
    return [
        TableSpec(
            KITS,
            "kits",
            KITS,
            "Kits: sets of items that go on a bill at once (F8, alt+q in a build)",
            (
                _KitName(KITS, "name", "Kit", 32),
                Explained(KITS, "·items", "·Items", 6, figure=_kit_items, why=_OF_KIT),
                Explained(KITS, "·whole", "·Price", 10, figure=_whole_kit, why=_OF_KIT),
            ),
            every_record(KITS),
            first="name",
            empty="none yet; ctrl+n adds one",
        ),
        TableSpec(
            KIT_PARTS,
            "kits",
            KIT_PARTS,
            "Items of this kit",
            (
                Column(KIT_PARTS, "item", "Item", 32),
                _CountColumn(KIT_PARTS, "count", "How much", 8),
                Explained(KIT_PARTS, "·unit", "·Unit", 6, figure=_item_unit, why=_OF_ITEM),
                Explained(KIT_PARTS, "·price", "·Price", 10, figure=_part_price, why=_OF_ITEM),
            ),
            lambda shop, sheet, kit: [part for part in shop.kit_parts if part.kit == kit],
            first="item",
            empty="nothing yet; ctrl+n here adds an item of the shop",
        ),
    ]


class _KitName(Column, frozen=True):
    """What a kit is called: nothing beside it is typed."""

    @property
    def after_enter(self) -> str:
        """Enter stays: its items stand below."""
        return "stay"


class _CountColumn(Column, frozen=True):
    """How much of an item; counts are filled in down the column."""

    @property
    def after_enter(self) -> str:
        """From count to count."""
        return "down"


def _item_of(shop: Shop, part: KitPart) -> CatalogueItem | None:
    return next((item for item in shop.items if item.id == part.item), None)


def _item_unit(shop: Shop, sheet: None, part: KitPart) -> str:
    item = _item_of(shop, part)
    return item.unit.value if item else "-"


def _part_price(shop: Shop, sheet: None, part: KitPart) -> str:
    item = _item_of(shop, part)
    return "-" if item is None else price_text(price_of(item, part.count), "")


def _kit_items(shop: Shop, sheet: None, kit: Kit) -> str:
    return str(len(parts_of(shop, kit.id)))


def _whole_kit(shop: Shop, sheet: None, kit: Kit) -> str:
    return price_text(kit_price(shop, kit.id), "")


def library_specs() -> list[TableSpec]:
    """The library's footprints, and the studs of the one with the cursor."""
    studs = Explained(
        "footprints", "·studs", "·Studs", 6, figure=_studs, why="how many: they stand below"
    )
    return [
        replace(
            FOOTPRINTS,
            view="library",
            caption="Hole patterns: measured once, for every build",
            columns=(*_without(FOOTPRINTS, "device"), studs),
            empty="none yet; ctrl+n adds one, alt+k in a build's custom parts keeps one here",
        ),
        replace(
            STUDS,
            view="library",
            caption="Mounting holes of this hole pattern, from its lower left corner",
            columns=_without(STUDS, "footprint"),
            rows=lambda shop, sheet, part: [
                stud for stud in shop.studs if not part or stud.footprint == part
            ],
        ),
    ]


def _without(spec: TableSpec, field: str) -> tuple[Column, ...]:
    return tuple(column for column in spec.columns if column.field != field)


def _title(shop: Shop, sheet: None, own: OwnTime) -> str:
    return shop.name_of(own)


def _unit(shop: Shop, sheet: None, own: OwnTime) -> str:
    time = next(time for time in default_times() if time.name == own.id)
    return "times" if time.unit == "ratio" else f"{time.unit} per {time.per}"


def _whose(shop: Shop, sheet: None, own: OwnTime) -> str:
    return "default" if own.value is None else "own"


def _studs(shop: Shop, sheet: None, row: Any) -> str:
    return str(sum(stud.footprint == row.id for stud in shop.studs))
