"""A list of amplifiers as one edit: rows of a spreadsheet, pasted or from a CSV file.

A row is one amplifier: its name, its power as it is typed in the power cell, the length of its
feed and that of its ground wire. Where the first row names the columns, they may stand in any
order; else they stand in this one. The name may be left out, or stand in more than one column
where the power is told by its W: a bare number further on is a length, also where the power
before it cannot be read.
"""

import csv
from collections.abc import Sequence

from msgspec import Struct

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

_WANTED = "one is wanted such as 4x75 or 500"

_AS_THEY_STAND = "columns: name, power, feed, ground"


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
    places = _headings(rows[0]) if rows else None
    body = rows[1:] if places else rows
    if not 1 <= len(body) <= MOST_ROWS:
        raise UnitError(f"1 to {MOST_ROWS} rows of amplifiers are wanted; there are {len(body)}")
    known = _places(body) if places is None else places
    edits: list[Edit] = []
    for number, cells in enumerate(body, 2 if places else 1):
        made = _amplifier(build, _Row(number, cells, known, named=places is not None))
        edits += made
        build = actions.applied(build, *made)
    many = "an amplifier" if len(body) == 1 else f"{len(body)} amplifiers"
    return Batch(edits=tuple(edits), label=f"add {many} from a list")


def _headings(cells: Sequence[str]) -> dict[str, slice] | None:
    """Where each column stands, where the first row says so."""
    found: dict[str, slice] = {}
    for place, cell in enumerate(cells):
        for key, words in _COLUMNS.items():
            if cell.casefold() in words:
                found.setdefault(key, slice(place, place + 1))
    return found if "power" in found else None


def _places(rows: Sequence[Sequence[str]]) -> dict[str, slice]:
    """Where each column stands, where nothing says so: one place for all rows."""
    power = 1
    if all(_is_power(row[0]) for row in rows):
        power = 0
    elif not any(_is_power(cell) for row in rows for cell in row[1:2]):
        said = (n for row in rows for n, cell in enumerate(row) if n > 1 and _says_watts(cell))
        power = min(said, default=1)
    places = {key: slice(power + n, power + n + 1) for n, key in enumerate(_ORDER)}
    return {"name": slice(0, power), **places}


def _is_power(cell: str) -> bool:
    """Whether it reads as a power, be it of no amplifier."""
    try:
        parse_power(cell, least_w=0)
    except ValueError:
        return False
    return True


def _says_watts(cell: str) -> bool:
    """Whether it is a power by what it says: "4x75" may also be four wires of that length."""
    return _is_power(cell) and not {"w", "+"}.isdisjoint(cell.casefold())


class _Row(Struct):
    """One row, with what each of its cells is."""

    number: int
    cells: Sequence[str]
    places: dict[str, slice]
    named: bool
    """Whether a first row names the columns."""

    def text(self, key: str) -> str:
        """What stands there; "" for nothing."""
        return " ".join(filter(None, self.cells[self.places.get(key, slice(0))]))

    def error(self, key: str, why: str) -> UnitError:
        """Why what stands there cannot be taken."""
        return UnitError(f"row {self.number}, column {self.places[key].start + 1}: {why}")


def _amplifier(build: Build, row: _Row) -> list[Edit]:
    power = row.text("power")
    try:
        values = parse_power(power)
    except ValueError as error:
        why = f"no power; {_WANTED}" if not power else str(error)
        raise row.error("power", why if row.named else f"{why}; {_AS_THEY_STAND}") from None
    if name := row.text("name"):
        try:
            values["name"] = parse_field(build, "amplifiers", "name", name)
        except ValueError as error:
            raise row.error("name", str(error)) from None
    try:
        edits: list[Edit] = [actions.add_amplifier(build, **values)]
        after = actions.applied(build, *edits)
    except ValueError as error:
        raise UnitError(f"row {row.number}: {error}") from None
    had = {run.id for run in build.runs}
    for run in after.runs:
        key = "feed" if run.polarity is Polarity.POSITIVE else "ground"
        text = row.text(key)
        if run.id not in had and text:
            try:
                length = run_length(after, run, text)
            except ValueError as error:
                raise row.error(key, str(error)) from None
            edits.append(SetField(table="runs", id=run.id, field="length_m", value=length))
    return edits
