"""The figures of a pack for other programs: JSON in SI units, and tables for a spreadsheet.

In the tables lengths are feet or metres and temperatures F or C by the build's habit; the unit is
in the heading. No cell is a formula.
"""

import json
from collections.abc import Iterable, Sequence

from msgspec import to_builtins
from msgspec.json import format as indented

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.csv_cells import Cell, cell_text, written
from domain.full_results import thinned
from domain.money.shopping_tables import MATERIAL_TITLES, material_cells, sheet_rows
from domain.topics.cut_list import end
from domain.topics.readings import probes
from domain.topics.runs import run_rows
from domain.units.unit_table import FOOT
from domain.work_order import work_order
from storage.pack.pack_context import Pack
from storage.transfer import PACK, export_build

VERSION = 1


def data_files(pack: Pack, stem: str) -> dict[str, bytes]:
    """The files by name."""
    return {
        f"{stem}.json": json_text(pack).encode("utf-8", errors="replace"),
        f"{stem}-runs.csv": _csv(run_rows(pack.subject)),
        f"{stem}-materials.csv": _csv(_materials(pack)),
        f"{stem}-cuts.csv": _csv(_cuts(pack)),
        f"{stem}-sheets.csv": _csv(sheet_rows(pack.build, pack.sheets)),
        f"{stem}-readings.csv": _csv(_readings(pack)),
    }


def json_text(pack: Pack) -> str:
    """The build as exported, every result in SI units, the cut list and the work order."""
    results = to_builtins(thinned(pack.results))
    document = {
        "format": PACK,
        "version": VERSION,
        "revision": pack.revision,
        "date": pack.date,
        "build": json.loads(export_build(pack.build)),
        **results,
        "cut_list": to_builtins(pack.cuts),
        "sheets": [to_builtins(each) for each in pack.sheets],
        "work_order": [to_builtins(step) for step in work_order(pack.build, pack.sheet)],
    }
    # The standard library writes indented text in Python, letter by letter.
    return indented(json.dumps(document, allow_nan=False), indent=1) + "\n"


def _csv(rows: Iterable[Sequence[Cell]]) -> bytes:
    text = written([*map(cell_text, row)] for row in rows)
    # The mark tells spreadsheets that it is UTF-8.
    return ("\ufeff" + text).encode("utf-8", errors="replace")


def _length(build: Build, length_m: float | None) -> float | None:
    if length_m is None or build.header.units is not UnitHabit.INCH:
        return length_m
    return length_m / FOOT.factor


def _unit(build: Build) -> str:
    return "ft" if build.header.units is UnitHabit.INCH else "m"


def _materials(pack: Pack) -> Iterable[Sequence[Cell]]:
    yield MATERIAL_TITLES
    for line in pack.sheet.materials:
        yield material_cells(pack.build, line)


def _cuts(pack: Pack) -> Iterable[Sequence[Cell]]:
    yield (
        *("run", "piece", "of", "wire", "size", f"cut {_unit(pack.build)}", "measured"),
        *("label", "near end", "far end"),
    )
    for group in pack.cuts.groups:
        for piece in group.pieces:
            yield (
                *(piece.run, piece.number, piece.of, piece.item, piece.size),
                *(_length(pack.build, piece.cut_m), "no" if piece.assumed else "yes"),
                *(piece.label, end(piece.near), end(piece.far)),
            )


def _readings(pack: Pack) -> Iterable[Sequence[Cell]]:
    yield "no", "state", "at", "name", "probes", "should be V", "tolerance V", "read V"
    for each in pack.results.readings.predicted:
        how = probes(pack.subject, each)
        yield (
            *(each.order, each.mode.value, each.at, pack.name(each.at), how),
            *(each.predicted_v, each.tolerance_v, None),
        )
