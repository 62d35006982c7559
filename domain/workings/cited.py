"""Where figures are from: the keys of the reference tables and what they stand for."""

import csv
import re
from functools import cache
from importlib import resources

from domain.workings.working import Input

ENTERED = "entered"
"""Source of a figure that the user gave."""

PRACTICE = "common practice"

LAWS = "LIEC-DC"
"""Ohm's law, Joule's law and both of Kirchhoff's laws: a text book of direct current."""

GEOMETRY = "exact"


@cache
def publications() -> dict[str, str]:
    """Source key -> the publication it stands for; "" where only a table row has the key."""
    folder = resources.files("domain.reference")
    found: dict[str, str] = {}
    for line in folder.joinpath("SOURCES.md").read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if len(cells) == 3 and cells[0] not in ("key", "---"):
            found |= dict.fromkeys(cells[0].split(", "), cells[1])
    for file in folder.iterdir():
        if file.name.endswith(".csv"):
            for row in _rows(file.name.removesuffix(".csv")):
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


@cache
def _rows(table: str) -> tuple[dict[str, str], ...]:
    file = resources.files("domain.reference").joinpath(f"{table}.csv")
    return tuple(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
