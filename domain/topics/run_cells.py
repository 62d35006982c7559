"""The run schedule for a spreadsheet: plain numbers with their unit in the heading.

Lengths are feet or metres and temperatures F or C by the build's habit.
"""

from collections.abc import Callable

from domain.build.choices import UnitHabit
from domain.csv_cells import Cell
from domain.sheet import RunResult
from domain.topics.tables import Subject
from domain.units.gauges import gauge_text
from domain.units.table import FOOT

_Of = Callable[[Subject, RunResult], Cell]

_PLAIN, _LENGTH, _TEMPERATURE = "", "length", "temperature"


def _loom(subject: Subject, run: RunResult) -> str:
    return next((loom.name for loom in subject.sheet.looms if run.id in loom.runs), "")


def _yes(flag: bool) -> str:
    return "yes" if flag else "no"


def _set_by(auto: bool) -> str:
    return "auto" if auto else "pinned"


_COLUMNS: tuple[tuple[str, str, _Of], ...] = (
    ("id", _PLAIN, lambda s, r: r.id),
    ("run", _PLAIN, lambda s, r: r.name),
    ("side", _PLAIN, lambda s, r: r.polarity),
    ("from", _PLAIN, lambda s, r: s.name(r.source)),
    ("to", _PLAIN, lambda s, r: s.name(r.target)),
    ("length", _LENGTH, lambda s, r: r.length_m),
    ("wire with slack", _LENGTH, lambda s, r: r.wire_m),
    ("measured", _PLAIN, lambda s, r: _yes(not r.length_auto)),
    ("gauge", _PLAIN, lambda s, r: gauge_text(r.gauge)),
    ("gauge set by", _PLAIN, lambda s, r: _set_by(r.gauge_auto)),
    ("area mm2", _PLAIN, lambda s, r: r.area_mm2),
    ("metal", _PLAIN, lambda s, r: r.metal),
    ("conductor kg", _PLAIN, lambda s, r: r.conductor_kg),
    ("ampacity A", _PLAIN, lambda s, r: r.ampacity_a),
    ("fuse A", _PLAIN, lambda s, r: r.fuse_a),
    ("fuse set by", _PLAIN, lambda s, r: "" if r.fuse_a is None else _set_by(r.fuse_auto)),
    ("fuse family", _PLAIN, lambda s, r: "" if r.fuse_a is None else r.fuse_family),
    ("fuse at", _LENGTH, lambda s, r: r.fuse_distance_m),
    ("full tone A", _PLAIN, lambda s, r: r.design_a),
    ("programme A", _PLAIN, lambda s, r: r.programme_a),
    ("drop V", _PLAIN, lambda s, r: r.drop_v),
    ("heat W", _PLAIN, lambda s, r: r.heat_w),
    ("temperature", _TEMPERATURE, lambda s, r: r.temperature_c),
    ("existing", _PLAIN, lambda s, r: _yes(r.existing)),
    ("loom", _PLAIN, _loom),
    ("lie together", _PLAIN, lambda s, r: r.bundle),
)


def run_rows(subject: Subject) -> list[list[Cell]]:
    """A row of headings, then a row for every run."""
    inch = subject.build.header.units is UnitHabit.INCH
    units = {_PLAIN: "", _LENGTH: "ft" if inch else "m", _TEMPERATURE: "F" if inch else "C"}
    rows: list[list[Cell]] = [[f"{title} {units[kind]}".rstrip() for title, kind, _ in _COLUMNS]]
    for run in subject.sheet.runs:
        rows.append([_in_units(kind, of(subject, run), inch) for _, kind, of in _COLUMNS])
    return rows


def _in_units(kind: str, cell: Cell, inch: bool) -> Cell:
    if not inch or not isinstance(cell, int | float):
        return cell
    if kind == _LENGTH:
        return cell / FOOT.factor
    return cell * 1.8 + 32 if kind == _TEMPERATURE else cell
