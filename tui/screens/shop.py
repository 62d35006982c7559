"""The shop's own things on the screen: items and prices, times, footprints of devices."""

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.events import Key, Paste
from textual.widgets import ContentSwitcher

from domain.build.choices import UnitHabit
from domain.build.edits import Edit
from storage.store.builds import Store
from tui.screens.dialogs import Help
from tui.screens.editing import CellEditing
from tui.tables.item_list import ItemList
from tui.tables.shop import items_spec, library_specs, times_spec
from tui.tables.table import TableSpec
from tui.views.build_actions import actions_of, bindings_of, help_rows, key_line, shown_key
from tui.views.shop_actions import SHOP_VIEWS
from tui.views.shop_rows import ShopRows
from tui.widgets.cell_text import right
from tui.widgets.editor import Editor
from tui.widgets.grid import Grid
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import LineView, plain_line
from tui.workbench import shop_bench

SAVED_WIDTH = 26
"""Cells for the saved state."""

LEGEND = (
    "Everything here is one for all builds and saved at once. Prices and times count in every "
    "quote from now on. A build's own footprints are copies: they stay as they are."
)

_PASSED_BY = frozenset(("f1", "ctrl+q", "ctrl+p", "shift+up", "shift+down"))
"""Keys that leave the filter open."""


class ShopScreen(ShopRows):
    """Shows the shop and turns keys into edits of it. ``StoreError`` where it cannot be read."""

    CSS_PATH = "build.tcss"
    BINDINGS = bindings_of("shop")
    where: ClassVar[str] = "shop"

    def __init__(self, store: Store, units: UnitHabit, item: str = "") -> None:
        super().__init__(shop_bench(store, units))
        self._at = item
        """Id of the item to open on, at its price; empty: the first."""
        self.shown = ItemList()
        self.filtering = False
        """Whether keys go to the filter."""

    def compose(self) -> ComposeResult:
        """Header, tabs, views, status and key line."""
        with Horizontal(id="top"):
            yield LineView([plain_line(" Shop", "bold")], id="title")
            yield LineView(id="saved")
        yield KeyLine(id="tabs")
        with Vertical(id="left"):
            yield ContentSwitcher(id="views")
        yield LineView(id="more")
        yield LineView(id="status")
        yield KeyLine(id="keys")
        yield Editor(id="editor")
        yield Editor(id="filter")

    async def on_mount(self) -> None:
        """Open on the items."""
        self.editing = CellEditing(self, self.query_one("#editor", Editor))
        self.query_one("#keys", KeyLine).show_keys(key_line("shop"))
        await self.show_view("items")
        self.show_all()
        if self._at and self.grid.go(self._at, "price"):
            self.show_cursor()
            self.describe_cell()

    def on_resize(self) -> None:
        """Lines are cut for the new width."""
        self.show_tabs()
        if self.view:
            self.show_captions()
            self.call_after_refresh(self.show_more)

    # What is shown

    def views(self) -> Sequence[tuple[str, str]]:
        """The views of the shop."""
        return [(id, title) for id, title, _ in SHOP_VIEWS]

    def specs(self, view: str) -> list[TableSpec]:
        """The tables of a view."""
        if view == "items":
            return [items_spec(self.shown)]
        if view == "times":
            return [times_spec()]
        return library_specs()

    def show_tabs(self) -> None:
        """The views, and the way back."""
        tabs = [(shown_key(key), title, f"view_{id}") for id, title, key in SHOP_VIEWS]
        keys = self.query_one("#tabs", KeyLine)
        keys.show_keys([*tabs, ("F12", "Back", "home")], f"view_{self.view}")

    def show_all(self) -> None:
        """Show the shop as it is now."""
        saved = right(f"{self.workbench.saved} ", SAVED_WIDTH)
        self.query_one("#saved", LineView).show([plain_line(saved)])
        self.show_grids()
        self.show_captions()

    def caption(self, grid: Grid) -> str:
        """The items say how they are narrowed and sorted."""
        if grid.spec.id == "items":
            return self._items_caption(grid)
        if grid.spec.id == "studs":
            name = self.footprint_name()
            return f"Studs of {name}, from its lower left corner" if name else grid.spec.caption
        return grid.spec.caption

    def _items_caption(self, grid: Grid) -> str:
        total, fitting = len(self.workbench.document.items), self.shown.count
        seen = grid.row_count
        text = f"Items: {total}" if seen == total else f"Items: {seen} of {total}"
        if self.filtering:
            editor = self.query_one("#filter", Editor)
            at = editor.cursor_position
            text += f" · with: {editor.value[:at]}▏{editor.value[at:]}"
        elif self.shown.words.strip():
            text += f" · with: {self.shown.words.strip()} (escape shows all)"
        if self.shown.column:
            column = grid.spec.column_for(self.shown.column)
            way = "down" if self.shown.backwards else "up"
            text += f" · sorted by {column.title if column else ''}, {way}"
        if seen < fitting:
            text += f" · {fitting - seen} more: ctrl+f narrows them"
        return text

    def part_at_hand(self) -> str:
        """Studs are narrowed to the footprint with the cursor."""
        return self.footprint_here() if self.view == "library" else ""

    def cursor_moved(self) -> None:
        """The studs follow to the footprint with the cursor."""
        if self.grid.spec.id == "footprints":
            self.show_grids()
            self.show_captions()

    def show_added(self) -> None:
        """Studs and captions follow to the row that was added."""
        self.cursor_moved()

    # Edits

    def commit(self, edit: Edit) -> bool:
        """Make an edit; what another session has done is shown even where it is refused."""
        revision = self.workbench.revision
        done = super().commit(edit)
        if not done and self.workbench.revision != revision:
            self.show_all()
        return done

    # Filter and sorting

    def key_elsewhere(self, event: Key) -> bool:
        """Keys of the filter; escape shows all items again, and then goes back."""
        if self.editing.open:
            return False
        if self.filtering:
            return self._key_in_filter(event)
        if event.key != "escape":
            return False
        if self.shown.words:
            self._narrow("")
        else:
            self.action_home()
        return True

    def _key_in_filter(self, event: Key) -> bool:
        editor = self.query_one("#filter", Editor)
        if event.key in _PASSED_BY:
            return False
        if event.key == "escape":
            self.filtering = False
            self._narrow("")
        elif event.key in ("enter", "tab", "up", "down"):
            self._end_filter()
        elif editor.press(event.key, event.character):
            self._narrow(editor.value)
        else:
            self._end_filter()
            return False
        return True

    def on_paste(self, event: Paste) -> None:
        """Pasted text goes into the filter while it is open, else into the cell."""
        if not self.filtering:
            super().on_paste(event)
            return
        event.stop()
        editor = self.query_one("#filter", Editor)
        editor.insert_text_at_cursor(" ".join(event.text.split()))
        self._narrow(editor.value)

    def _end_filter(self) -> None:
        self.filtering = False
        self.show_captions()
        self.describe_cell()

    def _narrow(self, words: str) -> None:
        self.shown.narrow(words)
        self.query_one("#filter", Editor).value = words
        self.show_grids()
        self.show_captions()

    async def action_filter(self) -> None:
        """Type words that the items are to have."""
        if not self.editing.confirm():
            return
        await self.show_view("items")
        self.filtering = True
        editor = self.query_one("#filter", Editor)
        editor.cursor_position = len(editor.value)
        self.show_captions()
        self.say("Type a part of a name, group, rule or supplier; enter keeps it, escape shows all")

    def action_sort(self) -> None:
        """Sort the items by the column with the cursor."""
        if self.view != "items":
            self.say("Only the items are sorted (F2); ctrl+up and ctrl+down move a row here")
            return
        if not self.editing.confirm():
            return
        self.shown.sort(self.grid.spec.columns[self.grid.cursor_column].field)
        self.show_grids()
        self.show_captions()
        self.grid.move_cursor(row=0)
        self.call_after_refresh(self.show_cursor)

    # Actions

    async def action_view_items(self) -> None:
        """Items."""
        await self.go_view("items")

    async def action_view_times(self) -> None:
        """Times."""
        first = "times" not in self.visited
        await self.go_view("times")
        if first and self.view == "times":
            self.grid.go(self.grid.row_id, "value")
            self.describe_cell()

    async def action_view_library(self) -> None:
        """Footprints."""
        await self.go_view("library")

    def action_home(self) -> None:
        """Back to where the shop was opened."""
        if self.editing.confirm():
            self.dismiss(None)

    def action_help(self) -> None:
        """Keys of this screen and the field under the cursor."""
        sections = [
            ("In the shop", help_rows(actions_of("shop"))),
            ("In a table", help_rows(actions_of("cell"))),
        ]
        self.app.push_screen(Help([self.about_cell(), LEGEND], sections))

    @on(LineView.Chosen)
    async def _chosen(self, event: LineView.Chosen) -> None:
        kind, _, rest = event.target.partition(":")
        if not self.editing.confirm():
            return
        if kind == "table":
            self.focus_grid(self.query_one(f"#grid-{rest}", Grid))
        elif event.target in self._actions.values():
            await self.run(event.target)
