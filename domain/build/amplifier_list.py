"""A list of amplifiers as one edit: rows of a spreadsheet, pasted or from a CSV file.

A row is one amplifier: its name, its power as it is typed in the power cell, the length of its
feed and that of its ground wire. Where the first row names the columns, they may stand in any
order; else the first cell that is a power is the power, the lengths follow it, and what stands
before it is the name.
"""

import csv
from collections.abc import Sequence

from domain.build import actions
from domain.build.amplifier_power import parse_power
from domain.build.choices import Polarity
from domain.build.edits import Batch, Edit, SetField
from domain.build.fields import parse_field
from domain.build.lengths import run_length
from domain.build.records import Build
from domain.units.parse import UnitError

MOST_ROWS = 64
"""Amplifiers that are taken at once."""

_COLUMNS = {
    "name": ("name", "amplifier", "amp"),
    "power": ("power", "power w", "watts", "w", "rms", "rated"),
    "feed": ("length", "feed", "feed length", "wire", "power wire"),
    "ground": ("ground", "ground length", "ground wire", "earth"),
}
"""What a heading may be called."""

_ORDER = ("power", "feed", "ground")


def cells_of_text(text: str) -> list[list[str]]:
    """Rows of cells from a CSV file or a spreadsheet: cells parted by tabs, semicolons or commas.

    A decimal comma needs one of the other separators. Lines may end as on any system; a terminal
    sends what is pasted with carriage returns. ``UnitError`` for text that is no rows of cells.
    """
    lines = text.lstrip("\ufeff").splitlines()
    first = next((line for line in lines if line.strip()), "")
    separator = next((mark for mark in "\t;" if mark in first), ",")
    try:
        rows = [[cell.strip() for cell in row] for row in csv.reader(lines, delimiter=separator)]
    except csv.Error as error:
        raise UnitError(
            f"it cannot be read as rows of cells ({error}); copy the rows from a spreadsheet"
        ) from None
    return [row for row in rows if any(row)]


def add_amplifiers(build: Build, rows: Sequence[Sequence[str]]) -> Batch:
    """The edit that adds an amplifier for each row, with its branch, fuse and ground.

    ``UnitError`` names the row that cannot be taken: then none is.
    """
    names = _headings(rows[0]) if rows else None
    body = rows[1:] if names else rows
    if not 1 <= len(body) <= MOST_ROWS:
        raise UnitError(f"1 to {MOST_ROWS} rows of amplifiers are wanted; there are {len(body)}")
    edits: list[Edit] = []
    for number, cells in enumerate(body, 2 if names else 1):
        try:
            made = _amplifier(build, _sorted(cells, names))
        except ValueError as error:
            raise UnitError(f"row {number}: {error}") from None
        edits += made
        build = actions.applied(build, *made)
    many = "an amplifier" if len(body) == 1 else f"{len(body)} amplifiers"
    return Batch(edits=tuple(edits), label=f"add {many} from a list")


def _headings(cells: Sequence[str]) -> list[str] | None:
    """What each column holds, where the first row says so."""
    found = [
        next((key for key, words in _COLUMNS.items() if cell.casefold() in words), "")
        for cell in cells
    ]
    return found if "power" in found else None


def _sorted(cells: Sequence[str], names: Sequence[str] | None) -> dict[str, str]:
    """The cells of a row by what they hold."""
    if names is not None:
        return {name: cell for name, cell in zip(names, cells, strict=False) if name and cell}
    filled = [cell for cell in cells if cell]
    place = next((n for n, cell in enumerate(filled) if _is_power(cell)), None)
    if place is None:
        raise UnitError(f"no power in '{' '.join(filled)[:30]}'; one is wanted such as 4x75 or 500")
    found = {"name": " ".join(filled[:place])} if place else {}
    return found | dict(zip(_ORDER, filled[place:], strict=False))


def _is_power(cell: str) -> bool:
    try:
        parse_power(cell)
    except ValueError:
        return False
    return True


def _amplifier(build: Build, given: dict[str, str]) -> list[Edit]:
    if "power" not in given:
        raise UnitError("no power; one is wanted such as 4x75 or 500")
    values = parse_power(given["power"])
    if "name" in given:
        values["name"] = parse_field(build, "amplifiers", "name", given["name"])
    edits: list[Edit] = [actions.add_amplifier(build, **values)]
    after = actions.applied(build, *edits)
    had = {run.id for run in build.runs}
    for run in after.runs:
        text = given.get("feed" if run.polarity is Polarity.POSITIVE else "ground", "")
        if run.id not in had and text:
            length = run_length(after, run, text)
            edits.append(SetField(table="runs", id=run.id, field="length_m", value=length))
    return edits
