"""What the person who makes kits does, each as one edit, and what a kit may not be."""

from collections.abc import Mapping, Sequence

from domain.build.edits import (
    AddRecord,
    Batch,
    Edit,
    EditRefused,
    RemoveRecord,
    ReplaceTables,
    Scalar,
)
from domain.document.names import numbered
from domain.document.records import find, next_id
from domain.shop.kit_records import Kit
from domain.shop.shop import KIT_PARTS, KITS, Shop
from domain.shop.shop_actions import free_name

Contents = Mapping[str, Sequence[tuple[str, float]]]
"""Kits by name: (name of an item, how much of it in its unit), in their order."""


def add_kit(shop: Shop) -> Batch:
    """Add a kit that holds nothing yet, under a name that is free."""
    name = free_name("New kit", (kit.name for kit in shop.kits))
    record: dict[str, Scalar] = {"id": next_id(shop, KITS), "name": name}
    return Batch(edits=(AddRecord(table=KITS, record=record),), label=f"add {name}")


def add_kit_part(shop: Shop, kit: str, beside: str = "") -> Batch:
    """Add one more item to a kit, behind another of it: the first of the shop that it lacks."""
    owner = _kit(shop, kit)
    held = {part.item for part in shop.kit_parts if part.kit == kit}
    items = [item.id for item in shop.items]
    if not items:
        raise EditRefused("a kit holds items of the shop: add an item first (F2)")
    item = next((id for id in items if id not in held), items[0])
    record: dict[str, Scalar] = {"id": next_id(shop, KIT_PARTS), "kit": kit, "item": item}
    near = find(shop, beside) if beside else None
    index = shop.kit_parts.index(near) + 1 if near in shop.kit_parts else -1
    add = AddRecord(table=KIT_PARTS, record=record, index=index)
    return Batch(edits=(add,), label=f"add to {owner.name}")


def copy_kit(shop: Shop, id: str) -> Batch:
    """Add a copy of a kit, with all that it holds, under a numbered name."""
    kit = _kit(shop, id)
    name = numbered(kit.name, (each.name for each in shop.kits))
    new = next_id(shop, KITS)
    edits: list[Edit] = [AddRecord(table=KITS, record={"id": new, "name": name})]
    first = int(next_id(shop, KIT_PARTS)[1:])
    held = [part for part in shop.kit_parts if part.kit == id]
    for place, part in enumerate(held):
        record = {**part.plain(), "id": f"y{first + place}", "kit": new}
        edits.append(AddRecord(table=KIT_PARTS, record=record))
    return Batch(edits=tuple(edits), label=f"copy to {name}")


def without(shop: Shop, field: str, id: str) -> tuple[Edit, ...]:
    """The edits that take out what kits hold of an item, or all that one kit holds."""
    return tuple(
        RemoveRecord(table=KIT_PARTS, id=part.id)
        for part in shop.kit_parts
        if getattr(part, field) == id
    )


def kits_with(shop: Shop, item: str) -> tuple[str, ...]:
    """Names of the kits that hold an item."""
    kits = {part.kit for part in shop.kit_parts if part.item == item}
    return tuple(kit.name for kit in shop.kits if kit.id in kits)


def replaced_kits(shop: Shop, contents: Contents, text: str = "") -> ReplaceTables:
    """Put these kits in the place of all; one whose name was there keeps its id.

    Raises ``EditRefused`` naming what they hold that is no item of the shop.
    """
    items = {item.name: item.id for item in shop.items}
    lacking = dict.fromkeys(
        name for held in contents.values() for name, _ in held if name not in items
    )
    if lacking:
        names = ", ".join(repr(name) for name in list(lacking)[:3])
        more = f" and {len(lacking) - 3} more" if len(lacking) > 3 else ""
        raise EditRefused(
            f"the shop has no item {names}{more}: a kit holds the shop's items, take those first"
        )
    ids = {kit.name: kit.id for kit in shop.kits}
    taken = frozenset(ids.values())
    kits: list[dict[str, Scalar]] = []
    parts: list[dict[str, Scalar]] = []
    for name, held in contents.items():
        id = ids.get(name) or next_id(shop, KITS, taken)
        taken |= {id}
        kits.append({"id": id, "name": name})
        for item, count in held:
            record: dict[str, Scalar] = {"id": f"y{len(parts) + 1}", "kit": id}
            parts.append({**record, "item": items[item], "count": count})
    tables = {KITS: tuple(kits), KIT_PARTS: tuple(parts)}
    return ReplaceTables(tables=tables, label=text or "replace the kits")


def _kit(shop: Shop, id: str) -> Kit:
    kit = find(shop, id)
    if not isinstance(kit, Kit):
        raise EditRefused(shop.not_there(KITS, id))
    return kit
