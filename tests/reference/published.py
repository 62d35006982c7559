"""Published figures that the tests carry with them, in ``tests/reference/data``."""

import csv
from math import pi
from pathlib import Path

KCMIL_MM2 = pi / 4 * 0.0254**2 * 1000
"""One thousand circular mils [mm2]: a mil is a thousandth of an inch."""


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table of published figures; its last column names the source."""
    with (Path(__file__).parent / "data" / f"{name}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))
