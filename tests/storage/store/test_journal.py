"""Tables and journal tell the same build, whatever was done (second method: replay)."""

import sqlite3
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.edits import AddRecord, Batch, Edit, MoveRecord, RemoveRecord, SetField
from domain.build.records import Build
from domain.build.start import start_build
from storage.store.builds import Store, StoreError
from storage.store.journal import edit_from_text, edit_to_text, replay
from tests.storage.store.builds import (
    Change,
    changes,
    commit,
    large_build,
    new_store,
    random_edit,
    set_title,
)


@settings(max_examples=25, deadline=None)
@given(changes(), st.lists(st.sampled_from(["undo", "redo", "do"]), max_size=20))
def test_replaying_the_journal_gives_what_the_tables_hold(
    described: list[Change], turns: list[str]
) -> None:
    with tempfile.TemporaryDirectory() as directory:
        path, key = new_store(Path(directory))
        done: list[Build] = [start_build()]  # the same history, kept as whole builds
        undone: list[Build] = []
        revision = 0
        with Store(path) as store:
            for turn in ["do"] * 4 + turns:
                if turn == "do" and described:
                    edit = random_edit(done[-1], described.pop())
                    if edit is not None:
                        revision, after = commit(store, key, revision, done[-1], edit)
                        done.append(after)
                        undone.clear()
                elif turn == "undo":
                    result = store.build(key).undo()
                    assert (result is None) == (len(done) == 1)
                    if result:
                        revision = result.revision
                        undone.append(done.pop())
                elif turn == "redo":
                    result = store.build(key).redo()
                    assert (result is None) == (not undone)
                    if result:
                        revision = result.revision
                        done.append(undone.pop())
        with Store(path) as store:
            opened = store.open(key)
            assert (opened.document, opened.revision) == (done[-1], revision)
            assert _replayed(path, key) == done[-1]


@pytest.mark.parametrize(
    "edit",
    [
        SetField(table="runs", id="r1", field="length_m", value=0.1 + 0.2),
        SetField(table="header", field="title", value="\ud800\x1b"),
        SetField(table="amplifiers", id="a1", field="regulated", value=True),
        SetField(table="runs", id="r1", field="length_m", value=None),
        AddRecord(table="zones", record={"id": "z9", "name": "", "ambient_c": 50}, index=0),
        RemoveRecord(table="zones", id="z9"),
        Batch(edits=(MoveRecord(table="zones", id="z1", index=2),), label="moved"),
    ],
)
def test_an_edit_is_the_same_after_the_journal(edit: Edit) -> None:
    again = edit_from_text(edit_to_text(edit))
    assert again == edit
    if isinstance(edit, SetField) and isinstance(again, SetField):
        assert type(again.value) is type(edit.value)


def test_a_build_with_damaged_rows_is_recovered_from_its_journal(tmp_path: Path) -> None:
    path, key = new_store(tmp_path, large_build(2))
    with Store(path) as store:
        _, build = commit(store, key, 0, large_build(2), set_title("Kept"))
    with sqlite3.connect(path) as damaging:
        damaging.execute("UPDATE runs SET length_m = -1 WHERE id = 'r1'")
    damaging.close()
    with Store(path) as store:
        with pytest.raises(StoreError, match="runs r1"):
            store.open(key)
        assert store.as_it_was(key) == build


@pytest.mark.parametrize("damage", ["edit = '{'", "inverse = '{\"kind\": 1}', edit = '[]'"])
def test_a_damaged_journal_is_told_and_the_build_stays(tmp_path: Path, damage: str) -> None:
    path, key = new_store(tmp_path)
    with Store(path) as store:
        _, build = commit(store, key, 0, start_build(), set_title("Kept"))
    with sqlite3.connect(path) as damaging:
        damaging.execute(f"UPDATE journal SET {damage} WHERE revision = 1")
    damaging.close()
    with Store(path) as store:
        with pytest.raises(StoreError, match=r"journal of build 1 is damaged at line 1"):
            store.build(key).undo()
        with pytest.raises(StoreError, match="damaged"):
            store.as_it_was(key)
        assert store.open(key).document == build


def _replayed(path: Path, key: int) -> object:
    connection = sqlite3.connect(path)
    connection.row_factory = sqlite3.Row
    try:
        return replay(connection, key)
    finally:
        connection.close()
