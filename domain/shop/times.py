"""The table of times that an estimate is made of: invented defaults, and the shop's own.

No publication stands behind the defaults (source "INVENTED"): they are there to be replaced.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cache
from typing import Annotated

from msgspec import Meta, Struct
from msgspec.structs import replace

from domain.csv_cells import plain, refused, rows_under, written
from domain.document.declared import END, About, Kind
from domain.document.records import Record
from domain.reference.csv_tables import load

COLUMNS = ("name", "title", "value", "unit")
"""Header of the CSV file of times."""

MOST_MINUTES = 10000
MOST_RATIO = 100


class Time(Struct, frozen=True):
    """How long one operation takes: minutes for each ``per``; or a factor where ``unit`` is ratio.

    ``finish``: it is visible work, multiplied by the factor of the finish. ``own``: the shop's
    figure, not the invented default.
    """

    name: str
    title: str
    value: float
    unit: str
    per: str
    finish: bool
    own: bool = False


@cache
def default_times() -> tuple[Time, ...]:
    """The invented defaults, in the order of the table."""
    columns = ("name", "title", "value", "unit", "per", "finish")
    return tuple(
        Time(
            row["name"],
            row["title"],
            float(row["value"]),
            row["unit"],
            row["per"],
            row["finish"] == "yes",
        )
        for row in load("labour_times", columns)
    )


_TYPED = "what it takes in your shop, a number; delete goes back to the default (~)"


class OwnTime(Record, frozen=True):
    """What an operation takes in this shop. Its id is the operation's name."""

    id: Annotated[
        str,
        Meta(pattern=rf"^[a-z_]+{END}", max_length=60),
        About("Operation", "name of the operation"),
    ]
    value: Annotated[
        Annotated[float, Kind("number", _TYPED)] | None, About("Time", "in place of the default")
    ] = None

    def wrong(self) -> str:
        """An operation that is not known, or a time that none takes."""
        return check_time(self.id, 0 if self.value is None else self.value)


def operations(own: Mapping[str, float] | None = None) -> tuple[OwnTime, ...]:
    """A record for every operation, in the order of the table, with the shop's own figures."""
    given = own or {}
    return tuple(OwnTime(id=time.name, value=given.get(time.name)) for time in default_times())


def shop_times(own: Mapping[str, float]) -> tuple[Time, ...]:
    """The defaults with the shop's own figures in place; names that are not known are left out."""
    return tuple(
        replace(time, value=own[time.name], own=True) if time.name in own else time
        for time in default_times()
    )


def check_time(name: str, value: Decimal | float) -> str:
    """What is wrong with a shop's own figure, as a sentence; empty when all is well."""
    time = next((time for time in default_times() if time.name == name), None)
    if time is None:
        known = ", ".join(time.name for time in default_times())
        return f"there is no operation {name!r}: it must be one of {known}"
    most = MOST_RATIO if time.unit == "ratio" else MOST_MINUTES
    if not 0 <= float(value) <= most:
        return f"{name}: must be from 0 to {most} ({time.unit})"
    return ""


def times_csv(times: Sequence[Time]) -> str:
    """The table of times as the text of a CSV file, to be edited and read again."""
    rows = [[time.name, time.title, plain(time.value), time.unit] for time in times]
    return written([COLUMNS, *rows])


def read_times(text: str) -> dict[str, float]:
    """The shop's own figures in the text of a CSV file: all that it names, also one that happens
    to be the default.

    Titles and units are there for the reader and not taken over. Operations that the file leaves
    out keep their default. Raises ``CsvRefused`` naming every bad line, having taken none.
    """
    problems: list[str] = []
    found: dict[str, float] = {}
    for line, row in rows_under(text, COLUMNS):
        name = row["name"].strip()
        try:
            value = row.number("value")
        except ValueError as error:
            problems.append(f"line {line}: value: {error}")
            continue
        wrong = check_time(name, value) or ("stands there twice" if name in found else "")
        if wrong:
            problems.append(f"line {line}: {wrong}")
        found[name] = float(value)
    if problems:
        raise refused(problems)
    return found
