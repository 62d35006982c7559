"""What a person does to the shop's own things, each as one edit: add, copy, take a file."""

from collections.abc import Iterable, Mapping

from domain.build.choices import UnitHabit
from domain.build.edits import AddRecord, Batch, EditRefused, ReplaceTables, Scalar
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build
from domain.document.records import find, next_id, records
from domain.sheet import MaterialLine
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import ITEMS, KIT_PARTS, KITS, TIMES, Shop


def free_name(wanted: str, taken: Iterable[str]) -> str:
    """A name that is not taken: the wanted one, or that with a number behind it."""
    known, number = set(taken), 2
    name = wanted
    while name in known:
        name, number = f"{wanted} {number}", number + 1
    return name


LONGEST_NAME = 180
"""Letters of a name that is made; a number behind it must still fit."""


def add_item(shop: Shop, beside: str = "", **values: Scalar) -> Batch:
    """Add an item behind the one ``beside``, of its group; at the end where there is none."""
    near: CatalogueItem | None = find(shop, beside) if beside else None
    record: dict[str, Scalar] = {
        "group": near.group if near else "Wire",
        **values,
        "name": free_name(str(values.get("name", "New item")), (i.name for i in shop.items)),
        "id": next_id(shop, ITEMS),
    }
    index = shop.items.index(near) + 1 if near else -1
    add = AddRecord(table=ITEMS, record=record, index=index)
    return Batch(edits=(add,), label=f"add {record['name']}")


def item_for_line(shop: Shop, line: MaterialLine, units: UnitHabit) -> Batch:
    """Add an item that serves one line of materials: its name, group, rules and unit.

    Pack and price are left to be typed. The rules are the line's own words, so that a later line
    of the same kind and size is served by it too.
    """
    return add_item(shop, "", **_serving(line, units))


def items_for_lines(shop: Shop, lines: Iterable[MaterialLine], units: UnitHabit) -> Batch:
    """Add an item for each of these lines, as ``item_for_line`` does, in one edit at the end."""
    names = {item.name for item in shop.items}
    number = int(next_id(shop, ITEMS)[1:])
    found: list[AddRecord] = []
    for values in {tuple(_serving(line, units).items()): None for line in lines}:
        record = dict(values)
        record["name"] = free_name(str(record["name"]), names)
        names.add(str(record["name"]))
        record["id"] = f"i{number + len(found)}"
        found.append(AddRecord(table=ITEMS, record=record))
    return Batch(edits=tuple(found), label=f"add {len(found)} items for materials")


def _serving(line: MaterialLine, units: UnitHabit) -> dict[str, Scalar]:
    """Name, group, rules and unit of an item that serves a line of materials."""
    inch = units is UnitHabit.INCH
    unit = {
        "m": PackUnit.FOOT if inch else PackUnit.METRE,
        "m2": PackUnit.SQUARE_FOOT if inch else PackUnit.SQUARE_METRE,
    }.get(line.unit, PackUnit.EACH)
    name = ", ".join(part for part in (line.item, line.size) if part)
    return {
        "name": name[:LONGEST_NAME],
        "group": line.group,
        "item_rule": line.item,
        "size_rule": line.size,
        "unit": unit.value,
    }


def copy_item(shop: Shop, id: str) -> Batch:
    """Add a copy of an item behind it, without what is on the shelf."""
    item = find(shop, id)
    if item is None:
        raise EditRefused(shop.not_there(ITEMS, id))
    values = item.plain()
    del values["on_shelf"]
    return add_item(shop, id, **values)


def replaced_items(shop: Shop, items: Iterable[CatalogueItem], text: str = "") -> ReplaceTables:
    """Put these items in the place of all; one whose name was there keeps its id.

    What kits hold of an item that goes, goes with it.
    """
    ids = {item.name: item.id for item in shop.items}
    found = []
    number = int(next_id(shop, ITEMS)[1:])
    for item in items:
        id = ids.pop(item.name, None)
        if id is None:
            id, number = f"i{number}", number + 1
        found.append({**item.plain(), "id": id})
    kept = {record["id"] for record in found}
    parts = tuple(part.plain() for part in shop.kit_parts if part.item in {"", *kept})
    tables = {ITEMS: tuple(found), KIT_PARTS: parts}
    return ReplaceTables(tables=tables, label=text or "replace the items")


def replaced_times(times: Mapping[str, float], text: str = "") -> ReplaceTables:
    """Put these times in the place of all the shop's own."""
    rows: tuple[dict[str, Scalar], ...] = tuple(
        {"id": name, "value": value} for name, value in times.items()
    )
    return ReplaceTables(tables={TIMES: rows}, label=text or "replace the times")


def replaced_library(shop: Shop, library: Build, text: str = "") -> ReplaceTables:
    """Put these footprints with their studs in the place of all; known names keep their ids."""
    ids = {each.name: each.id for each in shop.footprints}
    taken = frozenset(ids.values())
    new: dict[str, str] = {}
    for each in library.footprints:
        id = ids.get(each.name) or next_id(shop, "footprints", taken)
        taken |= {id}
        new[each.id] = id
    footprints = tuple(
        {**each.plain(), "id": new[each.id], "device": ""} for each in library.footprints
    )
    studs = tuple(
        {**stud.plain(), "footprint": new[stud.footprint]}
        for stud in library.studs
        if stud.footprint
    )
    return ReplaceTables(
        tables={"footprints": footprints, "studs": studs}, label=text or "replace the hole patterns"
    )


def dropped_by(shop: Shop, edit: ReplaceTables) -> list[str]:
    """Names of the items, footprints or kits that are not there any more after it."""
    found: list[str] = []
    for table, given in edit.tables.items():
        if table in (ITEMS, "footprints", KITS):
            kept = {record["name"] for record in given}
            rows = records(shop, table)
            found += [row.name for row in rows if row.name not in kept]
    return found
