"""Putting items and times into a shop, as the screens and the command line do."""

from collections.abc import Callable, Collection, Mapping, Sequence

from domain.build.edits import AddRecord, Batch, Edit, RemoveRecord
from domain.document.records import find, next_id
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import ITEMS, TIMES, Shop
from domain.shop.shop_actions import replaced_items, replaced_times
from storage.store.builds import Store, StoreError
from storage.store.shelf import ShopCatalogue


class Stocking(ShopCatalogue):
    """The catalogue in a store, to be filled. A refusal is a ``StoreError``, as for a command."""

    def __init__(self, store: Store) -> None:
        super().__init__(store)
        self._kept = store.shop()

    def replace_all(self, items: Sequence[CatalogueItem]) -> tuple[CatalogueItem, ...]:
        """Put these items in the place of all."""
        return self._change(lambda shop: replaced_items(shop, items), (ITEMS,)).items

    def put(self, item: CatalogueItem) -> CatalogueItem:
        """Add an item (no id), or put it in the place of the one with its id; as it is stored."""
        id = item.id

        def edit(shop: Shop) -> Edit:
            nonlocal id
            if not id:
                id = next_id(shop, ITEMS)
                record = {**item.plain(), "id": id}
                return Batch(edits=(AddRecord(table=ITEMS, record=record),))
            here = find(shop, id)
            place = shop.items.index(here) if here else -1
            return Batch(
                edits=(
                    RemoveRecord(table=ITEMS, id=id),
                    AddRecord(table=ITEMS, record=item.plain(), index=place),
                )
            )

        self._change(edit)
        return item.but(id=id)

    def remove(self, id: str) -> None:
        """Take an item out of the catalogue."""
        self._change(lambda shop: RemoveRecord(table=ITEMS, id=id))

    def replace_times(self, own: Mapping[str, float]) -> None:
        """Put these times in the place of all the shop's own."""
        self._change(lambda shop: replaced_times(own), (TIMES,))

    def _change(self, make: Callable[[Shop], Edit], replaced: Collection[str] = ()) -> Shop:
        try:
            return self._kept.change(make, replaced).document
        except ValueError as error:
            raise StoreError(str(error)) from error
