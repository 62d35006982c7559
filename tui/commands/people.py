"""The commands about people: who changed what in a build or the shop, and what one is called here.

They end as those of ``tui.commands.main`` do; what they need is imported when they run.
"""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from tui.commands.choosing import key_of, open_store
from tui.commands.exits import Refused
from tui.commands.printing import write_out

if TYPE_CHECKING:
    from storage.store.documents import Kept
    from tui.report.history import Told


def history(
    context: typer.Context,
    build: Annotated[
        str, typer.Argument(metavar="[BUILD]", help="Key number, or a part of the title.")
    ] = "",
    shop: Annotated[bool, typer.Option("--shop", help="Of the shop's own things instead.")] = False,
    person: Annotated[str, typer.Option(metavar="NAME", help="Only edits by this person.")] = "",
    page: Annotated[
        str, typer.Option(metavar="PAGE", help="Only edits of a page, as Distribution.")
    ] = "",
    day: Annotated[
        str, typer.Option(metavar="DAY", help="Only edits of a day here, as 2026-03-31.")
    ] = "",
    as_json: Annotated[bool, typer.Option("--json", help="As JSON, times in UTC.")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="As CSV, times in UTC.")] = False,
) -> None:
    """Print who changed what in a build, from which value to which; newest first.

    With --shop: in the shop's items and prices, times and hole patterns.
    """
    from tui.report.history import (
        Wanted,
        history_csv,
        history_json,
        history_lines,
        no_day,
        no_page,
        none_found,
    )

    if as_json and as_csv:
        raise Refused("--json and --csv go one at a time")
    if bool(build) == shop:
        raise Refused("name a build, or give --shop")
    if day and (wrong := no_day(day)):
        raise Refused(f"--day {wrong}")
    if page and (wrong := no_page(page, shop=shop)):
        raise Refused(f"--page: {wrong}")
    with open_store(context.obj) as store:
        every = _told(store.shop() if shop else store.build(key_of(store, build)))
    wanted = Wanted(person, page, day)
    found = [each for each in every if wanted.fits(each)]
    if as_json:
        write_out(history_json(found))
    elif as_csv:
        write_out(history_csv(found))
    else:
        print("\n".join(history_lines(found)) if found else none_found(every, wanted))


def _told(kept: "Kept[Any]") -> "list[Told]":
    from tui.report.history import told

    return told(kept.open().document, kept.since(-1))


def person(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help='Your name; "" for the login again.')
    ] = None,
) -> None:
    """Print the name that your edits go by, or set it once for all stores."""
    from storage.store.author import set_person, this_person

    print(this_person() if name is None else set_person(name))
