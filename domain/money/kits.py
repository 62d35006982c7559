"""A kit of the shop on the bill of a build: what it comes to, and what is put there."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import ceil

from domain.build.edits import AddRecord, Batch, EditRefused, Scalar
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build
from domain.document.records import label, next_id
from domain.money.cents import NOTHING, cents, exact
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop

HUNDREDTHS = 100
"""What is left of a length or an area is put on the bill in hundredths of its unit, upwards."""


def filled_kits(shop: Shop) -> tuple[str, ...]:
    """Ids of the kits that hold something, in the shop's order."""
    filled = {part.kit for part in shop.kit_parts if part.item}
    return tuple(kit.id for kit in shop.kits if kit.id in filled)


def parts_of(shop: Shop, kit: str) -> list[tuple[CatalogueItem, float]]:
    """The items of a kit, with how much of each in the item's unit."""
    items = {item.id: item for item in shop.items}
    return [
        (items[part.item], part.count)
        for part in shop.kit_parts
        if part.kit == kit and part.item in items
    ]


def price_of(item: CatalogueItem, count: float) -> Decimal | None:
    """What so much of an item is worth, at pack price over pack size; ``None``: not known."""
    return None if item.price is None else cents(item.price * exact(count) / exact(item.pack))


def kit_price(shop: Shop, kit: str) -> Decimal | None:
    """What a kit's contents are worth together; ``None``: one of them has no price."""
    prices = [price_of(item, count) for item, count in parts_of(shop, kit)]
    known = [price for price in prices if price is not None]
    return sum(known, NOTHING) if prices and len(known) == len(prices) else None


def beyond(
    parts: Sequence[tuple[CatalogueItem, float]], taken: Mapping[str, float]
) -> list[tuple[CatalogueItem, float]]:
    """What a kit holds beyond what lines take of its items.

    ``taken`` is by item, in the item's own unit (``domain.money.matching.taken``).
    """
    left = dict(taken)
    found = []
    for item, count in parts:
        used = min(count, left.get(item.id, 0.0))
        left[item.id] = left.get(item.id, 0.0) - used
        step = 1 if item.unit is PackUnit.EACH else HUNDREDTHS
        more = ceil(round((count - used) * step, 6)) / step
        if more:
            found.append((item, more))
    return found


def put_on(
    build: Build, shop: Shop, kit: str, parts: Sequence[tuple[CatalogueItem, float]] | None = None
) -> Batch:
    """Put a kit on the bill of a build as one edit; ``parts``: only these of it."""
    name = label(shop, kit)
    parts = parts_of(shop, kit) if parts is None else parts
    if not parts:
        raise EditRefused(f"there is nothing in the kit {name}: give it items in the shop")
    number = int(next_id(build, "extras")[1:])
    edits = []
    for place, (item, count) in enumerate(parts):
        record: dict[str, Scalar] = {
            "id": f"q{number + place}",
            "name": item.name,
            "quantity": count,
            "unit": item.unit.value,
            "group": item.group,
            "kit": name,
        }
        edits.append(AddRecord(table="extras", record=record))
    return Batch(edits=tuple(edits), label=f"add the kit {name}")
