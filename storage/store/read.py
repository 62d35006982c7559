"""Reading builds from a store into domain records, with nothing but the standard library's
SQLite: the first screen must not wait for the machinery that writes.
"""

import sqlite3
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from domain.build.edits import sentence
from domain.build.records import TABLES, Build, Header
from storage.errors import StoreError

_R = TypeVar("_R", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class BuildSummary:
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


@dataclass(frozen=True, slots=True)
class OpenBuild:
    """A build as it was read, and the revision it was read at."""

    key: int
    build: Build
    revision: int


_SUMMARY = ", ".join(BuildSummary.__slots__)


def summaries(connection: sqlite3.Connection, archived: bool) -> list[BuildSummary]:
    """Every build, newest change first; archived ones too when asked."""
    rows = connection.execute(
        f"SELECT {_SUMMARY} FROM build WHERE archived <= ? ORDER BY changed DESC, key DESC",
        (archived,),
    )
    return [BuildSummary(**{**dict(row), "archived": bool(row["archived"])}) for row in rows]


def revision_of(connection: sqlite3.Connection, key: int) -> int:
    """The revision of a build; ``StoreError`` if there is no such build."""
    row = connection.execute("SELECT revision FROM build WHERE key = ?", (key,)).fetchone()
    if row is None:
        raise gone(key)
    return int(row[0])


def read_build(connection: sqlite3.Connection, key: int) -> OpenBuild:
    """A build from its tables; call it in a transaction, so that all is of one revision.

    Raises ``StoreError`` if there is no such build, or naming the table and id of the first
    row that is not what a record can be.
    """
    revision = revision_of(connection, key)
    header = _rows(connection, key, "header", "build", "key = ?", Header)[0]
    tables = {
        table: tuple(
            _rows(connection, key, table, table, "build_key = ? ORDER BY position", record)
        )
        for table, record in TABLES.items()
    }
    try:
        build = Build.model_validate({"header": header, **tables})
    except ValidationError as error:
        raise _damaged(key, sentence(error)) from error
    return OpenBuild(key, build, revision)


def gone(key: int) -> StoreError:
    """What to say when a build is not there."""
    return StoreError(f"there is no build {key} in this store: choose one from the list of builds")


def _rows(
    connection: sqlite3.Connection,
    key: int,
    name: str,
    table: str,
    where: str,
    record: type[_R],
) -> list[_R]:
    fields = list(record.model_fields)
    try:
        rows = connection.execute(
            f"SELECT {', '.join(fields)} FROM {table} WHERE {where}", (key,)
        ).fetchall()
    except sqlite3.OperationalError as error:
        if "decode" in str(error):  # bytes that are no UTF-8 carry no error code
            raise _damaged(key, f"{name}: a text that cannot be read") from error
        raise
    return [_record(key, name, record, dict(zip(fields, row, strict=True))) for row in rows]


def _record(key: int, table: str, record: type[_R], values: dict[str, Any]) -> _R:
    try:
        return record.model_validate(values)
    except ValidationError as error:
        where = f"{table} {values.get('id', '')}".strip()
        raise _damaged(key, f"{where}: {sentence(error)}") from error


def _damaged(key: int, what: str) -> StoreError:
    return StoreError(
        f"build {key} is damaged in {what}; nothing was changed, and its journal still holds "
        f"every edit: 'mainrun recover {key}' makes a new build from it"
    )
