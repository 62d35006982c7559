"""The command line: open the terminal program, or print and move builds without it.

Every error is one line on standard error. Exit codes: 0 done, 1 ``check`` found a stop, 2 bad
usage or input, 3 trouble with the store or the disk, 70 a fault in Mainrun itself, 129 the
terminal was closed. What a command needs is imported when it runs, so that help and plain
sheets start fast.
"""

import sys
from contextlib import suppress
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from tui.commands.choosing import Options, chosen, key_of, open_store, planned
from tui.commands.exits import STOPS_FOUND, Refused, outcome
from tui.commands.keeping import backup, copy_store, verify
from tui.commands.opening import at_terminal, open_program
from tui.commands.paper import materials, pack, quote, template
from tui.commands.people import history, person
from tui.commands.printing import (
    BuildArgument,
    ForceOption,
    draws,
    print_text,
    write_file,
    write_out,
)
from tui.commands.shop import catalogue, footprints, kits, times
from tui.commands.study import compare, drive, kick, readings, workings
from tui.terminal_kind import why_not

if TYPE_CHECKING:
    from domain.build.records import Build

app = typer.Typer(
    name="mainrun",
    help="Plan the power side and the custom parts of an audio build in a vehicle.",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


class SheetFormat(StrEnum):
    """How a sheet is printed."""

    TEXT = "text"
    JSON = "json"
    CSV = "csv"


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run a command line, this process's own if none is given, and leave with its exit code."""
    sys.exit(outcome(lambda: app(arguments, standalone_mode=False)))


@app.callback(invoke_without_command=True)
def _start(
    context: typer.Context,
    store: Annotated[
        str | None,
        typer.Option(
            metavar="PLACE",
            help="Store to use, a file or postgresql://...; else $MAINRUN_STORE, else your own.",
        ),
    ] = None,
    group: Annotated[
        bool, typer.Option("--group", help="Share the store with the group of its folder.")
    ] = False,
    no_mouse: Annotated[
        bool, typer.Option("--no-mouse", help="Leave the mouse to the terminal.")
    ] = False,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    context.obj = options = Options(store, group, not no_mouse)
    if version:
        from importlib.metadata import version as installed

        print(f"mainrun {installed('mainrun')}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        raise typer.Exit(open_program(options, None))


@app.command("open")
def open_build(
    context: typer.Context,
    build: Annotated[str | None, typer.Argument(metavar="[BUILD]", help="Build to open.")] = None,
) -> None:
    """Open the terminal program, on one build or on the list."""
    raise typer.Exit(open_program(context.obj, build))


@app.command()
def demo(context: typer.Context) -> None:
    """Open a throw-away demo store; in a pipe, print its sheets."""
    from demo_db.load import demo_builds, demo_store

    if not at_terminal() or why_not():
        from domain.evaluate import make_plan
        from domain.full_results import full_results
        from tui.report.sheet import text

        for number, (_, build) in enumerate(demo_builds()):
            shown = text(build, full_results(make_plan(build, swept=True)), draws())
            print("\n\n" * bool(number) + shown, end="")
        return
    from tempfile import TemporaryDirectory

    from tui.app import run

    with TemporaryDirectory(prefix="mainrun-demo-") as folder:
        path = Path(folder) / "demo.db"
        raise typer.Exit(run(path, demo_store(path), mouse=context.obj.mouse))


@app.command()
def builds(
    context: typer.Context,
    archived: Annotated[bool, typer.Option("--archived", help="The archived ones too.")] = False,
) -> None:
    """List the builds of the store, newest first."""
    from tui.commands.listing import list_builds

    list_builds(context.obj, archived=archived)


@app.command()
def sheet(
    context: typer.Context,
    build: BuildArgument,
    format: Annotated[
        SheetFormat, typer.Option(metavar="text|json|csv", help="How to print it.")
    ] = SheetFormat.TEXT,
) -> None:
    """Print everything that follows from a build."""
    from domain.full_results import full_results
    from tui.report import sheet

    plan = planned(context.obj, build)
    if format is SheetFormat.JSON:
        print(sheet.json_text(full_results(plan)), end="")
    elif format is SheetFormat.CSV:
        write_out(sheet.csv_tables(plan.build, plan.sheet))
    else:
        print(sheet.text(plan.build, full_results(plan), draws()), end="")


@app.command()
def check(context: typer.Context, build: BuildArgument) -> None:
    """Print the findings of a build; exit code 1 if any is a stop."""
    from domain.findings import Level
    from domain.full_results import kick_drum
    from domain.topics.kick.beside import kick_note
    from domain.topics.tables import Subject
    from tui.report.sheet import finding_lines
    from tui.workbench import Workbench

    with open_store(context.obj) as store:
        key = key_of(store, build)
        opened = store.open(key)
        bench = Workbench(store, key, opened.document, opened.revision)
        bench.note_stops()
    plan = bench.plan
    note = kick_note(Subject(plan.build, plan.sheet), kick_drum(plan))
    found = [*plan.sheet.findings, *([note] if note else [])]
    for finding in found:
        print_text("\n".join(finding_lines(plan.build, finding)), plan.build)
    if not found:
        print("nothing found")
    raise typer.Exit(STOPS_FOUND if plan.sheet.count(Level.STOP) else 0)


@app.command("export")
def export_file(
    context: typer.Context,
    build: BuildArgument,
    file: Annotated[str, typer.Argument(metavar="FILE", help="Where to; - for standard output.")],
    force: ForceOption = False,
) -> None:
    """Write a build to a JSON file."""
    from storage.transfer import export_build

    write_file(file, export_build(chosen(context.obj, build)), force)


@app.command("import")
def import_one(
    context: typer.Context,
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="What to read; - for standard input.")
    ],
) -> None:
    """Read a build from a JSON file into the store, as a new build."""
    from storage.errors import TransferError
    from storage.transfer import import_file
    from tui.workbench import stops_of

    try:
        build = _piped_build() if file == "-" else import_file(Path(file))
    except TransferError as error:
        said = str(error)
        raise Refused(said if file in said else f"{file}: {said}") from None
    with open_store(context.obj, create=True) as store:
        key = store.create(build, stops=stops_of(build))
    print(f"imported as {key}: {build.header.title}")


@app.command()
def recover(context: typer.Context, build: BuildArgument) -> None:
    """Make a damaged build anew, from the journal of its edits, under a title of its own."""
    from domain.document.names import free
    from storage.errors import StoreError
    from tui.workbench import stops_of

    with open_store(context.obj) as store:
        damaged = key_of(store, build)
        told = store.as_it_was(damaged)
        with suppress(StoreError):
            if store.open(damaged).document == told:
                print(
                    f"build {damaged} is sound, as its journal tells: there is nothing to recover"
                )
                return
        taken = (each.title for each in store.builds(archived=True))
        title = free(f"{told.header.title} (recovered)".strip(), taken)
        made = told.but(header=told.header.set("title", title))
        key = store.create(made, stops=stops_of(made))
    print(f"recovered as {key}: {title}")


@app.command()
def schema(
    sheet: Annotated[
        bool, typer.Option("--sheet", help="Of the sheet as JSON, not of a build file.")
    ] = False,
) -> None:
    """Print the JSON Schema of a build file, or of a sheet."""
    import json

    if sheet:
        import msgspec

        from domain.full_results import FullResults

        described = msgspec.json.schema(FullResults)
    else:
        from storage.transfer import build_schema

        described = build_schema()
    print(json.dumps(described, indent=2))


@app.command()
def netlist(
    context: typer.Context,
    build: BuildArgument,
    state: Annotated[str, typer.Option(metavar="STATE", help="As cruise-tone or off-programme.")],
) -> None:
    """Print the network of one state as a SPICE netlist."""
    from domain.electrical.network.netlist import netlist as network
    from domain.electrical.network.states import TITLES

    if state not in TITLES:
        raise Refused(f"there is no state {state!r}: take one of {', '.join(TITLES)}")
    plan = planned(context.obj, build)
    solved = plan.sheet.state(state)
    assert solved is not None
    write_out(network(plan.solved.wired, solved))


STUDY = (compare, workings, drive, kick, readings)
SHOP = (materials, quote, catalogue, times, footprints, kits)
BENCH = (template, pack)
PEOPLE = (history, person)
KEEPING = (verify, backup, copy_store)
for each in STUDY + SHOP + BENCH + PEOPLE + KEEPING:
    app.command()(each)


def _piped_build() -> "Build":
    from storage.files import LARGEST_BYTES
    from storage.transfer import import_build

    content = sys.stdin.buffer.read(LARGEST_BYTES + 1) if sys.stdin else b""
    try:
        return import_build(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise Refused("-: this is no build file: it is not text in UTF-8") from None


if __name__ == "__main__":
    main()
