"""Writing documents to a store: each statement is made from the fields of the records, as those
that read are, and every value goes beside it.

The tables are declared with SQLModel (`row_types.py`), which is slow to import and large; that what
is written here is what it would write is held by a test. Every function takes an open transaction.
"""

from collections.abc import Collection, Iterable
from typing import Any

from msgspec import Struct

from domain.build.edits import Edit
from domain.build.records import Build
from domain.document.records import records
from storage.errors import StoreChanged
from storage.store.author import Author
from storage.store.database import Reading, Writing, Written
from storage.store.filing import D, Filing, of_build
from storage.store.journal import checksum, edit_to_text
from storage.store.json_text import compact
from storage.store.versions import now


class Line(Struct, frozen=True):
    """A line of a journal: what was done, and the line that an undo or redo is about."""

    kind: str
    edit: Edit
    inverse: Edit
    label: str
    author: Author
    target: int | None = None


def inserting(table: str, columns: Iterable[str]) -> str:
    """The statement that adds a row with these columns."""
    named = [f'"{column}"' for column in columns]
    return f"INSERT INTO {table} ({', '.join(named)}) VALUES ({', '.join('?' * len(named))})"


def setting(table: str, columns: Iterable[str], where: str) -> str:
    """The statement that gives these columns new values in the rows for which this holds."""
    given = ", ".join(f'"{column}" = ?' for column in columns)
    return f"UPDATE {table} SET {given} WHERE {where}"


def insert_build(writing: Writing, build: Build, stops: int | None, author: Author) -> int:
    """Write a new build at revision 0; its key."""
    at = now()
    values = {**build.header.plain(), "stops": stops, "created": at, "changed": at}
    row = {"revision": 0, "archived": False, **values}
    statement = f"{inserting('build', row)} RETURNING key"
    key = int(writing.execute(statement, tuple(row.values())).fetchall()[0][0])
    filing = of_build(key)
    _write_tables(writing, filing, Build(), build)
    _insert_line(writing, filing, 0, "start", compact(build.plain()), "", "created", author)
    return key


def save(
    writing: Writing,
    filing: Filing[D],
    revision: int,
    before: D,
    after: D,
    line: Line,
    *,
    stops: int | None = None,
    replaced: Collection[str] = (),
) -> int:
    """Write the rows in which two documents differ, and the line of the journal; new revision.

    Tables that were ``replaced`` are written anew as a whole, whatever stands there.
    """
    new = revision + 1
    if isinstance(after, Build):
        assert filing.key is not None
        mark(writing, filing.key, revision=new, changed=now(), stops=stops, **after.header.plain())
    _write_tables(writing, filing, before, after, replaced)
    edit, inverse = edit_to_text(line.edit), edit_to_text(line.inverse)
    _insert_line(
        writing, filing, new, line.kind, edit, inverse, line.label, line.author, line.target
    )
    return new


def stale(reading: Reading, filing: Filing[D]) -> Exception:
    """Why a document is not at the expected revision: changed by another session, or not there."""
    if filing.key is None:
        return StoreChanged("another session changed the shop since it was opened")
    if reading.execute("SELECT 1 FROM build WHERE key = ?", filing.arguments).fetchone() is None:
        return filing.gone()
    return StoreChanged(
        "another session changed this build since it was opened: open it again and repeat the edit"
    )


def mark(writing: Writing, key: int, **values: Any) -> None:
    """Set what stands in the row of a build: alone, whether it is archived; with its header, a
    new revision.
    """
    statement = f"{setting('build', values, 'key = ?')} RETURNING key"
    if not writing.execute(statement, (*values.values(), key)).fetchall():
        raise of_build(key).gone()


def note_stops(writing: Writing, key: int, revision: int, stops: int) -> None:
    """Set how many findings forbid a build, unless it has gone on from this revision."""
    writing.execute(
        setting("build", ("stops",), "key = ? AND revision = ?"), (stops, key, revision)
    )


def _write_tables(
    writing: Writing, filing: Filing[D], before: D, after: D, replaced: Collection[str] = ()
) -> None:
    for table in filing.tables:
        old, new = records(before, table), records(after, table)
        if table in replaced:
            gone = f"DELETE FROM {filing.tables[table]} WHERE {filing.where}"
            writing.execute(gone, filing.arguments)
            old = ()
        if old is not new:
            _write_table(writing, filing, table, old, new)


def _write_table(
    writing: Writing,
    filing: Filing[D],
    table: str,
    old: tuple[Any, ...],
    new: tuple[Any, ...],
) -> None:
    """Rows that have changed are written anew; what has only moved gets its new position."""
    rows, of = filing.tables[table], filing.arguments
    this_row = f"{filing.where} AND id = ?"
    was = {record.id: (position, record) for position, record in enumerate(old)}
    gone, written, moved = set(was), [], []
    for position, record in enumerate(new):
        had_position, had = was.get(record.id, (None, None))
        if had is record or had == record:
            gone.discard(record.id)
            if had_position != position:
                moved.append((position, *of, record.id))
        else:
            written.append({**_key(filing), "position": position, **record.plain()})
    if gone:
        writing.execute_many(f"DELETE FROM {rows} WHERE {this_row}", [(*of, id) for id in gone])
    if written:
        added = inserting(rows, written[0])
        writing.execute_many(added, [tuple(row.values()) for row in written])
    if moved:
        writing.execute_many(setting(rows, ("position",), this_row), moved)


def _key(filing: Filing[D]) -> dict[str, int]:
    return {} if filing.key is None else {"build_key": filing.key}


def _insert_line(
    writing: Writing,
    filing: Filing[D],
    revision: int,
    kind: str,
    edit: str,
    inverse: str,
    label: str,
    author: Author,
    target: int | None = None,
) -> None:
    line: dict[str, Any] = {
        "revision": revision,
        "kind": kind,
        "target": target,
        "edit": edit,
        "inverse": inverse,
        "label": label,
        "at": now(),
        "person": author.person,
        "session": author.session,
    }
    sum_of_it = checksum(line)
    row = {**_key(filing), **line, "checksum": sum_of_it}
    writing.execute(inserting(filing.journal, row), tuple(row.values()))
    writing.line = Written(
        filing.journal, filing.where, filing.arguments, revision, sum_of_it, label
    )
