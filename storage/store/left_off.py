"""Where somebody was when a session was cut off, and what was half-typed there.

It is kept when a terminal is lost, and given back once, to the same person.
"""

from msgspec import Struct

from domain.visible_text import visible
from storage.store.author import Author
from storage.store.database import Reading
from storage.store.presence import live_sessions
from storage.store.versions import now

LONGEST = 2000
"""Of a longer text only so many characters are kept."""


class LeftOff(Struct, frozen=True):
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


_FIELDS = ", ".join(f'"{field}"' for field in LeftOff.__struct_fields__)


def keep(connection: Reading, author: Author, left: LeftOff) -> None:
    """Keep where a session was cut off."""
    typed = None if left.typed is None else left.typed[:LONGEST]
    connection.execute("DELETE FROM left_off WHERE session = ?", (author.session,))
    connection.execute(
        f"INSERT INTO left_off (session, person, at, {_FIELDS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
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


def of_person(connection: Reading, author: Author) -> list[LeftOff]:
    """Where a person was cut off and has not gone on since, newest first.

    What a session that is still seen at work has kept is that one's own.
    """
    live = live_sessions(connection)
    rows = connection.execute(
        f"SELECT session, {_FIELDS} FROM left_off WHERE person = ? ORDER BY at DESC",
        (author.person,),
    )
    return [_shown(*row) for session, *row in rows if session not in live]


def forget(connection: Reading, author: Author, build_key: int | None) -> None:
    """It was given back."""
    live = live_sessions(connection)
    where, of = ("IS NULL", ()) if build_key is None else ("= ?", (build_key,))
    rows = connection.execute(
        f"SELECT session FROM left_off WHERE person = ? AND build_key {where}",
        (author.person, *of),
    ).fetchall()
    for (session,) in rows:
        if session not in live:
            connection.execute("DELETE FROM left_off WHERE session = ?", (session,))


def _shown(
    build_key: int | None, page: str, grid: str, row: str, cell: str, typed: str | None
) -> LeftOff:
    return LeftOff(build_key, page, grid, row, cell, None if typed is None else visible(typed))
