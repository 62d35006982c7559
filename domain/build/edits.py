"""How a document may change: small frozen edits, each with its inverse.

``apply(document, edit)`` is pure, and the same for a build and for what the shop keeps. It
returns the changed document and the edit that takes it back, or raises ``EditRefused`` with a
sentence that says what was wrong and what would do.
"""

from decimal import Decimal
from typing import Annotated, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

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
_R = TypeVar("_R", bound=BaseModel)
_D = TypeVar("_D", bound=Document)


class EditRefused(ValueError):
    """An edit that cannot be made; the message is for the user."""


class _Edit(BaseModel):
    model_config = ConfigDict(frozen=True, defer_build=True, extra="forbid", allow_inf_nan=False)


class SetField(_Edit):
    """Give one field of one record a new value. ``table`` "header" has no ``id``."""

    kind: Literal["set"] = "set"
    table: str
    id: str = ""
    field: str
    value: Scalar


class AddRecord(_Edit):
    """Add a record to a table, at ``index`` or at the end (-1)."""

    kind: Literal["add"] = "add"
    table: str
    record: dict[str, Scalar]
    index: int = -1


class RemoveRecord(_Edit):
    """Remove a record that nothing refers to any more."""

    kind: Literal["remove"] = "remove"
    table: str
    id: str


class MoveRecord(_Edit):
    """Move a record to another place in its table."""

    kind: Literal["move"] = "move"
    table: str
    id: str
    index: int


class ReplaceTables(_Edit):
    """Replace all that the tables hold with these records, as when a file is imported."""

    kind: Literal["replace"] = "replace"
    tables: dict[str, tuple[dict[str, Scalar], ...]]
    label: str = ""


class Batch(_Edit):
    """Several edits that are made, saved and undone as one."""

    kind: Literal["batch"] = "batch"
    edits: tuple["Edit", ...]
    label: str = ""


Edit = Annotated[
    SetField | AddRecord | RemoveRecord | MoveRecord | ReplaceTables | Batch,
    Field(discriminator="kind"),
]
Batch.model_rebuild()
EDIT: TypeAdapter[Edit] = TypeAdapter(Edit)
"""Reads and writes any edit as JSON."""


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
        return edit.model_copy(update={"edits": tuple(in_full(each) for each in edit.edits)})
    if isinstance(edit, AddRecord):
        return edit.model_copy(update={"record": _whole(edit.table, edit.record)})
    if isinstance(edit, ReplaceTables):
        tables = {
            table: tuple(_whole(table, record) for record in given)
            for table, given in edit.tables.items()
        }
        return edit.model_copy(update={"tables": tables})
    return edit


def _whole(table: str, record: dict[str, Scalar]) -> dict[str, Scalar]:
    if table not in RECORD_TYPES:
        return record
    return RECORD_TYPES[table].model_validate(record).model_dump(mode="json")


def _set_header(document: _D, edit: SetField) -> tuple[_D, Edit]:
    before: BaseModel = getattr(document, "header")  # noqa: B009
    header = _with_value(before, edit.field, edit.value)
    inverse = edit.model_copy(update={"value": getattr(before, edit.field)})
    return document.model_copy(update={"header": header}), inverse


def _set(document: _D, edit: SetField) -> tuple[_D, Edit]:
    index, record = _place(document, edit.table, edit.id)
    if edit.field == "id":
        raise EditRefused("an id never changes")
    changed = _with_value(record, edit.field, edit.value)
    _check_reference(document, edit.table, changed, edit.field)
    inverse = edit.model_copy(update={"value": plain_value(record, edit.field)})
    rows = list(records(document, edit.table))
    rows[index] = changed
    return document.model_copy(update={edit.table: tuple(rows)}), inverse


def plain_value(record: BaseModel, field: str) -> Scalar:
    """The value of a field as an edit has it: exact decimals as text."""
    return plain_scalar(getattr(record, field))


def plain_scalar(value: Scalar | Decimal) -> Scalar:
    """A value as an edit has it: exact decimals as text."""
    return f"{value:f}" if isinstance(value, Decimal) else value


def _add(document: _D, edit: AddRecord) -> tuple[_D, Edit]:
    table = edit.table
    record_type = document.TABLES[table]
    try:
        record = record_type.model_validate(edit.record)
    except ValidationError as error:
        raise EditRefused(sentence(error)) from None
    rows = list(records(document, table))
    if len(rows) >= most(document, table):
        raise EditRefused(f"{table} is full: at most {most(document, table)} records")
    if any(row.id == record.id for row in rows):
        raise EditRefused(f"{table} already has a record {record.id}")
    prefix = document.ID_PREFIX.get(table)
    if prefix is not None and record.id.rstrip("0123456789") != prefix:
        raise EditRefused(f"the id {record.id} does not belong in {table}")
    for field in record_type.model_fields:
        _check_reference(document, table, record, field)
    rows.insert(edit.index if 0 <= edit.index <= len(rows) else len(rows), record)
    return (
        document.model_copy(update={table: tuple(rows)}),
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
    inverse = AddRecord(table=edit.table, record=record.model_dump(mode="json"), index=index)
    return document.model_copy(update={edit.table: tuple(rows)}), inverse


def _move(document: _D, edit: MoveRecord) -> tuple[_D, Edit]:
    index, record = _place(document, edit.table, edit.id)
    rows = list(records(document, edit.table))
    if not 0 <= edit.index < len(rows):
        raise EditRefused(f"{edit.table} has places 0 to {len(rows) - 1}, not {edit.index}")
    del rows[index]
    rows.insert(edit.index, record)
    return (
        document.model_copy(update={edit.table: tuple(rows)}),
        edit.model_copy(update={"index": index}),
    )


def _replace(document: _D, edit: ReplaceTables) -> tuple[_D, Edit]:
    changed: dict[str, tuple[Record, ...]] = {}
    for table, given in edit.tables.items():
        _check_table(document, table)
        try:
            rows = tuple(document.TABLES[table].model_validate(record) for record in given)
        except ValidationError as error:
            raise EditRefused(sentence(error)) from None
        changed[table] = _of_fixed(document, table, rows) if table in document.FIXED else rows
    after = document.model_copy(update=changed)
    if problems := reference_problems(after):
        raise EditRefused("; ".join(problems[:5]))
    before = {
        table: tuple(record.model_dump(mode="json") for record in records(document, table))
        for table in edit.tables
    }
    return after, edit.model_copy(update={"tables": before})


def _of_fixed(document: Document, table: str, rows: tuple[Record, ...]) -> tuple[Record, ...]:
    """The records of a table that stay whatever is given; those not given have their defaults."""
    given = {row.id: row for row in rows}
    kept = tuple(
        given.pop(old.id, None) or type(old).model_validate({"id": old.id})
        for old in records(document, table)
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
    fields = type(record).model_fields
    if field not in fields:
        raise EditRefused(f"there is no field {field!r}; the fields are {', '.join(fields)}")
    try:
        return type(record).model_validate({**dict(record), field: value})
    except ValidationError as error:
        raise EditRefused(sentence(error)) from None


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


def sentence(error: ValidationError) -> str:
    """A validation error of the records as one plain sentence."""
    parts = []
    for item in error.errors(include_url=False)[:3]:
        where = ".".join(str(step) for step in item["loc"])
        value = item.get("input")
        given = str(value) if isinstance(value, Decimal) else repr(value)
        shown = given if len(given) <= 40 else given[:37] + "..."
        reason = item["msg"].removeprefix("Value error, ")
        parts.append(
            f"{where}: {reason[0].lower()}{reason[1:]} (given {shown})" if where else reason
        )
    return "; ".join(parts)
