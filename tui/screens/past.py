"""The history of an open build or of the shop: its page, and the build as it was, to look at and
to copy."""

from typing import TYPE_CHECKING

from domain.build.records import Build
from domain.shop.shop import Shop
from storage.errors import StoreError
from tui.pages.compare import ComparePage
from tui.pages.history import HistoryPage
from tui.report.history import Told, here, told
from tui.screens.looked_at import LookedAt
from tui.workbench import Workbench, planned, stops_of

if TYPE_CHECKING:
    from storage.store.builds import Store
    from tui.grids.grid_screen import GridScreen


def past_bench(key: int, build: Build, line: Told) -> LookedAt:
    """A build as it was."""
    when = here(line.at)[:16]
    why = (
        f"this is the build as it was {when}, nothing is changed in it: F10 goes back, "
        "and k on its line in the history takes a copy to go on with"
    )
    return LookedAt(key, build, line.revision, f"as it was {when}", why)


def show_history(screen: "GridScreen", bench: Workbench) -> None:
    """Open the page with the journal of a build."""
    store, key = bench.store, bench.key
    if store is None:
        screen.say("This build is not kept in a store: it has no history")
        return
    try:
        lines = told(bench.build, store.build(key).since(-1))
    except StoreError as error:
        screen.warn(str(error))
        return
    uses = {
        "look": lambda line: _look(screen, store, key, line),
        "compare": lambda line: _compare(screen, bench, store, key, line),
        "copy": lambda line: _copy(store, key, line),
    }
    screen.app.push_screen(HistoryPage(bench.build.header.title or "this build", lines, uses))


def show_shop_history(screen: "GridScreen", store: "Store", shop: Shop) -> None:
    """Open the page with the journal of the shop; it is only to be read."""
    try:
        lines = told(shop, store.shop().since(-1))
    except StoreError as error:
        screen.warn(str(error))
        return
    screen.app.push_screen(HistoryPage("the shop", lines, {}))


def _look(screen: "GridScreen", store: "Store", key: int, line: Told) -> str:
    from tui.screens.build import BuildScreen

    try:
        build = store.as_it_was(key, line.revision)
    except StoreError as error:
        return str(error)
    screen.app.push_screen(BuildScreen(past_bench(key, build, line)))
    return ""


def _compare(screen: "GridScreen", bench: Workbench, store: "Store", key: int, line: Told) -> str:
    from storage.store.shelf import ShopCatalogue

    try:
        build = store.as_it_was(key, line.revision)
        items = ShopCatalogue(store).items()
    except StoreError as error:
        return str(error)
    title = f"As it was {here(line.at)[:16]}"
    header = build.header.but(title=title)
    was = build.but(header=header)
    screen.app.push_screen(ComparePage(planned(was), bench.plan, items))
    return ""


def _copy(store: "Store", key: int, line: Told) -> str:
    try:
        build = store.as_it_was(key, line.revision)
        title = f"{build.header.title} as of {here(line.at)[:16]}"[-500:]
        header = build.header.but(title=title)
        copy = build.but(header=header)
        made = store.create(copy, stops=stops_of(copy))
    except StoreError as error:
        return str(error)
    return f"Copied as build {made}: {title}"
