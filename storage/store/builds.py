"""The store: builds in one SQLite file, every edit saved at once, undo across restarts."""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from domain.build.choices import UnitHabit
from domain.build.edits import Edit, EditRefused, SetField, apply, describe
from domain.build.records import Build
from domain.visible_text import visible
from storage.errors import DATABASE_ERRORS, StoreChanged, StoreError, plain_error
from storage.store import journal, read
from storage.store.connection import open_file
from storage.store.journal import Book, JournalLine, Step
from storage.store.read import BuildSummary, OpenBuild

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

__all__ = [
    "BuildSummary",
    "JournalLine",
    "OpenBuild",
    "Store",
    "StoreChanged",
    "StoreError",
    "Undone",
]


@dataclass(frozen=True, slots=True)
class Undone:
    """A build after an undo or redo, its new revision, and what was undone or redone."""

    build: Build
    revision: int
    label: str


class Store:
    """The builds in one file; a context manager, and safe to use from several threads.

    Every method raises ``StoreError`` with a sentence for the user, having changed nothing.
    """

    def __init__(self, path: Path, *, share_with_group: bool = False) -> None:
        """Open a store, or make one that only its owner (and group, if asked) can read."""
        self.path = path
        self._connection, self.read_only = open_file(path, share_with_group)
        self._lock = threading.RLock()
        self._made_engine: Engine | None = None
        self._held: OpenBuild | None = None

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

    def open(self, key: int) -> OpenBuild:
        """Read a build."""
        with self.reading():
            self._held = read.read_build(self._connection, key)
            return self._held

    def history(self, key: int, limit: int = 50) -> list[JournalLine]:
        """The last lines of a build's journal, newest first."""
        with self.reading():
            read.revision_of(self._connection, key)
            return journal.history(self._connection, key, limit)

    def create(self, build: Build, stops: int | None = None) -> int:
        """Add a build; its key."""
        with self.writing() as writing:
            from storage.store import write

            return write.insert_build(writing, build, stops)

    def commit(
        self,
        key: int,
        revision: int,
        edit: Edit,
        inverse: Edit,
        after: Build,
        stops: int | None = None,
    ) -> int:
        """Save one edit: the rows it changed and its journal line, in one transaction.

        ``after`` is the build at ``revision`` with ``edit`` applied. Returns the new revision;
        raises ``StoreChanged`` if another session changed the build in between.
        """
        with self.writing() as writing:
            before = self._before(writing, key, revision)
            self._save(writing, key, revision, before, after, "do", edit, inverse, stops=stops)
        return self._hold(key, after, revision + 1)

    def undo(self, key: int, revision: int, build: Build) -> Undone | None:
        """Take back the last edit that is not undone yet; ``None`` if there is none."""
        return self._turn(key, revision, build, "undo", journal.next_undo)

    def redo(self, key: int, revision: int, build: Build) -> Undone | None:
        """Make the last undone edit again; ``None`` if there is none, as after a new edit."""
        return self._turn(key, revision, build, "redo", journal.next_redo)

    def duplicate(self, key: int, title: str) -> int:
        """Add a copy of a build under another title, with a journal of its own; its key."""
        with self.reading():
            build = read.read_build(self._connection, key).build
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

    def _turn(
        self,
        key: int,
        revision: int,
        build: Build,
        kind: str,
        find: Callable[[sqlite3.Connection, Book], Step | None],
    ) -> Undone | None:
        with self.writing() as writing:
            before = self._before(writing, key, revision)
            step = find(self._connection, journal.of_build(key))
            if step is None:
                return None
            edit = step.inverse if kind == "undo" else step.edit
            after, inverse = journal.applied(key, build, edit, step.revision)
            self._save(
                writing, key, revision, before, after, kind, edit, inverse, step=step, stops=None
            )
        return Undone(after, self._hold(key, after, revision + 1), step.label)

    def _before(self, writing: "Connection", key: int, revision: int) -> Build:
        """The build that the tables hold now, without reading it again if it is known."""
        from storage.store import write

        if revision != read.revision_of(self._connection, key):
            raise write.stale(writing, key)
        held = self._held
        if held is None or (held.key, held.revision) != (key, revision):
            held = read.read_build(self._connection, key)
        return held.build

    def _save(
        self,
        writing: "Connection",
        key: int,
        revision: int,
        before: Build,
        after: Build,
        kind: str,
        edit: Edit,
        inverse: Edit,
        *,
        stops: int | None,
        step: Step | None = None,
    ) -> None:
        from storage.store import write

        new = write.advance(writing, key, revision, after, stops)
        write.write_changes(writing, key, before, after)
        write.write_line(
            writing,
            key,
            new,
            kind,
            journal.edit_to_text(edit),
            journal.edit_to_text(inverse),
            step.label if step else visible(describe(edit)),
            step.revision if step else None,
        )

    def _hold(self, key: int, build: Build, revision: int) -> int:
        self._held = OpenBuild(key, build, revision)
        return revision

    def _engine(self) -> "Engine":
        from storage.store import write

        if self._made_engine is None:
            self._made_engine = write.engine_over(self._connection)
        return self._made_engine
