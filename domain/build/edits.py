"""How a build may change: small frozen edits, each with its inverse.

``apply(build, edit)`` is pure. It returns the changed build and the edit that takes it back,
or raises ``EditRefused`` with a sentence that says what was wrong and what would do.
"""

from decimal import Decimal
from typing import Annotated, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from domain.build.records import (
    MOST_RECORDS,
    REFERENCES,
    TABLES,
    Build,
    Record,
    label,
    records,
    reference_problems,
    table_of,
)

Scalar = str | bool | int | float | None
_R = TypeVar("_R", bound=BaseModel)


class EditRefused(ValueError):
    """An edit that cannot be made; the message is for the user."""


class _Edit(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


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


def apply(build: Build, edit: Edit) -> tuple[Build, Edit]:
    """The changed build and the inverse edit; ``EditRefused`` if it cannot be made."""
    if isinstance(edit, Batch):
        inverses: list[Edit] = []
        for each in edit.edits:
            build, inverse = apply(build, each)
            inverses.append(inverse)
        return build, Batch(edits=tuple(reversed(inverses)), label=edit.label)
    if isinstance(edit, ReplaceTables):
        return _replace(build, edit)
    if isinstance(edit, SetField) and edit.table == "header":
        return _set_header(build, edit)
    check_table(edit.table)
    if isinstance(edit, SetField):
        return _set(build, edit)
    if isinstance(edit, AddRecord):
        return _add(build, edit)
    if isinstance(edit, RemoveRecord):
        return _remove(build, edit)
    return _move(build, edit)


def users(build: Build, id: str) -> list[tuple[str, str, str]]:
    """Who refers to a record: (table, id, field) of every reference to it."""
    table = table_of(id)
    found = []
    for (user_table, field), allowed in REFERENCES.items():
        if table in allowed:
            for record in records(build, user_table):
                if getattr(record, field) == id:
                    found.append((user_table, record.id, field))
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
    """The same edit, with the defaults of the records that it adds to a build written out.

    An edit is applied again long after it was made, when a field may have another default.
    """
    if isinstance(edit, Batch):
        return edit.model_copy(update={"edits": tuple(in_full(each) for each in edit.edits)})
    if isinstance(edit, AddRecord) and edit.table in TABLES:
        return edit.model_copy(update={"record": _whole(edit.table, edit.record)})
    if isinstance(edit, ReplaceTables):
        tables = {
            table: tuple(_whole(table, record) for record in given) if table in TABLES else given
            for table, given in edit.tables.items()
        }
        return edit.model_copy(update={"tables": tables})
    return edit


def _whole(table: str, record: dict[str, Scalar]) -> dict[str, Scalar]:
    return TABLES[table].model_validate(record).model_dump(mode="json")


def _set_header(build: Build, edit: SetField) -> tuple[Build, Edit]:
    header = _with_value(build.header, edit.field, edit.value)
    inverse = edit.model_copy(update={"value": getattr(build.header, edit.field)})
    return build.model_copy(update={"header": header}), inverse


def _set(build: Build, edit: SetField) -> tuple[Build, Edit]:
    index, record = _place(build, edit.table, edit.id)
    if edit.field == "id":
        raise EditRefused("an id never changes")
    changed = _with_value(record, edit.field, edit.value)
    _check_reference(build, edit.table, changed, edit.field)
    inverse = edit.model_copy(update={"value": getattr(record, edit.field)})
    rows = list(records(build, edit.table))
    rows[index] = changed
    return build.model_copy(update={edit.table: tuple(rows)}), inverse


def _add(build: Build, edit: AddRecord) -> tuple[Build, Edit]:
    record_type = TABLES[edit.table]
    try:
        record = record_type.model_validate(edit.record)
    except ValidationError as error:
        raise EditRefused(sentence(error)) from None
    rows = list(records(build, edit.table))
    if len(rows) >= MOST_RECORDS:
        raise EditRefused(f"{edit.table} is full: at most {MOST_RECORDS} records")
    if any(row.id == record.id for row in rows):
        raise EditRefused(f"{edit.table} already has a record {record.id}")
    try:
        if table_of(record.id) != edit.table:
            raise KeyError(record.id)
    except KeyError:
        raise EditRefused(f"the id {record.id} does not belong in {edit.table}") from None
    for field in record_type.model_fields:
        _check_reference(build, edit.table, record, field)
    rows.insert(edit.index if 0 <= edit.index <= len(rows) else len(rows), record)
    return (
        build.model_copy(update={edit.table: tuple(rows)}),
        RemoveRecord(table=edit.table, id=record.id),
    )


def _remove(build: Build, edit: RemoveRecord) -> tuple[Build, Edit]:
    index, record = _place(build, edit.table, edit.id)
    holding = [u for u in users(build, edit.id) if u[1] != edit.id]
    if holding:
        names = ", ".join(label(build, id) for _, id, _ in holding[:3])
        raise EditRefused(
            f"{label(build, edit.id)} is still used by {names}: move or remove that first"
        )
    rows = list(records(build, edit.table))
    del rows[index]
    inverse = AddRecord(table=edit.table, record=record.model_dump(mode="json"), index=index)
    return build.model_copy(update={edit.table: tuple(rows)}), inverse


def _move(build: Build, edit: MoveRecord) -> tuple[Build, Edit]:
    index, record = _place(build, edit.table, edit.id)
    rows = list(records(build, edit.table))
    if not 0 <= edit.index < len(rows):
        raise EditRefused(f"{edit.table} has places 0 to {len(rows) - 1}, not {edit.index}")
    del rows[index]
    rows.insert(edit.index, record)
    return (
        build.model_copy(update={edit.table: tuple(rows)}),
        edit.model_copy(update={"index": index}),
    )


def _replace(build: Build, edit: ReplaceTables) -> tuple[Build, Edit]:
    for table in edit.tables:
        check_table(table)
    try:
        changed = {
            table: tuple(TABLES[table].model_validate(record) for record in given)
            for table, given in edit.tables.items()
        }
    except ValidationError as error:
        raise EditRefused(sentence(error)) from None
    after = build.model_copy(update=changed)
    if problems := reference_problems(after):
        raise EditRefused("; ".join(problems[:5]))
    before = {
        table: tuple(record.model_dump(mode="json") for record in records(build, table))
        for table in edit.tables
    }
    return after, edit.model_copy(update={"tables": before})


def check_table(table: str) -> None:
    """Refuse a table that no build has."""
    if table not in TABLES:
        raise EditRefused(f"there is no table {table!r}; the tables are {', '.join(TABLES)}")


def _place(build: Build, table: str, id: str) -> tuple[int, Record]:
    for index, record in enumerate(records(build, table)):
        if record.id == id:
            return index, record
    raise EditRefused(f"{table} has no record {id!r}")


def _with_value(record: _R, field: str, value: Scalar) -> _R:
    fields = type(record).model_fields
    if field not in fields:
        raise EditRefused(f"there is no field {field!r}; the fields are {', '.join(fields)}")
    try:
        return type(record).model_validate({**dict(record), field: value})
    except ValidationError as error:
        raise EditRefused(sentence(error)) from None


def _check_reference(build: Build, table: str, record: Record, field: str) -> None:
    allowed = REFERENCES.get((table, field))
    to = getattr(record, field)
    if not allowed or not to:
        return
    if to == record.id:
        raise EditRefused(f"{field} of {record.id} cannot name itself")
    if not any(row.id == to for other in allowed for row in records(build, other)):
        raise EditRefused(f"{field} names {to}, which is not in {' or '.join(allowed)}")


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
