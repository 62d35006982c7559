"""What an action of the user is, and what is made of the actions of a screen.

Key bindings, the key line at the bottom, the command palette and the help page are all made
from these records, so that none of them can say something else than the others.
"""

import inspect
from collections.abc import Awaitable, Callable, Iterable, Iterator, Sequence
from functools import partial
from typing import Any, Generic, Protocol, TypeVar, runtime_checkable

from msgspec import Struct
from textual.app import SystemCommand
from textual.binding import Binding, BindingType

Owner_contra = TypeVar("Owner_contra", contravariant=True)
"""The screen or the view that an action is done on."""


class Action(Struct, Generic[Owner_contra], frozen=True):
    """One user action."""

    id: str
    """Its name, also of a click on it."""
    title: str
    """Two or three words for the palette and the help page."""
    help: str
    """One line on what it does."""
    keys: tuple[str, ...]
    """Keys that start it, the one to show first; empty: palette only."""
    do: Callable[[Owner_contra], Awaitable[None] | None]
    """What it does, on the screen or the view that has it."""
    short: str = ""
    """Word for the key line; empty: not on the key line."""
    elsewhere: str = ""
    """What to say where the view that has it is not shown; empty: it works from everywhere."""
    tells: bool = False
    """Whether it tells, prints or keeps what follows, which is then worked out to its end first."""


class CellKey(Struct, frozen=True):
    """A key that works inside a table, for the help page."""

    help: str
    keys: tuple[str, ...]


class HasKeys(Protocol):
    """What stands on the help page."""

    @property
    def help(self) -> str:
        """One line on what it does."""

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys that do it, the one to show first; empty: by name only."""


@runtime_checkable
class HasCommands(Protocol):
    """A screen with commands of its own in the palette."""

    def commands(self) -> Iterable[SystemCommand]:
        """What the palette finds."""


class WithHelp(Protocol):
    """A screen that shows its own help."""

    @property
    def app(self) -> Any:
        """The program."""

    def show_help(self) -> None:
        """Show the keys of the screen."""


QUIT: Action[WithHelp] = Action(
    "quit",
    "Quit",
    "leave; everything is already saved",
    ("ctrl+q",),
    lambda screen: screen.app.exit(),
)
"""Leaving the program, from wherever one is."""

EVERYWHERE: tuple[Action[WithHelp], ...] = (
    Action(
        "help",
        "Help",
        "the keys of this screen and the field under the cursor",
        ("f1", "question_mark"),
        lambda screen: screen.show_help(),
        "help",
    ),
    Action(
        "palette",
        "Commands",
        "find any command by typing a part of its name",
        ("ctrl+p",),
        lambda screen: screen.app.action_command_palette(),
        "commands",
    ),
    QUIT,
)
"""Actions of every screen."""

LEADING_ON = ("help", "palette")
"""Ids of those that lead to all others: they stand on every key line."""

CELL_KEYS: tuple[CellKey, ...] = (
    CellKey("go from cell to cell, and on to the next table", ("arrows",)),
    CellKey("start typing: the text takes the cell's place", ("any text",)),
    CellKey("open the cell with its text; confirm and go on", ("enter",)),
    CellKey("to the right or left; while typing also up and down", ("tab", "shift+tab")),
    CellKey("drop what was typed, the old value stays", ("escape",)),
    CellKey("next of the choices, or switch on and off", ("space",)),
    CellKey("keep the figure that was chosen for you (~)", ("=",)),
    CellKey("leave the figure to be chosen again", ("delete", "backspace")),
    CellKey("copy the cell's text", ("ctrl+c",)),
)
"""Keys inside a table: no actions, they do what the cell says."""

_KEY_NAMES = {"question_mark": "?", "escape": "esc", "pagedown": "pgdn", "pageup": "pgup"}


async def start(action: Action[Any], owner: Any) -> None:
    """Do an action on the screen or view that has it."""
    done = action.do(owner)
    if inspect.isawaitable(done):
        await done


def commands_of(
    actions: Iterable[Action[Any]], start: Callable[[str], Awaitable[None]]
) -> Iterator[SystemCommand]:
    """The actions in the palette, which itself is not one of them."""
    for action in actions:
        if action.id != "palette":
            yield SystemCommand(action.title, action.help, partial(start, action.id))


def bindings_of(where: str, actions: Iterable[Action[Any]]) -> list[BindingType]:
    """Textual bindings of the screen ``where``: each starts ``action_start`` with the id."""
    return [
        Binding(
            ",".join(action.keys),
            f"start('{action.id}')",
            action.title,
            show=False,
            tooltip=action.help,
            id=f"{where}.{action.id}",
            priority=action.id == "quit",
        )
        for action in actions
        if action.keys
    ]


def shown_key(key: str) -> str:
    """A key's name as it is printed: "F8", "^G" for ctrl+g, "?"."""
    key = "+".join(_KEY_NAMES.get(part, part) for part in key.split("+"))
    if key.startswith("ctrl+") and len(key) == 6:
        return f"^{key[5:].upper()}"
    return key.upper() if key[0] == "f" and key[1:].isdigit() else key


def key_line(actions: Iterable[Action[Any]]) -> list[tuple[str, str, str]]:
    """The key line of a screen: (key, word, action id)."""
    return [
        (shown_key(action.keys[0]), action.short, action.id) for action in actions if action.short
    ]


def help_rows(entries: Sequence[HasKeys]) -> list[tuple[str, str]]:
    """Rows of the help page: keys, and what they do."""
    return [
        (" ".join(shown_key(key) for key in entry.keys) or "by name", entry.help)
        for entry in entries
    ]
