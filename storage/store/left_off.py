"""Where somebody was when a session was cut off, and what was half-typed there.

It is kept when a terminal is lost, and given back once, to the same person.
"""

import sqlite3
from dataclasses import dataclass

from domain.visible_text import visible
from storage.store.author import Author
from storage.store.presence import live_sessions
from storage.store.versions import now

LONGEST = 2000
"""Of a longer text only so many characters are kept."""


@dataclass(frozen=True, slots=True)
class LeftOff:
    """A cell, in a build or (``None``) in the shop; ``typed``: its text, if it was being typed.

    ``page`` and ``grid`` are the ids of page and table, ``row`` and ``cell`` those of the record
    and its column.
    """

    build_key: int | None
    page: str
    grid: str
    row: str
    cell: str
    typed: str | None


_FIELDS = ", ".join(LeftOff.__slots__)


def keep(connection: sqlite3.Connection, author: Author, left: LeftOff) -> None:
    """Keep where a session was cut off."""
    typed = None if left.typed is None else left.typed[:LONGEST]
    connection.execute(
        f"INSERT OR REPLACE INTO left_off (session, person, at, {_FIELDS}) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            author.session,
            author.person,
            now(),
            left.build_key,
            left.page,
            left.grid,
            left.row,
            left.cell,
            typed,
        ),
    )


def of_person(connection: sqlite3.Connection, author: Author) -> list[LeftOff]:
    """Where a person was cut off and has not gone on since, newest first.

    What a session that is still seen at work has kept is that one's own.
    """
    live = live_sessions(connection)
    rows = connection.execute(
        f"SELECT session, {_FIELDS} FROM left_off WHERE person = ? ORDER BY at DESC",
        (author.person,),
    )
    return [_shown(*row) for session, *row in rows if session not in live]


def forget(connection: sqlite3.Connection, author: Author, build_key: int | None) -> None:
    """It was given back."""
    live = live_sessions(connection)
    rows = connection.execute(
        "SELECT session FROM left_off WHERE person = ? AND build_key IS ?",
        (author.person, build_key),
    ).fetchall()
    over = [(session,) for (session,) in rows if session not in live]
    connection.executemany("DELETE FROM left_off WHERE session = ?", over)


def _shown(
    build_key: int | None, page: str, grid: str, row: str, cell: str, typed: str | None
) -> LeftOff:
    return LeftOff(build_key, page, grid, row, cell, None if typed is None else visible(typed))
