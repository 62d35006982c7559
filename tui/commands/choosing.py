"""Which store and which build a command means."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from tui.commands.exits import Refused

if TYPE_CHECKING:
    from domain.build.records import Build
    from domain.plan import Plan
    from storage.store.builds import Store


class Options(NamedTuple):
    """The options that come before the command."""

    store: str | None = None
    group: bool = False
    mouse: bool = True


def open_store(options: Options, create: bool = False) -> "Store":
    """The store that the options name; a missing one is only made where ``create`` is set.

    ``StoreError`` where it is missing or cannot be opened.
    """
    from storage.errors import StoreError
    from storage.store.location import Server, store_place

    place = store_place(options.store)
    if not create and not isinstance(place, Server) and missing(place):
        raise StoreError(
            f"there is no store at {place} yet: `mainrun` or `mainrun import FILE` makes one"
        )
    from storage.store.builds import Store

    store = Store(place, share_with_group=options.group, make=create)
    if store.notice:
        print(store.notice, file=sys.stderr)
    return store


def missing(path: Path) -> bool:
    """Nothing is there; what is there but cannot be looked at is for the store to explain."""
    try:
        path.stat()
    except FileNotFoundError:
        return True
    except (OSError, ValueError):
        return False
    return False


def chosen(options: Options, wanted: str) -> "Build":
    """The build that is meant, read from the store."""
    with open_store(options) as store:
        return store.open(key_of(store, wanted)).document


def planned(options: Options, wanted: str) -> "Plan":
    """The build that is meant, worked out."""
    from domain.evaluate import make_plan

    return make_plan(chosen(options, wanted), swept=True)


def key_of(store: "Store", wanted: str) -> int:
    """The key of the build with this key, this title, or the only one with this in its title.

    ``Refused`` where no build is meant, or several may be.
    """
    from tui.widgets.cell_text import cut

    if is_key(wanted) and store.holds(int(wanted)):
        return int(wanted)
    found = store.builds(archived=True)
    part = wanted.casefold()
    same = [each for each in found if each.title.casefold() == part]
    near = same or [each for each in found if part and part in each.title.casefold()]
    if len(near) == 1:
        return near[0].key
    if not near:
        raise Refused(f"no build is {cut(wanted, 40)!r}: `mainrun builds` lists them")
    names = ", ".join(f"{each.key} ({cut(each.title, 30)})" for each in near[:4])
    more = f" and {len(near) - 4} more" if len(near) > 4 else ""
    raise Refused(f"{cut(wanted, 40)!r} may be {names}{more}: give the key")


def is_key(wanted: str) -> bool:
    """Whether this is how a key is written: one of up to 18 digits, as a store can hold it."""
    return (
        wanted.isascii() and wanted.isdecimal() and len(wanted) <= 18 and not wanted.startswith("0")
    )
