"""The store: builds, and what the shop keeps, in one SQLite file."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from domain.build.choices import UnitHabit
from domain.build.edits import EditRefused, SetField, apply
from domain.build.records import Build
from domain.shop.shop import Shop
from storage.errors import DATABASE_ERRORS, StoreChanged, StoreError, plain_error
from storage.store import journal, read
from storage.store.connection import open_file
from storage.store.documents import Kept
from storage.store.filing import of_build, of_shop
from storage.store.journal import JournalLine
from storage.store.read import BuildSummary, Opened

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

__all__ = ["BuildSummary", "JournalLine", "Opened", "Store", "StoreChanged", "StoreError"]


class Store:
    """The builds in one file; a context manager, and safe to use from several threads.

    Every method raises ``StoreError`` with a sentence for the user, having changed nothing.
    """

    def __init__(self, path: Path, *, share_with_group: bool = False) -> None:
        """Open a store, or make one that only its owner (and group, if asked) can read."""
        self.path = path
        file = open_file(path, share_with_group)
        self._connection, self.read_only = file.connection, file.read_only
        newer = "The store was brought to a newer layout; as it was it is kept in"
        told = (f"{newer} {file.copy}" if file.copy else "", file.unshared)
        self.notice = ". ".join(filter(None, told))
        """What its user should be told of its opening, or empty."""
        self._lock = threading.RLock()
        self._made_engine: Engine | None = None
        self._builds: dict[int, Kept[Build]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file. There is nothing left to save."""
        with self._lock:
            self._connection.close()

    def warm(self) -> None:
        """Import what the first write needs (0.4 s); meant for a thread, after the first paint."""
        if not self.read_only:
            self._engine()

    def builds(self, archived: bool = False) -> list[BuildSummary]:
        """The builds, newest change first; archived ones too when asked."""
        with self.reading():
            return read.summaries(self._connection, archived)

    def units(self) -> UnitHabit:
        """The units of the build that was changed last: those of the shop. Inch if there is none.

        A build with units that are none does not count.
        """
        with self.reading():
            row = self._connection.execute(
                "SELECT units FROM build ORDER BY changed DESC, key DESC LIMIT 1"
            ).fetchone()
        known = [units for units in UnitHabit if row is not None and row[0] == units.value]
        return known[0] if known else UnitHabit.INCH

    def build(self, key: int) -> Kept[Build]:
        """The document of a build, whether it is there or not."""
        with self._lock:
            return self._builds.setdefault(key, Kept(self, of_build(key)))

    def shop(self, units: UnitHabit = UnitHabit.INCH) -> Kept[Shop]:
        """The document of what the shop keeps; lengths of its library are shown in ``units``."""
        return Kept(self, of_shop(units))

    def open(self, key: int) -> Opened[Build]:
        """Read a build."""
        return self.build(key).open()

    def create(self, build: Build, stops: int | None = None) -> int:
        """Add a build; its key."""
        with self.writing() as writing:
            from storage.store import write

            return write.insert_build(writing, build, stops)

    def duplicate(self, key: int, title: str) -> int:
        """Add a copy of a build under another title, with a journal of its own; its key."""
        build = self.open(key).document
        try:
            build, _ = apply(build, SetField(table="header", field="title", value=title))
        except EditRefused as error:
            raise StoreError(f"the copy cannot have this title: {error}") from error
        return self.create(build)

    def recover(self, key: int) -> int:
        """Add the build that the journal of a damaged one tells of; its key."""
        with self.reading():
            build = journal.replay(self._connection, key)
        return self.create(build)

    def archive(self, key: int, archived: bool) -> None:
        """Put a build out of the way, or bring it back."""
        with self.writing() as writing:
            from storage.store import write

            write.mark(writing, key, archived=archived)

    def note_stops(self, key: int, stops: int | None) -> None:
        """Note how many findings forbid a build, for the list (after an undo, say)."""
        with self.writing() as writing:
            from storage.store import write

            write.mark(writing, key, stops=stops)

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """One read transaction: everything read in it is of one moment.

        For the rooms of the store that read with SQL of their own; the connection is not theirs
        to keep, and one transaction is not begun within another.
        """
        with self._lock:
            try:
                self._connection.execute("BEGIN")
                try:
                    yield self._connection
                finally:
                    if self._connection.in_transaction:
                        self._connection.execute("COMMIT")
            except DATABASE_ERRORS as error:
                raise plain_error(error, self.path) from error

    @contextmanager
    def writing(self) -> Iterator["Connection"]:
        """One write transaction: all of it is saved, or nothing, as where the block raises.

        ``StoreError`` where the store may only be read. Imports SQLModel (0.4 s) the first time.
        """
        if self.read_only:
            raise StoreError(
                f"the store {self.path} may only be read, nothing was saved: ask its owner for "
                "the right to write to it, or export the build and import it into another store"
            )
        from storage.store import write

        with self._lock:
            try:
                with write.transaction(self._engine()) as writing:
                    yield writing
            except DATABASE_ERRORS as error:
                raise plain_error(error, self.path) from error

    def _engine(self) -> "Engine":
        from storage.store import write

        if self._made_engine is None:
            self._made_engine = write.engine_over(self._connection)
        return self._made_engine
