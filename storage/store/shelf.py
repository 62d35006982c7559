"""The shop's catalogue and times alone, for what needs nothing else of what the shop keeps."""

from collections.abc import Mapping
from typing import cast

from domain.build.edits import Batch, Edit, EditRefused, SetField
from domain.document.records import find
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import ITEMS, TIMES, Shop
from domain.shop.times import OwnTime
from storage.errors import StoreError
from storage.store.builds import Store


class ShopCatalogue:
    """The catalogue in a store. Every method raises ``StoreError``, having changed nothing."""

    def __init__(self, store: Store) -> None:
        self._shop = store.shop()

    def items(self) -> tuple[CatalogueItem, ...]:
        """Every item, in the shop's order."""
        return cast("tuple[CatalogueItem, ...]", self._shop.table(ITEMS))

    def times(self) -> dict[str, float]:
        """The shop's own times, as ``domain.shop.times.shop_times`` takes them."""
        times = cast("tuple[OwnTime, ...]", self._shop.table(TIMES))
        return {time.id: time.value for time in times if time.value is not None}

    def take_off_shelf(self, used: Mapping[str, float]) -> None:
        """Take what a build used off the shelf: item id -> quantity in the item's unit.

        Refused as a whole where an item is not there, or there is less of it on the shelf.
        """
        try:
            self._shop.change(lambda shop: _taken(shop, used))
        except EditRefused as error:
            raise StoreError(str(error)) from error


def _taken(shop: Shop, used: Mapping[str, float]) -> Edit:
    edits = []
    for id, quantity in used.items():
        item: CatalogueItem | None = find(shop, id)
        if item is None:
            raise EditRefused(shop.not_there(ITEMS, id))
        if not 0 <= quantity <= item.on_shelf + 1e-9:
            raise EditRefused(
                f"{item.name}: {quantity:g} {item.unit.value} cannot be taken, "
                f"{item.on_shelf:g} {item.unit.value} are in stock; nothing was "
                "taken: count again and correct the catalogue"
            )
        left = round(max(0.0, item.on_shelf - quantity), 6)
        edits.append(SetField(table=ITEMS, id=id, field="on_shelf", value=left))
    return Batch(edits=tuple(edits), label="take from stock")
