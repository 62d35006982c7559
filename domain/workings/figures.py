"""The figures of a sheet: what there is, by name."""

import dataclasses
import re
from collections.abc import Iterator
from typing import Any

from msgspec import Struct
from msgspec.structs import fields

from domain.findings import Finding
from domain.sheet import MaterialLine, Sheet
from domain.workings.materials import line_id
from domain.workings.working import Figure

_NUMBERS = (float, int, float | None, int | None)

_Index = dict[tuple[str, str], Any]


def kind_of(record: object) -> str:
    """A record's type in snake case."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", type(record).__name__).lower()


def record_id(record: Any) -> str:
    """What names a record among its kind: its id, a design's title, what a material line is."""
    if isinstance(record, MaterialLine):
        return line_id(record)
    return str(getattr(record, "id", getattr(record, "title", "")))


def records_of(holder: Any) -> Iterator[Any]:
    """Every record in a sheet or record that holds figures, findings aside."""
    held = dataclasses.fields(holder) if isinstance(holder, Sheet) else fields(holder)
    for each in held:
        value = getattr(holder, each.name)
        for record in value if isinstance(value, tuple) else (value,):
            if isinstance(record, Struct) and not isinstance(record, Finding):
                yield record
                yield from records_of(record)


def figures_of(sheet: Sheet) -> Iterator[Figure]:
    """Every figure of a sheet, those that are not there (``None``) too."""
    for record in records_of(sheet):
        kind, id = kind_of(record), record_id(record)
        for each in fields(record):
            if each.type in _NUMBERS:
                yield Figure(kind, id, each.name)
            elif each.type == dict[str, float]:
                for key in getattr(record, each.name):
                    yield Figure(kind, id, f"{each.name}.{key}")


def record_of(sheet: Sheet, figure: Figure) -> Any:
    """The record that a figure is in; ``LookupError`` if the sheet has none."""
    found = _index(sheet).get((figure.kind, figure.id))
    if found is None:
        raise LookupError(f"the sheet has no {figure.kind} {figure.id}".rstrip())
    return found


def value_of(sheet: Sheet, figure: Figure) -> float | None:
    """The figure as the sheet has it; ``LookupError`` if it has none."""
    field, _, key = figure.field.partition(".")
    record = record_of(sheet, figure)
    known = field in record.__struct_fields__
    held: Any = getattr(record, field) if known else None
    if not known or (key and (not isinstance(held, dict) or key not in held)):
        raise LookupError(f"{figure.kind} {figure.id} has no figure {figure.field}")
    found: float | None = held[key] if key else held
    return found


_last: list[tuple[Sheet, _Index]] = []


def _index(sheet: Sheet) -> _Index:
    """The sheet's records by kind and id; those of the last sheet are kept, by identity."""
    if not _last or _last[0][0] is not sheet:
        found = {(kind_of(record), record_id(record)): record for record in records_of(sheet)}
        _last[:] = [(sheet, found)]
    return _last[0][1]
