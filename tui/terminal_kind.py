"""What a terminal can do by its name in TERM, as the system's terminfo describes it."""

import os
from collections.abc import Mapping, MutableMapping
from functools import cache
from types import ModuleType

ESCAPE = b"\x1b["
"""What a terminal begins with that speaks as the program does (ECMA-48)."""

PLAIN_INSTEAD = "here, `mainrun builds` lists the builds and `mainrun sheet BUILD` prints one"


def why_not(environment: Mapping[str, str] = os.environ) -> str:
    """Why the program cannot be shown on the terminal, as one sentence; empty: it can.

    One that terminfo does not know is taken as what most are today.
    """
    name = environment.get("TERM", "")
    if not name:
        return f"the terminal does not say what it is: set TERM, as TERM=xterm; {PLAIN_INSTEAD}"
    places = _ability(name, "cup")
    if name in ("dumb", "unknown") or (places is not None and not places.startswith(ESCAPE)):
        return (
            f"the terminal program needs a terminal whose cursor it can place, and TERM={name} "
            f"names none: set TERM, as TERM=xterm, if it is another; {PLAIN_INSTEAD}"
        )
    return ""


def prepare_colours(environment: MutableMapping[str, str] = os.environ) -> None:
    """On a terminal that has no colours, none are sent."""
    if _colours(environment.get("TERM", "")) == 0:
        environment.setdefault("NO_COLOR", "1")


def erases(environment: Mapping[str, str] = os.environ) -> bool:
    """Whether blanks may be sent as the erasing of so many cells."""
    return _ability(environment.get("TERM", ""), "ech") != b""


def _ability(name: str, ability: str) -> bytes | None:
    """What makes a terminal do something, empty where nothing does; ``None``: nobody knows."""
    curses = _described(name)
    return None if curses is None else curses.tigetstr(ability) or b""


def _colours(name: str) -> int | None:
    curses = _described(name)
    return None if curses is None else max(curses.tigetnum("colors"), 0)


@cache
def _described(name: str) -> ModuleType | None:
    """The library that knows this terminal, the first one that is asked for in a process."""
    try:
        import curses
    except ImportError:  # not on every system
        return None
    try:
        curses.setupterm(name, 1)
    except curses.error:
        return None
    return curses
