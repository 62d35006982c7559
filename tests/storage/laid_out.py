"""A new store's file begins as a copy of one that the steps of the layout have made.

They run once in a process of the tests: forty milliseconds, which a thousand tests would take
each. Where a test has other steps, or a store older than these, they run as ever.
"""

import secrets
import sqlite3
import tempfile
from contextlib import closing, suppress
from functools import cache
from pathlib import Path

import pytest

from storage.store import versions
from storage.store.on_file import opening

_create, _steps = opening._create, versions.MIGRATIONS


def lay_out_once(patch: pytest.MonkeyPatch) -> None:
    """Have it so from now on."""
    patch.setattr(opening, "_create", _create_laid_out)


def _create_laid_out(path: Path, share_with_group: bool) -> None:
    if versions.MIGRATIONS is not _steps:
        _create(path, share_with_group)
        return
    beside = path.with_name(secrets.token_hex(6))
    _create(beside, share_with_group)
    try:
        beside.write_bytes(_laid_out())
        with suppress(FileExistsError):  # another session was quicker
            path.hardlink_to(beside)
    finally:
        beside.unlink()


@cache
def _laid_out() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "builds.sqlite"
        _create(path, False)
        opening._open_writable(path).connection.close()
        with closing(sqlite3.connect(path)) as plain:
            plain.execute("PRAGMA journal_mode = DELETE")  # as a file is before it is opened
        return path.read_bytes()
