"""A store from before there were looms: nothing is lost, and tables and journal agree after it."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from types import ModuleType

import pytest

from domain.build.records import Build, Run
from storage.store import layout
from storage.store.builds import Store
from storage.store.journal import replay
from storage.store.migrations import m0006_looms

_HAD = """
    SELECT build_key, id, position, name, polarity, source, target, length_m, slack_m, zone, gauge,
    metal, insulation, colour, strands, strand_m, fused, fuse_a, fuse_family, fuse_distance_m,
    far_fused, far_fuse_distance_m, near_end, far_end, existing FROM runs ORDER BY id
"""
"""What a run had before, its bundle aside."""


def _older(path: Path) -> dict[str, int]:
    """A store as the first five migrations leave it, with one build of ten runs; its bundles.

    Every run has a bundle, most of them 1 as nobody typed another; r3 had 3 and got 1 back.
    """
    odd = 'typed "bundle":1, by hand'
    names = [odd, *("" for _ in range(9))]
    build = Build(runs=tuple(Run(id=f"r{n}", name=name) for n, name in enumerate(names, 1)))
    steps: tuple[ModuleType, ...] = layout.MIGRATIONS[:5]
    bundles = {run.id: 4 if run.id == "r2" else 1 for run in build.runs}
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        for step in steps:
            for statement in step.STATEMENTS:
                file.execute(statement)
            file.execute("INSERT INTO migration VALUES (?, '2020-01-01')", (step.NAME,))
        file.execute(f"PRAGMA application_id = {layout.APPLICATION_ID}")
        file.execute(f"PRAGMA user_version = {len(steps)}")
        content = build.model_dump(mode="json")
        header = {**content["header"], "key": 1, "revision": 2, "archived": 0}
        header |= {"created": "2020-01-01", "changed": "2020-01-01"}
        _insert(file, "build", header)
        for table, rows in content.items():
            for position, row in enumerate(rows if table != "header" else ()):
                row["bundle"] = bundles[row["id"]]
                _insert(file, table, {**row, "build_key": 1, "position": position})
        edits = [("start", json.dumps(content, separators=(",", ":")), "")]
        for value, before in ((3, 1), (1, 3)):
            edit, inverse = (
                json.dumps(
                    {"kind": "set", "table": "runs", "id": "r3", "field": "bundle", "value": each},
                    separators=(",", ":"),
                )
                for each in (value, before)
            )
            edits.append(("do", edit, inverse))
        for revision, (kind, edit, inverse) in enumerate(edits):
            _insert(
                file,
                "journal",
                {
                    "build_key": 1,
                    "revision": revision,
                    "kind": kind,
                    "edit": edit,
                    "inverse": inverse,
                    "label": "",
                    "at": "2020-01-01",
                },
            )
    return bundles


def _insert(file: sqlite3.Connection, table: str, row: dict[str, object]) -> None:
    """Insert what the table of that time has a column for."""
    columns = [name for _, name, *_ in file.execute(f"PRAGMA table_info({table})") if name in row]
    names = ", ".join(f'"{name}"' for name in columns)
    marks = ", ".join("?" * len(columns))
    values = tuple(row[name] for name in columns)
    file.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", values)


def test_bundles_of_1_are_left_to_the_loom_and_all_else_stays(tmp_path: Path) -> None:
    path = tmp_path / "older.sqlite"
    bundles = _older(path)
    with closing(sqlite3.connect(path)) as file:
        had = file.execute(_HAD).fetchall()
    with Store(path) as store:
        opened = store.open(1)
        kept = {run.id: run.bundle for run in opened.build.runs}
        assert kept == {id: None if count == 1 else count for id, count in bundles.items()}
        assert {run.loom for run in opened.build.runs} == {""}
        # second method: the journal tells the same build, and a name that looks like JSON stays
        assert replay(store._connection, 1) == opened.build
        assert opened.build.runs[0].name == 'typed "bundle":1, by hand'
        undone = store.undo(1, opened.revision, opened.build)
        assert undone is not None
        assert {run.id: run.bundle for run in undone.build.runs}["r3"] == 3
    with closing(sqlite3.connect(path)) as file:
        assert file.execute(_HAD).fetchall() == had
        assert len(had) == len(bundles)


def test_the_migration_takes_removal_of_a_build_with_it(tmp_path: Path) -> None:
    # by the schema: the runs of a build go with it, in the table made anew as well
    path = tmp_path / "older.sqlite"
    _older(path)
    with Store(path) as store:
        store._connection.execute("DELETE FROM build WHERE key = 1")
        assert store._connection.execute("SELECT count(*) FROM runs").fetchone()[0] == 0


@pytest.mark.parametrize("text", ['"bundle":1,', '"field":"bundle","value":1}'])
def test_what_is_replaced_in_the_journal_cannot_be_typed(text: str) -> None:
    # by the grammar of JSON: a quotation mark within a string has a backslash before it
    assert any(text in statement for statement in m0006_looms.STATEMENTS)
    assert text not in json.dumps({"name": text}, separators=(",", ":"))
