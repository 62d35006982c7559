"""The layout of a store's file: what it says of itself, and bringing it up to date.

The file's ``application_id`` says that it is a Mainrun store, its ``user_version`` the number of
the last migration that has run.
"""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from storage.errors import StoreError
from storage.store import versions
from storage.store.location import uri_of

APPLICATION_ID = 0x4D61696E
"""The letters "Main"."""


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
            "go on from a backup of it, as `mainrun backup` makes one"
        )
    versions.check_version(version, path)
    return version


def bring_up_to_date(connection: sqlite3.Connection, path: Path) -> Path | None:
    """Run the migrations that are missing, all in one transaction with the record that they ran.

    Where the store was in use before, a copy of it as it was is kept; where that is.
    """
    copy: Path | None = None
    if check_layout(connection, path) == versions.latest():
        return copy
    connection.execute("BEGIN IMMEDIATE")
    try:
        version = check_layout(connection, path)  # another session may have been quicker
        missing = versions.missing_from(version)
        if version and missing:
            copy = _copy(path, version)
        for number, migration in missing:
            versions.run(connection, migration)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {number}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        if copy is not None:
            copy.unlink(missing_ok=True)
        raise
    return copy


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
