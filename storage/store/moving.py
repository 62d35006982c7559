"""A whole store copied to another place, from file to server, back, or between two of a kind.

Everything goes: builds, what the shop keeps, both journals line by line with their persons and
times, and what somebody was cut off in. Only who is at work at this moment stays.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from storage.errors import StoreError
from storage.store.database import Reading
from storage.store.shop_filing import SHOP_TABLES
from storage.store.write import inserting

if TYPE_CHECKING:
    from storage.store.builds import Store

ROWS_AT_ONCE = 1000

NOT_COPIED = ("migration", "presence")
"""Which migrations ran where, and who is here now."""


class Copied(Struct, frozen=True):
    """What has been copied, and found equal when it was read back."""

    builds: int
    lines: int
    """Of all journals."""
    rows: int
    """Of all tables, those included."""


def copy_store(source: "Store", target: "Store") -> Copied:
    """Copy all of a store to one that is empty; it is there whole and equal, or not at all.

    Both are read back and compared, row by row and field by field, before it is kept.
    """
    from storage.store.row_types import FILE_TABLES

    tables = _in_order(tuple(FILE_TABLES))
    with source.reading() as from_there, target.writing() as writing:
        _refuse_if_used(writing, target, tables)
        counts = {}
        for name in tables:
            columns = [column.name for column in FILE_TABLES[name].columns]
            # a file keeps yes and no as 1 and 0
            flags = [column.type.python_type is bool for column in FILE_TABLES[name].columns]
            counts[name] = 0
            for rows in _in_parts(_all(from_there, name, columns)):
                writing.execute_many(
                    inserting(name, columns), [_with_truths(row, flags) for row in rows]
                )
                counts[name] += len(rows)
        target.database.numbered(writing)
        for name in tables:
            columns = [column.name for column in FILE_TABLES[name].columns]
            order = [column.name for column in FILE_TABLES[name].primary_key]
            _compare(name, columns, order, from_there, writing)
    lines = counts["journal"] + counts["shop_journal"]
    return Copied(counts["build"], lines, sum(counts.values()))


def back_up(store: "Store", target: Path, *, replace: bool = False) -> None:
    """Copy a whole store, as it is at one moment, to a file, which is a store as well.

    ``StoreError`` where it cannot be written, or is there and not to be replaced.
    """
    from storage.store.on_file.copying import whole_file

    def fill(empty: Path) -> None:
        if not store.database.fill(empty):
            with type(store)(empty) as copy:
                copy_store(store, copy)

    whole_file(target, fill, replace=replace)


def _with_truths(row: tuple[Any, ...], flags: list[bool]) -> tuple[Any, ...]:
    return tuple(
        bool(value) if flag and value in (0, 1) else value
        for value, flag in zip(row, flags, strict=True)
    )


def _in_order(names: tuple[str, ...]) -> list[str]:
    """The tables to copy: that of the builds first, the others stand on it."""
    wanted = sorted(set(names) - {*NOT_COPIED, "build"})
    return ["build", *wanted]


def _refuse_if_used(reading: Reading, target: "Store", tables: list[str]) -> None:
    for name in tables:
        if reading.execute(f"SELECT 1 FROM {name} LIMIT 1").fetchone() is not None:
            kept = "of the shop" if name in (*SHOP_TABLES.values(), "shop_journal") else "of builds"
            raise StoreError(
                f"the store {target.place} is not empty, it has rows {kept}: nothing was copied, "
                "name a new one"
            )


def _all(reading: Reading, table: str, columns: list[str], order: str = "") -> Iterator[Any]:
    names = ", ".join(f'"{column}"' for column in columns)
    rows = reading.execute(f"SELECT {names} FROM {table} {order}")
    return (tuple(row) for row in rows)


def _in_parts(rows: Iterator[Any]) -> Iterator[list[Any]]:
    part: list[Any] = []
    for row in rows:
        part.append(row)
        if len(part) == ROWS_AT_ONCE:
            yield part
            part = []
    if part:
        yield part


def _compare(
    table: str, columns: list[str], order: list[str], source: Reading, target: Reading
) -> None:
    """Row by row, both in the order of their keys; text is ordered by its bytes on either side."""
    by = "ORDER BY " + ", ".join(f'"{column}"' for column in order)
    number = 0
    here = _all(target, table, columns, by)
    for number, row in enumerate(_all(source, table, columns, by), 1):
        copy = next(here, None)
        if copy != row:
            differing = [
                column
                for column, one, other in zip(columns, row, copy or row, strict=True)
                if one != other
            ]
            what = f"differs in {', '.join(differing)}" if differing else "is not there"
            raise StoreError(f"the copy is not equal, none is kept: row {number} of {table} {what}")
    if next(here, None) is not None:
        raise StoreError(
            f"the copy is not equal, none is kept: {table} has more than {number} rows"
        )
