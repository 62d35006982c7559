"""The commands that look closer: two builds compared, one figure worked out, the drive, readings.

They end as those of ``tui.commands.main`` do; what they need is imported when they run.
"""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tui.commands.choosing import Options, key_of, open_store, planned
from tui.commands.exits import Refused
from tui.commands.printing import BuildArgument, draws, print_text, progress_line, write_out

MOST_BESIDE = 6
"""Builds that fit side by side."""


CROSSOVERS_HZ = 20, 1000
"""Between these the bass of a piece of music may end [Hz]."""


class DriveFormat(StrEnum):
    """How a drive profile is printed."""

    TEXT = "text"
    CSV = "csv"
    JSON = "json"


def compare(
    context: typer.Context,
    build: Annotated[str, typer.Argument(metavar="A", help="One build.")],
    other: Annotated[str, typer.Argument(metavar="B", help="The build beside it.")],
    more: Annotated[
        list[str] | None, typer.Argument(metavar="[C ...]", help="Further ones: figures alone.")
    ] = None,
) -> None:
    """Print builds side by side: copper, drop, fuses, findings, the kick drum."""
    from domain.full_results import kick_drum
    from storage.store.shelf import ShopCatalogue
    from tui.report.compare import comparison, side_by_side

    if more and len(more) > MOST_BESIDE - 2:
        raise Refused(f"{MOST_BESIDE} builds at most fit side by side")
    plans = [planned(context.obj, each) for each in (build, other, *(more or ()))]
    with open_store(context.obj) as store:
        items = ShopCatalogue(store).items()
    kicks = [kick_drum(plan) for plan in plans]
    both = [(plan.build, plan.sheet) for plan in plans]
    told = side_by_side(both, items, kicks) if more else comparison(both[0], both[1], items, kicks)
    print_text(told, *(plan.build for plan in plans))


def workings(
    context: typer.Context,
    build: BuildArgument,
    figure_id: Annotated[
        str,
        typer.Argument(metavar="FIGURE_ID", help="As r4, a1, cruise-tone, supply or m1."),
    ],
    field: Annotated[
        str | None, typer.Argument(metavar="[FIELD]", help="As drop_v; none lists what there is.")
    ] = None,
) -> None:
    """Print how a figure came about: formula, inputs, source."""
    from tui.report.workings import UnknownFigure, fields_of, working_of

    plan = planned(context.obj, build)
    try:
        lines = fields_of(plan, figure_id) if field is None else working_of(plan, figure_id, field)
    except UnknownFigure as error:
        raise Refused(str(error)) from None
    print_text("\n".join(lines), plan.build)


def drive(
    context: typer.Context,
    build: BuildArgument,
    format: Annotated[
        DriveFormat, typer.Option(metavar="text|csv|json", help="How to print it.")
    ] = DriveFormat.TEXT,
) -> None:
    """Print the trip step by step; csv and json have every step."""
    from domain.full_results import drive_profile
    from tui.report import drive

    plan = planned(context.obj, build)
    found = plan.build
    if not found.legs:
        raise Refused(
            f"{found.header.title!r} has no trip: add stages to it (idle, drive, park), "
            "then try again"
        )
    with progress_line("trip") as progress:
        result = drive_profile(plan, progress)
    assert result is not None
    if format is DriveFormat.CSV:
        from tui.report.spreadsheet import drive_table

        write_out(drive_table(found, result))
    elif format is DriveFormat.JSON:
        import json

        from msgspec import to_builtins

        print(json.dumps(to_builtins(result), indent=2, allow_nan=False))
    else:
        from domain.topics.tables import Subject
        from tui.report.plain import wrap

        lines = wrap(found.header.title or "Untitled build")
        lines += drive.drive(Subject(found, plan.sheet), result, draws())
        print_text("\n".join(lines), found)


def kick(
    context: typer.Context,
    build: BuildArgument,
    music: Annotated[
        str | None,
        typer.Option("--music", metavar="FILE", help="A piece of music instead: WAV or FLAC."),
    ] = None,
    crossover: Annotated[
        str | None, typer.Option(metavar="HZ", help="Where the bass of it ends, 20 to 1000; 80.")
    ] = None,
    take: Annotated[
        bool, typer.Option("--take", help="Plan the build with the music's average from now on.")
    ] = False,
) -> None:
    """Print what the kick drum, or a piece of music, does to headlamps and amplifiers."""
    if music is not None:
        hertz = None if crossover is None else _crossover_hz(crossover)
        _music(context.obj, build, music, hertz, take)
        return
    if crossover is not None or take:
        raise Refused("--crossover and --take go with --music FILE")
    from domain.full_results import kick_drum
    from domain.topics.tables import Subject
    from tui.report import kick
    from tui.report.plain import wrap

    plan = planned(context.obj, build)
    study = kick_drum(plan)
    if study is None:
        title = plan.build.header.title
        raise Refused(f"no battery of {title!r} feeds an amplifier: there is no kick to follow")
    lines = wrap(plan.build.header.title or "Untitled build")
    lines += kick.kick(Subject(plan.build, plan.sheet), study, draws())
    print_text("\n".join(lines), plan.build)


def _crossover_hz(text: str) -> float:
    """The crossover that is typed [Hz]."""
    from tui.widgets.cell_text import cut

    try:
        hertz = float(text.casefold().removesuffix("hz").strip())
    except ValueError:
        hertz = 0.0
    least, most = CROSSOVERS_HZ
    if not least <= hertz <= most:
        raise Refused(f"--crossover takes {least} to {most} Hz, as 80, not {cut(text, 40)!r}")
    return hertz


def _music(options: Options, wanted: str, file: str, crossover: float | None, take: bool) -> None:
    """A piece of music on a build: printed, and its average taken if that is asked for."""
    from domain.topics.kick.song import level_edit, noted, percent
    from domain.topics.tables import Subject
    from storage.music import judged_music
    from tui.report import music
    from tui.report.plain import wrap
    from tui.workbench import Workbench

    with open_store(options) as store:
        key = key_of(store, wanted)
        opened = store.open(key)
        bench = Workbench(store, key, opened.document, opened.revision)
        plan, header = bench.plan, bench.build.header
        with progress_line("music") as progress:
            found = judged_music(Path(file).expanduser(), plan, crossover, progress)
        lines = wrap(header.title or "Untitled build")
        subject = Subject(plan.build, plan.sheet)
        lines += music.song(subject, found)
        if take:
            try:
                bench.do(level_edit(found.study, noted(subject, found.study, found.file)))
            except ValueError as error:
                raise Refused(f"the average of {file} is not taken: {error}") from None
            level = percent(subject, round(found.study.average, 3))
            lines += ["", f"The build is planned with {level} on average now; undo takes it back."]
    print_text("\n".join(lines), plan.build)


def readings(context: typer.Context, build: BuildArgument) -> None:
    """Print what a meter should show, and judge what it showed."""
    from domain.full_results import readings_of
    from domain.topics.tables import Subject
    from tui.report.readings import check_list

    plan = planned(context.obj, build)
    subject = Subject(plan.build, plan.sheet)
    print_text("\n".join(check_list(subject, readings_of(plan))), plan.build)
