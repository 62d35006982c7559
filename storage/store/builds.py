"""The store: builds, and what the shop keeps, in one SQLite file."""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from domain.build.choices import UnitHabit
from domain.build.edits import EditRefused, SetField, apply
from domain.build.records import Build
from domain.shop.shop import Shop
from storage.errors import DATABASE_ERRORS, StoreChanged, StoreError, plain_error
from storage.store import journal, left_off, presence, read
from storage.store.author import Author, name_of, this_person
from storage.store.connection import open_file, unhurried
from storage.store.copying import back_up
from storage.store.documents import Kept
from storage.store.filing import of_build, of_shop
from storage.store.journal import JournalLine
from storage.store.left_off import LeftOff
from storage.store.presence import Present
from storage.store.read import BuildSummary, Opened

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

__all__ = ["BuildSummary", "JournalLine", "Opened", "Store", "StoreChanged", "StoreError"]


class Store:
    """The builds in one file; a context manager, and safe to use from several threads.

    Every method raises ``StoreError`` with a sentence for the user, having changed nothing.
    """

    def __init__(
        self, path: Path, *, share_with_group: bool = False, person: str | None = None
    ) -> None:
        """Open a store, or make one that only its owner (and group, if asked) can read.

        ``person`` makes the edits; ``None``: who is at work by the name that was set, or the login.
        """
        self.path = path
        self.author = Author(this_person() if person is None else name_of(person))
        file = open_file(path, share_with_group)
        self._connection, self.read_only = file.connection, file.read_only
        newer = "The store was brought to a newer layout; as it was it is kept in"
        told = (f"{newer} {file.copy}" if file.copy else "", file.unshared)
        self.notice = ". ".join(filter(None, told))
        """What its user should be told of its opening, or empty."""
        self._lock = threading.RLock()
        self._made_engine: Engine | None = None
        self._builds: dict[int, Kept[Build]] = {}
        self._seen = 0
        """The count of changes by others when it was last looked at."""
        self._is_here = False
        """Whether others see this session."""

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
        if self._is_here:
            self._quietly(lambda: presence.leave(self._connection, self.author))
        with self._lock:
            self._connection.close()

    def call_author(self, person: str) -> None:
        """Edits are by this person from now on."""
        self.author = Author(name_of(person), self.author.session)

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

            return write.insert_build(writing, build, stops, self.author)

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

    def as_it_was(self, key: int, revision: int) -> Build:
        """A build as it was at a revision, from its journal."""
        with self.reading():
            return journal.replay(self._connection, key, revision)

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

    def back_up(self, target: Path, *, replace: bool = False) -> None:
        """Copy the whole store, as it is at one moment, to another file."""
        with self._lock:
            back_up(self._connection, target, replace=replace)

    # Who else is here

    def moved(self) -> bool:
        """Whether another session has written to the store since this was last asked.

        It looks at a counter in memory that all sessions share: no file is read.
        """
        with self._lock:
            try:
                (count,) = self._connection.execute("PRAGMA data_version").fetchone()
            except DATABASE_ERRORS as error:
                raise plain_error(error, self.path) from error
        seen, self._seen = self._seen, count
        return bool(count != seen)

    def be_here(self, build_key: int | None, page: str) -> None:
        """Let others see that this session is at work here; where it cannot be said, it is not."""
        if not self.read_only:
            self._is_here = True
            self._quietly(lambda: presence.note(self._connection, self.author, build_key, page))

    def others(self) -> tuple[Present, ...]:
        """Everybody else who is at work in the store."""
        with self.reading():
            return presence.others(self._connection, self.author)

    # Where a session was cut off

    def keep_left_off(self, left: LeftOff) -> None:
        """Keep where this session is cut off, to go on from there."""
        if not self.read_only:
            self._quietly(lambda: left_off.keep(self._connection, self.author, left))

    def left_off(self) -> list[LeftOff]:
        """Where sessions of this person were cut off that nobody has gone on from, newest first."""
        with self.reading():
            return left_off.of_person(self._connection, self.author)

    def take_left_off(self, build_key: int | None) -> LeftOff | None:
        """Where this person was cut off in a build, or (``None``) in the shop; given once."""
        found = next((each for each in self.left_off() if each.build_key == build_key), None)
        if found is not None and not self.read_only:
            self._quietly(lambda: left_off.forget(self._connection, self.author, build_key))
        return found

    def _quietly(self, write: Callable[[], object]) -> None:
        """Write what may as well be missing: nobody waits for it, and no failure is told."""
        with self._lock, suppress(*DATABASE_ERRORS), unhurried(self._connection):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                write()
                self._connection.execute("COMMIT")
            finally:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")

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
