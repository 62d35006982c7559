"""Reading from a server, and writing to it, as to a file: the same SQL, rows by name or place."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import psycopg
from psycopg.rows import RowMaker

from storage.store.database import Rows, Written


class Row:
    """A row by its columns' names or places, as SQLite gives it."""

    __slots__ = ("_places", "_values")

    def __init__(self, places: dict[str, int], values: Sequence[Any]) -> None:
        self._places = places
        self._values = values

    def keys(self) -> list[str]:
        """The names of the columns."""
        return list(self._places)

    def __getitem__(self, at: str | int) -> Any:
        return self._values[self._places[at] if isinstance(at, str) else at]

    def __iter__(self) -> Iterator[Any]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)


def by_name(cursor: psycopg.Cursor[Any]) -> RowMaker[Row]:
    """Makes the rows of a cursor."""
    places = {column.name: place for place, column in enumerate(cursor.description or ())}
    return lambda values: Row(places, values)


def percent_signs(sql: str) -> str:
    """A statement with the placeholders of this driver."""
    return sql.replace("%", "%%").replace("?", "%s")


class ServerReading:
    """An open transaction on a server. What goes wrong in it is a ``StoreError``."""

    def __init__(
        self,
        connection: psycopg.Connection[Any],
        sentence: Callable[[psycopg.Error], Exception],
    ) -> None:
        self._connection = connection
        self._sentence = sentence

    def execute(self, sql: str, parameters: Sequence[Any] = (), /) -> Rows:
        """Run a statement; a question mark in it stands for each of the parameters."""
        cursor = psycopg.ClientCursor(self._connection, row_factory=by_name)
        try:
            return cursor.execute(percent_signs(sql).encode(), tuple(parameters))
        except psycopg.Error as error:
            raise self._sentence(error) from error


class ServerWriting(ServerReading):
    """An open transaction on a server that writes, as ``Writing`` says."""

    line: Written | None = None

    def execute_many(self, sql: str, rows: Sequence[Sequence[Any]], /) -> None:
        """Run a statement for each of these rows; the server is not waited for in between."""
        try:
            with psycopg.Cursor(self._connection) as cursor:
                cursor.executemany(percent_signs(sql).encode(), rows)
        except psycopg.Error as error:
            raise self._sentence(error) from error
