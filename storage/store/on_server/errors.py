"""What can go wrong between Mainrun and a server, each said in one plain sentence.

Nothing that is said, kept or logged holds a password.
"""

import psycopg
from psycopg import errors

from storage.errors import StoreAway, StoreError
from storage.store.location import Server

HIDDEN = "***"


_SENTENCES: tuple[tuple[type[psycopg.Error] | tuple[type[psycopg.Error], ...], str], ...] = (
    (
        errors.InsufficientPrivilege,
        "{server} does not let you do that ({error}), nothing was saved: ask whoever keeps the "
        "server for the right, as GRANT SELECT ON ALL TABLES gives that to read",
    ),
    (
        errors.ReadOnlySqlTransaction,
        "the store {server} may only be read: ask its owner for the right to write to its tables, "
        "or name another store",
    ),
    (
        (errors.LockNotAvailable, errors.DeadlockDetected, errors.SerializationFailure),
        "the store {server} is being written by another session: wait a moment and try again",
    ),
    (
        errors.QueryCanceled,
        "the server of the store {server} is too slow, nothing was saved: wait a moment and try "
        "again",
    ),
    (
        (errors.DiskFull, errors.OutOfMemory),
        "the server of the store {server} is full ({error}), nothing was saved: tell whoever "
        "keeps it, and make it again",
    ),
    (
        (errors.DataCorrupted, errors.IndexCorrupted),
        "the store {server} is damaged ({error}): go on from a backup of it",
    ),
    (
        errors.DataError,
        "the store {server} cannot keep this ({error}), nothing was saved",
    ),
)


def cleaned(text: str, server: Server) -> str:
    """One line without what must not be shown, and without the guesses of the library.

    It begins the lines of those with a tab: "Is the server running on that host ...?"
    """
    text = "\n".join(line for line in text.splitlines() if not line.startswith("\t"))
    for secret in server.secrets:
        text = text.replace(secret, HIDDEN)
    said = " ".join(line.strip() for line in text.splitlines() if line.strip())
    return said.rstrip(".") or "no reason was given"


def is_away(error: psycopg.Error, connection: psycopg.Connection[object] | None) -> bool:
    """Whether an error says that the connection is lost."""
    lost = connection is None or connection.closed
    ended = (errors.AdminShutdown, errors.CrashShutdown, errors.CannotConnectNow)
    return isinstance(error, psycopg.OperationalError) and (lost or isinstance(error, ended))


def away(error: Exception | str, server: Server) -> StoreAway:
    """What to say where the server cannot be reached."""
    return StoreAway(
        f"the server of the store {server} cannot be reached, nothing was saved: wait until it is "
        f"back and try again ({cleaned(str(error), server)})"
    )


def sentence(
    error: psycopg.Error, server: Server, connection: psycopg.Connection[object] | None
) -> StoreError:
    """The sentence for an error of the driver."""
    if is_away(error, connection):
        return away(error, server)
    said = error.diag.message_primary or str(error)
    for kinds, text in _SENTENCES:
        if isinstance(error, kinds):
            return StoreError(text.format(server=server, error=cleaned(said, server)))
    return StoreError(f"the store {server} failed: {cleaned(said, server)}")
