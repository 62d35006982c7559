"""Planning values: typical figures and practice limits, each with its source in the table."""

from functools import cache, lru_cache

from domain.reference.csv_tables import load


@lru_cache(maxsize=1)
def _values() -> dict[str, float]:
    rows = load("planning_values", ("name", "value", "unit", "meaning"))
    return {row["name"]: float(row["value"]) for row in rows}


@cache
def planned(name: str) -> float:
    """The planning value of this name, in the unit its table row states; ``KeyError`` if none."""
    return _values()[name]
