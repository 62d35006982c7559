"""The schema of every field, read off the records: kind, title, limits, the check of a value."""

from enum import StrEnum
from functools import lru_cache
from types import NoneType
from typing import Any

from msgspec import Struct

from domain.build.choices import UnitHabit
from domain.build.edits import Scalar, plain_scalar
from domain.document.declared import BadEntry, Declared, Kind, declared
from domain.document.entry import Entry, taken
from domain.document.records import record_type_of
from domain.units.parse import KINDS, UnitError, format_quantity
from domain.units.show import least_length
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


def kind_of(record_type: type[Entry], field: str) -> str:
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
    least = least_length(known.kind, units)
    if least and isinstance(value, int | float) and 0 < abs(value) < least[0] * (1 - 1e-9):
        raise UnitError(f"{called(known)} is too small to be shown: at least {least[1]}")
    try:
        return plain_scalar(taken(record_type, field, value))
    except BadEntry as error:
        wrong = error.details[0]
        if isinstance(value, str) and wrong["type"] == "string_too_long":
            most = wrong["ctx"]["max_length"]
            raise UnitError(
                f"{called(known)} takes at most {most} characters, these are {len(value)}"
            ) from None
        if isinstance(value, str) and wrong["type"] == "string_too_short":
            raise UnitError(f"{called(known)} cannot be empty: type a name") from None
        raise UnitError(f"{called(known)}: {error}") from None


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
def schema_of(record_type: type[Entry], field: str) -> FieldSchema:
    """What is known about a field; ``KeyError`` if the record has no such field."""
    own = declared(record_type)[field]
    types = own.types
    told = next((mark for mark in own.marks if isinstance(mark, Kind)), Kind(""))
    members = next(
        (each for each in types if isinstance(each, type) and issubclass(each, StrEnum)), None
    )
    return FieldSchema(
        kind=_kind(own, types, told, members),
        title=own.about.title,
        description=own.about.description,
        optional=NoneType in types,
        limits=own.about.limits() if told.name != "money" else (),
        options=tuple(member.value for member in members) if members else told.options,
        option_names=tuple(member.name for member in members) if members else told.options,
        typed=told.typed,
    )


def _kind(field: Declared, types: tuple[Any, ...], told: Kind, members: object) -> str:
    if members:
        return "choice"
    if told.name:
        return told.name
    if bool in types:
        return "flag"
    if int in types:
        return "count"
    if float in types:
        return SUFFIXES[field.name.rpartition("_")[2]].kind
    return "text"


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
