"""The layout of a store and its history: which migrations there are, and running them.

Migrations are the modules in ``storage.store.migrations``, found by their names; they are only ever
added, and hold literal SQL, so that they do the same for ever whatever becomes of the tables
in the program. SQLite and PostgreSQL run the same ones: spell a truth as TRUE or FALSE, and take
what both have.
"""

import importlib
from collections.abc import Callable
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from types import ModuleType
from typing import Any

from storage.errors import StoreError
from storage.store import migrations


class Migration:
    """A migration by its name; what it does is loaded when it is to be run."""

    def __init__(self, path: str) -> None:
        self._path = path
        self.NAME = path.rpartition(".")[2]

    @cached_property
    def module(self) -> ModuleType:
        """``NAME``, the ``STATEMENTS`` it runs, and ``change(connection)`` where it does what no
        statement can.
        """
        return importlib.import_module(self._path)


def _found() -> tuple[Migration, ...]:
    folder = Path(migrations.__path__[0])
    inside = (file.relative_to(folder).with_suffix("") for file in folder.rglob("m[0-9]*.py"))
    found = (Migration(".".join((migrations.__name__, *path.parts))) for path in inside)
    return tuple(sorted(found, key=lambda each: each.NAME))


MIGRATIONS: tuple[Migration, ...] = _found()
"""Every migration in turn. The first makes the layout of an empty store."""

FIRST = int(MIGRATIONS[0].NAME[1:5])
"""Number of the oldest layout that is still opened."""


def latest() -> int:
    """Number of the layout that this program reads and writes."""
    return FIRST + len(MIGRATIONS) - 1


def now() -> str:
    """The time as it is stored: ISO 8601, UTC, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def check_version(version: int, where: object) -> None:
    """Refuse a layout, by its number, that this program cannot open."""
    if version > latest():
        raise StoreError(
            f"the store {where} was written by a newer Mainrun (layout {version}, this one knows "
            f"up to {latest()}): update Mainrun to open it"
        )
    if 0 < version < FIRST:
        raise StoreError(
            f"the store {where} has layout {version}, from before the first that is still opened "
            f"({FIRST}); nothing was changed: open it with the Mainrun that wrote it, export each "
            "build and the shop's lists there, and import the files into a new store here"
        )


def missing_from(version: int) -> list[tuple[int, Migration]]:
    """The migrations that a store of this layout (0: an empty one) lacks, with their numbers."""
    done = version - FIRST + 1 if version else 0
    return list(enumerate(MIGRATIONS[done:], FIRST + done))


def run(connection: Any, migration: Migration, spelled: Callable[[str], str] = str) -> None:
    """Run a migration in an open transaction, and record that it ran.

    ``spelled`` gives a statement as the database at hand wants it.
    """
    for statement in migration.module.STATEMENTS:
        connection.execute(spelled(statement))
    change = getattr(migration.module, "change", None)
    if change is not None:
        change(connection)
    connection.execute("INSERT INTO migration (name, at) VALUES (?, ?)", (migration.NAME, now()))
