"""The shop beside an open build: opened for one change from there."""

from typing import TYPE_CHECKING

from storage.errors import StoreError
from tui.grids.grid_screen import GridScreen
from tui.workbench import Bench, Workbench

if TYPE_CHECKING:
    from domain.shop.shop import Shop

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
