"""The shop beside an open build: opened for one change from there."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from domain.build.edits import EditRefused
from domain.sheet import MaterialLine
from storage.errors import StoreError
from tui.grids.grid_screen import GridScreen
from tui.workbench import Bench, Workbench

if TYPE_CHECKING:
    from domain.shop.shop import Shop


class OpenShop(Protocol):
    """Opens the shop from a build: on an item at its price, or on those that have none yet."""

    def __call__(self, item: str = "", to_price: Sequence[str] = ()) -> None:
        """Open it; ids of items."""


NO_STORE = "This build is not kept in a store: there is no shop beside it"


def open_bench(screen: GridScreen, bench: Workbench) -> "Bench[Shop] | None":
    """The shop as it is now; ``None`` with the reason in the status line."""
    if bench.store is None:
        screen.say(NO_STORE)
        return None
    from tui.workbench import shop_bench

    try:
        return shop_bench(bench.store, bench.build.header.units)
    except StoreError as error:
        screen.warn(f"The shop cannot be opened: {error}")
        return None


def add_items(screen: GridScreen, bench: Workbench, lines: Sequence[MaterialLine]) -> "Shop | None":
    """The shop with an item for each of these lines, added in one edit; ``None``: refused."""
    shop = open_bench(screen, bench)
    if shop is None or not lines:
        return None if shop is None else shop.document
    from domain.shop.shop_actions import item_for_line, items_for_lines

    units = bench.build.header.units
    try:
        if len(lines) == 1:
            shop.make(lambda now: item_for_line(now, lines[0], units))
        else:
            shop.make(lambda now: items_for_lines(now, lines, units))
    except (EditRefused, StoreError) as error:
        screen.warn(f"Not added: {error}")
        return None
    return shop.document
