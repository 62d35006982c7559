"""Writing builds to a store, through its SQLModel tables.

Importing this module is slow (SQLModel, SQLAlchemy): the store does it at the first write. Every
function takes an open transaction.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, bindparam, create_engine, insert, select, update
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import StaticPool

from domain.build.records import TABLES, Build, records
from storage.errors import StoreChanged
from storage.store.layout import now
from storage.store.read import gone
from storage.store.tables import ROWS, BuildRow, JournalRow

_BUILD = BuildRow.__table__
_JOURNAL = JournalRow.__table__  # type: ignore[attr-defined]


def engine_over(connection: sqlite3.Connection) -> Engine:
    """An engine that writes through a connection that is already open, and never closes it."""
    return create_engine("sqlite://", creator=lambda: connection, poolclass=StaticPool)


@contextmanager
def transaction(engine: Engine) -> Iterator[Connection]:
    """One transaction, which takes the right to write at once; raises ``sqlite3.Error``."""
    try:
        with engine.connect() as connection:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            yield connection
            connection.commit()
    except DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error):
            raise error.orig from error
        raise


def insert_build(writing: Connection, build: Build, stops: int | None) -> int:
    """Write a new build at revision 0; its key."""
    at = now()
    values = {**build.header.model_dump(mode="json"), "stops": stops, "created": at, "changed": at}
    made = writing.execute(insert(_BUILD), {"revision": 0, "archived": False, **values})
    if made.inserted_primary_key is None:
        raise RuntimeError("the database gave the new build no key")
    key = int(made.inserted_primary_key[0])
    for table in TABLES:
        rows = [_values(key, at, record) for at, record in enumerate(records(build, table))]
        if rows:
            writing.execute(insert(ROWS[table].__table__), rows)
    write_line(writing, key, 0, "start", build.model_dump_json(), "", "created")
    return key


def advance(writing: Connection, key: int, revision: int, after: Build, stops: int | None) -> int:
    """Give a build its next revision and header; ``StoreChanged`` if it has moved on since."""
    done = writing.execute(
        update(_BUILD)
        .where(_BUILD.c.key == bindparam("of_key"), _BUILD.c.revision == bindparam("of_revision"))
        .values(
            revision=revision + 1,
            changed=now(),
            stops=stops,
            **after.header.model_dump(mode="json"),
        ),
        {"of_key": key, "of_revision": revision},
    )
    if done.rowcount == 0:
        raise stale(writing, key)
    return revision + 1


def stale(writing: Connection, key: int) -> Exception:
    """Why a build is not at the expected revision: changed by another session, or not there."""
    if writing.execute(select(_BUILD.c.key).where(_BUILD.c.key == key)).first() is None:
        return gone(key)
    return StoreChanged(
        "another session changed this build since it was opened: open it again and repeat the edit"
    )


def write_changes(writing: Connection, key: int, before: Build, after: Build) -> None:
    """Write the rows in which two builds differ."""
    for table in TABLES:
        old, new = records(before, table), records(after, table)
        if old is not new:
            _write_table(writing, key, table, old, new)


def _write_table(
    writing: Connection, key: int, table: str, old: tuple[Any, ...], new: tuple[Any, ...]
) -> None:
    rows = ROWS[table].__table__
    this_row = (rows.c.build_key == bindparam("of_key"), rows.c.id == bindparam("of_id"))
    was = {record.id: (position, record) for position, record in enumerate(old)}
    added, changed, moved = [], [], []
    for position, record in enumerate(new):
        had_position, had = was.pop(record.id, (None, None))
        named = {"of_key": key, "of_id": record.id}
        if had is None:
            added.append(_values(key, position, record))
        elif had is not record and had != record:
            changed.append({**named, **_values(key, position, record)})
        elif had_position != position:
            moved.append({**named, "position": position})
    if was:
        writing.execute(
            rows.delete().where(*this_row), [{"of_key": key, "of_id": id} for id in was]
        )
    if added:
        writing.execute(insert(rows), added)
    for updates in (changed, moved):
        if updates:
            writing.execute(update(rows).where(*this_row), updates)


def write_line(
    writing: Connection,
    key: int,
    revision: int,
    kind: str,
    edit: str,
    inverse: str,
    label: str,
    target: int | None = None,
) -> None:
    """Add a line to a build's journal; edits are given as JSON."""
    line = {"edit": edit, "inverse": inverse, "label": label, "at": now()}
    writing.execute(
        insert(_JOURNAL),
        {"build_key": key, "revision": revision, "kind": kind, "target": target, **line},
    )


def mark(writing: Connection, key: int, **values: Any) -> None:
    """Set what the store knows about a build (archived, stops) without a new revision."""
    if writing.execute(update(_BUILD).where(_BUILD.c.key == key).values(**values)).rowcount == 0:
        raise gone(key)


def _values(key: int, position: int, record: Any) -> dict[str, Any]:
    return {"build_key": key, "position": position, **record.model_dump(mode="json")}
