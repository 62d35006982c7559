"""What the shop keeps beside its builds: items, own times, a library of footprints; how it changes.

It changes by the same edits as a build, with an inverse each. The tables are "items", "times",
"footprints" and "studs"; the last two are those of a build, which the library is, with
nothing else in it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import ValidationError

from domain.build.edits import (
    AddRecord,
    Batch,
    Edit,
    EditRefused,
    MoveRecord,
    RemoveRecord,
    ReplaceTables,
    Scalar,
    SetField,
    apply,
    sentence,
)
from domain.build.records import Build, label, records
from domain.shop.catalogue import MOST_ITEMS, CatalogueItem
from domain.shop.times import check_time, default_times

ITEMS, TIMES = "items", "times"
LIBRARY = ("footprints", "studs")
SHOP_TABLES = (ITEMS, TIMES, *LIBRARY)
"""Every table of a shop."""


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop's own things. ``times`` are its own figures alone, by the operation's name.

    Names of items are unique, and so are those of the library's footprints: they are what a
    file of them is read by.
    """

    items: tuple[CatalogueItem, ...] = ()
    times: Mapping[str, float] = field(default_factory=dict)
    library: Build = field(default_factory=Build)

    def item(self, id: str) -> CatalogueItem | None:
        """The item with this id."""
        return next((item for item in self.items if str(item.id) == id), None)


def apply_to_shop(shop: Shop, edit: Edit) -> tuple[Shop, Edit]:
    """The changed shop and the inverse edit; ``EditRefused`` if it cannot be made."""
    after, inverse = _apply(shop, edit)
    if after.items is not shop.items:
        _check_items(after.items)
    if after.library.footprints is not shop.library.footprints:
        _check_names("footprint", (each.name for each in after.library.footprints))
    return after, inverse


def name_in_shop(shop: Shop, table: str, id: str) -> str:
    """What to call a row of the shop in a sentence."""
    if table == ITEMS:
        item = shop.item(id)
        return item.name if item else id
    if table == TIMES:
        return next((time.title for time in default_times() if time.name == id), id)
    return label(shop.library, id)


def rows_of(shop: Shop, table: str) -> list[str]:
    """Ids of the rows of a table, in their order."""
    if table == ITEMS:
        return [str(item.id) for item in shop.items]
    if table == TIMES:
        return [time.name for time in default_times()]
    return [record.id for record in records(shop.library, table)]


def item_record(item: CatalogueItem) -> dict[str, Scalar]:
    """An item as JSON holds it; the price as an exact decimal."""
    record: dict[str, Scalar] = item.model_dump(mode="json")
    record["price"] = None if item.price is None else f"{item.price:f}"
    return record


def no_item(id: str) -> EditRefused:
    """What to say of an item that is not there."""
    return EditRefused(f"there is no item {id} in the catalogue: choose one from its list")


def _apply(shop: Shop, edit: Edit) -> tuple[Shop, Edit]:
    if isinstance(edit, Batch):
        inverses: list[Edit] = []
        for each in edit.edits:
            shop, inverse = _apply(shop, each)
            inverses.append(inverse)
        return shop, Batch(edits=tuple(reversed(inverses)), label=edit.label)
    if isinstance(edit, ReplaceTables):
        return _replace(shop, edit)
    if edit.table == ITEMS:
        return _change_items(shop, edit)
    if edit.table == TIMES:
        return _set_time(shop, edit)
    if edit.table not in LIBRARY:
        raise EditRefused(f"the shop has no table {edit.table!r}: {', '.join(SHOP_TABLES)}")
    library, inverse = apply(shop.library, edit)
    return replace(shop, library=library), inverse


def _replace(shop: Shop, edit: ReplaceTables) -> tuple[Shop, Edit]:
    before: dict[str, tuple[dict[str, Scalar], ...]] = {}
    rest = {}
    for table, given in edit.tables.items():
        if table == ITEMS:
            before[ITEMS] = tuple(item_record(item) for item in shop.items)
            shop = replace(shop, items=tuple(_item(record) for record in given))
        elif table == TIMES:
            before[TIMES] = tuple({"name": n, "value": v} for n, v in shop.times.items())
            times = {str(each["name"]): _time(str(each["name"]), each["value"]) for each in given}
            shop = replace(shop, times=times)
        else:
            rest[table] = given
    if rest:
        library, inverse = apply(shop.library, edit.model_copy(update={"tables": rest}))
        before |= inverse.tables if isinstance(inverse, ReplaceTables) else {}
        shop = replace(shop, library=library)
    return shop, edit.model_copy(update={"tables": before})


def _change_items(
    shop: Shop, edit: SetField | AddRecord | RemoveRecord | MoveRecord
) -> tuple[Shop, Edit]:
    rows = list(shop.items)
    inverse: Edit
    if isinstance(edit, AddRecord):
        item = _item(edit.record)
        if any(other.id == item.id for other in rows):
            raise EditRefused(f"there is an item {item.id} already")
        rows.insert(edit.index if 0 <= edit.index <= len(rows) else len(rows), item)
        return replace(shop, items=tuple(rows)), RemoveRecord(table=ITEMS, id=str(item.id))
    index = next((place for place, row in enumerate(rows) if str(row.id) == edit.id), -1)
    if index < 0:
        raise no_item(edit.id)
    item = rows[index]
    if isinstance(edit, RemoveRecord):
        del rows[index]
        inverse = AddRecord(table=ITEMS, record=item_record(item), index=index)
    elif isinstance(edit, MoveRecord):
        if not 0 <= edit.index < len(rows):
            raise EditRefused(f"the items have places 0 to {len(rows) - 1}, not {edit.index}")
        rows.insert(edit.index, rows.pop(index))
        inverse = edit.model_copy(update={"index": index})
    else:
        was = item_record(item)
        if edit.field == "id" or edit.field not in was:
            raise EditRefused(f"an item has no field {edit.field!r} that can be set")
        rows[index] = _item({**was, edit.field: edit.value})
        inverse = edit.model_copy(update={"value": was[edit.field]})
    return replace(shop, items=tuple(rows)), inverse


def _set_time(
    shop: Shop, edit: SetField | AddRecord | RemoveRecord | MoveRecord
) -> tuple[Shop, Edit]:
    """Set a time of the shop's own; ``None`` leaves the operation to its default."""
    if not isinstance(edit, SetField) or edit.field != "value":
        raise EditRefused("the operations stay as they are: only their times are set")
    if edit.id not in {time.name for time in default_times()}:
        raise EditRefused(check_time(edit.id, 0))
    inverse = edit.model_copy(update={"value": shop.times.get(edit.id)})
    times = {name: value for name, value in shop.times.items() if name != edit.id}
    if edit.value is not None:
        times[edit.id] = _time(edit.id, edit.value)
    return replace(shop, times=times), inverse


def _time(name: str, value: Scalar) -> float:
    if isinstance(value, str | bool | None):
        raise EditRefused(f"{name}: a time is a number")
    if wrong := check_time(name, value):
        raise EditRefused(wrong)
    return float(value)


def _item(record: Mapping[str, Any]) -> CatalogueItem:
    try:
        return CatalogueItem.model_validate(record)
    except ValidationError as error:
        raise EditRefused(sentence(error)) from None


def _check_items(items: tuple[CatalogueItem, ...]) -> None:
    if len(items) > MOST_ITEMS:
        raise EditRefused(f"a catalogue takes at most {MOST_ITEMS} items, not {len(items)}")
    _check_names("item", (item.name for item in items))


def _check_names(what: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if not name.strip():
            raise EditRefused(f"each {what} in the shop needs a name")
        if name in seen:
            raise EditRefused(
                f"there is {'an' if what == 'item' else 'a'} {what} {name!r} in the shop already: "
                "give this one another name, or change that one"
            )
        seen.add(name)
