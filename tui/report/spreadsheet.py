"""The run schedule and the bill of materials as one CSV file for a spreadsheet; the drive too.

Figures are plain numbers with their unit in the column's heading; no text is run as a formula.
"""

import csv
import io

from domain.build.records import Build
from domain.csv_cells import Cell, cell_text
from domain.document.records import label
from domain.money.shopping_tables import MATERIAL_TITLES, material_cells
from domain.sheet import DriveResult, Sheet
from domain.topics.runs import run_rows
from domain.topics.tables import Subject


def csv_tables(build: Build, sheet: Sheet) -> str:
    """Both tables as CSV; the first column names the section, whose first row is its header.

    Lengths are feet or metres and temperatures F or C by the build's habit.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    rows = run_rows(Subject(build, sheet))
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
