"""The shop's own things in the store: every change saved at once, undo across restarts.

The shop is one for all builds, so a change is made on what the store holds at that moment,
whatever another session has done since: nothing of either is lost.
"""

import sqlite3
from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from domain.build.choices import UnitHabit
from domain.build.edits import Edit, EditRefused, describe
from domain.shop.shop import Shop, apply_to_shop
from domain.visible_text import visible
from storage.errors import StoreChanged, StoreError
from storage.store import journal, shop_read
from storage.store.builds import Store
from storage.store.journal import Book, Step
from storage.store.shop_read import OpenShop

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["OpenShop", "ShopStore", "ShopUndone"]


@dataclass(frozen=True, slots=True)
class ShopUndone:
    """The shop after an undo or redo, its new revision, and what was undone or redone."""

    shop: Shop
    revision: int
    label: str


class ShopStore:
    """The shop in a store; lengths of its library are shown in ``units``.

    Every method raises ``StoreError`` with a sentence for the user, having changed nothing.
    """

    def __init__(self, store: Store, units: UnitHabit = UnitHabit.INCH) -> None:
        self._store = store
        self._units = units
        self._held: OpenShop | None = None

    def open(self) -> OpenShop:
        """Read the shop."""
        with self._store.reading() as reading:
            self._held = self._read(reading)
            return self._held

    def change(self, make: Callable[[Shop], Edit], replaced: Collection[str] = ()) -> OpenShop:
        """Make an edit on the shop as it is now: its rows and journal line in one transaction.

        ``make`` is given the shop and gives the edit; ``EditRefused`` where it cannot be made.
        Damaged rows do not stand in the way of an edit that replaces whole tables.
        """
        with self._store.writing() as writing:
            from storage.store import shop_write

            now = self._read(shop_write.raw(writing), lenient=bool(replaced))
            edit = make(now.shop)
            after, inverse = apply_to_shop(now.shop, edit)
            shop_write.write_changes(writing, now.shop, after, replaced)
            shop_write.write_line(
                writing, now.revision + 1, "do", edit, inverse, visible(describe(edit))
            )
        return self._hold(after, now.revision + 1)

    def undo(self, revision: int) -> ShopUndone | None:
        """Take back the last change; ``None`` if there is none.

        Raises ``StoreChanged`` where another session has changed the shop since that revision.
        """
        return self._turn(revision, "undo", journal.next_undo)

    def redo(self, revision: int) -> ShopUndone | None:
        """Make the change again that was taken back last; as ``undo``."""
        return self._turn(revision, "redo", journal.next_redo)

    def _turn(
        self,
        revision: int,
        kind: str,
        find: Callable[[sqlite3.Connection, Book], Step | None],
    ) -> ShopUndone | None:
        with self._store.writing() as writing:
            from storage.store import shop_write

            connection = shop_write.raw(writing)
            now = self._read(connection)
            if now.revision != revision:
                raise StoreChanged("another session changed the shop since it was opened")
            step = find(connection, journal.OF_SHOP)
            if step is None:
                return None
            edit = step.inverse if kind == "undo" else step.edit
            try:
                after, inverse = apply_to_shop(now.shop, edit)
            except EditRefused as error:
                raise StoreError(
                    f"change {step.revision} of the shop cannot be taken back or made again: "
                    f"{error}"
                ) from error
            self._save(writing, now, after, kind, edit, inverse, step)
        self._hold(after, revision + 1)
        return ShopUndone(after, revision + 1, step.label)

    @staticmethod
    def _save(
        writing: "Connection",
        now: OpenShop,
        after: Shop,
        kind: str,
        edit: Edit,
        inverse: Edit,
        step: Step,
    ) -> None:
        from storage.store import shop_write

        shop_write.write_changes(writing, now.shop, after)
        shop_write.write_line(
            writing, now.revision + 1, kind, edit, inverse, step.label, step.revision
        )

    def _read(self, connection: sqlite3.Connection, lenient: bool = False) -> OpenShop:
        """What the tables hold, without reading them again where the revision is the same."""
        revision = shop_read.revision_of(connection)
        if self._held is not None and self._held.revision == revision:
            return self._held
        left_out: list[str] = []
        tell = left_out.append if lenient else None
        return OpenShop(shop_read.read_shop(connection, self._units, tell), revision)

    def _hold(self, shop: Shop, revision: int) -> OpenShop:
        self._held = OpenShop(shop, revision)
        return self._held
