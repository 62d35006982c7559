"""Where figures are from: the keys of the reference tables and what they stand for."""

import csv
import re
from functools import cache, lru_cache
from pathlib import Path

from domain.workings.working import Input

ENTERED = "entered"
"""Source of a figure that the user gave."""

PRACTICE = "common practice"

_FOLDER = Path(__file__).parents[1] / "reference"

LAWS = "LIEC-DC"
"""Ohm's law, Joule's law and both of Kirchhoff's laws: a text book of direct current."""

GEOMETRY = "exact"


@cache
def publications() -> dict[str, str]:
    """Source key -> the publication it stands for; "" where only a table row has the key."""
    found: dict[str, str] = {}
    for line in (_FOLDER / "SOURCES.md").read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if len(cells) == 3 and cells[0] not in ("key", "---"):
            found |= dict.fromkeys(cells[0].split(", "), cells[1])
    for file in sorted(_FOLDER.glob("*.csv")):
        for row in _read(file.stem):
            for key in row["source"].split("+"):
                found.setdefault(key, "")
    return found


def parts(source: str) -> list[str]:
    """The single sources of a source text."""
    return re.split(r"\s*\+\s*", source)


def cite(*sources: str) -> str:
    """Several sources as one, each named once."""
    return " + ".join(dict.fromkeys(part for source in sources if source for part in parts(source)))


def row_source(table: str, **cells: str) -> str:
    """The sources of the rows of a table that hold these cells; ``KeyError`` where none does."""
    found = [
        row["source"]
        for row in _rows(table)
        if all(row[column] == value for column, value in cells.items())
    ]
    if not found:
        raise KeyError(f"{table}: {cells}")
    return cite(*found)


def plan(symbol: str, name: str) -> Input:
    """A planning value as an input, with the meaning and unit of its row."""
    row = next(row for row in _rows("planning_values") if row["name"] == name)
    return Input(symbol, row["meaning"], float(row["value"]), row["unit"])


def plan_source(*names: str) -> str:
    """The sources of planning values."""
    return cite(*(row_source("planning_values", name=name) for name in names))


def _read(table: str) -> tuple[dict[str, str], ...]:
    file = _FOLDER / f"{table}.csv"
    return tuple(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))


_rows = lru_cache(maxsize=8)(_read)
"""The rows of a table; of some fifty, those are kept that were asked for last."""
