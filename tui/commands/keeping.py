"""The commands that keep a store safe: is it what was entered, and a copy of it as it is now.

They end as those of ``tui.commands.main`` do; what they need is imported when they run.
"""

from pathlib import Path
from typing import Annotated

import typer

from tui.commands.choosing import open_store
from tui.commands.exits import STORE_TROUBLE
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
    """Copy the store as it is now to a file, while others work in it; that is a store as well."""
    with open_store(context.obj) as store:
        store.back_up(Path(file), replace=force)
    print(f"copied to {file}")
