"""One ctrl or alt key means one thing, wherever one is; what puts away sits on no key of a shell.

The keys of shells and multiplexers are those of the line editing of POSIX shells (GNU Readline's
emacs mode) and the usual prefixes of terminal multiplexers; from memory.
"""

import inspect
from collections import defaultdict
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

import tui.pages
from tui.actions import CELL_KEYS, shown_key
from tui.grids.editing import MOVES
from tui.pages.page import Page
from tui.screens.build_actions import BUILD
from tui.screens.builds_actions import BUILDS
from tui.screens.shop_actions import SHOP
from tui.widgets.editor import MOVES as IN_TEXT

MEANT = {
    "ctrl+d": "add another like it",
    "ctrl+e": "fix what is wrong",
    "ctrl+f": "show only what fits",
    "ctrl+g": "the next finding",
    "ctrl+k": "the sheets to cut",
    "ctrl+l": "write to paper or file",
    "ctrl+n": "add one",
    "ctrl+p": "commands by name",
    "ctrl+q": "leave the program",
    "ctrl+r": "lead a wire elsewhere",
    "ctrl+t": "look closer",
    "ctrl+u": "put the fuse here",
    "ctrl+w": "how it is calculated",
    "ctrl+x": "take away",
    "ctrl+y": "make again",
    "ctrl+z": "take back",
    "ctrl+pagedown": "next page",
    "ctrl+pageup": "page before",
    "ctrl+up": "move up",
    "ctrl+down": "move down",
}
"""What each ctrl key does everywhere."""

DONE_BY = {
    "duplicate": "add another like it",
    "mend": "fix what is wrong",
    "filter": "show only what fits",
    "next_finding": "the next finding",
    "cut_sheets": "the sheets to cut",
    "to_paper": "write to paper or file",
    "to_file": "write to paper or file",
    "add": "add one",
    "new": "add one",
    "palette": "commands by name",
    "quit": "leave the program",
    "rehang": "lead a wire elsewhere",
    "look": "look closer",
    "use_spot": "put the fuse here",
    "workings": "how it is calculated",
    "remove": "take away",
    "archive": "take away",
    "redo": "make again",
    "undo": "take back",
    "bring_back": "take back",
    "next_page": "next page",
    "page_before": "page before",
    "move_up": "move up",
    "move_down": "move down",
}
"""What the action of each name that has a ctrl key does, in the same words."""

SCREENS = {"builds": BUILDS, "build": BUILD, "shop": SHOP}

SHELL_KEYS = frozenset(f"ctrl+{key}" for key in "abcdefhklnopqrstuvwyz")
"""What shells and multiplexers take: all but the first half of a two-key sequence, ctrl+x."""

TAKES_AWAY = frozenset(("remove", "archive"))
"""Actions that put away or delete."""


@pytest.mark.parametrize("screen", SCREENS)
def test_one_key_starts_one_action_on_a_screen(screen: str) -> None:
    starts = defaultdict(set)
    for action in SCREENS[screen]:
        for key in action.keys:
            starts[key].add(action.id)
    assert not {key: ids for key, ids in starts.items() if len(ids) > 1}


@pytest.mark.parametrize("screen", SCREENS)
def test_a_ctrl_key_does_what_it_does_everywhere(screen: str) -> None:
    found = {
        (key, action.id) for action in SCREENS[screen] for key in action.keys if "ctrl+" in key
    }
    assert found
    assert not {(key, id) for key, id in found if DONE_BY.get(id) != MEANT.get(key, "unknown")}


def test_an_alt_key_starts_the_same_action_everywhere() -> None:
    starts = defaultdict(set)
    for actions in SCREENS.values():
        for action in actions:
            pages = action.id.startswith("view_")  # alt and a digit: the page of that number
            for key in action.keys:
                if key.startswith("alt+") and not pages:
                    starts[key].add(action.id)
    assert len(starts) > 10
    assert not {key: ids for key, ids in starts.items() if len(ids) > 1}


def test_nothing_is_put_away_by_a_key_of_shells() -> None:
    keys = {
        key
        for actions in SCREENS.values()
        for action in actions
        if action.id in TAKES_AWAY
        for key in action.keys
    }
    assert keys == {"ctrl+x"}
    assert keys.isdisjoint(SHELL_KEYS)


def test_inside_a_table_no_ctrl_key_is_one_of_an_action() -> None:
    inside = {key for key in MOVES if key.startswith("ctrl+")}
    inside |= {key for entry in CELL_KEYS for key in entry.keys if key.startswith("ctrl+")}
    taken = {key for actions in SCREENS.values() for action in actions for key in action.keys}
    assert inside
    assert inside.isdisjoint(taken)


def test_while_text_is_typed_ctrl_keys_only_edit_it_as_shells_do() -> None:
    inside = {key for key in IN_TEXT if key.startswith("ctrl+")}
    assert inside == {"ctrl+left", "ctrl+right", "ctrl+e", "ctrl+w", "ctrl+u", "ctrl+k"}
    assert inside - {"ctrl+left", "ctrl+right"} <= SHELL_KEYS


def pages() -> list[type[Page]]:
    """Every page that is opened over a screen."""
    found = set()
    for module in iter_modules(tui.pages.__path__):
        for each in vars(import_module(f"tui.pages.{module.name}")).values():
            if inspect.isclass(each) and issubclass(each, Page):
                found.add(each)
    return sorted(found, key=lambda page: page.__name__)


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.__name__)
def test_a_page_names_its_ctrl_keys_as_the_screens_do(page: type[Page]) -> None:
    for shown, word, key in page.more_keys:
        if key.startswith("ctrl+"):
            assert shown == shown_key(key)
            assert word in {
                action.short
                for actions in SCREENS.values()
                for action in actions
                if key in action.keys
            }
    # Keys that it takes without naming them stand in its text.
    source = Path(inspect.getfile(page)).read_text()
    for key in ("ctrl+a", "ctrl+b", "ctrl+x", "ctrl+d"):
        assert f'"{key}"' not in source
