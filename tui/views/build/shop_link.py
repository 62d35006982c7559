"""The shop beside an open build: opened for one change from there."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Protocol

from domain.build.edits import Edit, EditRefused
from domain.sheet import MaterialLine
from storage.errors import StoreError
from tui.bench import Bench
from tui.grids.grid_screen import GridScreen
from tui.workbench import Workbench

if TYPE_CHECKING:
    from domain.money.matching import MatchedLine
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
    from tui.bench import shop_bench

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


NO_KITS = "The shop has no kits yet: F12, then F5, puts its items together under a name"


def choose_kit(
    screen: GridScreen, bench: Workbench, shop: "Shop", lines: "Sequence[MatchedLine]"
) -> None:
    """Ask for a kit; where the plan takes some of its items already, also whether for all."""
    from domain.document.records import label
    from domain.money.cents import price_text
    from domain.money.kits import beyond, filled_kits, kit_price, parts_of, put_on
    from domain.money.matching import taken
    from tui.dialogs.boxes import Pick

    kits = filled_kits(shop)
    if not kits:
        screen.say(NO_KITS)
        return
    currency = bench.build.header.currency

    def add(kit: str, parts: Any) -> None:
        edit: Edit = put_on(bench.build, shop, kit, parts)
        if screen.commit(edit):
            screen.say(f"Added {label(shop, kit)}, {_many(parts)}: ctrl+z takes it off the bill")

    def chosen(place: int | None) -> None:
        if place is None:
            return
        kit, whole = kits[place], parts_of(shop, kits[place])
        more = beyond(whole, taken(lines))
        if more == whole:
            add(kit, whole)
            return
        ways = [(f"All of it beside what the plan lists: {_many(whole)}", whole)]
        if more:
            ways.insert(0, (f"Only what the plan does not list: {_many(more)}", more))

        def so(way: int | None) -> None:
            if way is not None:
                add(kit, ways[way][1])

        title = f"The plan lists some of {label(shop, kit)} already"
        if not more:
            title = f"The plan lists all of {label(shop, kit)} already"
        screen.app.push_screen(Pick(title, [told for told, _ in ways]), so)

    told = [f"{label(shop, kit)}  {price_text(kit_price(shop, kit), currency)}" for kit in kits]
    screen.app.push_screen(Pick("Add a kit of the shop", told), chosen)


def _many(parts: Sequence[object]) -> str:
    return "1 item" if len(parts) == 1 else f"{len(parts)} items"
