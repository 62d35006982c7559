"""The shop's catalogue and times in the store, for what needs nothing else of the shop.

Read with the standard library's SQLite, written through SQLModel; every change is one
transaction, and one line of the shop's journal. Ids are given out by the store and stay with
an item for its whole life.
"""

from collections.abc import Callable, Collection, Mapping, Sequence

from domain.build.edits import AddRecord, Batch, Edit, EditRefused, RemoveRecord, SetField
from domain.shop.catalogue import MOST_ITEMS, CatalogueItem
from domain.shop.shop import ITEMS, TIMES, Shop, item_record, no_item
from domain.shop.shop_actions import replaced_items, replaced_times
from domain.shop.times import check_time
from storage.errors import StoreError
from storage.store import shop_read
from storage.store.builds import Store
from storage.store.shop import ShopStore


class ShopCatalogue:
    """The catalogue in a store. Every method raises ``StoreError``, having changed nothing."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._shop = ShopStore(store)

    def items(self) -> tuple[CatalogueItem, ...]:
        """Every item, in the shop's order."""
        with self._store.reading() as reading:
            return shop_read.read_items(reading)

    def replace_all(self, items: Sequence[CatalogueItem]) -> tuple[CatalogueItem, ...]:
        """Put these items in the place of all; an item whose name was there keeps its id."""
        _check_names(items)
        if len(items) > MOST_ITEMS:
            raise StoreError(f"a catalogue takes at most {MOST_ITEMS} items, not {len(items)}")
        return self._change(lambda shop: replaced_items(shop, items), (ITEMS,)).items

    def put(self, item: CatalogueItem) -> CatalogueItem:
        """Add an item (id 0), or put it in the place of the one with its id; as it is stored."""
        id = item.id

        def edit(shop: Shop) -> Edit:
            nonlocal id
            if not id:
                id = max((other.id for other in shop.items), default=0) + 1
                record = {**item_record(item), "id": id}
                return Batch(
                    edits=(AddRecord(table=ITEMS, record=record),), label=f"add {item.name}"
                )
            here = shop.item(str(id))
            if here is None:
                raise no_item(str(id))
            place = shop.items.index(here)
            return Batch(
                edits=(
                    RemoveRecord(table=ITEMS, id=str(id)),
                    AddRecord(table=ITEMS, record=item_record(item), index=place),
                ),
                label=f"change {item.name}",
            )

        self._change(edit)
        return item.model_copy(update={"id": id})

    def remove(self, id: int) -> None:
        """Take an item out of the catalogue."""
        self._change(lambda shop: RemoveRecord(table=ITEMS, id=str(id)))

    def take_off_shelf(self, used: Mapping[int, float]) -> None:
        """Take what a build used off the shelf: item id -> quantity in the item's unit.

        Refused as a whole where an item is not there, or there is less of it on the shelf.
        """
        self._change(lambda shop: _taken(shop, used))

    def times(self) -> dict[str, float]:
        """The shop's own times, as ``domain.shop.times.shop_times`` takes them."""
        with self._store.reading() as reading:
            return shop_read.read_times(reading)

    def replace_times(self, own: Mapping[str, float]) -> None:
        """Put these times in the place of all the shop's own; none: the defaults count again."""
        for name, value in own.items():
            if wrong := check_time(name, value):
                raise StoreError(f"{wrong}; nothing was saved")
        self._change(lambda shop: replaced_times(own), (TIMES,))

    def _change(self, make: Callable[[Shop], Edit], replaced: Collection[str] = ()) -> Shop:
        try:
            return self._shop.change(make, replaced).shop
        except EditRefused as error:
            raise StoreError(str(error)) from error


def _taken(shop: Shop, used: Mapping[int, float]) -> Edit:
    edits = []
    for id, quantity in used.items():
        item = shop.item(str(id))
        if item is None:
            raise no_item(str(id))
        if not 0 <= quantity <= item.on_shelf + 1e-9:
            raise EditRefused(
                f"{item.name}: {quantity:g} {item.unit.value} cannot be taken, "
                f"{item.on_shelf:g} {item.unit.value} are on the shelf; nothing was "
                "taken: count again and correct the catalogue"
            )
        left = round(max(0.0, item.on_shelf - quantity), 6)
        edits.append(SetField(table=ITEMS, id=str(id), field="on_shelf", value=left))
    return Batch(edits=tuple(edits), label="take off the shelf")


def _check_names(items: Sequence[CatalogueItem]) -> None:
    seen: set[str] = set()
    for item in items:
        if item.name in seen:
            raise StoreError(f"the item {item.name!r} is there twice; nothing was changed")
        seen.add(item.name)
