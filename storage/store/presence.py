"""Who else is at work in a store, and on which page. Who is not heard of for a while is gone.

On a server it is the server's clock that counts: those of the machines that work there may differ.
A file is used on one machine, and has no clock but that.
"""

from datetime import UTC, datetime, timedelta

from msgspec import Struct

from storage.store.author import Author
from storage.store.database import Reading

GONE_AFTER_S = 35.0
"""A session that was not heard of for this long is over [s]."""

HEARD_EVERY_S = 10.0
"""How often a session is to be heard of [s]."""


class Present(Struct, frozen=True):
    """Somebody at work: in a build, or (``None``) elsewhere in the store; the page by its title."""

    person: str
    build_key: int | None
    page: str


def live_sessions(connection: Reading) -> set[str]:
    """The sessions that are at work now."""
    first, last = _lately(connection)
    rows = connection.execute(
        "SELECT session FROM presence WHERE seen BETWEEN ? AND ?", (first, last)
    )
    return {session for (session,) in rows}


def others(connection: Reading, author: Author) -> tuple[Present, ...]:
    """Everybody else at work, by name."""
    rows = connection.execute(
        "SELECT person, build_key, page FROM presence WHERE session <> ? AND seen BETWEEN ? AND ? "
        "ORDER BY person, session",
        (author.session, *_lately(connection)),
    )
    return tuple(Present(*row) for row in rows)


def note(connection: Reading, author: Author, build_key: int | None, page: str) -> None:
    """Say that a session is at work on a page; forget those that are over."""
    at = _clock(connection)
    first, last = _around(at)
    connection.execute("DELETE FROM presence WHERE NOT seen BETWEEN ? AND ?", (first, last))
    connection.execute(
        "INSERT INTO presence (session, person, build_key, page, seen) VALUES (?, ?, ?, ?, ?) "
        "ON CONFLICT (session) DO UPDATE SET person = excluded.person, "
        "build_key = excluded.build_key, page = excluded.page, seen = excluded.seen",
        (author.session, author.person, build_key, page, _text(at)),
    )


def leave(connection: Reading, author: Author) -> None:
    """Say that a session is over."""
    connection.execute("DELETE FROM presence WHERE session = ?", (author.session,))


def _lately(connection: Reading) -> tuple[str, str]:
    return _around(_clock(connection))


def _around(at: datetime) -> tuple[str, str]:
    """The times between which a session was heard of that is still there.

    Also a little ahead: the clock may have been set back since.
    """
    span = timedelta(seconds=GONE_AFTER_S)
    return _text(at - span), _text(at + span)


def _clock(connection: Reading) -> datetime:
    """The time where the store is: a server gives it as a time, SQLite the machine's as text."""
    (at,) = connection.execute("SELECT CURRENT_TIMESTAMP").fetchone()
    return datetime.now(UTC) if isinstance(at, str) else at.astimezone(UTC)


def _text(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")
