"""The template of a custom part: asks for paper and folder, and writes the files."""

from pathlib import Path
from typing import Any

from textual.app import App

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.document.records import label
from domain.visible_text import visible
from tui.dialogs.boxes import Ask, Pick
from tui.pages.long_work import Progress, Stopped
from tui.pages.writing import Work, WritingPage
from tui.report.plain import today
from tui.workbench import Workbench

PAPERS = (("letter", "Letter"), ("a4", "A4"))


MOST_PATH = 44
"""Cells of a folder in the list; of a longer one its end is told."""


def ask_for_template(app: App[Any], bench: Workbench, part: str) -> None:
    """Ask for paper and folder, then write template, drawing, SVG and DXF."""
    name = label(bench.build, part)
    here = str(Path.cwd())
    papers = papers_of(bench.build)
    shown = visible(here)
    shown = shown if len(shown) <= MOST_PATH else f"…{shown[-MOST_PATH:]}"
    options = [f"{title}, into {shown}" for _, title in papers]
    options += [f"{title}, into another folder" for _, title in papers]

    def write(paper: str, folder: str) -> None:
        work = template_work(bench.build, part, paper, folder, str(bench.revision))
        app.push_screen(WritingPage(f"Template of {name}", work))

    def picked(place: int | None) -> None:
        if place is None:
            return
        paper = papers[place % len(papers)][0]
        if place < len(papers):
            write(paper, here)
            return
        app.push_screen(
            Ask("Folder for the template; made if it is missing", here),
            lambda folder: write(paper, folder) if folder and folder.strip() else None,
        )

    app.push_screen(Pick(f"Template of {name}", options), picked)


def papers_of(build: Build) -> tuple[tuple[str, str], ...]:
    """Papers as (name, title), the one that goes with the build's units first."""
    return PAPERS if build.header.units is UnitHabit.INCH else PAPERS[::-1]


def template_work(build: Build, part: str, paper: str, folder: str, revision: str) -> Work:
    """Writes the files of a part; stopped before they are put in place, it writes none."""

    def work(progress: Progress) -> list[Path]:
        from storage.pack.file_set import write_all
        from storage.pack.template import template_files

        if not progress(0.05, "Drawing"):
            raise Stopped
        files = template_files(build, part, paper, revision=revision, date=today())
        if not progress(0.8, "Writing"):
            raise Stopped
        return write_all(folder_of(folder), files)

    return work


def folder_of(text: str) -> Path:
    """The folder that was typed; ``~`` is the user's own. ``ValueError`` for an unknown user."""
    try:
        return Path(text.strip()).expanduser()
    except RuntimeError as error:
        raise ValueError(f"there is no folder {text.strip()}: {error}") from None
