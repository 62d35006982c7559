"""Opening the file of a store: permissions, WAL, and what to do where it may only be read."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from storage.errors import DATABASE_ERRORS, StoreError, plain_error
from storage.store.location import own_place, uri_of
from storage.store.on_file.layout import bring_up_to_date, check_layout
from storage.store.on_file.sharing import closed_to_us, share_folder, share_store, shut_folder
from storage.store.versions import latest

BUSY_S = 2.0
"""How long to wait for another writer [s]."""

UNHURRIED_S = 0.05
"""The same for what may as well not be written [s]."""


class OpenFile(Struct, frozen=True):
    """The file of a store: a connection, and whether it may only be read.

    ``copy`` is where it is kept as it was, if it had to be brought to a newer layout; ``unshared``
    why others cannot use it, where it was to be shared.
    """

    connection: sqlite3.Connection
    read_only: bool
    copy: Path | None = None
    unshared: str = ""


def open_file(path: Path, share_with_group: bool) -> OpenFile:
    """Open the file of a store, made if it is not there."""
    try:
        path = path.resolve()  # the side files are beside the file, not beside a link to it
        if not path.exists():
            _create(path, share_with_group)
        if path.is_dir():
            raise StoreError(f"{path} is a directory: name a file in it")
        trouble = share_store(path) if share_with_group else ""
        writable = os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
    except (OSError, RuntimeError, ValueError) as error:  # a loop of links; a null character
        reason = getattr(error, "strerror", None) or str(error)
        raise StoreError(
            f"the store {path} cannot be made or reached: {reason}; "
            f"{shut_folder(path) or 'name another place for it'}"
        ) from error
    try:
        opened = _open_writable(path) if writable else OpenFile(_open_read_only(path), True)
    except DATABASE_ERRORS as error:
        closed = closed_to_us(path)
        raise (StoreError(closed) if closed else plain_error(error, path)) from error
    return replace(opened, unshared=trouble)


def _create(path: Path, share_with_group: bool) -> None:
    """Make an empty file that nobody else can read at any moment.

    SQLite gives its side files the permissions of the file itself. A folder is made for the user's
    own place alone: of any other that is not there the name is as likely to be wrong.
    """
    missing = [d for d in path.absolute().parents if not d.exists()]
    if missing and missing[-1].parent.is_dir() and path.parent != own_place().parent.resolve():
        from shlex import quote

        raise StoreError(
            f"there is no folder {path.parent} to make a store in: name one that is there, or make "
            f"it first with mkdir -p {quote(str(path.parent))}"
        )
    for directory in reversed(missing):
        directory.mkdir(mode=0o700, exist_ok=True)
        if share_with_group:
            share_folder(directory)
    with suppress(FileExistsError):  # another session was quicker
        descriptor = os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600)
        os.close(descriptor)


@contextmanager
def unhurried(connection: sqlite3.Connection) -> Iterator[None]:
    """Do not wait for another writer in here: who has something to save goes first."""
    connection.execute(f"PRAGMA busy_timeout = {int(UNHURRIED_S * 1000)}")
    try:
        yield
    finally:
        connection.execute(f"PRAGMA busy_timeout = {int(BUSY_S * 1000)}")


def _connect(path: Path, mode: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{uri_of(path.absolute())}?{mode}",
        uri=True,
        timeout=BUSY_S,
        isolation_level=None,
        check_same_thread=False,
    )
    connection.row_factory = sqlite3.Row
    return connection


def _open_writable(path: Path) -> OpenFile:
    connection = _connect(path, "mode=rw")
    try:
        check_layout(connection, path)
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        copy = bring_up_to_date(connection, path)
    except BaseException:
        connection.close()
        raise
    return OpenFile(connection, False, copy)


def _open_read_only(path: Path) -> sqlite3.Connection:
    """Open a store that may not be written to, or whose directory may not.

    SQLite wants its side files even to read. Where they are not there and it can make none,
    nobody else is writing either, and the file may be read as it stands ("immutable").
    """
    for mode in ("mode=ro", "mode=ro&immutable=1"):
        connection = _connect(path, mode)
        try:
            if check_layout(connection, path) < latest():
                raise StoreError(
                    f"the store {path} has an older layout and may only be read: open it once "
                    "where it can be written"
                )
            return connection
        except sqlite3.OperationalError as error:
            connection.close()
            wal = path.with_name(path.name + "-wal")
            no_side_files = error.sqlite_errorcode & 0xFF in (
                sqlite3.SQLITE_CANTOPEN,
                sqlite3.SQLITE_READONLY,
            )
            if not no_side_files or (wal.exists() and wal.stat().st_size):
                raise
        except BaseException:
            connection.close()
            raise
    raise StoreError(
        f"the store {path} cannot be read: check that you may read the file and its directory"
    )
