"""Blocks that were added when their wire still had defaults of its own, and edits in full."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from domain.build.edits import AddRecord, Batch, Edit, ReplaceTables
from domain.build.records import Block, Build
from storage.store import layout
from storage.store.builds import Store
from storage.store.journal import edit_from_text, edit_to_text, replay
from storage.store.migrations import m0010_added_blocks
from tests.storage.store.builds import commit, new_store

THEN = "2020-01-01"
LATER = "2999-01-01"


def _line(path: Path, revision: int, edit: dict[str, object], at: str) -> None:
    """What the journal has of an edit, as it was written then."""
    with closing(sqlite3.connect(path)) as file, file:
        text = json.dumps(edit, separators=(",", ":"))
        file.execute("UPDATE journal SET edit = ?, at = ? WHERE revision = ?", (text, at, revision))


def _one_behind(path: Path) -> None:
    """The store as it was before the migration of this test."""
    with closing(sqlite3.connect(path)) as file, file:
        at = layout.MIGRATIONS.index(m0010_added_blocks)
        for later in layout.MIGRATIONS[at:]:
            file.execute("DELETE FROM migration WHERE name = ?", (later.NAME,))
        file.execute(f"PRAGMA user_version = {at}")


def _added(**values: object) -> dict[str, object]:
    add = {"kind": "add", "table": "blocks", "record": {"id": "d1", **values}, "index": -1}
    return {"kind": "batch", "edits": [add], "label": "add a block"}


@pytest.mark.parametrize(
    ("given", "at", "wire"),
    [
        ({}, THEN, ("AWG 1/0", "AWG 4")),
        ({"largest_in": "50 mm2"}, THEN, ("50 mm2", "AWG 4")),
        ({"largest_out": "AWG 8", "name": '"record":{'}, THEN, ("AWG 1/0", "AWG 8")),
        ({}, LATER, (None, None)),
    ],
)
def test_a_block_of_then_comes_back_with_the_wire_of_then(
    tmp_path: Path, given: dict[str, str], at: str, wire: tuple[str | None, str | None]
) -> None:
    # the defaults of then: AWG 1/0 in, AWG 4 out; later ones are left to the engine
    path, key = new_store(tmp_path, Build())
    edit = AddRecord(table="blocks", record={"id": "d1"})
    with Store(path) as store:
        commit(store, key, 0, store.open(key).build, edit)
    _line(path, 1, _added(**given), at)
    _one_behind(path)
    with Store(path) as store:
        (block,) = replay(store._connection, key).blocks
    assert (block.largest_in, block.largest_out) == wire
    assert block.name == given.get("name", "")


@pytest.mark.parametrize(
    "edit",
    [
        AddRecord(table="blocks", record={"id": "d1", "places": 2}),
        Batch(edits=(AddRecord(table="blocks", record={"id": "d1", "places": 2}),)),
        ReplaceTables(tables={"blocks": ({"id": "d1", "places": 2},)}),
    ],
)
def test_the_journal_has_what_is_added_in_full(edit: Edit) -> None:
    # so that another default of a field does not change what an old edit means
    found = edit_from_text(edit_to_text(edit))
    if isinstance(found, Batch):
        (found,) = found.edits
    if isinstance(found, ReplaceTables):
        (record,) = found.tables["blocks"]
    else:
        assert isinstance(found, AddRecord)
        record = found.record
    assert record == Block(id="d1", places=2).model_dump(mode="json")


def test_what_no_build_has_is_written_as_it_is() -> None:
    # the items of the shop are no table of a build
    edit = AddRecord(table="items", record={"id": 3})
    assert edit_from_text(edit_to_text(edit)) == edit
