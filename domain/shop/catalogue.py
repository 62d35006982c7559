"""The shop's own catalogue: what it buys, in which packs, at which price, and what is in stock.

Mainrun ships none of it: no item, no brand, no price.
"""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import (
    AfterValidator,
    Field,
    PlainSerializer,
    StringConstraints,
    ValidationError,
    model_validator,
)

from domain.build.edits import sentence
from domain.build.extra_records import GroupName, PackUnit
from domain.csv_cells import CsvRow, amount, defused, number, plain, refused, rows_under, written
from domain.document.records import Kind, Name, Record, Ref
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


_Text = Annotated[str, StringConstraints(max_length=200, strip_whitespace=True)]
Rule = Annotated[_Text, AfterValidator(visible)]
_Named = Annotated[
    str,
    StringConstraints(min_length=1, max_length=200, strip_whitespace=True),
    AfterValidator(visible),
]
_Money = Annotated[
    Decimal,
    Field(ge=0, le=MOST_PRICE, decimal_places=4),
    PlainSerializer(lambda price: f"{price:f}", return_type=str, when_used="json-unless-none"),
    Kind("money", f"type 12.50 or 12,50, at most {MOST_PRICE}; empty: not known"),
]
_PACK = "type how much one pack holds, as 25 or 7.5; of things that are counted a whole number"
_SHELF = "type how much is in stock, in the unit beside it"
_ITEM_RULE = "type how the item of a line of materials begins; empty: any of the group"
_SIZE_RULE = "type how the size of a line of materials begins; empty: any size"


class CatalogueItem(Record):
    """One thing that the shop buys. ``id`` is empty until it is stored.

    ``item_rule`` and ``size_rule`` say which lines of the bill of materials it serves (see
    ``domain.money.matching.rule_fits``). ``pack`` is how much one pack holds and ``on_shelf`` how
    much is in stock, both in ``unit``; ``price`` is for one pack, ``None`` where it is not known.
    """

    id: Ref = Field("", title="Id", description="short stable id, unique within the shop")
    name: _Named = Field(title="Item", description="what the shop calls it")
    group: GroupName = Field(title="Group", description="group of the bill of materials")
    item_rule: Annotated[Rule, Kind("text", _ITEM_RULE)] = Field(
        "", title="Item rule", description="how the line's item begins"
    )
    size_rule: Annotated[Rule, Kind("text", _SIZE_RULE)] = Field(
        "", title="Size rule", description="how the line's size begins"
    )
    pack: Annotated[float, Kind("number", _PACK)] = Field(
        1, gt=0, le=1e6, title="Pack", description="how much one pack holds"
    )
    unit: PackUnit = Field(PackUnit.EACH, title="Unit", description="what a pack is counted in")
    price: _Money | None = Field(None, title="Price", description="of one pack")
    on_shelf: Annotated[float, Kind("number", _SHELF)] = Field(
        0, ge=0, le=1e7, title="In stock", description="in that unit"
    )
    supplier: Name = Field("", title="Supplier", description="where it is bought, and notes")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.unit is PackUnit.EACH and not float(self.pack).is_integer():
            raise ValueError("a pack of things that are counted must be a whole number")
        return self


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
            return CatalogueItem.model_validate(values)
        except ValidationError as error:
            bad.append(f"line {line}: {sentence(error)}")
    problems += bad
    return None
