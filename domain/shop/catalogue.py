"""The shop's own catalogue: what it buys, in which packs, at which price, and what is in stock.

Mainrun ships none of it: no item, no brand, no price.
"""

from decimal import Decimal
from typing import Annotated

from msgspec import Meta

from domain.build.record_kinds.extra_records import GroupName, PackUnit
from domain.csv_cells import CsvRow, amount, defused, number, plain, refused, rows_under, written
from domain.document.declared import About, BadEntry, Kind, Name, Places, Ref, Through
from domain.document.records import Record
from domain.visible_text import visible

COLUMNS = (
    "name",
    "group",
    "item rule",
    "size rule",
    "pack",
    "unit",
    "price",
    "on shelf",
    "supplier",
)
"""Header of a catalogue's CSV file."""

MOST_ITEMS = 20000
"""No catalogue holds more items."""

MOST_PRICE = Decimal(10_000_000)


Rule = Annotated[str, Meta(max_length=200), Through(str.strip), Through(visible)]
_Named = Annotated[str, Meta(min_length=1, max_length=200), Through(str.strip), Through(visible)]
_Money = Annotated[
    Decimal,
    Places(4),
    Kind("money", f"type 12.50 or 12,50, at most {MOST_PRICE}; empty: not known"),
]
_PACK = "type how much one pack holds, as 25 or 7.5; of things that are counted a whole number"
_SHELF = "type how much is in stock, in the unit beside it"
_ITEM_RULE = "type how the item of a line of materials begins; empty: any of the group"
_SIZE_RULE = "type how the size of a line of materials begins; empty: any size"


class CatalogueItem(Record, frozen=True, kw_only=True):
    """One thing that the shop buys. ``id`` is empty until it is stored.

    ``item_rule`` and ``size_rule`` say which lines of the bill of materials it serves (see
    ``domain.money.matching.rule_fits``). ``pack`` is how much one pack holds and ``on_shelf`` how
    much is in stock, both in ``unit``; ``price`` is for one pack, ``None`` where it is not known.
    """

    id: Annotated[Ref, About("Id", "short stable id, unique within the shop")] = ""
    name: Annotated[_Named, About("Item", "what the shop calls it")]
    group: Annotated[GroupName, About("Group", "group of the bill of materials")]
    item_rule: Annotated[
        Rule, Kind("text", _ITEM_RULE), About("Item rule", "how the line's item begins")
    ] = ""
    size_rule: Annotated[
        Rule, Kind("text", _SIZE_RULE), About("Size rule", "how the line's size begins")
    ] = ""
    pack: Annotated[
        float, Kind("number", _PACK), About("Pack", "how much one pack holds", gt=0, le=1e6)
    ] = 1
    unit: Annotated[PackUnit, About("Unit", "what a pack is counted in")] = PackUnit.EACH
    price: Annotated[_Money | None, About("Price", "of one pack", ge=0, le=int(MOST_PRICE))] = None
    on_shelf: Annotated[
        float, Kind("number", _SHELF), About("In stock", "in that unit", ge=0, le=1e7)
    ] = 0
    supplier: Annotated[Name, About("Supplier", "where it is bought, and notes")] = ""

    def wrong(self) -> str:
        """A pack that holds a part of a thing that is counted."""
        if self.unit is PackUnit.EACH and not float(self.pack).is_integer():
            return "a pack of things that are counted must be a whole number"
        return ""


def catalogue_csv(items: tuple[CatalogueItem, ...]) -> str:
    """A catalogue as the text of a CSV file; texts that a spreadsheet would run are defused."""
    return written([COLUMNS, *(_cells(item) for item in items)])


def read_catalogue(text: str) -> tuple[CatalogueItem, ...]:
    """The items in the text of a CSV file, without ids, in its order.

    The header must be that of ``catalogue_csv``. Numbers may have a decimal comma; cells may be
    parted by semicolons. Raises ``CsvRefused`` naming every bad line, having taken none.
    """
    problems: list[str] = []
    items: list[CatalogueItem] = []
    lines: dict[str, int] = {}
    rows = rows_under(text, COLUMNS)
    if len(rows) > MOST_ITEMS:
        raise refused([f"{len(rows)} items, at most {MOST_ITEMS} are taken"])
    for line, row in rows:
        item = _item(row, line, problems)
        if item is None:
            continue
        if item.name in lines:
            problems.append(
                f"line {line}: the name {item.name!r} stands in line {lines[item.name]}"
            )
        lines.setdefault(item.name, line)
        items.append(item)
    if problems:
        raise refused(problems)
    return tuple(items)


def _cells(item: CatalogueItem) -> list[str]:
    return [
        defused(item.name),
        item.group,
        defused(item.item_rule),
        defused(item.size_rule),
        plain(item.pack),
        item.unit.value,
        "" if item.price is None else f"{item.price:f}",
        plain(item.on_shelf),
        defused(item.supplier),
    ]


def _item(row: CsvRow, line: int, problems: list[str]) -> CatalogueItem | None:
    values: dict[str, object] = {
        "name": row["name"],
        "group": row["group"],
        "item_rule": row["item rule"],
        "size_rule": row["size rule"],
        "unit": row["unit"].strip().casefold(),
        "supplier": row["supplier"],
    }
    bad = []
    for column, field in (("pack", "pack"), ("price", "price"), ("on shelf", "on_shelf")):
        if not row[column].strip():
            continue
        try:
            cell = amount(row[column]) if field == "price" else row[column]
            values[field] = number(cell, semicolons=row.semicolons)
        except ValueError as error:
            bad.append(f"line {line}: {column}: {error}")
    if not bad:
        try:
            return CatalogueItem.of(values)
        except BadEntry as error:
            bad.append(f"line {line}: {error}")
    problems += bad
    return None
