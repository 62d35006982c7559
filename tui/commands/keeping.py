"""The commands that keep a store safe: is it what was entered, and a copy of it as it is now.

They end as those of ``tui.commands.main`` do; what they need is imported when they run.
"""

from pathlib import Path
from typing import Annotated

import typer

from tui.commands.choosing import missing, open_store
from tui.commands.exits import STORE_TROUBLE, Refused
from tui.commands.printing import ForceOption


def verify(context: typer.Context) -> None:
    """Hold every build and the shop against their journals; exit code 3 if anything differs."""
    from domain.visible_text import visible

    with open_store(context.obj) as store:
        proof = store.prove()
    for each in proof.wrong:
        print(visible(each))
    many = f"{proof.builds} builds and {proof.lines} lines of journal"
    if proof.wrong:
        print(f"{many}: the above is wrong; go on from a backup, or see `mainrun recover BUILD`")
        raise typer.Exit(STORE_TROUBLE)
    print(f"{many}: all as it was entered")


def backup(
    context: typer.Context,
    file: Annotated[str, typer.Argument(metavar="FILE", help="Where to.")],
    force: ForceOption = False,
) -> None:
    """Copy the store as it is now, in a file or on a server, to a file, while others work in it.

    That file is a store as well: to restore it, put it in the store's place, and share it with
    --group where the store was shared; onto a server, copy-store brings it.
    """
    from storage.store.moving import back_up

    with open_store(context.obj) as store:
        back_up(store, Path(file), replace=force)
    print(f"copied to {file}")


def copy_store(
    source: Annotated[str, typer.Argument(metavar="FROM", help="A store: a file or an address.")],
    target: Annotated[str, typer.Argument(metavar="TO", help="Where to; nothing may be in it.")],
) -> None:
    """Copy all of a store to another place, as from a file to a server, and prove it equal."""
    from storage.errors import StoreError
    from storage.store.builds import Store
    from storage.store.location import Server, store_place
    from storage.store.moving import copy_store as copy_all

    there, here = store_place(source), store_place(target)
    if there == here:
        raise Refused("FROM and TO are the same place")
    if not isinstance(there, Server) and missing(there):
        raise StoreError(f"there is no store at {there}")
    with Store(there, make=False) as old, Store(here) as new:
        copied = copy_all(old, new)
    print(
        f"copied to {here}: {copied.builds} builds, {copied.lines} lines of journal, "
        f"{copied.rows} rows in all, read back and equal"
    )
