"""The layout of a store and its history: which migrations there are, and running them.

The file's ``application_id`` says that it is a Mainrun store, its ``user_version`` how many of
the migrations have run. Migrations are only ever added, and hold literal SQL, so that they do
the same for ever whatever becomes of the tables in the program.
"""

import sqlite3
from datetime import UTC, datetime
from pathlib import Path
from types import ModuleType

from storage.errors import StoreError
from storage.store.migrations import (
    m0001_start,
    m0002_study,
    m0003_parts,
    m0004_quote,
    m0005_catalogue,
    m0006_looms,
    m0007_shop,
    m0008_cutting,
    m0009_blocks,
    m0010_added_blocks,
)

APPLICATION_ID = 0x4D61696E
"""The letters "Main"."""

MIGRATIONS: tuple[ModuleType, ...] = (
    m0001_start,
    m0002_study,
    m0003_parts,
    m0004_quote,
    m0005_catalogue,
    m0006_looms,
    m0007_shop,
    m0008_cutting,
    m0009_blocks,
    m0010_added_blocks,
)


def now() -> str:
    """The time as it is stored: ISO 8601, UTC, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def check_layout(connection: sqlite3.Connection, path: Path) -> int:
    """How many migrations have run; refuses another program's database and a newer store."""
    application_id = _pragma(connection, "application_id")
    version = _pragma(connection, "user_version")
    empty = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    if application_id != APPLICATION_ID and not (empty and application_id == version == 0):
        raise StoreError(
            f"{path} is the database of another program: name a store that Mainrun made, or a "
            "new file"
        )
    if version > len(MIGRATIONS):
        raise StoreError(
            f"the store {path} was written by a newer Mainrun (layout {version}, this one knows "
            f"up to {len(MIGRATIONS)}): update Mainrun to open it"
        )
    return version


def bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    """Run the migrations that are missing, each in one transaction with the record that it ran."""
    while check_layout(connection, path) < len(MIGRATIONS):
        connection.execute("BEGIN IMMEDIATE")
        try:
            version = check_layout(connection, path)  # another session may have been quicker
            for migration in MIGRATIONS[version : version + 1]:
                for statement in migration.STATEMENTS:
                    connection.execute(statement)
                connection.execute(
                    "INSERT INTO migration (name, at) VALUES (?, ?)", (migration.NAME, now())
                )
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                connection.execute(f"PRAGMA user_version = {version + 1}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])
