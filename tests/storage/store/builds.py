"""Builds for the tests of the store, made by the same edits that a person makes."""

import sqlite3
from collections.abc import Callable
from pathlib import Path
from time import sleep
from typing import TypeVar

from hypothesis import strategies as st

from domain.build.actions import add, add_amplifier, duplicate
from domain.build.edits import Edit, EditRefused, MoveRecord, SetField, apply
from domain.build.records import TABLES, Build
from domain.build.removal import remove
from domain.build.start import start_build
from domain.document.records import records
from storage.store.builds import Store
from storage.store.location import Place
from storage.store.on_file.file import File

Change = tuple[int, int, int, str, float]


def set_title(title: str) -> SetField:
    return SetField(table="header", field="title", value=title)


def set_length(run: str, length_m: float) -> SetField:
    return SetField(table="runs", id=run, field="length_m", value=length_m)


def commit(store: Store, key: int, revision: int, build: Build, edit: Edit) -> tuple[int, Build]:
    after, inverse = apply(build, edit)
    return store.build(key).commit(revision, edit, inverse, after).revision, after


def large_build(amplifiers: int = 28) -> Build:
    """A build of 4 + 2 * amplifiers runs: 60 with the default."""
    build = start_build("Sixty runs")
    for _ in range(amplifiers):
        build, _ = apply(build, add_amplifier(build))
    return build


P = TypeVar("P", Path, Place)


def new_store(place: P, build: Build | None = None) -> tuple[P, int]:
    """A store with one build in it, closed again: where it is (a folder: in it), and its key."""
    if isinstance(place, Path) and place.is_dir():
        place = place / "store" / "builds.sqlite"
        place.parent.mkdir()
    with Store(place) as store:
        return place, store.create(build or start_build())


def noticed(store: Store) -> bool:
    """Whether a session notices soon that another has written; a server tells it when it can."""
    for _ in range(200):
        if store.moved():
            return True
        sleep(0.02)
    return False


def file_of(store: Store) -> sqlite3.Connection:
    """The connection of a store that is a file."""
    assert isinstance(store.database, File)
    return store.database.connection


def changes(most: int = 12) -> st.SearchStrategy[list[Change]]:
    """Descriptions of random edits, for ``edits_of`` to fit to a build."""
    whole = st.integers(0, 10_000)
    length = st.floats(1e-6, 99.0, allow_nan=False)
    return st.lists(st.tuples(whole, whole, whole, st.text(max_size=20), length), max_size=most)


def random_edit(build: Build, change: Change) -> Edit | None:
    """The edit that a change describes on this build; ``None`` where it would be refused."""
    which, table_number, row_number, text, length = change
    table = list(TABLES)[table_number % len(TABLES)]
    rows = records(build, table)
    id = rows[row_number % len(rows)].id if rows else ""
    if not id and which % 7 in (1, 2, 3, 4):
        return None
    makers: list[Callable[[], Edit]] = [
        lambda: add(build, table),
        lambda: duplicate(build, table, id),
        lambda: remove(build, table, id),
        lambda: MoveRecord(table=table, id=id, index=row_number % max(len(rows), 1)),
        lambda: SetField(table=table, id=id, field="name", value=text),
        lambda: set_title(text),
        lambda: set_length(build.runs[row_number % len(build.runs)].id, length),
    ]
    try:
        edit = makers[which % len(makers)]()
        apply(build, edit)
    except (EditRefused, ZeroDivisionError):
        return None
    return edit


def random_build(described: list[Change]) -> Build:
    build = start_build()
    for change in described:
        edit = random_edit(build, change)
        if edit is not None:
            build, _ = apply(build, edit)
    return build
