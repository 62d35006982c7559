"""A library of footprints as a CSV file: one row a stud, lengths in millimetres.

A row names the footprint that its stud belongs to; what was measured of the device stands in
the first row of each footprint, and may stand in the others. A footprint without studs has
one row with the cells of a stud empty.
"""

from decimal import Decimal

from domain.build.records import Build, Footprint, Stud
from domain.csv_cells import CsvRow, defused, number, refused, rows_under, written
from domain.document.records import MOST_RECORDS

_OF_DEVICE = {
    "mass kg": ("mass_kg", 1),
    "along mm": ("length_m", 1000),
    "across mm": ("width_m", 1000),
    "up mm": ("height_m", 1000),
    "foot mm": ("foot_m", 1000),
}
_OF_STUD = {
    "stud along mm": ("x_m", 1000),
    "stud up mm": ("y_m", 1000),
    "screw mm": ("screw_m", 1000),
}
COLUMNS = (
    "footprint",
    *_OF_DEVICE,
    "stud along mm",
    "stud up mm",
    "kind",
    "thread",
    "screw mm",
)
"""Header of the file."""

_STUD_CELLS = COLUMNS[-5:]


def footprints_csv(library: Build) -> str:
    """The footprints of a build, or of the library, as the text of a CSV file."""
    rows: list[list[str]] = []
    for footprint in library.footprints:
        device = [
            defused(footprint.name),
            *(_cell(getattr(footprint, name), by) for name, by in _OF_DEVICE.values()),
        ]
        studs = [stud for stud in library.studs if stud.footprint == footprint.id]
        rows += [[*device, *_stud_cells(stud)] for stud in studs]
        if not studs:
            rows.append([*device, *("" for _ in _STUD_CELLS)])
    return written([COLUMNS, *rows])


def read_footprints(text: str) -> Build:
    """The footprints in the text of a CSV file, as a library of them alone, in its order.

    Raises ``CsvRefused`` naming every bad line, having taken none.
    """
    problems: list[str] = []
    footprints: dict[str, tuple[int, Footprint]] = {}
    studs: list[Stud] = []
    rows = rows_under(text, COLUMNS)
    if len(rows) > MOST_RECORDS:
        raise refused([f"{len(rows)} rows, at most {MOST_RECORDS} are taken"])
    for line, row in rows:
        try:
            footprint = _footprint(row, line, footprints)
            if any(row[column].strip() for column in _STUD_CELLS):
                studs.append(_stud(row, f"u{len(studs) + 1}", footprint.id))
        except ValueError as error:
            problems.append(f"line {line}: {error}")
    if problems:
        raise refused(problems)
    return Build(footprints=tuple(each for _, each in footprints.values()), studs=tuple(studs))


def _footprint(row: CsvRow, line: int, known: dict[str, tuple[int, Footprint]]) -> Footprint:
    given = {column: row[column] for column in _OF_DEVICE if row[column].strip()}
    values = {_OF_DEVICE[column][0]: _value(row, column) for column in given}
    name = row["footprint"].strip()
    if not name:
        raise ValueError("footprint: a name is missing")
    read = Footprint.of({"id": f"f{len(known) + 1}", "name": name, **values})
    first, before = known.setdefault(read.name, (line, read))
    for column, (field, _) in _OF_DEVICE.items():
        if column in given and getattr(read, field) != getattr(before, field):
            raise ValueError(
                f"{column}: {given[column].strip()} here, but line {first} says "
                f"{_cell(getattr(before, field), _OF_DEVICE[column][1])} of the same hole pattern"
            )
    return before


def _stud(row: CsvRow, id: str, footprint: str) -> Stud:
    values: dict[str, object] = {
        field: _value(row, column) for column, (field, _) in _OF_STUD.items() if row[column].strip()
    }
    for column in ("kind", "thread"):
        if row[column].strip():
            values[column] = row[column].strip()
    for column in ("stud along mm", "stud up mm"):
        if _OF_STUD[column][0] not in values:
            raise ValueError(f"{column}: a number is missing")
    return Stud.of({"id": id, "footprint": footprint, **values})


def _stud_cells(stud: Stud) -> list[str]:
    screw = "" if stud.screw_m is None else _cell(stud.screw_m, 1000)
    return [
        _cell(stud.x_m, 1000),
        _cell(stud.y_m, 1000),
        stud.kind.value,
        defused(stud.thread),
        screw,
    ]


def _cell(value: float, by: int) -> str:
    """A number in the unit of its column, to the last digit."""
    shown = Decimal(repr(float(value))) * by
    return _plain(shown)


def _plain(value: Decimal) -> str:
    """A decimal without an exponent and without zeros behind."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _value(row: CsvRow, column: str) -> float:
    """The number of a cell in the record's unit; it may be negative."""
    by = {**_OF_DEVICE, **_OF_STUD}[column][1]
    text = row[column].strip()
    try:
        size = number(text.removeprefix("-"), semicolons=row.semicolons)
    except ValueError as error:
        raise ValueError(f"{column}: {error}") from None
    return float((-size if text.startswith("-") else size) / by)
