"""Every action in the shop: what the screen does, and what its views do."""

from typing import TYPE_CHECKING, Any

from tui.actions import EVERYWHERE, Action
from tui.grids.row_actions import going_to, row_actions
from tui.views.shop.items import ItemsView
from tui.views.shop.kits import KitsView
from tui.views.shop.library import LibraryView
from tui.views.shop.shop_view import ShopView
from tui.views.shop.times import TimesView

if TYPE_CHECKING:
    from tui.screens.shop import ShopScreen

SHOP_VIEWS: tuple[type[ShopView], ...] = (ItemsView, TimesView, LibraryView, KitsView)
"""The views of the shop."""

_OF_SCREEN: tuple[Action["ShopScreen"], ...] = (
    Action("home", "Back", "back to where you came from", ("f12", "f10"), lambda s: s.go_back()),
    *row_actions(
        add="add a row behind this one",
        remove="remove this row; a hole pattern with its studs",
        duplicate="add a copy of this row; a hole pattern with its studs",
        undo="take the last change of the shop back",
    ),
)

_FILES: tuple[Action["ShopScreen"], ...] = (
    Action(
        "to_file",
        "Write as a file",
        "write items, times or hole patterns as a CSV file",
        ("ctrl+l",),
        lambda s: s.view.to_file(),
        "write",
    ),
    Action(
        "from_file",
        "Take from a file",
        "take items, times or hole patterns from a CSV file, in the place of those here",
        ("alt+l",),
        lambda s: s.view.from_file(),
        "read",
    ),
)

_HISTORY: Action["ShopScreen"] = Action(
    "history",
    "History",
    "who changed what of the shop, and when",
    ("alt+h",),
    lambda s: s.show_history(),
)

SHOP: tuple[Action[Any], ...] = (
    *going_to(*SHOP_VIEWS),
    *_OF_SCREEN,
    *(action for view in SHOP_VIEWS for action in view.actions),
    *_FILES,
    _HISTORY,
    *EVERYWHERE,
)
"""Every action in the shop, in the order in which help shows them."""
