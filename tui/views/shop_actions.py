"""The actions of the shop screen."""

from tui.actions import Action

SHOP_VIEWS: tuple[tuple[str, str, str], ...] = (
    ("items", "Items", "f2"),
    ("times", "Times", "f3"),
    ("library", "Footprints", "f4"),
)
"""The views of the shop: id, title, key."""

SHOP: tuple[Action, ...] = (
    *(
        Action(f"view_{id}", title, f"go to {title}; again: its next table", (key,), "shop")
        for id, title, key in SHOP_VIEWS
    ),
    Action("home", "Back", "back to where you came from", ("f12", "f10"), "shop"),
    Action("add", "Add a row", "add a row behind this one", ("ctrl+n",), "shop", "add"),
    Action(
        "remove",
        "Remove the row",
        "remove this row; a footprint with its studs",
        ("ctrl+x",),
        "shop",
        "remove",
    ),
    Action(
        "duplicate",
        "Duplicate the row",
        "add a copy of this row; a footprint with its studs",
        ("ctrl+d",),
        "shop",
    ),
    Action(
        "move_up", "Move the row up", "move this row one place up", ("alt+up", "ctrl+up"), "shop"
    ),
    Action(
        "move_down",
        "Move the row down",
        "move this row one place down",
        ("alt+down", "ctrl+down"),
        "shop",
    ),
    Action("undo", "Undo", "take the last change of the shop back", ("ctrl+z",), "shop", "undo"),
    Action("redo", "Redo", "make the change again that was taken back", ("ctrl+y",), "shop"),
    Action(
        "filter",
        "Filter the items",
        "show the items with these words in name, group, rules or supplier; escape shows all",
        ("ctrl+f",),
        "shop",
        "filter",
    ),
    Action(
        "sort",
        "Sort the items",
        "sort by the column with the cursor; again: the other way round, then the shop's order",
        ("ctrl+r",),
        "shop",
        "sort",
    ),
    Action(
        "to_file",
        "Write as a file",
        "write items, times or footprints as a CSV file",
        ("ctrl+l",),
        "shop",
        "write",
    ),
    Action(
        "from_file",
        "Take from a file",
        "take items, times or footprints from a CSV file, in the place of those here",
        ("ctrl+u",),
        "shop",
        "read",
    ),
)
"""Every action of the shop screen, in the order in which help shows them."""
