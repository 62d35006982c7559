"""The store: builds, and what the shop keeps, in one file or in one schema on a server."""

from collections.abc import Sequence
from contextlib import AbstractContextManager
from types import TracebackType
from typing import TYPE_CHECKING, Self

from domain.build.choices import UnitHabit
from domain.build.edits import EditRefused, SetField, apply
from domain.build.records import Build
from storage.errors import StoreChanged, StoreError
from storage.store import journal, left_off, presence, read, wanted_columns, write
from storage.store.author import Author, name_of, this_person
from storage.store.database import ALL, Database, Reading, Writing
from storage.store.documents import Kept
from storage.store.filing import of_build
from storage.store.journal import JournalLine
from storage.store.left_off import LeftOff
from storage.store.location import Place, Server
from storage.store.presence import Present
from storage.store.read import BuildSummary, Opened

if TYPE_CHECKING:
    from domain.shop.shop import Shop
    from storage.store.proving import Proof

__all__ = ["BuildSummary", "JournalLine", "Opened", "Store", "StoreChanged", "StoreError"]


class Store:
    """The builds in one place; a context manager, and safe to use from several threads.

    Every method raises ``StoreError`` with a sentence for the user, having changed nothing.
    """

    def __init__(
        self,
        place: Place,
        *,
        share_with_group: bool = False,
        person: str | None = None,
        make: bool = True,
    ) -> None:
        """Open a store, or make one that only its owner (and group, if asked) can read.

        ``person`` makes the edits; ``None``: who is at work by the name that was set, or the login.
        With ``make`` false, a place on a server where there is none is an error.
        """
        self.place = place
        self.author = Author(this_person() if person is None else name_of(person))
        self.database = _database(place, share_with_group, make)
        self._builds: dict[int, Kept[Build]] = {}
        self._is_here = False
        """Whether others see this session."""

    @property
    def read_only(self) -> bool:
        """Whether nothing may be written to it."""
        return self.database.read_only

    @property
    def notice(self) -> str:
        """What its user should be told of its opening, or empty."""
        return self.database.notice

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
        """Let go of it. There is nothing left to save."""
        if self._is_here:
            self.database.quietly(lambda writing: presence.leave(writing, self.author))
        self.database.close()

    def call_author(self, person: str) -> None:
        """Edits are by this person from now on."""
        self.author = Author(name_of(person), self.author.session)

    def builds(self, archived: bool = False, limit: int = ALL) -> list[BuildSummary]:
        """The builds, newest change first, at most ``limit``; archived ones too when asked."""
        with self.reading() as reading:
            return read.summaries(reading, archived, limit)

    def holds(self, key: int) -> bool:
        """Whether there is a build with this key, archived or not."""
        with self.reading() as reading:
            row = reading.execute("SELECT 1 FROM build WHERE key = ?", (key,)).fetchone()
        return row is not None

    def units(self) -> UnitHabit:
        """The units of the build that was changed last: those of the shop. Inch if there is none.

        A build with units that are none does not count.
        """
        with self.reading() as reading:
            row = reading.execute(
                "SELECT units FROM build ORDER BY changed DESC, key DESC LIMIT 1"
            ).fetchone()
        known = [units for units in UnitHabit if row is not None and row[0] == units.value]
        return known[0] if known else UnitHabit.INCH

    def build(self, key: int) -> Kept[Build]:
        """The document of a build, whether it is there or not."""
        return self._builds.setdefault(key, Kept(self, of_build(key)))

    def shop(self, units: UnitHabit = UnitHabit.INCH) -> "Kept[Shop]":
        """The document of what the shop keeps; lengths of its library are shown in ``units``."""
        from storage.store.shop_filing import of_shop

        return Kept(self, of_shop(units))

    def open(self, key: int) -> Opened[Build]:
        """Read a build."""
        return self.build(key).open()

    def create(self, build: Build, stops: int | None = None) -> int:
        """Add a build; its key. ``stops`` are the findings that forbid it, ``None``: not known."""
        with self.writing() as writing:
            return write.insert_build(writing, build, stops, self.author)

    def duplicate(self, key: int, title: str) -> int:
        """Add a copy of a build under another title, with a journal of its own; its key.

        As many findings forbid it as forbid the one that it is a copy of.
        """
        with self.reading() as reading:
            build = read.read(reading, of_build(key)).document
            stops = read.stops_of(reading, key)
        try:
            build, _ = apply(build, SetField(table="header", field="title", value=title))
        except EditRefused as error:
            raise StoreError(f"the copy cannot have this title: {error}") from error
        return self.create(build, stops)

    def as_it_was(self, key: int, revision: int | None = None) -> Build:
        """A build as it was at a revision, from its journal; ``None``: where that ends."""
        with self.reading() as reading:
            return journal.replay(reading, key, revision)

    def archive(self, key: int, archived: bool) -> None:
        """Put a build out of the way, or bring it back."""
        with self.writing() as writing:
            write.mark(writing, key, archived=archived)

    def note_stops(self, key: int, revision: int, stops: int) -> None:
        """Note how many findings forbid a build as it is at a revision, for the list of builds.

        Nothing is written where that is noted already, or the build was changed since.
        """
        with self.reading() as reading:
            known = read.stops_of(reading, key)
        if known != stops:
            with self.writing() as writing:
                write.note_stops(writing, key, revision, stops)

    def prove(self) -> "Proof":
        """Look through the whole store: is it what was entered?"""
        from storage.store import proving

        with self.reading() as reading:
            return proving.prove(reading, self.database.damage(reading, proving.MOST_TOLD))

    # Who else is here

    def moved(self) -> bool:
        """Whether another session has written to the store since this was last asked.

        It is cheap enough to be asked several times a second.
        """
        return self.database.moved()

    def be_here(self, build_key: int | None, page: str) -> None:
        """Let others see that this session is at work here; where it cannot be said, it is not."""
        if not self.read_only:
            self._is_here = True
            self.database.quietly(lambda to: presence.note(to, self.author, build_key, page))

    def others(self) -> tuple[Present, ...]:
        """Everybody else who is at work in the store."""
        with self.reading() as reading:
            return presence.others(reading, self.author)

    # Where a session was cut off

    def keep_left_off(self, left: LeftOff) -> None:
        """Keep where this session is cut off, to go on from there."""
        if not self.read_only:
            self.database.quietly(lambda writing: left_off.keep(writing, self.author, left))

    def left_off(self) -> list[LeftOff]:
        """Where sessions of this person were cut off that nobody has gone on from, newest first."""
        with self.reading() as reading:
            return left_off.of_person(reading, self.author)

    def take_left_off(self, build_key: int | None) -> LeftOff | None:
        """Where this person was cut off in a build, or (``None``) in the shop; given once."""
        found = next((each for each in self.left_off() if each.build_key == build_key), None)
        if found is not None and not self.read_only:
            self.database.quietly(lambda to: left_off.forget(to, self.author, build_key))
        return found

    # Which columns somebody wants to see

    def wanted_columns(self) -> wanted_columns.Columns:
        """The columns that this person has chosen, by table."""
        with self.reading() as reading:
            return wanted_columns.of_person(reading, self.author)

    def keep_wanted_columns(self, grid: str, columns: Sequence[str]) -> None:
        """Keep which columns of a table this person wants; nothing: as they are at first."""
        if not self.read_only:
            self.database.quietly(
                lambda writing: wanted_columns.keep(writing, self.author, grid, columns)
            )

    def reading(self) -> AbstractContextManager[Reading]:
        """One read transaction: everything read in it is of one moment.

        For the rooms of the store that read with SQL of their own; what it gives is not theirs
        to keep, and one transaction is not begun within another.
        """
        return self.database.reading()

    def writing(self, whose: str = "") -> AbstractContextManager[Writing]:
        """One write transaction: all of it is saved, or nothing, as where the block raises.

        No other is about what ``whose`` names at the same time. ``StoreError`` where the store may
        only be read.
        """
        return self.database.writing(whose)


def _database(place: Place, share_with_group: bool, make: bool) -> Database:
    if isinstance(place, Server):
        from storage.store.on_server.opening import open_server

        return open_server(place, make=make)
    from storage.store.on_file.file import File

    return File(place, share_with_group)
