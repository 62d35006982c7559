"""What can go wrong between Mainrun and the disk, each said in one plain sentence."""

import sqlite3
from pathlib import Path


class StoreError(Exception):
    """The store cannot do what was asked; the message is for the user. Nothing was changed."""


class StoreAway(StoreError):
    """The server of the store cannot be reached, or does not answer; it goes on when it is back."""


class StoreChanged(StoreError):
    """Another session changed the build since it was read: open it again and repeat the edit."""


class TransferError(Exception):
    """A file cannot be imported or written; the message is for the user. Nothing was changed."""


_SENTENCES = {
    sqlite3.SQLITE_BUSY: (
        "the store {path} is being written by another program: wait a moment and try again"
    ),
    sqlite3.SQLITE_LOCKED: (
        "the store {path} is being written by another program: wait a moment and try again"
    ),
    sqlite3.SQLITE_READONLY: (
        "the store {path} may only be read: ask its owner for the right to write to the file and "
        "its directory, or name another store"
    ),
    sqlite3.SQLITE_FULL: (
        "the disk with the store {path} is full, the change was not saved: free some space and "
        "make it again"
    ),
    sqlite3.SQLITE_IOERR: (
        "the disk with the store {path} failed ({error}), the change was not saved: check the "
        "disk and its free space"
    ),
    sqlite3.SQLITE_CORRUPT: (
        "the store {path} is damaged ({error}): keep this file, and go on from a backup of it, as "
        "`mainrun backup` makes one"
    ),
    sqlite3.SQLITE_NOTADB: "{path} is no database: name a store that Mainrun made, or a new file",
    sqlite3.SQLITE_CANTOPEN: (
        "the store {path} cannot be opened: check that it is a file, and that you may read it and "
        "write to its directory"
    ),
}


DATABASE_ERRORS = (sqlite3.Error, UnicodeDecodeError)
"""What the database raises. Where damage has reached a name that its own message quotes, that
message is no text and only the attempt to read it is told."""


def plain_error(error: sqlite3.Error | UnicodeDecodeError, path: Path) -> StoreError:
    """The sentence for an error of the database."""
    primary_code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if isinstance(error, UnicodeDecodeError):
        primary_code = sqlite3.SQLITE_CORRUPT
    sentence = _SENTENCES.get(primary_code, "the store {path} failed: {error}")
    return StoreError(sentence.format(path=path, error=error))
