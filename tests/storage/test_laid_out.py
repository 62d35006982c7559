"""A store's file that begins as a copy is the one that the steps would have made."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from storage.store.builds import Store
from storage.store.on_file import opening
from tests.storage import laid_out


def told(path: Path) -> list[object]:
    """What a file says of itself, and who may read it."""
    with closing(sqlite3.connect(path)) as file:
        pragmas = ("application_id", "user_version", "journal_mode", "page_size", "encoding")
        rows = [file.execute(f"PRAGMA {name}").fetchone() for name in pragmas]
        rows += file.execute("SELECT type, name, sql FROM sqlite_master ORDER BY rowid").fetchall()
        rows += file.execute("SELECT name FROM migration ORDER BY rowid").fetchall()
    return [*rows, path.stat().st_mode, path.stat().st_nlink]


def test_a_copy_is_what_the_steps_make(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # second way: the steps themselves
    monkeypatch.setattr(opening, "_create", laid_out._create)
    for folder in ("made", "copied"):
        (tmp_path / folder).mkdir()
    Store(tmp_path / "made" / "store.sqlite").close()
    monkeypatch.setattr(opening, "_create", laid_out._create_laid_out)
    Store(tmp_path / "copied" / "store.sqlite").close()
    assert told(tmp_path / "copied" / "store.sqlite") == told(tmp_path / "made" / "store.sqlite")
    assert [each.name for each in (tmp_path / "copied").iterdir()] == ["store.sqlite"]
