"""The schema of every field, read off the records: kind, title, limits, the check of a value."""

from enum import StrEnum
from functools import lru_cache
from types import NoneType
from typing import Annotated, Any, get_args, get_type_hints

from msgspec import Struct
from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from domain.build.choices import UnitHabit
from domain.build.edits import Scalar, plain_scalar, sentence
from domain.document.records import Gauge, Kind, Ref, record_type_of
from domain.units.parse import KINDS, UnitError, format_quantity
from domain.units.suffixes import SUFFIXES

PLAIN_NUMBERS = ("number", "money")
"""Kinds that have no unit; money is exact."""


class FieldSchema(Struct, frozen=True):
    """What is known of one field, from the record's own declaration.

    ``limits`` are (gt, ge, lt or le, value in the field's unit); ``options`` the values of a
    choice and ``option_names`` the names of the same members; ``typed`` what its record says of
    what may be typed.
    """

    kind: str
    title: str
    description: str
    optional: bool
    limits: tuple[tuple[str, float], ...]
    options: tuple[str, ...]
    option_names: tuple[str, ...]
    typed: str = ""


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
    if (
        known.kind in KINDS
        and isinstance(value, int | float)
        and not all(_within(value, bound, limit) for bound, limit in known.limits)
    ):
        shown = format_quantity(known.kind, value, units)
        said = f"{called(known)} must be {limits_text(known, units)}; that is {shown}"
        raise UnitError(said + (f". {OF_24_V}" if of_24_v(known, value) else ""))
    try:
        taken = _adapter(record_type, field).validate_python(value)
    except ValidationError as error:
        if isinstance(value, str) and error.errors()[0]["type"] == "string_too_long":
            most = error.errors()[0]["ctx"]["max_length"]
            raise UnitError(
                f"{called(known)} takes at most {most} characters, these are {len(value)}"
            ) from None
        if isinstance(value, str) and error.errors()[0]["type"] == "string_too_short":
            raise UnitError(f"{called(known)} cannot be empty: type a name") from None
        raise UnitError(f"{called(known)}: {sentence(error)}") from None
    return plain_scalar(taken)


OF_24_V = (
    "24 V systems are not planned, as batteries, regulators and amplifiers are known for 12 V "
    "alone: plan the 12 V side, with its converter from 24 V as the alternator"
)
"""What is said beside a voltage that only a vehicle of 24 V has."""


def of_24_v(known: FieldSchema, value: float) -> bool:
    """Whether a voltage refused for a system of 12 V is usual at 24 V: 18 to 32 V.

    ISO 16750-2 has 16 to 32 V as supply voltages of code E and others at 24 V (from memory).
    """
    system = any(bound in ("gt", "ge") and limit >= 4 for bound, limit in known.limits)
    return known.kind == "voltage" and system and 18 <= value <= 32


@lru_cache(maxsize=256)
def schema_of(record_type: type[BaseModel], field: str) -> FieldSchema:
    """What is known about a field; ``KeyError`` if the record has no such field."""
    info = record_type.model_fields[field]
    hint = _hints(record_type)[field]
    told = _told(hint, info)
    members = next(
        (
            each
            for each in (hint, *get_args(hint))
            if isinstance(each, type) and issubclass(each, StrEnum)
        ),
        None,
    )
    return FieldSchema(
        kind=_kind(field, hint, told, members),
        title=info.title or field,
        description=info.description or "",
        optional=NoneType in get_args(hint),
        limits=tuple(_bounds(info)),
        options=tuple(member.value for member in members) if members else told.options,
        option_names=tuple(member.name for member in members) if members else told.options,
        typed=told.typed,
    )


@lru_cache(maxsize=32)
def _hints(record_type: type[BaseModel]) -> dict[str, Any]:
    return get_type_hints(record_type, include_extras=True)


def _told(hint: Any, info: FieldInfo) -> Kind:
    """What the declaration says of the kind beside type and name."""
    said = [*info.metadata, *getattr(hint, "__metadata__", ())]
    for way in get_args(hint):
        said += getattr(way, "__metadata__", ())
    return next((each for each in said if isinstance(each, Kind)), Kind(""))


def _kind(field: str, hint: Any, told: Kind, members: object) -> str:
    if members:
        return "choice"
    if told.name:
        return told.name
    if Gauge in (hint, *get_args(hint)):
        return "gauge"
    if hint == Ref:
        return "reference"
    if bool in (hint, *get_args(hint)):
        return "flag"
    if int in (hint, *get_args(hint)):
        return "count"
    if float in (hint, *get_args(hint)):
        return SUFFIXES[field.rpartition("_")[2]].kind
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
