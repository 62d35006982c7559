"""The run schedule and the bill of materials as one CSV file for a spreadsheet; the drive too.

Figures are plain numbers with their unit in the column's heading; no text is run as a formula.
"""

import csv
import io

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.csv_cells import Cell, cell_text
from domain.document.records import label
from domain.money.shopping_tables import FOOT_M, MATERIAL_TITLES, material_cells
from domain.sheet import DriveResult, RunResult, Sheet


def csv_tables(build: Build, sheet: Sheet) -> str:
    """Both tables as CSV; the first column names the section, whose first row is its header.

    Lengths are feet or metres and temperatures F or C by the build's habit.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    inch = build.header.units is UnitHabit.INCH
    rows = [_run_titles(inch), *(_run(build, run, inch) for run in sheet.runs)]
    writer.writerows(["run schedule", *map(cell_text, row)] for row in rows)
    rows = [MATERIAL_TITLES, *(material_cells(build, line) for line in sheet.materials)]
    writer.writerows(["bill of materials", *map(cell_text, row)] for row in rows)
    return out.getvalue()


def drive_table(build: Build, result: DriveResult) -> str:
    """Every step of a drive profile as CSV, one header row; charge is 0 to 1."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    batteries = [battery.id for battery in build.batteries]
    titles = ["time s", "leg", "post V", "lowest V", *(f"charge {id}" for id in batteries)]
    writer.writerow([*titles, "alternator A", "battery A", "loads A", "off"])
    for point in result.points:
        cells: list[Cell] = [point.time_s, label(build, point.leg), point.post_v, point.lowest_v]
        cells += [point.charge[id] for id in batteries]
        cells += [point.alternator_a, point.battery_a, point.load_a]
        writer.writerow(map(cell_text, [*cells, "; ".join(label(build, id) for id in point.off)]))
    return out.getvalue()


def _run_titles(inch: bool) -> list[Cell]:
    length, degree = ("ft", "F") if inch else ("m", "C")
    return [
        "id",
        "run",
        "side",
        "from",
        "to",
        f"length {length}",
        f"wire with slack {length}",
        "gauge",
        "gauge set by",
        "area mm2",
        "metal",
        "ampacity A",
        "fuse A",
        "fuse set by",
        "fuse family",
        f"fuse at {length}",
        "full tone A",
        "programme A",
        "drop V",
        "heat W",
        f"temperature {degree}",
    ]


def _run(build: Build, run: RunResult, inch: bool) -> list[Cell]:
    fused = run.fuse_a is not None
    return [
        run.id,
        run.name,
        run.polarity,
        label(build, run.source),
        label(build, run.target),
        _length(run.length_m, inch),
        _length(run.wire_m, inch),
        run.gauge,
        _set_by(run.gauge_auto),
        run.area_mm2,
        run.metal,
        run.ampacity_a,
        run.fuse_a,
        _set_by(run.fuse_auto) if fused else "",
        run.fuse_family if fused else "",
        _length(run.fuse_distance_m, inch),
        run.design_a,
        run.programme_a,
        run.drop_v,
        run.heat_w,
        run.temperature_c * 1.8 + 32 if inch else run.temperature_c,
    ]


def _length(length_m: float | None, inch: bool) -> float | None:
    return length_m / FOOT_M if inch and length_m is not None else length_m


def _set_by(auto: bool) -> str:
    return "auto" if auto else "pinned"
