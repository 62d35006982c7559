"""Reads the reference tables that ship beside the code, strictly.

A table is a small CSV file in ``domain/reference``. Every row carries ``source`` (a key of
``SOURCES.md`` there) and ``seen``: "read" where the figure stood in a copy that was read,
"memory" where it was written down without one.
"""

import csv
from pathlib import Path

MANDATORY = ("source", "seen")
"""Columns that every table has, beside its own."""


def load(name: str, columns: tuple[str, ...]) -> tuple[dict[str, str], ...]:
    """The rows of ``domain/reference/<name>.csv`` as dictionaries of text.

    It is read anew each time: whoever makes figures of the rows keeps those, not the text.
    ``columns`` are the table's own columns in any order, without ``source`` and ``seen``.
    Raises ``ValueError`` naming file and line when a column is missing or unknown, a row has
    too many or too few cells, ``source`` is empty, or ``seen`` is neither "read" nor "memory".
    """
    file = f"{name}.csv"
    text = (Path(__file__).parent / file).read_text(encoding="utf-8")
    return parse(text, file, columns)


def parse(text: str, file: str, columns: tuple[str, ...]) -> tuple[dict[str, str], ...]:
    """The rows of a table given as text; ``file`` is named in errors. Errors as ``load``."""
    lines = csv.reader(text.splitlines(), strict=True)
    rows: list[dict[str, str]] = []
    header: list[str] = []
    try:
        for cells in lines:
            if not header:
                header = cells
                _check_header(header, f"{file} line {lines.line_num}", {*columns, *MANDATORY})
                continue
            rows.append(_row(header, cells, f"{file} line {lines.line_num}"))
    except csv.Error as error:
        raise ValueError(f"{file} line {lines.line_num}: {error}") from error
    if not header:
        raise ValueError(f"{file} line 1: there is no header")
    return tuple(rows)


def _check_header(header: list[str], where: str, expected: set[str]) -> None:
    missing = sorted(expected - set(header))
    unknown = sorted(set(header) - expected)
    if missing:
        raise ValueError(f"{where}: missing columns: {', '.join(missing)}")
    if unknown:
        raise ValueError(f"{where}: unknown columns: {', '.join(unknown)}")
    if len(set(header)) != len(header):
        raise ValueError(f"{where}: a column is there twice")


def _row(header: list[str], cells: list[str], where: str) -> dict[str, str]:
    if len(cells) != len(header):
        raise ValueError(f"{where}: {len(cells)} cells under {len(header)} columns")
    row = dict(zip(header, cells, strict=True))
    if row["seen"] not in ("read", "memory"):
        raise ValueError(f'{where}: seen must be "read" or "memory", not {row["seen"]!r}')
    if not row["source"]:
        raise ValueError(f"{where}: source is empty")
    return row
