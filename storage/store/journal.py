"""Journals: every edit of a document since it was begun; only ever added to."""

import json
import sqlite3
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from domain.build.edits import EDIT, Edit, apply, in_full
from domain.build.records import Build
from storage.errors import StoreError
from storage.store.filing import Filing, of_build


@dataclass(frozen=True, slots=True)
class JournalLine:
    """One line of the journal, for showing.

    ``kind`` is "start", "do", "undo" or "redo"; ``target`` the revision that an undo or redo is
    about; ``at`` an ISO 8601 time in UTC.
    """

    revision: int
    kind: str
    target: int | None
    label: str
    at: str


@dataclass(frozen=True, slots=True)
class Step:
    """What can be undone or redone: the journal line it is about, and its two edits."""

    revision: int
    label: str
    edit: Edit
    inverse: Edit


def history(connection: sqlite3.Connection, filing: Filing[Any], limit: int) -> list[JournalLine]:
    """The last lines of a document's journal, newest first."""
    rows = connection.execute(
        f"SELECT revision, kind, target, label, at FROM {filing.journal} WHERE {filing.where} "
        "ORDER BY revision DESC LIMIT ?",
        (*filing.arguments, limit),
    )
    return [JournalLine(**dict(row)) for row in rows]


def next_undo(connection: sqlite3.Connection, filing: Filing[Any]) -> Step | None:
    """The edit that undo takes back now, or ``None``."""
    done, _ = _stacks(connection, filing)
    return _step(connection, filing, done[-1]) if done else None


def next_redo(connection: sqlite3.Connection, filing: Filing[Any]) -> Step | None:
    """The edit that redo makes again now, or ``None``; a new edit leaves nothing to redo."""
    _, undone = _stacks(connection, filing)
    return _step(connection, filing, undone[-1]) if undone else None


def replay(connection: sqlite3.Connection, key: int) -> Build:
    """The build made anew from its journal: what its tables must hold.

    Raises ``StoreError`` if a line cannot be read or applied.
    """
    rows = connection.execute(
        "SELECT revision, kind, edit FROM journal WHERE build_key = ? ORDER BY revision", (key,)
    ).fetchall()
    if not rows or rows[0]["kind"] != "start":
        raise StoreError(f"the journal of build {key} has no beginning, it cannot be replayed")
    try:
        build = Build.model_validate_json(rows[0]["edit"])
        for expected, row in enumerate(rows[1:], 1):
            if row["revision"] != expected:
                raise _damaged(of_build(key), expected)
            build, _ = apply(build, edit_from_text(row["edit"]))
    except (ValidationError, ValueError) as error:
        raise StoreError(f"the journal of build {key} is damaged: {error}") from error
    return build


def edit_to_text(edit: Edit) -> str:
    """An edit as ASCII JSON, which can hold even what no UTF-8 text can.

    The records that it adds are written in full, so that it means the same for ever.
    """
    return json.dumps(in_full(edit).model_dump(mode="json"), separators=(",", ":"))


def edit_from_text(text: str) -> Edit:
    """The edit of a journal line; ``ValueError`` if it is none."""
    return EDIT.validate_python(json.loads(text))


def _stacks(connection: sqlite3.Connection, filing: Filing[Any]) -> tuple[list[int], list[int]]:
    """Revisions that can be undone and redone, the next one last."""
    done: list[int] = []
    undone: list[int] = []
    rows = connection.execute(
        f"SELECT revision, kind, target FROM {filing.journal} WHERE {filing.where} "
        "ORDER BY revision",
        filing.arguments,
    )
    for revision, kind, target in rows:
        if kind == "do":
            done.append(revision)
            undone.clear()
        elif kind in ("undo", "redo"):
            taken, given = (done, undone) if kind == "undo" else (undone, done)
            if not taken or taken.pop() != target:
                raise _damaged(filing, revision)
            given.append(target)
    return done, undone


def _step(connection: sqlite3.Connection, filing: Filing[Any], revision: int) -> Step:
    row = connection.execute(
        f"SELECT label, edit, inverse FROM {filing.journal} WHERE {filing.where} AND revision = ?",
        (*filing.arguments, revision),
    ).fetchone()
    try:
        return Step(
            revision, row["label"], edit_from_text(row["edit"]), edit_from_text(row["inverse"])
        )
    except ValueError as error:
        raise _damaged(filing, revision) from error


def _damaged(filing: Filing[Any], revision: int) -> StoreError:
    return StoreError(
        f"the journal of {filing.whose} is damaged at line {revision}: {filing.lost_journal}"
    )
