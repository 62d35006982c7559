"""Writing documents to a store, through its SQLModel tables.

Importing this module is slow (SQLModel, SQLAlchemy): the store does it at the first write. Every
function takes an open transaction.
"""

import json
from collections.abc import Callable, Collection
from typing import Any

from msgspec import Struct
from sqlalchemy import (
    ColumnElement,
    Connection,
    Engine,
    and_,
    bindparam,
    create_engine,
    delete,
    event,
    insert,
    select,
    true,
    update,
)
from sqlalchemy.pool import StaticPool

from domain.build.edits import Edit
from domain.build.records import Build
from domain.document.records import records
from storage.errors import StoreChanged
from storage.store.author import Author
from storage.store.database import Reading
from storage.store.filing import D, Filing, of_build
from storage.store.journal import checksum, edit_to_text
from storage.store.row_types import FILE_TABLES, BuildRow
from storage.store.versions import now

_BUILD = BuildRow.__table__


class Line(Struct, frozen=True):
    """A line of a journal: what was done, and the line that an undo or redo is about."""

    kind: str
    edit: Edit
    inverse: Edit
    label: str
    author: Author
    target: int | None = None


def engine_over(
    url: str, connection: Callable[[], Any], reading: Reading, **options: Any
) -> Engine:
    """An engine that writes through a connection that is already open, and never closes it."""
    engine = create_engine(url, creator=connection, poolclass=StaticPool, **options)
    event.listen(engine, "connect", lambda _, record: record.info.update(reading=reading))
    return engine


def reading_of(writing: Connection) -> Reading:
    """An open transaction to read with."""
    reading: Reading = writing.info["reading"]
    return reading


class Written(Struct, frozen=True):
    """A line of a journal by what no other has: that it stands there says that it was saved."""

    journal: str
    where: str
    arguments: tuple[int, ...]
    revision: int
    checksum: str
    label: str

    def stands(self, reading: Reading) -> bool:
        """Whether it is there."""
        query = f"SELECT checksum FROM {self.journal} WHERE {self.where} AND revision = ?"
        row = reading.execute(query, (*self.arguments, self.revision)).fetchone()
        return row is not None and row[0] == self.checksum


def last_line(writing: Connection) -> Written | None:
    """The line that was written last in this transaction; asked once."""
    line: Written | None = writing.info.pop("line", None)
    return line


def insert_build(writing: Connection, build: Build, stops: int | None, author: Author) -> int:
    """Write a new build at revision 0; its key."""
    at = now()
    values = {**build.header.plain(), "stops": stops, "created": at, "changed": at}
    made = writing.execute(insert(_BUILD), {"revision": 0, "archived": False, **values})
    if made.inserted_primary_key is None:
        raise RuntimeError("the database gave the new build no key")
    key = int(made.inserted_primary_key[0])
    filing = of_build(key)
    _write_tables(writing, filing, Build(), build)
    _insert_line(writing, filing, 0, "start", json.dumps(build.plain()), "", "created", author)
    return key


def save(
    writing: Connection,
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
        header = after.header.plain()
        values = {"revision": new, "changed": now(), "stops": stops, **header}
        writing.execute(update(_BUILD).where(_BUILD.c.key == filing.key).values(**values))
    _write_tables(writing, filing, before, after, replaced)
    edit, inverse = edit_to_text(line.edit), edit_to_text(line.inverse)
    _insert_line(
        writing, filing, new, line.kind, edit, inverse, line.label, line.author, line.target
    )
    return new


def stale(writing: Connection, filing: Filing[D]) -> Exception:
    """Why a document is not at the expected revision: changed by another session, or not there."""
    if (
        filing.key is not None
        and writing.execute(select(_BUILD.c.key).where(_BUILD.c.key == filing.key)).first() is None
    ):
        return filing.gone()
    if filing.key is None:
        return StoreChanged("another session changed the shop since it was opened")
    return StoreChanged(
        "another session changed this build since it was opened: open it again and repeat the edit"
    )


def mark(writing: Connection, key: int, **values: Any) -> None:
    """Set what the store knows about a build (archived, stops) without a new revision."""
    if writing.execute(update(_BUILD).where(_BUILD.c.key == key).values(**values)).rowcount == 0:
        raise of_build(key).gone()


def _write_tables(
    writing: Connection, filing: Filing[D], before: D, after: D, replaced: Collection[str] = ()
) -> None:
    for table in filing.tables:
        old, new = records(before, table), records(after, table)
        if table in replaced:
            rows = FILE_TABLES[filing.tables[table]]
            writing.execute(delete(rows).where(_of(rows, filing)))
            old = ()
        if old is not new:
            _write_table(writing, filing, table, old, new)


def _write_table(
    writing: Connection,
    filing: Filing[D],
    table: str,
    old: tuple[Any, ...],
    new: tuple[Any, ...],
) -> None:
    """Rows that have changed are written anew; what has only moved gets its new position."""
    rows = FILE_TABLES[filing.tables[table]]
    this_row = and_(_of(rows, filing), rows.c.id == bindparam("of_id"))
    key = {} if filing.key is None else {"build_key": filing.key}
    was = {record.id: (position, record) for position, record in enumerate(old)}
    gone, written, moved = set(was), [], []
    for position, record in enumerate(new):
        had_position, had = was.get(record.id, (None, None))
        if had is record or had == record:
            gone.discard(record.id)
            if had_position != position:
                moved.append({"of_id": record.id, "position": position})
        else:
            written.append({**key, "position": position, **record.plain()})
    if gone:
        writing.execute(rows.delete().where(this_row), [{"of_id": id} for id in gone])
    if written:
        writing.execute(insert(rows), written)
    if moved:
        writing.execute(update(rows).where(this_row), moved)


def _of(rows: Any, filing: Filing[D]) -> ColumnElement[bool]:
    if filing.key is None:
        return true()
    condition: ColumnElement[bool] = rows.c.build_key == filing.key
    return condition


def _insert_line(
    writing: Connection,
    filing: Filing[D],
    revision: int,
    kind: str,
    edit: str,
    inverse: str,
    label: str,
    author: Author,
    target: int | None = None,
) -> None:
    key = {} if filing.key is None else {"build_key": filing.key}
    line = {
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
    rows = insert(FILE_TABLES[filing.journal])
    writing.execute(rows, {**key, **line, "checksum": sum_of_it})
    writing.info["line"] = Written(
        filing.journal, filing.where, filing.arguments, revision, sum_of_it, label
    )
