"""The commands about people: who changed what in a build, and by which name one's edits go.

They end as those of ``tui.commands.main`` do; what they need is imported when they run.
"""

from typing import Annotated

import typer

from tui.commands.choosing import key_of, open_store
from tui.commands.exits import Refused
from tui.commands.printing import BuildArgument, write_out


def history(
    context: typer.Context,
    build: BuildArgument,
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
    """Print who changed what in a build, from which value to which; newest first."""
    from tui.report.history import Wanted, history_csv, history_json, history_lines, told

    if as_json and as_csv:
        raise Refused("--json and --csv go one at a time")
    with open_store(context.obj) as store:
        kept = store.build(key_of(store, build))
        document, lines = kept.open().document, kept.since(-1)
    wanted = Wanted(person, page, day)
    found = [each for each in told(document, lines) if wanted.fits(each)]
    if as_json:
        write_out(history_json(found))
    elif as_csv:
        write_out(history_csv(found))
    else:
        print("\n".join(history_lines(found)) if found else "no such edits")


def person(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help='Your name; "" for the login again.')
    ] = None,
) -> None:
    """Print the name that your edits go by, or set it once for all stores."""
    from storage.store.author import set_person, this_person

    print(this_person() if name is None else set_person(name))
