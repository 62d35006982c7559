"""Published figures that the tests carry with them, in ``tests/reference/data``."""

import csv
from pathlib import Path


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a table of published figures; its last column names the source."""
    with (Path(__file__).parent / "data" / f"{name}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))
