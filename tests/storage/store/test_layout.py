"""The layout of the file: migrations against the tables (second method), and how values stand."""

import sqlite3
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from sqlalchemy import create_engine
from sqlmodel import SQLModel

from domain.build.actions import applied
from domain.build.edits import SetField
from domain.build.records import TABLES
from storage.store import row_types, versions
from storage.store.builds import Store, StoreError
from storage.store.on_file import layout
from tests.storage.store.builds import file_of, large_build, new_store


def _layout(connection: sqlite3.Connection) -> dict[str, Any]:
    names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    return {
        name: {
            "columns": sorted(
                (column, kind, bool(not_null), primary)
                for _, column, kind, not_null, _, primary in connection.execute(
                    f"PRAGMA table_info({name})"
                )
            ),
            "references": connection.execute(f"PRAGMA foreign_key_list({name})").fetchall(),
        }
        for (name,) in names
    }


def test_the_migrations_make_the_tables_of_the_program(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    assert row_types.ROWS.keys() == TABLES.keys()
    engine = create_engine(f"sqlite:///{tmp_path / 'model.sqlite'}")
    SQLModel.metadata.create_all(engine)
    engine.dispose()
    with (
        closing(sqlite3.connect(path)) as migrated,
        closing(sqlite3.connect(tmp_path / "model.sqlite")) as model,
    ):
        assert _layout(migrated) == _layout(model)


def test_choices_stand_in_the_file_by_their_value(tmp_path: Path) -> None:
    length = SetField(table="runs", id="r1", field="length_m", value=0.9)
    path, key = new_store(tmp_path, applied(large_build(1), length))
    with closing(sqlite3.connect(path)) as file:
        run = file.execute(
            "SELECT polarity, metal, insulation, typeof(polarity), typeof(length_m), fuse_family "
            "FROM runs WHERE build_key = ? AND id = 'r1'",
            (key,),
        ).fetchone()
        header = file.execute("SELECT state, units, wire_sizes FROM build").fetchone()
        amplifier = file.execute("SELECT amplifier_class, regulated FROM amplifiers").fetchone()
    assert run == ("positive", "copper", "105 C", "text", "real", None)
    assert header == ("planned", "inch", "AWG")
    assert amplifier == ("D", 1)


def test_the_file_says_what_it_is_and_which_migrations_ran(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA application_id").fetchone()[0] == layout.APPLICATION_ID
        assert file.execute("PRAGMA user_version").fetchone()[0] == versions.latest()
        assert file.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
        assert [name for name, _ in file.execute("SELECT name, at FROM migration")] == [
            migration.NAME for migration in versions.MIGRATIONS
        ]
    with Store(path) as store:
        connection = file_of(store)
        assert connection.execute("PRAGMA synchronous").fetchone()[0] == 2  # FULL
        assert connection.execute("PRAGMA foreign_keys").fetchone()[0] == 1
        assert connection.execute("PRAGMA busy_timeout").fetchone()[0] == 2000


def test_a_migration_that_fails_leaves_no_trace(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, key = new_store(tmp_path)

    class Broken:
        STATEMENTS = ("CREATE TABLE extra (id TEXT)", "CREATE TABLE zones (id TEXT)")

    with closing(sqlite3.connect(path)) as file:
        before = _layout(file)
    with monkeypatch.context() as patch:
        broken = SimpleNamespace(NAME="m9999_broken", module=Broken)
        patch.setattr(versions, "MIGRATIONS", (*versions.MIGRATIONS, broken))
        with pytest.raises(StoreError, match="already exists"):
            Store(path)
    with closing(sqlite3.connect(path)) as file:
        assert _layout(file) == before
    with Store(path) as store:
        assert store.open(key).document.header.title == "New build"


def test_a_migration_runs_once_on_an_older_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _ = new_store(tmp_path)

    class Added:
        STATEMENTS = ("CREATE TABLE extra (id TEXT)",)

    with monkeypatch.context() as patch:
        added = SimpleNamespace(NAME="m9998_added", module=Added)
        patch.setattr(versions, "MIGRATIONS", (*versions.MIGRATIONS, added))
        for _ in range(2):
            with Store(path) as store:
                assert len(store.builds()) == 1
        with closing(sqlite3.connect(path)) as file:
            ran = file.execute("SELECT count(*) FROM migration").fetchone()[0]
        assert ran == len(versions.MIGRATIONS)
    with pytest.raises(StoreError, match="newer Mainrun"):
        Store(path)


def test_a_record_of_no_build_is_not_taken(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    with (
        Store(path) as store,
        pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"),
    ):
        file_of(store).execute(
            "INSERT INTO zones (build_key, id, position, name, ambient_c) VALUES "
            "(9, 'z1', 0, '', 1)"
        )


def test_the_newest_builds_are_found_without_sorting_all(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path)
    newest = "SELECT key FROM build WHERE archived <= 0 ORDER BY changed DESC, key DESC LIMIT 200"
    with closing(sqlite3.connect(path)) as file:
        plan = " ".join(row[3] for row in file.execute(f"EXPLAIN QUERY PLAN {newest}"))
        assert "build_by_change" in plan
        assert "TEMP B-TREE" not in plan
