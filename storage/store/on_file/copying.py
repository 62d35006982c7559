"""A copy of a store as it is at one moment, made while others work in it: one file by itself."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from storage.errors import DATABASE_ERRORS, StoreError, plain_error


def whole_file(target: Path, fill: Callable[[Path], object], *, replace: bool = False) -> None:
    """Make a store in a file that only its owner can read; it is there whole, or not at all.

    ``fill`` writes it, into an empty file of another name beside.

    ``StoreError`` where it cannot be written, or is there and not to be replaced.
    """
    if target.is_dir():
        raise StoreError(f"{target} is a directory: name a file in it")
    if target.exists() and not replace:
        raise StoreError(f"{target} is already there: choose another name, or add --force")
    part = target.with_name(f".mainrun-{os.urandom(6).hex()}.part")
    try:
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        fill(part)
        with closing(sqlite3.connect(part, isolation_level=None)) as copy:
            # One file by itself, without any beside it.
            copy.execute("PRAGMA journal_mode = DELETE")
            (said,) = copy.execute("PRAGMA quick_check(1)").fetchone()
        if said != "ok":
            raise StoreError(f"the store is damaged ({said}): the copy was not kept")
        _sync(part)
        part.replace(target)
    except OSError as error:
        raise StoreError(f"{target} cannot be written: {error.strerror}") from error
    except DATABASE_ERRORS as error:
        raise plain_error(error, target) from error
    finally:
        for end in ("", "-wal", "-shm"):
            part.with_name(part.name + end).unlink(missing_ok=True)


def _sync(path: Path) -> None:
    """What is written is on the disk before the name says so."""
    descriptor = os.open(path, os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
