"""The shop that is open: its items, times and library, its edits, undo and redo, the store."""

from collections.abc import Callable, Collection
from typing import Any

from domain.build.choices import UnitHabit
from domain.build.edits import Batch, Edit, EditRefused, SetField
from domain.build.records import Build
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import ITEMS, TIMES, Shop, apply_to_shop, name_in_shop
from storage.errors import StoreChanged
from storage.store.builds import Store
from storage.store.shop import OpenShop, ShopStore

ON_TOP = "Another session changed the shop: its work is loaded"


class ShopBench:
    """The open shop. Raises ``StoreError`` where it cannot be read."""

    def __init__(self, store: Store, units: UnitHabit) -> None:
        self._store = ShopStore(store, units)
        self.told = ""
        """What the user should be told about the last action, or empty."""
        self.sheet: Any = None
        """Nothing follows from what the shop keeps."""
        opened = self._store.open()
        self.shop: Shop = opened.shop
        self.revision = opened.revision

    @property
    def build(self) -> Build:
        """The library of footprints."""
        return self.shop.library

    @property
    def saved(self) -> str:
        """How the shop is saved, for the header line."""
        return f"saved rev {self.revision}"

    def do(self, edit: Edit) -> None:
        """Make an edit and save it, on top of whatever another session has done."""
        edit = named(self.shop, edit)
        self.make(lambda shop: edit)

    def make(self, make: Callable[[Shop], Edit], replaced: Collection[str] = ()) -> None:
        """Make the edit that ``make`` gives for the shop as it is when it is saved.

        Raises ``EditRefused`` or ``StoreError``; nothing was changed then.
        """
        self.told = ""
        try:
            opened = self._store.change(make, replaced)
        except EditRefused as error:
            if self.reload():
                raise EditRefused(f"{error}. {ON_TOP}") from None
            raise
        if opened.revision != self.revision + 1:
            self.told = f"{ON_TOP}, yours is on it"
        self._now(opened)

    def changes(self, edit: Edit) -> bool:
        """Whether an edit changes anything; ``EditRefused`` when it cannot be made."""
        return apply_to_shop(self.shop, edit)[0] != self.shop

    def preview(self, edit: Edit) -> Any:
        """Nothing follows from an edit; ``EditRefused`` when it cannot be made."""
        apply_to_shop(self.shop, edit)
        return self.sheet

    def undo(self) -> bool:
        """Take the last change back; false when there is none."""
        return self._step("undo")

    def redo(self) -> bool:
        """Make the change again that was taken back; false when there is none."""
        return self._step("redo")

    def reload(self) -> bool:
        """Read the shop again; whether another session has changed it."""
        opened = self._store.open()
        moved = opened.revision != self.revision
        self._now(opened)
        return moved

    def _step(self, way: str) -> bool:
        self.told = ""
        move = self._store.undo if way == "undo" else self._store.redo
        try:
            done = move(self.revision)
        except StoreChanged:
            self.reload()
            self.told = f"{ON_TOP}, {way} again if you like"
            return True
        if done is None:
            return False
        self.told = f"{'Undone' if way == 'undo' else 'Done again'}: {done.label}"
        self._now(OpenShop(done.shop, done.revision))
        return True

    def _now(self, opened: OpenShop) -> None:
        self.shop, self.revision = opened.shop, opened.revision


def named(shop: Shop, edit: Edit) -> Edit:
    """The edit with what a person would call it, for the journal and the undo message."""
    if not isinstance(edit, SetField):
        return edit
    if edit.table == ITEMS:
        what = str(CatalogueItem.model_fields[edit.field].title)
    elif edit.table == TIMES:
        what = "Time"
    else:
        from domain.build.fields import title

        what = title(edit.table, edit.field)
    return Batch(edits=(edit,), label=f"{what} of {name_in_shop(shop, edit.table, edit.id)}")
