"""Every action a user can take, as one schema.

Key bindings, the key line at the bottom, the command palette and the help page are all made
from these entries, so that none of them can say something else than the others.
"""

from collections.abc import Iterable

from textual.binding import Binding, BindingType

from tui.actions import Action
from tui.views.shop_actions import SHOP

VIEWS: tuple[tuple[str, str, str], ...] = (
    ("amplifiers", "Amplifiers", "f2"),
    ("battery", "Battery", "f3"),
    ("distribution", "Distribution", "f4"),
    ("grounds", "Grounds", "f5"),
    ("parts", "Custom parts", "f6"),
    ("readings", "Readings", "f7"),
    ("pack", "Pack", "f8"),
)
"""The views of a build: id, title, key."""

SHORT_TITLES = {
    "amplifiers": "Amps",
    "battery": "Batt",
    "distribution": "Distr",
    "parts": "Parts",
    "readings": "Read",
}
"""Titles of the views that are not the present one, where the terminal is narrow."""

_EVERYWHERE: tuple[Action, ...] = (
    Action(
        "help",
        "Help",
        "the keys of this screen and the field under the cursor",
        ("f1", "question_mark"),
        "both",
        "help",
    ),
    Action(
        "palette",
        "Commands",
        "find any command by typing a part of its name",
        ("ctrl+p",),
        "both",
        "commands",
    ),
    Action("quit", "Quit", "leave; everything is already saved", ("ctrl+q",), "both"),
)

_BUILDS: tuple[Action, ...] = (
    Action("open", "Open the build", "open the marked build", ("enter",), "builds", "open"),
    Action(
        "new",
        "New build",
        "start a build and go straight to its amplifiers",
        ("ctrl+n",),
        "builds",
        "new",
    ),
    Action(
        "duplicate",
        "Duplicate the build",
        "copy the marked build under a new title",
        ("ctrl+d",),
        "builds",
        "duplicate",
    ),
    Action(
        "archive",
        "Archive the build",
        "put the marked build away, or bring it back",
        ("ctrl+a",),
        "builds",
        "archive",
    ),
    Action(
        "archived",
        "Show archived builds",
        "show or hide the builds that were put away",
        ("ctrl+t",),
        "builds",
    ),
    Action(
        "mark",
        "Mark for comparing",
        "mark this build to compare another one with it (space, while no filter is typed)",
        (),
        "builds",
    ),
    Action(
        "compare",
        "Compare with the marked build",
        "show the marked build and this one side by side; without a mark, mark this one",
        ("ctrl+k",),
        "builds",
        "compare",
    ),
    Action(
        "shop",
        "Shop",
        "what the shop keeps: items and prices, times, footprints of devices",
        ("f12",),
        "builds",
    ),
    Action("demo", "Load the demo builds", "add the demo builds to this store", (), "builds"),
)

_VIEW_ACTIONS: tuple[Action, ...] = tuple(
    Action(f"view_{id}", title, f"go to {title}; again: its next table", (key,), "build")
    for id, title, key in VIEWS
)

_BUILD: tuple[Action, ...] = (
    *_VIEW_ACTIONS,
    Action("home", "Builds", "back to the list of builds", ("f10",), "build"),
    Action(
        "shop",
        "Shop",
        "what the shop keeps: items and prices, times, footprints of devices",
        ("f12",),
        "build",
    ),
    Action(
        "next_finding",
        "Next finding",
        "go to the field that mends the next finding",
        ("ctrl+g",),
        "build",
        "next finding",
    ),
    Action(
        "mend",
        "Mend the finding",
        "make the edit that mends the finding on top of the pane, where there is one",
        ("ctrl+e",),
        "build",
    ),
    Action("pane", "Live pane", "open the live pane in full, and back", ("f9",), "build", "pane"),
    Action(
        "pane_down",
        "Scroll the pane down",
        "scroll the live pane down",
        ("shift+down", "shift+pagedown"),
        "build",
    ),
    Action(
        "pane_up",
        "Scroll the pane up",
        "scroll the live pane up",
        ("shift+up", "shift+pageup"),
        "build",
    ),
    Action(
        "add",
        "Add a row",
        "add a row to this table, with whatever comes with it",
        ("ctrl+n",),
        "build",
        "add",
    ),
    Action(
        "remove",
        "Remove the row",
        "remove this row and what makes no sense without it",
        ("ctrl+x",),
        "build",
        "remove",
    ),
    Action("duplicate", "Duplicate the row", "add a copy of this row", ("ctrl+d",), "build"),
    Action(
        "move_up", "Move the row up", "move this row one place up", ("alt+up", "ctrl+up"), "build"
    ),
    Action(
        "move_down",
        "Move the row down",
        "move this row one place down",
        ("alt+down", "ctrl+down"),
        "build",
    ),
    Action(
        "rehang",
        "Re-hang the run",
        "choose another device for this run to hang on",
        ("ctrl+r",),
        "build",
    ),
    Action("undo", "Undo", "take the last change back", ("ctrl+z",), "build", "undo"),
    Action("redo", "Redo", "make the change again that was taken back", ("ctrl+y",), "build"),
    Action(
        "look",
        "Look closer",
        "the picture here: drop, drive, fuse against wire, custom part, suspects; the quote",
        ("ctrl+t",),
        "build",
        "picture",
    ),
    Action(
        "cut_sheets",
        "Sheets to cut",
        "the blanks of all custom parts on sheets, to scale; saw or router, kerf, sizes at hand",
        ("ctrl+k",),
        "build",
    ),
    Action(
        "workings",
        "Workings",
        "formula, inputs and source of the figure under the cursor; with the pane in full, of its",
        ("ctrl+w",),
        "build",
        "workings",
    ),
    Action(
        "use_spot",
        "Put the fuse at this spot",
        "move the run's fuse to the mounting spot under the cursor",
        ("ctrl+u",),
        "build",
    ),
    Action(
        "one_state",
        "Readings of the next state",
        "show the readings of the next state of engine and music, or of all",
        ("ctrl+f",),
        "build",
    ),
    Action(
        "all_parts",
        "Panels of all parts",
        "show panels and holes of all parts, or of one",
        (),
        "build",
    ),
    Action(
        "to_paper",
        "To paper",
        "in Pack: write the pack; elsewhere: template, drawing, SVG and DXF of the custom part",
        ("ctrl+l",),
        "build",
    ),
    Action(
        "steps",
        "Making steps",
        "the steps that make the custom part with the cursor, in order, with tools and cautions",
        (),
        "build",
    ),
    Action(
        "materials",
        "Materials",
        "go to the materials: what to buy, from the shop's catalogue, at which price",
        (),
        "build",
    ),
    Action(
        "take_footprint",
        "Take a footprint from the shop",
        "add a copy of one of the shop's footprints to this build, with its studs",
        ("ctrl+a",),
        "build",
    ),
    Action(
        "keep_footprint",
        "Keep this footprint in the shop",
        "put a copy of the footprint with the cursor into the shop, for every other build",
        ("alt+k",),
        "build",
    ),
    Action(
        "take_off_shelf",
        "Take off the shelf",
        "take what this build uses out of the shop's stock, once it is really taken",
        (),
        "build",
    ),
    Action("quote", "Quote", "the quote as the customer reads it", (), "build"),
)

_CELL: tuple[Action, ...] = (
    Action("", "Move", "go from cell to cell, and on to the next table", ("arrows",), "cell"),
    Action("", "Replace", "start typing: the text takes the cell's place", ("any text",), "cell"),
    Action(
        "", "Open / confirm", "open the cell with its text; confirm and go on", ("enter",), "cell"
    ),
    Action(
        "",
        "Confirm and move",
        "to the right or left; while typing also up and down",
        ("tab", "shift+tab"),
        "cell",
    ),
    Action("", "Drop", "drop what was typed, the old value stays", ("escape",), "cell"),
    Action("", "Next choice", "next of the choices, or switch on and off", ("space",), "cell"),
    Action("", "Pin", "keep the figure that was chosen for you (~)", ("=",), "cell"),
    Action("", "Give back", "leave the figure to be chosen again", ("delete", "backspace"), "cell"),
    Action("", "Copy", "copy the cell's text", ("ctrl+c",), "cell"),
)

ACTIONS: tuple[Action, ...] = (*_BUILDS, *_BUILD, *SHOP, *_CELL, *_EVERYWHERE)
"""Every action, in the order in which help shows them."""

_KEY_NAMES = {"question_mark": "?", "escape": "esc", "pagedown": "pgdn", "pageup": "pgup"}


def actions_of(where: str) -> list[Action]:
    """The actions of one screen ("builds", "build", "shop" or "cell"), then those of all."""
    return [a for a in ACTIONS if a.where == where or (a.where == "both" and where != "cell")]


def bindings_of(where: str) -> list[BindingType]:
    """Textual bindings of one screen."""
    return [
        Binding(
            ",".join(action.keys),
            action.id,
            action.title,
            show=False,
            tooltip=action.help,
            id=f"{where}.{action.id}",
            priority=action.id == "quit",
        )
        for action in actions_of(where)
        if action.keys and action.id
    ]


def shown_key(key: str) -> str:
    """A key's name as it is printed: "F8", "^G" for ctrl+g, "?"."""
    key = "+".join(_KEY_NAMES.get(part, part) for part in key.split("+"))
    if key.startswith("ctrl+") and len(key) == 6:
        return f"^{key[5:].upper()}"
    return key.upper() if key[0] == "f" and key[1:].isdigit() else key


def key_line(where: str) -> list[tuple[str, str, str]]:
    """The key line of one screen: (key, word, action id)."""
    return [
        (shown_key(action.keys[0]), action.short, action.id)
        for action in actions_of(where)
        if action.short
    ]


def help_rows(actions: Iterable[Action]) -> list[tuple[str, str]]:
    """Rows of the help page: keys, and what they do."""
    return [
        (" ".join(shown_key(key) for key in action.keys) or "by name", action.help)
        for action in actions
    ]
