"""What a working is: a figure's formula, inputs, steps, value and source."""

from msgspec import Struct

NONE = "-"
"""Unit of a pure number, a count or a name."""


class Figure(Struct, frozen=True):
    """Names one figure of a sheet.

    ``kind`` is the sheet's record type in snake case ("run_result"), ``id`` the record's id
    (the title of a design, ``record_id`` of a material line, "" for the supply), ``field`` the
    record's field; a figure in a field of many is "node_v.b1_pos".
    """

    kind: str
    id: str = ""
    field: str = ""


class Input(Struct, frozen=True):
    """One thing that a formula starts from; ``unit`` is "-" for counts and names."""

    symbol: str
    meaning: str
    value: float | str
    unit: str = NONE


class Working(Struct, frozen=True):
    """How a figure came about. ``value`` follows from the inputs by the engine's own formula.

    ``source`` holds keys of the reference tables joined with "+", "common practice ..." or
    "entered".
    """

    title: str
    formula: str
    inputs: tuple[Input, ...]
    steps: tuple[str, ...]
    value: float | str | None
    unit: str
    source: str


def number(value: float | str | None) -> str:
    """A value as a terminal shows it: six digits, "none" where there is none."""
    if value is None:
        return "none"
    return value if isinstance(value, str) else f"{value:.6g}"
