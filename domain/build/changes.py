"""What an edit touches and changes: field by field, from which value to which.

Two edits meet where they touch the same field, or one of them the whole record or table.
"""

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from domain.build.edits import (
    AddRecord,
    Batch,
    Edit,
    MoveRecord,
    RemoveRecord,
    ReplaceTables,
    Scalar,
    SetField,
)
from domain.build.fields import show_as
from domain.build.schema import schema_of
from domain.document.records import Document, label, record_type_of

Place = tuple[str, str, str]
"""Table, id and field; an empty field is the whole record, an empty id the whole table."""

HEADER = "header"
"""Table and id of what concerns the document as a whole."""

ORDER = "order"
"""Stands for a field where a record has only moved."""


class Change(Struct, frozen=True):
    """One change among those of an edit.

    ``what`` is "set", "added", "removed", "moved" or "replaced"; ``before`` and ``after`` are the
    values of the field that was set, and the name of a record that came or went.
    """

    what: str
    table: str
    id: str = ""
    field: str = ""
    before: Scalar = None
    after: Scalar = None


def touched(edit: Edit) -> frozenset[Place]:
    """The places that an edit touches."""
    return frozenset(place_of(change) for change in changes(edit, edit))


def place_of(change: Change) -> Place:
    """Where a change is made."""
    return change.table, change.id or (HEADER if change.table == HEADER else ""), change.field


def meet(one: frozenset[Place], other: frozenset[Place]) -> bool:
    """Whether two edits touch the same place."""
    return any(_same(a, b) for a in one for b in other)


def _same(one: Place, other: Place) -> bool:
    if one[0] != other[0]:
        return False
    return all(not a or not b or a == b for a, b in zip(one[1:], other[1:], strict=True))


def changes(edit: Edit, inverse: Edit) -> Iterator[Change]:
    """The changes of an edit in turn, with what was there before by its inverse."""
    if isinstance(edit, Batch):
        back = reversed(inverse.edits) if isinstance(inverse, Batch) else (inverse,)
        inverses: tuple[Edit, ...] = tuple(back)
        if edit is inverse or len(inverses) != len(edit.edits):
            inverses = edit.edits
        for one, its_inverse in zip(edit.edits, inverses, strict=True):
            yield from changes(one, its_inverse)
    elif isinstance(edit, SetField):
        before = inverse.value if isinstance(inverse, SetField) else None
        yield Change("set", edit.table, edit.id, edit.field, before, edit.value)
    elif isinstance(edit, AddRecord):
        id = str(edit.record.get("id", ""))
        yield Change("added", edit.table, id, after=edit.record.get("name") or id)
    elif isinstance(edit, RemoveRecord):
        record = inverse.record if isinstance(inverse, AddRecord) else {}
        yield Change("removed", edit.table, edit.id, before=record.get("name") or edit.id)
    elif isinstance(edit, MoveRecord):
        yield Change("moved", edit.table, edit.id, ORDER)
    elif isinstance(edit, ReplaceTables):
        for table in edit.tables:
            yield Change("replaced", table)


def show_value(document: Document, table: str, field: str, value: Scalar) -> str:
    """A value of a field as the document shows it; what it names by its present name."""
    record_type = record_type_of(table)
    given: object = value
    if value is not None and schema_of(record_type, field).kind == "money":
        given = Decimal(str(value))
    return show_as(document, record_type, field, given)


def show_change(document: Document, change: Change) -> tuple[str, str, str]:
    """A change in words: what it is about, the value before and the value after.

    A name is about itself: what it was before, and is called now, are the values.
    """
    name = label(document, change.id) if change.id else change.table.replace("_", " ")
    if change.what == "set":
        title = schema_of(record_type_of(change.table), change.field).title
        about = title if change.table == HEADER or change.field == "name" else f"{title} of {name}"
        before, after = (
            show_value(document, change.table, change.field, value)
            for value in (change.before, change.after)
        )
        return about, before, after
    kind = change.table.replace("_", " ").removesuffix("s")
    if change.what == "added":
        return f"{kind} {change.after}", "", "added"
    if change.what == "removed":
        return f"{kind} {change.before}", "", "removed"
    return name, "", change.what
