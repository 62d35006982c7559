"""How a document may change: small frozen edits, each with its inverse.

``apply(document, edit)`` is pure, and the same for a build and for what the shop keeps. It
returns the changed document and the edit that takes it back, or raises ``EditRefused`` with a
sentence that says what was wrong and what would do.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, TypeVar

from msgspec import Struct, convert, to_builtins
from msgspec.structs import replace

from domain.document.declared import BadEntry
from domain.document.entry import Entry
from domain.document.records import (
    RECORD_TYPES,
    Document,
    Record,
    label,
    most,
    records,
    reference_problems,
)

Scalar = str | bool | int | float | None
Values = Mapping[str, Any]
"""The fields of a record by their names; the record refuses what is no scalar."""

_R = TypeVar("_R", bound=Entry)
_D = TypeVar("_D", bound=Document)


class EditRefused(ValueError):
    """An edit that cannot be made; the message is for the user."""


class _Edit(Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind"):
    pass


class SetField(_Edit, frozen=True, kw_only=True, tag="set"):
    """Give one field of one record a new value. ``table`` "header" has no ``id``."""

    table: str
    id: str = ""
    field: str
    value: Scalar


class AddRecord(_Edit, frozen=True, kw_only=True, tag="add"):
    """Add a record to a table, at ``index`` or at the end (-1)."""

    table: str
    record: Values
    index: int = -1


class RemoveRecord(_Edit, frozen=True, kw_only=True, tag="remove"):
    """Remove a record that nothing refers to any more."""

    table: str
    id: str


class MoveRecord(_Edit, frozen=True, kw_only=True, tag="move"):
    """Move a record to another place in its table."""

    table: str
    id: str
    index: int


class ReplaceTables(_Edit, frozen=True, kw_only=True, tag="replace"):
    """Replace all that the tables hold with these records, as when a file is imported."""

    tables: Mapping[str, tuple[Values, ...]]
    label: str = ""


class Batch(_Edit, frozen=True, kw_only=True, tag="batch"):
    """Several edits that are made, saved and undone as one."""

    edits: tuple["Edit", ...]
    label: str = ""


Edit = SetField | AddRecord | RemoveRecord | MoveRecord | ReplaceTables | Batch


def edit_of(values: object) -> Edit:
    """The edit that JSON values stand for; ``ValueError`` if they are none."""
    found: Edit = convert(values, Edit)
    return found


def edit_values(edit: Edit) -> dict[str, Any]:
    """An edit as JSON values."""
    found: dict[str, Any] = to_builtins(edit)
    return found


def apply(document: _D, edit: Edit) -> tuple[_D, Edit]:
    """The changed document and the inverse edit; ``EditRefused`` if it cannot be made."""
    after, inverse = _apply(document, edit)
    if wrong := after.forbidden(document):
        raise EditRefused(wrong)
    return after, inverse


def _apply(document: _D, edit: Edit) -> tuple[_D, Edit]:
    if isinstance(edit, Batch):
        inverses: list[Edit] = []
        for each in edit.edits:
            document, inverse = _apply(document, each)
            inverses.append(inverse)
        return document, Batch(edits=tuple(reversed(inverses)), label=edit.label)
    if isinstance(edit, ReplaceTables):
        return _replace(document, edit)
    if isinstance(edit, SetField) and edit.table == "header" and document.HEADER:
        return _set_header(document, edit)
    _check_table(document, edit.table)
    if isinstance(edit, SetField):
        return _set(document, edit)
    if edit.table in document.FIXED:
        raise EditRefused(document.FIXED[edit.table])
    if isinstance(edit, AddRecord):
        return _add(document, edit)
    if isinstance(edit, RemoveRecord):
        return _remove(document, edit)
    return _move(document, edit)


def users(document: Document, id: str) -> list[tuple[str, str, str]]:
    """Who refers to a record: (table, id, field) of every reference to it."""
    table = next((t for t in document.TABLES if any(r.id == id for r in records(document, t))), "")
    found = []
    for (user_table, field), allowed in document.REFERENCES.items():
        if table in allowed:
            for user in records(document, user_table):
                if getattr(user, field) == id:
                    found.append((user_table, user.id, field))
    return found


def describe(edit: Edit) -> str:
    """One short line for the journal and the undo message."""
    if isinstance(edit, Batch):
        return edit.label or f"{len(edit.edits)} changes"
    if isinstance(edit, ReplaceTables):
        return edit.label or f"replace {' and '.join(edit.tables)}"
    if isinstance(edit, SetField):
        return f"set {edit.field} of {edit.id or edit.table}"
    if isinstance(edit, AddRecord):
        return f"add {edit.record.get('id', '')} to {edit.table}"
    if isinstance(edit, RemoveRecord):
        return f"remove {edit.id} from {edit.table}"
    return f"move {edit.id} in {edit.table}"


def in_full(edit: Edit) -> Edit:
    """The same edit, with the defaults of the records that it adds written out.

    An edit is applied again long after it was made, when a field may have another default.
    """
    if isinstance(edit, Batch):
        return replace(edit, edits=tuple(in_full(each) for each in edit.edits))
    if isinstance(edit, AddRecord):
        return replace(edit, record=_whole(edit.table, edit.record))
    if isinstance(edit, ReplaceTables):
        tables = {
            table: tuple(_whole(table, record) for record in given)
            for table, given in edit.tables.items()
        }
        return replace(edit, tables=tables)
    return edit


def _whole(table: str, record: Values) -> Values:
    if table not in RECORD_TYPES:
        return record
    return RECORD_TYPES[table].of(record).plain()


def _set_header(document: _D, edit: SetField) -> tuple[_D, Edit]:
    before: Entry = getattr(document, "header")  # noqa: B009
    header = _with_value(before, edit.field, edit.value)
    inverse = replace(edit, value=getattr(before, edit.field))
    return document.but(header=header), inverse


def _set(document: _D, edit: SetField) -> tuple[_D, Edit]:
    index, record = _place(document, edit.table, edit.id)
    if edit.field == "id":
        raise EditRefused("an id never changes")
    changed = _with_value(record, edit.field, edit.value)
    _check_reference(document, edit.table, changed, edit.field)
    inverse = replace(edit, value=plain_value(record, edit.field))
    rows = list(records(document, edit.table))
    rows[index] = changed
    return document.but(**{edit.table: tuple(rows)}), inverse


def plain_value(record: Entry, field: str) -> Scalar:
    """The value of a field as an edit has it: exact decimals as text."""
    return plain_scalar(getattr(record, field))


def plain_scalar(value: Scalar | Decimal) -> Scalar:
    """A value as an edit has it: exact decimals as text."""
    return f"{value:f}" if isinstance(value, Decimal) else value


def _add(document: _D, edit: AddRecord) -> tuple[_D, Edit]:
    table = edit.table
    record_type = document.TABLES[table]
    try:
        record = record_type.of(edit.record)
    except BadEntry as error:
        raise EditRefused(str(error)) from None
    rows = list(records(document, table))
    if len(rows) >= most(document, table):
        raise EditRefused(f"{table} is full: at most {most(document, table)} records")
    if any(row.id == record.id for row in rows):
        raise EditRefused(f"{table} already has a record {record.id}")
    prefix = document.ID_PREFIX.get(table)
    if prefix is not None and record.id.rstrip("0123456789") != prefix:
        raise EditRefused(f"the id {record.id} does not belong in {table}")
    for field in record_type.__struct_fields__:
        _check_reference(document, table, record, field)
    rows.insert(edit.index if 0 <= edit.index <= len(rows) else len(rows), record)
    return (
        document.but(**{table: tuple(rows)}),
        RemoveRecord(table=table, id=record.id),
    )


def _remove(document: _D, edit: RemoveRecord) -> tuple[_D, Edit]:
    index, record = _place(document, edit.table, edit.id)
    holding = [u for u in users(document, edit.id) if u[1] != edit.id]
    if holding:
        names = ", ".join(label(document, id) for _, id, _ in holding[:3])
        raise EditRefused(
            f"{label(document, edit.id)} is still used by {names}: move or remove that first"
        )
    rows = list(records(document, edit.table))
    del rows[index]
    inverse = AddRecord(table=edit.table, record=record.plain(), index=index)
    return document.but(**{edit.table: tuple(rows)}), inverse


def _move(document: _D, edit: MoveRecord) -> tuple[_D, Edit]:
    index, record = _place(document, edit.table, edit.id)
    rows = list(records(document, edit.table))
    if not 0 <= edit.index < len(rows):
        raise EditRefused(f"{edit.table} has places 0 to {len(rows) - 1}, not {edit.index}")
    del rows[index]
    rows.insert(edit.index, record)
    return (
        document.but(**{edit.table: tuple(rows)}),
        replace(edit, index=index),
    )


def _replace(document: _D, edit: ReplaceTables) -> tuple[_D, Edit]:
    changed: dict[str, tuple[Record, ...]] = {}
    for table, given in edit.tables.items():
        _check_table(document, table)
        try:
            rows = tuple(document.TABLES[table].of(record) for record in given)
        except BadEntry as error:
            raise EditRefused(str(error)) from None
        changed[table] = _of_fixed(document, table, rows) if table in document.FIXED else rows
    after = document.but(**changed)
    if problems := reference_problems(after):
        raise EditRefused("; ".join(problems[:5]))
    before = {
        table: tuple(record.plain() for record in records(document, table)) for table in edit.tables
    }
    return after, replace(edit, tables=before)


def _of_fixed(document: Document, table: str, rows: tuple[Record, ...]) -> tuple[Record, ...]:
    """The records of a table that stay whatever is given; those not given have their defaults."""
    given = {row.id: row for row in rows}
    kept = tuple(
        given.pop(old.id, None) or type(old).of({"id": old.id}) for old in records(document, table)
    )
    for id in given:
        raise EditRefused(document.not_there(table, id))
    return kept


def _check_table(document: Document, table: str) -> None:
    if table not in document.TABLES:
        tables = ", ".join(document.TABLES)
        raise EditRefused(f"there is no table {table!r}; the tables are {tables}")


def _place(document: Document, table: str, id: str) -> tuple[int, Record]:
    for index, record in enumerate(records(document, table)):
        if record.id == id:
            return index, record
    raise EditRefused(document.not_there(table, id))


def _with_value(record: _R, field: str, value: Scalar) -> _R:
    fields = type(record).__struct_fields__
    if field not in fields:
        raise EditRefused(f"there is no field {field!r}; the fields are {', '.join(fields)}")
    try:
        return record.set(field, value)
    except BadEntry as error:
        raise EditRefused(str(error)) from None


def _check_reference(document: Document, table: str, record: Record, field: str) -> None:
    allowed = document.REFERENCES.get((table, field))
    to = getattr(record, field)
    if allowed is None or not to:
        return
    if to == record.id:
        raise EditRefused(f"{field} of {record.id} cannot name itself")
    if not any(row.id == to for other in allowed for row in records(document, other)):
        where = f"in {' or '.join(allowed)}" if allowed else "there"
        raise EditRefused(f"{field} names {to}, which is not {where}")
