"""What the materials of a build come to: prices of the shop, sheets laid out beside the screen."""

from collections.abc import Callable
from typing import Any

from domain.sheet import Sheet
from storage.errors import StoreError
from tui.grids.grid_screen import GridScreen
from tui.workbench import Workbench


class Materials:
    """The materials of the open build with what serves them, for its sheet as it is."""

    def __init__(self, screen: GridScreen, bench: Workbench, laid_out: Callable[[], None]) -> None:
        self._screen = screen
        self._bench = bench
        self._laid_out = laid_out
        """What to do when the sheets to cut are laid out in full."""
        self._stock: Any = None
        """Items and times of the shop, as they were last read."""
        self._shopping: tuple[Sheet, Any] | None = None
        self._full: Sheet | None = None
        """The results whose sheets are laid out in full."""
        self._under_way: Sheet | None = None
        """The results whose sheets are being laid out."""

    @property
    def stock(self) -> Any:
        """Items and times of the shop; none while it was not read."""
        return self._stock or ((), None)

    def read_stock(self) -> None:
        """Read catalogue and times again: another session may have changed them."""
        store = self._bench.store
        if store is None:
            return
        from domain.shop.times import shop_times
        from storage.store.shelf import ShopCatalogue

        shop = ShopCatalogue(store)
        try:
            stock = (shop.items(), shop_times(shop.times()))
        except StoreError as error:
            self._screen.say(f"No prices: {error}", bad=True)
            return
        if stock != self._stock:
            self._stock, self._shopping = stock, None

    def shopping(self) -> Any:
        """What is bought: with sheets of the quick layout until the full one is there."""
        sheet = self._bench.sheet
        if self._shopping is None or self._shopping[0] is not sheet:
            from domain.money.shopping import shopping

            quick = not self.complete
            bought = shopping(self._bench.build, sheet, *self.stock, quick=quick)
            self._shopping = (sheet, bought)
            if quick and self._under_way is not sheet:
                self._lay_out(sheet)
        return self._shopping[1]

    @property
    def complete(self) -> bool:
        """Whether the sheets to cut are those of the full layout."""
        sheet = self._bench.sheet
        return not sheet.parts or self._full is sheet

    def _lay_out(self, sheet: Sheet) -> None:
        from domain.fabrication.nesting.cut_sheets import cut_lists

        self._under_way, build = sheet, self._bench.build

        def work() -> None:
            cut_lists(build, sheet.parts, cancelled=lambda: self._under_way is not sheet)
            self._screen.call_later(self._done, sheet)

        self._screen.run_worker(work, thread=True, group="sheets", exit_on_error=False)

    def _done(self, sheet: Sheet) -> None:
        if sheet is self._bench.sheet:
            self._full, self._shopping = sheet, None
            self._laid_out()
