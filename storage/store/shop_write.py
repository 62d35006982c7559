"""Writing what the shop keeps, through its SQLModel tables; every function takes a transaction.

Importing this module is slow, as that of ``storage.store.write``: only what writes does it.
"""

import sqlite3
from collections.abc import Collection, Sequence
from typing import Any

from sqlalchemy import Connection, bindparam, delete, insert, update

from domain.build.edits import Edit
from domain.shop.shop import ITEMS, LIBRARY, TIMES, Shop, item_record
from storage.store.journal import edit_to_text
from storage.store.layout import now
from storage.store.tables import SHOP_ROWS, CatalogueRow, LabourTimeRow, ShopJournalRow

_TABLES: dict[str, Any] = {
    ITEMS: CatalogueRow.__table__,  # type: ignore[attr-defined]
    **{name: row.__table__ for name, row in SHOP_ROWS.items()},
}
_TIMES = LabourTimeRow.__table__  # type: ignore[attr-defined]
_JOURNAL = ShopJournalRow.__table__  # type: ignore[attr-defined]


def raw(writing: Connection) -> sqlite3.Connection:
    """The connection of SQLite below an open transaction, to read with."""
    below = writing.connection.dbapi_connection
    assert isinstance(below, sqlite3.Connection)
    return below


def write_changes(
    writing: Connection, before: Shop, after: Shop, replaced: Collection[str] = ()
) -> None:
    """Write the rows in which two shops differ; tables that were replaced anew as a whole."""
    pairs: list[tuple[str, Sequence[Any], Sequence[Any]]] = [(ITEMS, before.items, after.items)]
    pairs += [
        (table, getattr(before.library, table), getattr(after.library, table)) for table in LIBRARY
    ]
    for table, old, new in pairs:
        if table in replaced:
            writing.execute(delete(_TABLES[table]))
            _write_table(writing, table, (), new)
        elif old is not new:
            _write_table(writing, table, old, new)
    if before.times != after.times or TIMES in replaced:
        writing.execute(delete(_TIMES))
        if after.times:
            rows = [{"name": name, "value": value} for name, value in after.times.items()]
            writing.execute(insert(_TIMES), rows)


def write_line(
    writing: Connection,
    revision: int,
    kind: str,
    edit: Edit,
    inverse: Edit,
    label: str,
    target: int | None = None,
) -> None:
    """Add a line to the shop's journal."""
    line = {"edit": edit_to_text(edit), "inverse": edit_to_text(inverse), "at": now()}
    writing.execute(
        insert(_JOURNAL),
        {"revision": revision, "kind": kind, "target": target, "label": label, **line},
    )


def _write_table(writing: Connection, table: str, old: Sequence[Any], new: Sequence[Any]) -> None:
    rows = _TABLES[table]
    this_row = rows.c.id == bindparam("of_id")
    was = {record.id: (position, record) for position, record in enumerate(old)}
    added, changed, moved = [], [], []
    for position, record in enumerate(new):
        had_position, had = was.pop(record.id, (None, None))
        if had is None:
            added.append(_values(table, record, position))
        elif had is not record and had != record:
            changed.append({"of_id": record.id, **_values(table, record, position)})
        elif had_position != position:
            moved.append({"of_id": record.id, "position": position})
    if was:
        writing.execute(rows.delete().where(this_row), [{"of_id": id} for id in was])
    if added:
        writing.execute(insert(rows), added)
    for updates in (changed, moved):
        if updates:
            writing.execute(update(rows).where(this_row), updates)


def _values(table: str, record: Any, position: int) -> dict[str, Any]:
    values = item_record(record) if table == ITEMS else record.model_dump(mode="json")
    return {**values, "position": position}
