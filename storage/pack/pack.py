"""The pack: everything printed for a build in one PDF, with its figures as data files beside it."""

from collections.abc import Callable
from pathlib import Path

from msgspec.structs import replace

from domain.build.dialect import speech_of
from domain.cable.cut_list import cut_list
from domain.checks.cautions import DRILLS_OR_ROUTES, high_voltage
from domain.fabrication.nesting.cut_sheets import SheetCutList, cut_lists
from domain.findings import Level
from domain.full_results import FullResults, kick_drum
from domain.materials.bill import with_sheets
from domain.plan import Plan
from storage.errors import TransferError
from storage.pack.contents import DATA, FULL_HARNESS, LABEL_STOCKS, NAMES, PAGES
from storage.pack.data import data_files
from storage.pack.file_set import file_stem, write_all
from storage.pack.harness.full_size import full_size
from storage.pack.harness.page import harness
from storage.pack.ink import Ink
from storage.pack.pack_context import Money, Pack
from storage.pack.pages import Paper
from storage.pack.sections.cuts import cuts
from storage.pack.sections.diagram import diagram
from storage.pack.sections.findings import findings
from storage.pack.sections.fuses import fuses
from storage.pack.sections.grounds import grounds
from storage.pack.sections.label_tape import label_tape
from storage.pack.sections.labels import labels
from storage.pack.sections.materials import materials
from storage.pack.sections.parts import parts
from storage.pack.sections.protection import protection
from storage.pack.sections.quote import quote
from storage.pack.sections.readings import readings
from storage.pack.sections.runs import runs
from storage.pack.sections.summary import contents, summary
from storage.pack.sections.supply import supply
from storage.pack.sections.templates import templates
from storage.pack.sections.work import work
from storage.pack.tiles import PAPERS

_DRAWN: dict[str, Callable[[Pack, Paper], None]] = {
    "summary": summary,
    "findings": findings,
    "work": work,
    "diagram": diagram,
    "runs": runs,
    "harness": harness,
    "fuses": fuses,
    "grounds": grounds,
    "materials": materials,
    "cuts": cuts,
    "labels": labels,
    "parts": parts,
    "readings": readings,
    "supply": supply,
    "protection": protection,
    "quote": quote,
    "templates": templates,
}
"""What draws each of the pages."""

_NESTING = 0.1
"""Share of the progress bar given to laying out the sheets."""

Progress = Callable[[float, str], bool]
"""Called with the share done (0 to 1) and the current step; returns false to cancel."""


class PackCancelled(Exception):
    """The pack was cancelled while it was being made. Nothing was written."""


def write_pack(
    plan: Plan,
    results: FullResults,
    folder: Path,
    *,
    paper: str,
    revision: str = "",
    date: str = "",
    only: frozenset[str] | None = None,
    progress: Progress | None = None,
    money: Money | None = None,
    labels_on: str = "",
    harness_on: str = "",
    replace: bool = True,
) -> list[Path]:
    """Write the pack into the folder, made if it is missing; the paths, the PDF first.

    ``paper`` is "letter" or "a4", ``results`` what follows from the plan; ``revision`` and ``date``
    are printed as given. ``only`` are names out of ``NAMES``; without it all are in, the quote,
    the harness and custom parts where there are any. ``labels_on`` names what a label printer
    prints on, out of ``LABEL_STOCKS``: with the labels goes a file of them for it; ``harness_on``,
    out of ``FULL_HARNESS``: with the harness goes a file of it 1:1.

    Everything is written or nothing: raises ``TransferError``
    for an unknown section or paper size, for a folder that cannot be written to or, unless it
    may ``replace`` them, holds such files, and ``PackCancelled``; earlier packs are then as they
    were.
    """
    files = pack_files(
        plan,
        results,
        paper=paper,
        revision=revision,
        date=date,
        only=only,
        progress=progress,
        money=money,
        labels_on=labels_on,
        harness_on=harness_on,
    )
    _watch(progress, 0.97, "Writing")
    paths = write_all(folder, files, replace=replace)
    if progress is not None:
        progress(1.0, "Done")
    return paths


def pack_files(
    plan: Plan,
    results: FullResults,
    *,
    paper: str,
    revision: str = "",
    date: str = "",
    only: frozenset[str] | None = None,
    progress: Progress | None = None,
    money: Money | None = None,
    labels_on: str = "",
    harness_on: str = "",
) -> dict[str, bytes]:
    """The files of a pack by name, not yet written; raises what ``write_pack`` raises."""
    build, size = plan.build, paper.casefold()
    if size not in PAPERS:
        raise TransferError(f"there is no paper {paper}: choose {' or '.join(PAPERS)}")
    unknown = sorted((only or frozenset()) - set(NAMES))
    if unknown:
        raise TransferError(f"a pack has no {', '.join(unknown)}: choose from {', '.join(NAMES)}")
    if labels_on and labels_on not in LABEL_STOCKS:
        known = ", ".join(LABEL_STOCKS)
        raise TransferError(f"there are no labels {labels_on}: choose from {known}")
    if harness_on and harness_on not in FULL_HARNESS:
        known = ", ".join(FULL_HARNESS)
        raise TransferError(f"there is no harness {harness_on}: choose from {known}")
    if only is not None and not only:
        raise TransferError(f"nothing was chosen: choose at least one of {', '.join(NAMES)}")
    _watch(progress, 0.0, "Cut list")
    sheets = _sheets(plan, progress)
    # What is bought is what is laid out below, not the quick layout that follows every edit.
    results = replace(results, sheet=with_sheets(build, results.sheet, sheets))
    pack = Pack(
        build=build,
        results=results,
        solved=plan.solved,
        sheets=sheets,
        cuts=cut_list(build, results.sheet, money.spools if money else None),
        paper=size,
        revision=revision,
        date=date,
        estimate=money.estimate if money else None,
    )
    chosen = [name for name in PAGES if _wanted(name, pack, only)]
    if "supply" in chosen:
        pack = replace(pack, kick=kick_drum(plan))
    stem = file_stem("pack", build.header.title)
    stem += f"-{file_stem('revision', revision)}" if revision else ""
    files = {}
    if chosen:
        files[f"{stem}-{size}.pdf"] = _pdf(pack, chosen, progress)
    if labels_on and "labels" in chosen and pack.cuts.labels:
        files[f"{stem}-labels-{labels_on}mm.pdf"] = label_tape(pack, labels_on)
    if harness_on and "harness" in chosen:
        files[f"{stem}-harness-full-size.pdf"] = full_size(pack)
    if only is None or DATA in only:
        _watch(progress, 0.94, "Data")
        files |= data_files(pack, stem)
    return files


def _sheets(plan: Plan, progress: Progress | None) -> tuple[SheetCutList, ...]:
    """The sheets to cut, with the full layout."""
    told, stopped = 0.0, False

    def report(done: int, total: int) -> None:
        nonlocal told, stopped
        share = _NESTING * done / total
        if progress is not None and share >= told + _NESTING / 20:
            told = share
            stopped = stopped or not progress(share, "Sheets to cut")

    lists = cut_lists(plan.build, plan.sheet.parts, progress=report, cancelled=lambda: stopped)
    if stopped:
        raise PackCancelled
    return lists


def _wanted(name: str, pack: Pack, only: frozenset[str] | None) -> bool:
    if only is not None:
        return name in only
    if name == "quote":
        return pack.estimate is not None
    if name == "harness":
        return bool(pack.build.sections)
    return bool(pack.build.parts) or name not in ("parts", "templates")


def _pdf(pack: Pack, chosen: list[str], progress: Progress | None) -> bytes:
    ink = Ink(pack.title, *PAPERS[pack.paper], speech_of(pack.build))
    paper = Paper(ink, pack.paper, pack.title, _foot(pack))
    titles = [PAGES[name] for name in chosen]
    for number, name in enumerate(chosen):
        title = PAGES[name]
        _watch(progress, _NESTING + (0.9 - _NESTING) * number / len(chosen), title)
        # Templates fill their pages themselves.
        if name != "templates":
            paper.section(title)
        if name in DRILLS_OR_ROUTES and (caution := high_voltage(pack.build)):
            paper.words(caution)
        _DRAWN[name](pack, paper)
        if name == "summary":
            contents(paper, titles[1:])
    paper.end()
    _watch(progress, 0.9, "PDF")
    return ink.close()


def _foot(pack: Pack) -> str:
    """Revision and date, and a warning on every page while a STOP is open."""
    stops = pack.sheet.count(Level.STOP)
    unsettled = f"STOP: {stops} to settle first, see Findings" if stops else ""
    return ", ".join(filter(None, (pack.stand or "no revision", unsettled)))


def _watch(progress: Progress | None, share: float, what: str) -> None:
    if progress is not None and not progress(share, what):
        raise PackCancelled
