"""A store in a file of SQLite: transactions on one connection, one after the other."""

import sqlite3
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

from storage.errors import DATABASE_ERRORS, StoreError, plain_error
from storage.store.database import Reading, Writing, Written
from storage.store.on_file.opening import open_file, unhurried


class FileWriting:
    """An open transaction that writes, as ``Writing`` says."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.line: Written | None = None
        self._connection = connection
        self.execute = connection.execute

    def execute_many(self, sql: str, rows: Sequence[Sequence[Any]], /) -> None:
        """Run a statement for each of these rows."""
        self._connection.executemany(sql, rows)


class File:
    """The file of a store, safe to use from several threads; as ``Database`` says."""

    def __init__(self, path: Path, share_with_group: bool) -> None:
        self._path = path
        opened = open_file(path, share_with_group)
        self.connection, self.read_only = opened.connection, opened.read_only
        newer = "The store was brought to a newer layout; as it was it is kept in"
        told = (f"{newer} {opened.copy}" if opened.copy else "", opened.unshared)
        self.notice = ". ".join(filter(None, told))
        self._lock = threading.RLock()
        self._seen = 0
        """The count of changes by others when it was last looked at."""

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """One read transaction: everything read in it is of one moment."""
        with self._lock, self._sentences():
            self.connection.execute("BEGIN")
            try:
                yield self.connection
            finally:
                if self.connection.in_transaction:
                    self.connection.execute("COMMIT")

    @contextmanager
    def writing(self, whose: str = "") -> Iterator[Writing]:
        """One write transaction. A file has one at a time, whatever it is about."""
        if self.read_only:
            raise StoreError(
                f"the store {self._path} may only be read, nothing was saved: ask its owner for "
                "the right to write to it, or export the build and import it into another store"
            )
        with self._lock, self._sentences(), self._all_or_nothing():
            yield FileWriting(self.connection)

    def quietly(self, write: Callable[[Reading], object]) -> None:
        """Write what may as well be missing: nobody waits for it, and no failure is told."""
        with (
            self._lock,
            suppress(*DATABASE_ERRORS),
            unhurried(self.connection),
            self._all_or_nothing(),
        ):
            write(self.connection)

    @contextmanager
    def _all_or_nothing(self) -> Iterator[None]:
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            self.connection.execute("COMMIT")
        finally:
            if self.connection.in_transaction:
                self.connection.execute("ROLLBACK")

    def moved(self) -> bool:
        """Whether another session has written since: a counter in memory that all share."""
        with self._lock, self._sentences():
            (count,) = self.connection.execute("PRAGMA data_version").fetchone()
        seen, self._seen = self._seen, count
        return bool(count != seen)

    def on_waiting(self, told: Callable[[], None]) -> bool:
        """A file is there."""
        return False

    def damage(self, reading: Reading, most: int) -> Iterator[str]:
        """What SQLite itself finds: pages, indexes, and rows of builds that are not there."""
        try:
            for (said,) in reading.execute(f"PRAGMA integrity_check({most})"):
                if said != "ok":
                    yield f"the file is damaged: {said}"
            strays = {row[0] for row in reading.execute("PRAGMA foreign_key_check")}
            for table in sorted(map(str, strays)):
                yield f"{table} has rows of a build that is not there"
        except DATABASE_ERRORS as error:
            yield f"the file is damaged: {error}"

    def fill(self, empty: Path) -> bool:
        """Copy the file, as it is at one moment, into an empty one."""
        with self._lock, closing(sqlite3.connect(empty)) as copy:
            self.connection.backup(copy)  # in one go: others go on, and it never begins again
        return True

    def numbered(self, writing: Writing) -> None:
        """SQLite takes the key after the highest by itself."""

    def close(self) -> None:
        """Close the file."""
        with self._lock:
            self.connection.close()

    @contextmanager
    def _sentences(self) -> Iterator[None]:
        try:
            yield
        except DATABASE_ERRORS as error:
            raise plain_error(error, self._path) from error
