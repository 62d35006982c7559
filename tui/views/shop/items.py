"""The page of the shop's items with their prices: filtered by words, sorted by a column."""

from typing import ClassVar

from textual.events import Key

from domain.build.edits import Edit, RemoveRecord
from domain.shop.kit_actions import kits_with, without
from domain.shop.shop import ITEMS, Shop
from domain.shop.shop_actions import add_item, copy_item
from tui.actions import Action
from tui.bench import Bench
from tui.grids.grid_screen import GridScreen
from tui.grids.shown_table import ShownTable
from tui.report.plain import some
from tui.tables.item_list import ItemList
from tui.tables.shop import items_spec
from tui.tables.table_spec import TableSpec
from tui.views.shop.shop_view import ShopTable, ShopView
from tui.widgets.editor import Editor

_PASSED_BY = frozenset(("f1", "ctrl+q", "ctrl+p", "shift+up", "shift+down"))
"""Keys that leave the filter open."""


class ItemTable(ShopTable):
    """The items that are to be seen."""

    view: "ItemsView"

    def caption(self) -> str:
        """How they are narrowed and sorted."""
        return self.view.caption()

    def added(self, shop: Shop, here: str) -> Edit:
        """An item behind this one."""
        return add_item(shop, here)

    def copied(self, shop: Shop, here: str) -> Edit:
        """Another like it."""
        return copy_item(shop, here)

    def row_name(self, here: str) -> str:
        """With the kits that hold it."""
        name = super().row_name(here)
        kits = kits_with(self.view.bench.document, here)
        return f"{name}, out of {some(kits)} too" if kits else name

    def removed(self, shop: Shop, here: str) -> tuple[Edit, ...]:
        """The item, also out of the kits that hold it."""
        return (*without(shop, "item", here), RemoveRecord(table=ITEMS, id=here))

    def move(self, step: int) -> None:
        """Move the item, where all are seen as the shop has them."""
        if self.screen.grid.row_id and not self.view.list.plain:
            self.screen.say(
                "Items are moved where all are shown in the shop's order (escape, alt+r)"
            )
        else:
            super().move(step)


class ItemsView(ShopView):
    """Items: what is bought, in which packs, at which price."""

    id = "items"
    title = "Items"
    key = "f2"
    file = "items"
    actions: ClassVar[tuple[Action["ItemsView"], ...]] = (
        Action(
            "filter",
            "Filter the items",
            "show the items with these words in name, group, rules or supplier; escape shows all",
            ("ctrl+f",),
            lambda view: view.open_filter(),
            "filter",
        ),
        Action(
            "sort",
            "Sort the items",
            "sort by the column with the cursor; again: the other way round, then the shop's order",
            ("alt+r",),
            lambda view: view.sort(),
            "sort",
            elsewhere="Only the items are sorted (F2); ctrl+up and ctrl+down move a row here",
        ),
    )
    plain_table: ClassVar[type[ShownTable]] = ItemTable

    def __init__(self, screen: GridScreen, bench: Bench[Shop]) -> None:
        super().__init__(screen, bench)
        self.list = ItemList()
        """Which items are seen, in which order."""
        self.filtering = False
        """Whether keys go to the filter."""

    def specs(self) -> list[TableSpec]:
        """One table."""
        return [items_spec(self.list)]

    def caption(self) -> str:
        """How many items there are, how they are narrowed and sorted."""
        grid = self.screen.grid_of(ITEMS)
        total, fitting, seen = len(self.bench.document.items), self.list.count, grid.row_count
        text = f"Items: {total}" if seen == total else f"Items: {seen} of {total}"
        if self.filtering:
            at = self._editor.cursor_position
            text += f" · with: {self._editor.value[:at]}▏{self._editor.value[at:]}"
        elif self.list.words.strip():
            text += f" · with: {self.list.words.strip()} (escape shows all)"
        elif self.list.chosen:
            text += " · to price (escape shows all)"
        if self.list.column:
            column = grid.spec.column_for(self.list.column)
            way = "down" if self.list.backwards else "up"
            text += f" · sorted by {column.title if column else ''}, {way}"
        if seen < fitting:
            text += f" · {fitting - seen} more: ctrl+f narrows them"
        return text

    # Filter

    @property
    def _editor(self) -> Editor:
        return self.screen.query_one("#filter", Editor)

    async def open_filter(self) -> None:
        """Type words that the items are to have."""
        if not await self.screen.show_view(self):
            return
        self.filtering = True
        self._editor.cursor_position = len(self._editor.value)
        self.screen.show_captions()
        self.screen.say(
            "Type a part of a name, group, rule or supplier; enter keeps it, escape shows all"
        )

    def take_key(self, event: Key) -> bool:
        """Keys of the filter while it is open."""
        if not self.filtering:
            return super().take_key(event)
        if event.key in _PASSED_BY:
            return False
        if event.key == "escape":
            self.filtering = False
            self.narrow("")
        elif event.key in ("enter", "tab", "up", "down"):
            self._close_filter()
        elif self._editor.press(event.key, event.character):
            self.narrow(self._editor.value)
        else:
            self._close_filter()
            return False
        return True

    def take_text(self, text: str) -> bool:
        """Pasted text goes into the filter while it is open."""
        if self.filtering:
            self._editor.insert_text_at_cursor(" ".join(text.split()))
            self.narrow(self._editor.value)
        return self.filtering

    def _close_filter(self) -> None:
        self.filtering = False
        self.screen.show_captions()
        self.screen.describe_cell()

    def narrow(self, words: str) -> None:
        """Show the items that have these words."""
        self.list.narrow(words)
        self._editor.value = words
        self.screen.show_tables()

    # Sorting

    def sort(self) -> None:
        """Sort by the column with the cursor."""
        screen = self.screen
        if not screen.editing.confirm():
            return
        self.list.sort(screen.grid.spec.columns[screen.grid.cursor_column].field)
        screen.show_tables()
        screen.grid.move_cursor(row=0)
        screen.call_after_refresh(screen.show_cursor)
