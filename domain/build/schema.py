"""The schema of every field, read off the records: kind, title, limits, the check of a value."""

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from types import NoneType
from typing import Annotated, Any, get_args, get_type_hints

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from domain.build.choices import UnitHabit
from domain.build.edits import Scalar, sentence
from domain.build.records import (
    TABLES,
    Footprint,
    Gauge,
    Header,
    Hole,
    Mount,
    Panel,
    Part,
    Ref,
    StockSize,
    Stud,
)
from domain.units.parse import UnitError, format_quantity

_SUFFIXES = {
    "m": "length",
    "w": "power",
    "a": "current",
    "v": "voltage",
    "ohm": "resistance",
    "ah": "capacity",
    "c": "temperature",
    "kg": "mass",
    "deg": "angle",
    "s": "duration",
    "ratio": "ratio",
    "price": "price",
    "percent": "percent",
}
_FRACTIONS = ("efficiency",)
_FABRICATED: tuple[type[BaseModel], ...] = (Part, Panel, Hole, Footprint, Stud, Mount, StockSize)
"""Their lengths are given in millimetres or decimal inches, as on a drawing."""
_SMALL = ("strand_m", "kerf_m")
"""Fields of other records whose lengths are given so too."""


@dataclass(frozen=True, slots=True)
class FieldSchema:
    """What is known of one field, from the record's own declaration.

    ``limits`` are (gt, ge, lt or le, value in the field's unit); ``options`` the values of a
    choice and ``option_names`` the names of the same members.
    """

    kind: str
    title: str
    description: str
    optional: bool
    limits: tuple[tuple[str, float], ...]
    options: tuple[str, ...]
    option_names: tuple[str, ...]


def kind_of(record_type: type[BaseModel], field: str) -> str:
    """The kind of a field: a quantity, or text, choice, flag, gauge, reference.

    ``KeyError`` if the record has no such field.
    """
    return schema_of(record_type, field).kind


def title(table: str, field: str) -> str:
    """What the field is called on a form or over a column; ``KeyError`` if there is none."""
    return schema_of(record_type_of(table), field).title


def checked(table: str, field: str, value: Scalar, units: UnitHabit) -> Scalar:
    """The value as the record takes it, else ``UnitError`` with the limits in display units."""
    record_type = record_type_of(table)
    known = schema_of(record_type, field)
    if isinstance(value, int | float) and not all(
        _within(value, bound, limit) for bound, limit in known.limits
    ):
        shown = format_quantity(known.kind, value, units)
        raise UnitError(f"{called(known)} must be {limits_text(known, units)}; that is {shown}")
    try:
        taken: Scalar = _adapter(record_type, field).validate_python(value)
    except ValidationError as error:
        if isinstance(value, str) and error.errors()[0]["type"] == "string_too_long":
            most = error.errors()[0]["ctx"]["max_length"]
            raise UnitError(
                f"{called(known)} takes at most {most} characters, these are {len(value)}"
            ) from None
        raise UnitError(f"{called(known)}: {sentence(error)}") from None
    return taken


def record_type_of(table: str) -> type[BaseModel]:
    """The record type of a table or of "header"; ``KeyError`` if there is no such table."""
    return Header if table == "header" else TABLES[table]


@lru_cache(maxsize=256)
def schema_of(record_type: type[BaseModel], field: str) -> FieldSchema:
    """What is known about a field; ``KeyError`` if the record has no such field."""
    info = record_type.model_fields[field]
    hint = _hints(record_type)[field]
    options = next(
        (
            each
            for each in (hint, *get_args(hint))
            if isinstance(each, type) and issubclass(each, StrEnum)
        ),
        None,
    )
    return FieldSchema(
        kind=_kind(record_type, field, hint, options),
        title=info.title or field,
        description=info.description or "",
        optional=NoneType in get_args(hint),
        limits=tuple(_bounds(info)),
        options=tuple(member.value for member in options) if options else (),
        option_names=tuple(member.name for member in options) if options else (),
    )


@lru_cache(maxsize=32)
def _hints(record_type: type[BaseModel]) -> dict[str, Any]:
    return get_type_hints(record_type, include_extras=True)


def _kind(record_type: type[BaseModel], field: str, hint: Any, options: object) -> str:
    if options:
        return "choice"
    if Gauge in (hint, *get_args(hint)):
        return "gauge"
    if hint == Ref:
        return "reference"
    if hint is bool:
        return "flag"
    if int in (hint, *get_args(hint)):
        return "count"
    if field in _FRACTIONS:
        return "fraction"
    if float in (hint, *get_args(hint)):
        kind = _SUFFIXES[field.rpartition("_")[2]]
        small = kind == "length" and (record_type in _FABRICATED or field in _SMALL)
        return "small_length" if small else kind
    return "text"


@lru_cache(maxsize=256)
def _adapter(record_type: type[BaseModel], field: str) -> TypeAdapter[Any]:
    info = record_type.model_fields[field]
    annotation: Any = info.annotation
    return TypeAdapter(Annotated[annotation, *info.metadata] if info.metadata else annotation)


def _bounds(info: FieldInfo) -> list[tuple[str, float]]:
    return [
        (bound, float(getattr(limit, bound)))
        for limit in info.metadata
        for bound in ("gt", "ge", "lt", "le")
        if getattr(limit, bound, None) is not None
    ]


def _within(value: float, bound: str, limit: float) -> bool:
    if bound == "gt":
        return value > limit
    if bound == "ge":
        return value >= limit
    return value < limit if bound == "lt" else value <= limit


def limits_text(known: FieldSchema, units: UnitHabit) -> str:
    """The limits in display units, "more than 0 and at most 5000 A"; "" if there are none."""
    words = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
    return " and ".join(
        f"{words[bound]} {_limit(known.kind, limit, units)}" for bound, limit in known.limits
    )


def _limit(kind: str, limit: float, units: UnitHabit) -> str:
    if not limit and kind != "temperature":
        return "0"
    return format_quantity(kind, limit, units).replace(".00 ", " ")


def called(known: FieldSchema) -> str:
    """A field's title as it stands inside a sentence."""
    return known.title[:1].lower() + known.title[1:]
