"""What is asked for most, read without the library that reads all other command lines."""

import sys
from collections.abc import Sequence
from contextlib import ExitStack
from functools import partial

from tui.commands.choosing import Options, key_of, open_store
from tui.commands.exits import Refused
from tui.terminal_kind import PLAIN_INSTEAD, why_not


def plainly(arguments: Sequence[str]) -> partial[int] | None:
    """What ``[--store PLACE] [--no-mouse] [open [BUILD] | builds [--archived]]`` asks for.

    ``None`` for any other command line, and for one that may be wrong: that is read in full.
    """
    left = list(arguments)
    store, mouse = None, True
    while left and left[0] in {"--store", "--no-mouse"}:
        if left.pop(0) == "--no-mouse":
            mouse = False
        elif not left or left[0].startswith("-"):
            return None
        else:
            store = left.pop(0)
    options = Options(store, mouse=mouse)
    if left in (["builds"], ["builds", "--archived"]):
        from tui.commands.listing import list_builds

        return partial(list_builds, options, archived=len(left) == 2)
    if not left or left == ["open"]:
        return partial(open_program, options, None)
    if len(left) == 2 and left[0] == "open" and not left[1].startswith("-"):
        return partial(open_program, options, left[1])
    return None


def open_program(options: Options, wanted: str | None) -> int:
    """Run the terminal program on a build, or on the list; its exit code.

    ``Refused`` where there is no terminal that it can run on, and where no build is meant.
    """
    if not at_terminal():
        raise Refused(f"the terminal program needs a terminal: {PLAIN_INSTEAD}")
    if refused := why_not():
        raise Refused(refused)
    from storage.store.location import store_place

    place = store_place(options.store)
    key = store = None
    if wanted is not None:
        with ExitStack() as unless_found:
            store = unless_found.enter_context(open_store(options))
            key = key_of(store, wanted)
            unless_found.pop_all()
    elif options.group:
        open_store(options, create=True).close()
    from tui.loading import load_asyncio

    load_asyncio()
    from tui.app import run

    return run(place, key, mouse=options.mouse, store=store)


def at_terminal() -> bool:
    """Whether somebody sits there who reads and types."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))
