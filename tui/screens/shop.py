"""The shop's own things on the screen: items and prices, times, footprints of devices."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.widgets import ContentSwitcher

from domain.build.choices import UnitHabit
from domain.build.edits import Edit
from domain.shop.shop import Shop
from storage.store.builds import Store
from storage.store.presence import Present
from tui.actions import bindings_of, shown_key
from tui.bench import Bench, shop_bench
from tui.grids.grid_screen import GridScreen
from tui.grids.together import with_others
from tui.screens.shop_actions import SHOP, SHOP_VIEWS
from tui.views.shop.items import ItemsView
from tui.views.shop.shop_view import ShopView
from tui.widgets.cell_text import right
from tui.widgets.editor import Editor
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import LineView, plain_line

SAVED_WIDTH = 26
"""Cells for the saved state."""

SHOP_PAGE = "Shop: "
"""How the pages of the shop are called among those of the store."""


class ShopScreen(GridScreen):
    """The shop: its views, header and tabs. ``StoreError`` where it cannot be read."""

    CSS_PATH = "build.tcss"
    BINDINGS = bindings_of("shop", SHOP)
    actions = SHOP
    keys_title = "In the shop"
    legend = (
        "Everything here is one for all builds and saved at once. Prices and times count in every "
        "quote from now on. A build's own hole patterns are copies: they stay as they are."
    )
    workbench: Bench[Shop]
    view: ShopView

    def __init__(
        self, store: Store, units: UnitHabit, item: str = "", to_price: Sequence[str] = ()
    ) -> None:
        bench = shop_bench(store, units)
        super().__init__(bench)
        self._store = store
        self._at = item or (to_price[0] if to_price else "")
        """Id of the item to open on, at its price; empty: the first."""
        self.hold(*(kind(self, bench) for kind in SHOP_VIEWS))
        self.held(ItemsView).list.choose(to_price)

    def compose(self) -> ComposeResult:
        """Header, tabs, views, status and key line."""
        with Horizontal(id="top"):
            yield LineView(id="title")
            yield LineView(id="saved")
        yield KeyLine(id="tabs")
        with Vertical(id="left"):
            yield ContentSwitcher(id="views")
        yield LineView(id="more")
        yield LineView(id="status")
        yield KeyLine(id="keys")
        yield Editor(id="filter")

    def opened(self) -> None:
        """Go to the item that it was opened on."""
        if self._at and self.grid.go(self._at, "price"):
            self.show_cursor()
            self.describe_cell()

    def left_at(self) -> tuple[str, tuple[str, ...]]:
        """The item with the cursor, and which alone are seen: where one goes on another time."""
        chosen = self.held(ItemsView).list.chosen
        items = self.workbench.document.items
        return self.grid_of("items").row_id, tuple(i.id for i in items if i.id in chosen)

    def on_resize(self) -> None:
        """Lines are cut for the new width."""
        self.show_tabs()
        self.status.fit()
        if self.visited:
            self.show_captions()
            self.more_soon()

    # Others

    @property
    def store(self) -> Store:
        """The store that the shop is in."""
        return self._store

    @property
    def place(self) -> tuple[int | None, str]:
        """The page of the shop."""
        return None, f"{SHOP_PAGE}{self.view.title}"

    def shares(self, other: Present) -> bool:
        """Whether somebody else is in the shop too."""
        return other.build_key is None and other.page.startswith(SHOP_PAGE)

    # What is shown

    def show_tabs(self) -> None:
        """The views, and the way back."""
        tabs = [(shown_key(view.key), view.title, f"view_{view.id}") for view in self.views]
        keys = self.query_one("#tabs", KeyLine)
        keys.show_keys([*tabs, ("F12", "Back", "home")], f"view_{self.view.id}")

    def show_header(self) -> None:
        """How the shop is saved."""
        saved = right(f"{self.workbench.saved} ", SAVED_WIDTH)
        self.query_one("#saved", LineView).show([plain_line(saved)])
        room = max(self.size.width - SAVED_WIDTH, 20)
        self.query_one("#title", LineView).show([with_others("Shop", self.together.names, room)])

    def show_all(self) -> None:
        """Show the shop as it is now; captions count what there is."""
        super().show_all()
        self.show_captions()

    def help_sections(self) -> list[tuple[str, list[tuple[str, str]]]]:
        """Its own keys first: there are few."""
        return super().help_sections()[::-1]

    def show_history(self) -> None:
        """Open the page with who changed what of the shop."""
        from tui.screens.past import show_shop_history

        show_shop_history(self, self._store, self.workbench.document)

    # Edits and keys

    def commit(self, edit: Edit) -> bool:
        """Make an edit; what another session has done is shown even where it is refused."""
        revision = self.workbench.revision
        done = super().commit(edit)
        if not done and self.workbench.revision != revision:
            self.show_all()
            self.editing.shown_anew()
        return done

    def take_key(self, event: Key) -> bool:
        """Keys of the view; escape shows all items again, and then goes back."""
        if self.editing.open:
            return False
        if super().take_key(event):
            return True
        if event.key != "escape":
            return False
        items = self.held(ItemsView)
        if items.list.narrowed:
            items.narrow("")
        else:
            self.go_back()
        return True
