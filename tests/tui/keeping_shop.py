"""A stocked shop, and what tests ask of the shop's screen."""

from pathlib import Path

from textual.pilot import Pilot

from domain.build.start import start_build
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from storage.store.builds import Store
from tests.storage.store.stocking import Stocking
from tests.tui.driving import stored
from tui.screens.shop import ShopScreen
from tui.widgets.line_view import LineView

ITEMS = (
    ("Ferrules 4", "Terminals", "0.40", "north"),
    ("Red spool", "Wire", "120.00", "south"),
    ("Black spool", "Wire", None, "north"),
    ("Ties", "Clamps", "5", "south"),
)


def stocked(path: Path) -> Path:
    """A store with a build and four items."""
    stored(path, start_build("Estate"))
    with Store(path) as store:
        Stocking(store).replace_all(
            [
                CatalogueItem.of(
                    {"name": name, "group": group, "price": price, "supplier": supplier}
                )
                for name, group, price, supplier in ITEMS
            ]
        )
    return path


def kept(path: Path) -> Shop:
    """The shop as the store has it."""
    with Store(path) as store:
        return store.shop().open().document


def names(path: Path) -> list[str]:
    return [item.name for item in kept(path).items]


def shop_screen(pilot: Pilot[int]) -> ShopScreen:
    screen = pilot.app.screen
    assert isinstance(screen, ShopScreen)
    return screen


def seen(pilot: Pilot[int]) -> list[str]:
    """The items on the screen, from top to bottom."""
    screen = shop_screen(pilot)
    return [str(screen.grid.get_row_at(row)[0]).strip() for row in range(screen.grid.row_count)]


def toasts(pilot: Pilot[int]) -> str:
    """What is told in full: in the status line and over the key line, or above both."""
    lines = (pilot.app.screen.query_one(id, LineView).lines for id in ("#status", "#keys"))
    told = " ".join(line.plain.strip() for each in lines for line in each)
    return "\n".join([told, *(note.message for note in pilot.app._notifications)])
