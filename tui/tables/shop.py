"""Tables of the shop: items, times, and the library of footprints with their studs."""

from dataclasses import dataclass, replace
from typing import Any

from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import ITEMS, TIMES, Shop
from domain.shop.times import OwnTime, default_times
from tui.tables.columns import Column, Explained
from tui.tables.item_list import ItemList
from tui.tables.parts import FOOTPRINTS, STUDS
from tui.tables.table_spec import TableSpec, every_record


@dataclass(frozen=True, slots=True)
class _ItemColumn(Column):
    """A field of an item; prices are filled in down the column."""

    @property
    def after_enter(self) -> str:
        """From price to price; else to the next field."""
        return "down" if self.field == "price" else "right"


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
    fields = CatalogueItem.model_fields
    titles = {"on_shelf": "In stock"}
    return TableSpec(
        ITEMS,
        "items",
        ITEMS,
        "Items",
        tuple(
            _ItemColumn(ITEMS, name, titles.get(name, str(fields[name].title)), width)
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
