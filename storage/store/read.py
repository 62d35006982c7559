"""Reading documents from a store with plain statements, made from the fields of the records.

Call what reads a document in a transaction, so that all is of one revision.
"""

import sqlite3
from collections.abc import Callable
from functools import cache
from typing import Any, Generic, TypeVar

from msgspec import Struct

from domain.document.declared import BadEntry, declared
from domain.document.entry import Entry
from domain.document.records import records, reference_problems
from storage.errors import StoreError
from storage.store.database import ALL, Reading
from storage.store.filing import D, Filing

_R = TypeVar("_R", bound=Entry)

LeftOut = Callable[[str], None]
"""Told of each row that is not what a record can be: "items i3: pack ..."."""


class BuildSummary(Struct, frozen=True):
    """What the list of builds shows. ``changed`` is ISO 8601, UTC; ``stops`` None if unknown."""

    key: int
    title: str
    customer: str
    vehicle: str
    state: str
    changed: str
    archived: bool
    stops: int | None
    revision: int


class Opened(Struct, Generic[D], frozen=True):
    """A document as it is in the store, and its revision; ``label``: what was undone or redone."""

    document: D
    revision: int
    label: str = ""


_SUMMARY = ", ".join(BuildSummary.__struct_fields__)


def summaries(connection: Reading, archived: bool, limit: int = ALL) -> list[BuildSummary]:
    """The builds, newest change first, at most ``limit``; archived ones too when asked."""
    rows = connection.execute(
        f"SELECT {_SUMMARY} FROM build WHERE archived <= ? ORDER BY changed DESC, key DESC LIMIT ?",
        (archived, limit),
    )
    return [
        BuildSummary(key, title, customer, vehicle, state, changed, bool(hidden), stops, revision)
        for key, title, customer, vehicle, state, changed, hidden, stops, revision in rows
    ]


def stops_of(connection: Reading, key: int) -> int | None:
    """How many findings forbid a build, as noted for the list of builds; ``None``: not known."""
    row = connection.execute("SELECT stops FROM build WHERE key = ?", (key,)).fetchone()
    return None if row is None else row[0]


def revision_of(connection: Reading, filing: Filing[D]) -> int:
    """The revision of a document; ``StoreError`` if it is not there."""
    row = connection.execute(filing.revision, filing.arguments).fetchone()
    if row is None:
        raise filing.gone()
    return int(row[0])


def read(connection: Reading, filing: Filing[D], left_out: LeftOut | None = None) -> Opened[D]:
    """A document from its tables.

    Raises ``StoreError`` if it is not there, or naming the table and id of the first row that is
    not what a record can be; with ``left_out``, such rows are told to that and left out.
    """
    revision = revision_of(connection, filing)
    content: dict[str, Any] = {
        table: read_table(connection, filing, table, left_out) for table in filing.tables
    }
    header = filing.empty.HEADER
    if header is not None:
        rows = _rows(connection, filing, "build", "key = ?", header, "header", filing.damaged)
        content["header"] = rows[0]
    document = filing.empty.but(**content)
    problems = reference_problems(document)
    if problems and left_out:
        stray = {problem.partition(":")[0] for problem in problems}
        for problem in problems:
            left_out(problem)
        kept = {
            table: tuple(row for row in content[table] if f"{table} {row.id}" not in stray)
            for table in filing.tables
        }
        document = document.but(**kept)
    elif problems:
        raise filing.damaged("; ".join(problems[:5]))
    return Opened(document, revision)


def read_table(
    connection: Reading,
    filing: Filing[D],
    table: str,
    left_out: LeftOut | None = None,
) -> tuple[Any, ...]:
    """The records of one table alone, in their order."""
    record_type = filing.empty.TABLES[table]
    fixed = table in filing.empty.FIXED
    known = tuple(row.id for row in records(filing.empty, table))
    where = filing.where
    if fixed:  # what a later version has put there beside them is let be
        where += f" AND id IN ({', '.join(repr(id) for id in known)})"
    rows = _rows(
        connection,
        filing,
        filing.tables[table],
        f"{where} ORDER BY position, id",
        record_type,
        table,
        left_out or filing.damaged,
    )
    if not fixed:
        return tuple(rows)
    given = {row.id: row for row in rows}
    return tuple(given.get(row.id, row) for row in records(filing.empty, table))


def _rows(
    connection: Reading,
    filing: Filing[D],
    table: str,
    where: str,
    record_type: type[_R],
    called: str,
    tell: Callable[[str], StoreError | None],
) -> list[_R]:
    fields = record_type.__struct_fields__
    flags = _flags(record_type)
    names = ", ".join(f'"{field}"' for field in fields)
    try:
        rows = connection.execute(
            f"SELECT {names} FROM {table} WHERE {where}", filing.arguments
        ).fetchall()
    except sqlite3.OperationalError as error:
        if "decode" not in str(error):  # bytes that are no UTF-8 carry no error code
            raise
        _tell(tell, f"{called}: a text that cannot be read", error)
        return []
    found = []
    for row in rows:
        values = dict(zip(fields, row, strict=True))
        for flag in flags:
            if values[flag] in (0, 1):
                values[flag] = bool(values[flag])
        try:
            found.append(record_type.of(values))
        except BadEntry as error:
            where_it_is = f"{called} {values.get('id', '')}".strip()
            _tell(tell, f"{where_it_is}: {error}", error)
    return found


@cache
def _flags(record_type: type[Entry]) -> tuple[str, ...]:
    """The fields that are yes or no, which SQLite keeps as 1 and 0."""
    return tuple(name for name, field in declared(record_type).items() if bool in field.types)


def _tell(tell: Callable[[str], StoreError | None], what: str, error: Exception) -> None:
    refused = tell(what)
    if refused is not None:
        raise refused from error
