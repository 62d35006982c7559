"""Journals: every edit of a document since it was begun; only ever added to."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from functools import cache
from importlib import import_module
from typing import Any, cast

from msgspec import Struct

from domain.build.edits import Edit, apply, edit_of, edit_values, in_full
from domain.build.records import Build
from storage.errors import StoreError
from storage.store.database import ALL, Reading
from storage.store.filing import Filing, of_build
from storage.store.json_text import compact, read_json


class JournalLine(Struct, frozen=True):
    """One line of the journal, for showing.

    ``kind`` is "start", "do", "undo" or "redo"; ``target`` the revision that an undo or redo is
    about; ``at`` an ISO 8601 time in UTC. ``person`` and ``session`` made it; empty: unknown.
    """

    revision: int
    kind: str
    target: int | None
    label: str
    at: str
    person: str
    session: str


class FullLine(Struct, frozen=True):
    """A line of the journal with what was applied and what takes it back; ``None``: the start."""

    line: JournalLine
    edit: Edit | None
    inverse: Edit | None


class Step(Struct, frozen=True):
    """What can be undone or redone: the journal line it is about, and its two edits."""

    revision: int
    label: str
    edit: Edit
    inverse: Edit


FIRST_READ, MOST_READ = 16, 4096
"""Lines that are read at once from the end of a journal: few at first, then twice as many."""

_SHOWN = ", ".join(JournalLine.__struct_fields__)


SUMMED = ("revision", "kind", "target", "edit", "inverse", "label", "at", "person", "session")
"""What the checksum of a line is over, in this order."""


def checksum(line: Mapping[str, Any]) -> str:
    """The sum over the fields of a line: 16 hex digits of SHA-256."""
    text = compact([line[field] for field in SUMMED])
    return str(_sha256()(text.encode()).hexdigest())[:16]


@cache
def _sha256() -> Callable[[bytes], Any]:
    """Python's own, where it has one: OpenSSL takes 4 MB of memory, to sum some hundred bytes."""
    for module in ("_sha2", "_sha256"):  # as it is called from Python 3.12 on, and before
        with suppress(ImportError):
            return cast(Callable[[bytes], Any], import_module(module).sha256)
    from hashlib import sha256

    return sha256


def damaged_lines(connection: Reading, filing: Filing[Any]) -> list[int]:
    """Revisions of the lines that are no longer what was written, by their sums."""
    rows = connection.execute(
        f"SELECT {', '.join(SUMMED)}, checksum FROM {filing.journal} WHERE {filing.where} "
        "AND checksum <> '' ORDER BY revision",
        filing.arguments,
    )
    return [int(row["revision"]) for row in rows if checksum(dict(row)) != row["checksum"]]


def history(connection: Reading, filing: Filing[Any], limit: int) -> list[JournalLine]:
    """The last lines of a document's journal, newest first."""
    rows = connection.execute(
        f"SELECT {_SHOWN} FROM {filing.journal} WHERE {filing.where} "
        "ORDER BY revision DESC LIMIT ?",
        (*filing.arguments, limit),
    )
    return [JournalLine(**dict(row)) for row in rows]


def lines(connection: Reading, filing: Filing[Any]) -> Iterator[JournalLine]:
    """Every line of a document's journal, oldest first."""
    rows = connection.execute(
        f"SELECT {_SHOWN} FROM {filing.journal} WHERE {filing.where} ORDER BY revision",
        filing.arguments,
    )
    return (JournalLine(*row) for row in rows)


def newest_first(connection: Reading, filing: Filing[Any]) -> Iterator[JournalLine]:
    """Every line of a document's journal, the last one first, read as they are asked for."""
    return _from_the_end(connection, filing, "TRUE")


def turns(connection: Reading, filing: Filing[Any]) -> Iterator[JournalLine]:
    """Of them those that take an edit back or make it again, found by an index of theirs."""
    return _from_the_end(connection, filing, "kind IN ('undo', 'redo')")


def _from_the_end(connection: Reading, filing: Filing[Any], which: str) -> Iterator[JournalLine]:
    before, limit = ALL, FIRST_READ
    while True:
        rows = connection.execute(
            f"SELECT {_SHOWN} FROM {filing.journal} WHERE {filing.where} AND {which} "
            "AND revision < ? ORDER BY revision DESC LIMIT ?",
            (*filing.arguments, before, limit),
        ).fetchall()
        for row in rows:
            yield JournalLine(*row)
        if len(rows) < limit:
            return
        before, limit = int(rows[-1]["revision"]), min(2 * limit, MOST_READ)


def edited_since(
    connection: Reading, filing: Filing[Any], revision: int, person: str, session: str
) -> bool:
    """Whether a person or a session has made a new edit after a revision; for "" anybody."""
    whose = "AND (person = ? OR session = ?) " if person else ""
    found = connection.execute(
        f"SELECT 1 FROM {filing.journal} WHERE {filing.where} AND kind = 'do' {whose}"
        "AND revision > ? LIMIT 1",
        (*filing.arguments, *((person, session) if person else ()), revision),
    ).fetchone()
    return found is not None


def since(
    connection: Reading, filing: Filing[Any], revision: int, limit: int = ALL
) -> list[FullLine]:
    """The lines after a revision with their edits, newest first; at most ``limit`` of them."""
    rows = connection.execute(
        f"SELECT {_SHOWN}, edit, inverse FROM {filing.journal} WHERE {filing.where} "
        "AND revision > ? ORDER BY revision DESC LIMIT ?",
        (*filing.arguments, revision, limit),
    )
    found = []
    for *shown, edit, inverse in rows:
        line = JournalLine(*shown)
        if line.kind == "start":
            found.append(FullLine(line, None, None))
            continue
        try:
            found.append(FullLine(line, edit_from_text(edit), edit_from_text(inverse)))
        except ValueError as error:
            raise damaged(filing, line.revision) from error
    return found


def replay(connection: Reading, key: int, revision: int | None = None) -> Build:
    """The build made anew from its journal: what its tables must hold, or held at a revision.

    Raises ``StoreError`` if a line cannot be read or applied.
    """
    rows = connection.execute(
        "SELECT revision, kind, edit FROM journal WHERE build_key = ? "
        "AND (? IS NULL OR revision <= ?) ORDER BY revision",
        (key, revision, revision),
    ).fetchall()
    if not rows or rows[0]["kind"] != "start":
        raise StoreError(f"the journal of build {key} has no beginning, it cannot be replayed")
    try:
        build = Build.of(read_json(rows[0]["edit"]))
        for expected, row in enumerate(rows[1:], 1):
            if row["revision"] != expected:
                raise damaged(of_build(key), expected)
            build, _ = apply(build, edit_from_text(row["edit"]))
    except ValueError as error:
        raise StoreError(f"the journal of build {key} is damaged: {error}") from error
    return build


def edit_to_text(edit: Edit) -> str:
    """An edit as ASCII JSON, which can hold even what no UTF-8 text can.

    The records that it adds are written in full, so that it means the same for ever.
    """
    return compact(edit_values(in_full(edit)))


def edit_from_text(text: str) -> Edit:
    """The edit of a journal line; ``ValueError`` if it is none."""
    return edit_of(read_json(text))


def step(connection: Reading, filing: Filing[Any], revision: int) -> Step:
    """What was done at a revision, and what takes it back."""
    row = connection.execute(
        f"SELECT label, edit, inverse FROM {filing.journal} WHERE {filing.where} AND revision = ?",
        (*filing.arguments, revision),
    ).fetchone()
    try:
        return Step(
            revision, row["label"], edit_from_text(row["edit"]), edit_from_text(row["inverse"])
        )
    except ValueError as error:
        raise damaged(filing, revision) from error


def damaged(filing: Filing[Any], revision: int) -> StoreError:
    """What to say of a line that cannot be read."""
    return StoreError(
        f"the journal of {filing.whose} is damaged at line {revision}: {filing.lost_journal}"
    )
