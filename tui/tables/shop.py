"""Tables of the shop: items, times, and the library of footprints with their studs."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from domain.build.edits import Edit
from domain.build.records import Build
from domain.csv_cells import number, plain
from domain.sheet import Sheet
from domain.shop.catalogue import CatalogueItem
from domain.shop.item_fields import CHOICES, describe_item, parse_item, show_item
from domain.shop.shop import ITEMS, TIMES, Shop
from domain.shop.times import Time, check_time, shop_times
from tui.tables.columns import AUTO, Column, Figure
from tui.tables.item_list import ItemList
from tui.tables.parts import FOOTPRINTS, STUDS
from tui.tables.table import TableSpec

_LEFT = ("", "-", "auto", AUTO)


@dataclass(frozen=True, slots=True)
class ItemRow:
    """An item as a row."""

    id: str
    item: CatalogueItem


@dataclass(frozen=True, slots=True)
class TimeRow:
    """A time as a row."""

    id: str
    time: Time


@dataclass(frozen=True, slots=True)
class ItemColumn(Column):
    """A field of an item."""

    @property
    def optional(self) -> bool:
        """Only a price may be unknown."""
        return self.field == "price"

    @property
    def has_choices(self) -> bool:
        """Group and unit."""
        return self.field in CHOICES

    def shown(self, build: Build, sheet: Sheet, record: ItemRow) -> str:
        """The value."""
        return show_item(record.item, self.field)

    def described(self, build: Build) -> str:
        """What it is and what may be typed."""
        return describe_item(self.field)

    def opened(self, build: Build, sheet: Sheet, record: ItemRow) -> str:
        """The value; empty where it is not known."""
        if getattr(record.item, self.field) is None:
            return ""
        return self.shown(build, sheet, record)

    def typed(self, build: Build, record: ItemRow, text: str) -> Edit:
        """The new value."""
        return self._set(record, parse_item(record.item, self.field, text))

    def pinned(self, build: Build, sheet: Sheet, record: ItemRow) -> Edit | None:
        """Nothing is chosen for the shop."""
        return None

    def given_back(self, record: ItemRow) -> Edit | None:
        """A price can be forgotten; texts become empty, but for the name."""
        if self.optional and record.item.price is not None:
            return self._set(record, None)
        if self.field in ("item_rule", "size_rule", "supplier"):
            return self._set(record, "")
        return None

    def stepped(self, build: Build, record: ItemRow) -> Edit | None:
        """The next choice."""
        options = CHOICES.get(self.field)
        if not options:
            return None
        place = options.index(getattr(record.item, self.field))
        return self._set(record, str(options[(place + 1) % len(options)]))

    def options(self, build: Build, record: ItemRow) -> list[tuple[str, Edit]]:
        """The choices."""
        return [
            (str(option), self._set(record, str(option))) for option in CHOICES.get(self.field, ())
        ]


@dataclass(frozen=True, slots=True)
class TimeColumn(Column):
    """The time of an operation: the shop's own, or (``~``) the default."""

    @property
    def optional(self) -> bool:
        """It may be left to the default."""
        return True

    @property
    def has_choices(self) -> bool:
        """It is typed."""
        return False

    def shown(self, build: Build, sheet: Sheet, record: TimeRow) -> str:
        """The figure."""
        return f"{'' if record.time.own else AUTO}{plain(record.time.value)}"

    def described(self, build: Build) -> str:
        """What may be typed."""
        return "Time: what it takes in your shop, a number; delete goes back to the default (~)"

    def typed(self, build: Build, record: TimeRow, text: str) -> Edit:
        """The shop's own figure."""
        text = text.strip()
        if text.casefold() in _LEFT:
            return self._set(record, None)
        value = float(number(text.removeprefix(AUTO)))
        if wrong := check_time(record.id, value):
            raise ValueError(wrong)
        return self._set(record, value)

    def pinned(self, build: Build, sheet: Sheet, record: TimeRow) -> Edit | None:
        """Keep the default as the shop's own."""
        return None if record.time.own else self._set(record, record.time.value)

    def given_back(self, record: TimeRow) -> Edit | None:
        """Back to the default."""
        return self._set(record, None) if record.time.own else None

    def stepped(self, build: Build, record: TimeRow) -> Edit | None:
        """There are no choices."""
        return None


@dataclass(frozen=True, slots=True)
class Told(Figure):
    """A column that only tells; ``why`` says what to do instead of typing here."""

    why: str = ""

    @property
    def why_fixed(self) -> str:
        """What to do instead."""
        return self.why

    def described(self, build: Build) -> str:
        """What to do instead."""
        return f"{self.title.lstrip('·')}: {self.why}"


def items_spec(shop: Callable[[], Shop], shown: ItemList) -> TableSpec:
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
    titles = {"on_shelf": "On shelf"}
    return TableSpec(
        ITEMS,
        "items",
        ITEMS,
        "Items",
        tuple(
            ItemColumn(
                ITEMS, name, titles.get(name, str(CatalogueItem.model_fields[name].title)), width
            )
            for name, width in columns
        ),
        lambda build, sheet, part: [
            ItemRow(str(item.id), item) for item in shown.seen(shop().items)
        ],
        empty="none here; ctrl+n adds one, ctrl+u takes them from a CSV file",
    )


_OPERATION = "the operations stay as they are; type the time beside it"


def times_spec(shop: Callable[[], Shop]) -> TableSpec:
    """The times of all operations."""
    return TableSpec(
        TIMES,
        "times",
        TIMES,
        "Times: your own, or (~) invented defaults to be replaced",
        (
            Told(TIMES, "·title", "·Operation", 42, figure=_title, why=_OPERATION),
            TimeColumn(TIMES, "value", "Time", 8),
            Told(TIMES, "·unit", "·Unit", 20, figure=_unit, why=_OPERATION),
            Told(TIMES, "·whose", "·Whose", 8, figure=_whose, why=_OPERATION),
        ),
        lambda build, sheet, part: [TimeRow(t.name, t) for t in shop_times(shop().times)],
        first="value",
    )


def library_specs() -> list[TableSpec]:
    """The library's footprints, and the studs of the one with the cursor."""
    studs = Told(
        "footprints", "·studs", "·Studs", 6, figure=_studs, why="how many: they stand below"
    )
    return [
        replace(
            FOOTPRINTS,
            view="library",
            caption="Footprints: measured once, for every build",
            columns=(*_without(FOOTPRINTS, "device"), studs),
            empty="none yet; ctrl+n adds one, alt+k in a build's custom parts keeps one here",
        ),
        replace(
            STUDS,
            view="library",
            caption="Studs of this footprint, from its lower left corner",
            columns=_without(STUDS, "footprint"),
            rows=lambda build, sheet, part: [
                stud for stud in build.studs if not part or stud.footprint == part
            ],
        ),
    ]


def _without(spec: TableSpec, field: str) -> tuple[Column, ...]:
    return tuple(column for column in spec.columns if column.field != field)


def _title(build: Build, sheet: Sheet, row: TimeRow) -> str:
    return row.time.title


def _unit(build: Build, sheet: Sheet, row: TimeRow) -> str:
    return "times" if row.time.unit == "ratio" else f"{row.time.unit} per {row.time.per}"


def _whose(build: Build, sheet: Sheet, row: TimeRow) -> str:
    return "own" if row.time.own else "default"


def _studs(build: Build, sheet: Sheet, row: Any) -> str:
    return str(sum(stud.footprint == row.id for stud in build.studs))
