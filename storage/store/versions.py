"""The layout of a store and its history: which migrations there are, and running them.

The file's ``application_id`` says that it is a Mainrun store, its ``user_version`` the number of
the last migration that has run. Migrations are the modules of ``storage.store.migrations``, found
by their names; they are only ever added, and hold literal SQL, so that they do the same for ever
whatever becomes of the tables in the program.
"""

import importlib
import os
import pkgutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from types import ModuleType

from storage.errors import StoreError
from storage.store import migrations
from storage.store.location import uri_of

APPLICATION_ID = 0x4D61696E
"""The letters "Main"."""


def _found() -> tuple[ModuleType, ...]:
    names = sorted(each.name for each in pkgutil.iter_modules(migrations.__path__))
    return tuple(importlib.import_module(f"{migrations.__name__}.{name}") for name in names)


MIGRATIONS: tuple[ModuleType, ...] = _found()
"""Every migration in turn: ``NAME``, the ``STATEMENTS`` it runs, and ``change(connection)`` where
it does what no statement can. The first makes the layout of an empty store."""

FIRST = int(MIGRATIONS[0].NAME[1:5])
"""Number of the oldest layout that is still opened."""


def latest() -> int:
    """Number of the layout that this program reads and writes."""
    return FIRST + len(MIGRATIONS) - 1


def now() -> str:
    """The time as it is stored: ISO 8601, UTC, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def check_layout(connection: sqlite3.Connection, path: Path) -> int:
    """Number of the store's layout, 0 of an empty one; refuses what this program cannot open."""
    application_id = _pragma(connection, "application_id")
    version = _pragma(connection, "user_version")
    empty = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    if application_id != APPLICATION_ID and not (empty and application_id == version == 0):
        raise StoreError(
            f"{path} is the database of another program: name a store that Mainrun made, or a "
            "new file"
        )
    if version < 0 or (version == 0 and not empty):
        raise StoreError(
            f"the store {path} is damaged: {version} is no number of a layout; keep this file, and "
            "go on from a copy of it that was whole"
        )
    if version > latest():
        raise StoreError(
            f"the store {path} was written by a newer Mainrun (layout {version}, this one knows "
            f"up to {latest()}): update Mainrun to open it"
        )
    if 0 < version < FIRST:
        raise StoreError(
            f"the store {path} has layout {version}, from before the first that is still opened "
            f"({FIRST}); nothing was changed: open it with the Mainrun that wrote it, export each "
            "build and the shop's lists there, and import the files into a new store here"
        )
    return version


def bring_up_to_date(connection: sqlite3.Connection, path: Path) -> Path | None:
    """Run the migrations that are missing, all in one transaction with the record that they ran.

    Where the store was in use before, a copy of it as it was is kept; where that is.
    """
    copy: Path | None = None
    if check_layout(connection, path) == latest():
        return copy
    connection.execute("BEGIN IMMEDIATE")
    try:
        version = check_layout(connection, path)  # another session may have been quicker
        done = version - FIRST + 1 if version else 0
        if 0 < done < len(MIGRATIONS):
            copy = _copy(path, version)
        for number, migration in enumerate(MIGRATIONS[done:], FIRST + done):
            _run(connection, migration, number)
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        if copy is not None:
            copy.unlink(missing_ok=True)
        raise
    return copy


def _run(connection: sqlite3.Connection, migration: ModuleType, version: int) -> None:
    for statement in migration.STATEMENTS:
        connection.execute(statement)
    change = getattr(migration, "change", None)
    if change is not None:
        change(connection)
    connection.execute("INSERT INTO migration (name, at) VALUES (?, ?)", (migration.NAME, now()))
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {version}")


def _copy(path: Path, version: int) -> Path:
    """A copy of a store beside it, as private as it is; nobody may write to the store meanwhile."""
    number, copy = 1, path.with_name(f"{path.name}.layout-{version}")
    while copy.exists():
        number += 1
        copy = path.with_name(f"{path.name}.layout-{version}-{number}")
    try:
        os.close(os.open(copy, os.O_CREAT | os.O_EXCL | os.O_RDWR, path.stat().st_mode & 0o777))
        with (
            closing(sqlite3.connect(f"{uri_of(path.absolute())}?mode=ro", uri=True)) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            source.backup(target)
    except (OSError, sqlite3.Error) as error:
        copy.unlink(missing_ok=True)
        raise StoreError(
            f"the store {path} must be brought to a newer layout, and no copy of it can be kept "
            f"beside it ({error}); nothing was changed: free some space there, or move it"
        ) from error
    return copy


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])
