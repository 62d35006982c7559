"""What the store asks of the database it is in: a file of SQLite, or a schema on a server.

Everything else in this folder is the same for both, and its SQL is such that both understand it:
a question mark stands for a value, names that only one of them reserves are quoted.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, Protocol

from msgspec import Struct

ALL = 2**62
"""As a limit: no limit."""


class Rows(Protocol):
    """What a query has found; a row by its columns' names or places, or as a whole."""

    def fetchone(self) -> Any:
        """The next row, or ``None``."""

    def fetchall(self) -> list[Any]:
        """All rows that are left."""

    def __iter__(self) -> Iterator[Any]: ...


class Reading(Protocol):
    """An open transaction, for SQL of one's own."""

    def execute(self, sql: str, parameters: Sequence[Any] = (), /) -> Rows:
        """Run a statement; a question mark in it stands for each of the parameters."""


class Written(Struct, frozen=True):
    """A line of a journal by what no other has: that it stands there says that it was saved."""

    journal: str
    where: str
    arguments: tuple[int, ...]
    revision: int
    checksum: str
    label: str

    def stands(self, reading: Reading) -> bool:
        """Whether it is there."""
        query = f"SELECT checksum FROM {self.journal} WHERE {self.where} AND revision = ?"
        row = reading.execute(query, (*self.arguments, self.revision)).fetchone()
        return row is not None and row[0] == self.checksum


class Writing(Reading, Protocol):
    """An open transaction that writes."""

    line: Written | None
    """The line of a journal that was written last in it."""

    def execute_many(self, sql: str, rows: Sequence[Sequence[Any]], /) -> None:
        """Run a statement that finds nothing for each of these rows of parameters."""


class Database(Protocol):
    """One store. Its methods raise ``StoreError`` with a sentence, having changed nothing."""

    read_only: bool
    notice: str
    """What its user should be told of its opening, or empty."""

    def reading(self) -> AbstractContextManager[Reading]:
        """One read transaction: everything read in it is of one moment."""

    def writing(self, whose: str = "") -> AbstractContextManager[Writing]:
        """One write transaction, the only one about what ``whose`` names: "build 3", say."""

    def quietly(self, write: Callable[[Reading], object]) -> None:
        """Write what may as well be missing: nobody waits for it, and no failure is told."""

    def moved(self) -> bool:
        """Whether another session has written since this was last asked; it is asked often."""

    def on_waiting(self, told: Callable[[], None]) -> bool:
        """Call this, where a thread waits for another machine; false: there is none to wait for."""

    def damage(self, reading: Reading, most: int) -> Iterator[str]:
        """What the database itself finds damaged, as sentences, about so many."""

    def fill(self, empty: Path) -> bool:
        """Copy the store into an empty file, as it is at one moment; false: it is no file."""

    def numbered(self, writing: Writing) -> None:
        """Builds were written with keys of their own: later ones get the keys after those."""

    def close(self) -> None:
        """Let go of it."""
