"""A document in the store, be it a build or the shop: every change saved at once, undo across
restarts.

A change is made on what the store holds at that moment, inside one transaction with its line of
the journal, whatever another session has done since: nothing of either is lost.
"""

from collections.abc import Callable, Collection
from contextlib import AbstractContextManager
from typing import Generic, Protocol

from domain.build.edits import Edit, EditRefused, apply, describe
from domain.visible_text import visible
from storage.errors import StoreError
from storage.store import journal, write
from storage.store.author import Author
from storage.store.database import ALL, Reading, Writing
from storage.store.filing import D, Filing
from storage.store.journal import FullLine, JournalLine
from storage.store.read import Opened, read, read_table, revision_of

MOST_FOLLOWED = 50
"""A document that is held is brought on over so many edits; over more it is read anew."""


class Transactions(Protocol):
    """What a document needs of the file it is in."""

    @property
    def read_only(self) -> bool:
        """Whether nothing may be written to it."""

    @property
    def author(self) -> Author:
        """Who makes edits in it."""

    def reading(self) -> AbstractContextManager[Reading]:
        """One read transaction."""

    def writing(self, whose: str) -> AbstractContextManager[Writing]:
        """One write transaction, the only one about what this names."""


class Kept(Generic[D]):
    """A document kept in a store.

    Every method raises ``StoreError`` with a sentence for the user, having changed nothing.
    """

    def __init__(self, file: Transactions, filing: Filing[D]) -> None:
        self.filing = filing
        self._file = file
        self._held: Opened[D] | None = None

    @property
    def read_only(self) -> bool:
        """Whether it may only be read."""
        return self._file.read_only

    def open(self) -> Opened[D]:
        """Read the document."""
        with self._file.reading() as reading:
            self._held = self._now(reading)
            return self._held

    def revision(self) -> int:
        """Its revision as it is now."""
        with self._file.reading() as reading:
            return revision_of(reading, self.filing)

    def is_own(self, line: FullLine) -> bool:
        """Whether this session has made an edit."""
        return line.line.session == self._file.author.session

    def table(self, table: str) -> tuple[object, ...]:
        """The records of one table alone."""
        with self._file.reading() as reading:
            revision_of(reading, self.filing)
            return read_table(reading, self.filing, table)

    def history(self, limit: int = 50) -> list[JournalLine]:
        """The last lines of its journal, newest first."""
        with self._file.reading() as reading:
            revision_of(reading, self.filing)
            return journal.history(reading, self.filing, limit)

    def since(self, revision: int, limit: int = ALL) -> list[FullLine]:
        """What was done after a revision, with the edits, newest first; -1: from the start on."""
        with self._file.reading() as reading:
            revision_of(reading, self.filing)
            return journal.since(reading, self.filing, revision, limit)

    def change(
        self,
        make: Callable[[D], Edit],
        replaced: Collection[str] = (),
    ) -> Opened[D]:
        """Make an edit on the document as it is now.

        ``make`` is given the document and gives the edit; ``EditRefused`` where it cannot be made.
        Damaged rows do not stand in the way of an edit that replaces whole tables.
        """
        with self._file.writing(self.filing.whose) as writing:
            now = self._now(writing, lenient=bool(replaced))
            edit = make(now.document)
            after, inverse = apply(now.document, edit)
            line = write.Line("do", edit, inverse, visible(describe(edit)), self._file.author)
            revision = write.save(
                writing,
                self.filing,
                now.revision,
                now.document,
                after,
                line,
                replaced=replaced,
            )
        return self._hold(after, revision)

    def commit(
        self, revision: int, edit: Edit, inverse: Edit, after: D, stops: int | None = None
    ) -> Opened[D]:
        """Save an edit that is worked out already: ``after`` is what was there at ``revision``.

        Raises ``StoreChanged`` if another session changed the document in between. ``stops`` are
        the findings that forbid a build after it, for the list of builds.
        """
        with self._file.writing(self.filing.whose) as writing:
            now = self._at(writing, revision)
            line = write.Line("do", edit, inverse, visible(describe(edit)), self._file.author)
            new = write.save(writing, self.filing, revision, now.document, after, line, stops=stops)
        return self._hold(after, new)

    def undo(self) -> Opened[D] | None:
        """Take back one's own last edit that is not undone yet; ``None`` if there is none at all.

        Raises ``StoreError`` with the reason where it cannot be taken back any more.
        """
        return self._turn("undo")

    def redo(self) -> Opened[D] | None:
        """Make one's last undone edit again; ``None`` if there is none, as after a new edit."""
        return self._turn("redo")

    def _turn(self, kind: str) -> Opened[D] | None:
        from storage.store import own_edits

        find = own_edits.next_undo if kind == "undo" else own_edits.next_redo
        with self._file.writing(self.filing.whose) as writing:
            now = self._now(writing)
            step = find(writing, self.filing, self._file.author)
            if step is None:
                return None
            edit = step.inverse if kind == "undo" else step.edit
            try:
                after, inverse = apply(now.document, edit)
            except EditRefused as error:
                again = "taken back" if kind == "undo" else "made again"
                raise StoreError(f"{step.label} cannot be {again}: {error}") from error
            line = write.Line(kind, edit, inverse, step.label, self._file.author, step.revision)
            new = write.save(writing, self.filing, now.revision, now.document, after, line)
        return self._hold(after, new, step.label)

    def _at(self, reading: Reading, revision: int) -> Opened[D]:
        """What the tables hold, if that is the expected revision."""
        if revision_of(reading, self.filing) != revision:
            raise write.stale(reading, self.filing)
        return self._now(reading)

    def _now(self, reading: Reading, lenient: bool = False) -> Opened[D]:
        """What the tables hold, without reading them again where the revision is the same."""
        held = self._held
        if held is not None:
            revision = revision_of(reading, self.filing)
            if held.revision == revision:
                return held
            if not lenient and held.revision < revision <= held.revision + MOST_FOLLOWED:
                followed = self._followed(reading, held, revision)
                if followed is not None:
                    return followed
        left_out: list[str] = []
        return read(reading, self.filing, left_out.append if lenient else None)

    def _followed(self, reading: Reading, held: Opened[D], revision: int) -> Opened[D] | None:
        """What is held, brought on by the journal: a fraction of reading all tables.

        ``None`` where the journal does not lead there line by line.
        """
        try:
            lines = journal.since(reading, self.filing, held.revision)[::-1]
            document = held.document
            for expected, each in enumerate(lines, held.revision + 1):
                if each.line.revision != expected or each.edit is None:
                    return None
                document, _ = apply(document, each.edit)
        except (EditRefused, StoreError):
            return None
        return Opened(document, revision) if held.revision + len(lines) == revision else None

    def _hold(self, document: D, revision: int, label: str = "") -> Opened[D]:
        self._held = Opened(document, revision)
        return Opened(document, revision, label)
