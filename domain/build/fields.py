"""One schema for every field: its kind, its title, what may be typed and how it is shown.

Everything is read off the records of a build or of the shop; forms, validators and help take
it from here, so that a new field of a record needs nothing more than its own line there.
"""

import re
from collections import Counter
from typing import Any

from domain.build.amplifier_power import parse_power, show_power
from domain.build.choices import UnitHabit, shown
from domain.build.edits import Scalar
from domain.build.schema import (
    PLAIN_NUMBERS,
    FieldSchema,
    called,
    checked,
    kind_of,
    limits_text,
    schema_of,
    title,
)
from domain.csv_cells import amount, number, plain
from domain.document.entry import Entry
from domain.document.records import Document, label, record_type_of, records
from domain.patterns import Pattern
from domain.reference.planning import planned
from domain.units.parse import (
    KINDS,
    UnitError,
    format_gauge,
    format_quantity,
    parse_gauge,
    parse_quantity,
)
from domain.visible_text import visible

__all__ = [
    "AUTO",
    "NONE",
    "choices",
    "describe_field",
    "kind_of",
    "parse_field",
    "parse_power",
    "show_as",
    "show_field",
    "show_power",
    "title",
]

AUTO = "auto"
"""What a field shows that is left to the engine."""

NONE = "none"
"""What a reference shows that names nothing."""

UNKNOWN = "-"
"""What a plain number shows that nobody gave."""

_YES = ("yes", "y", "on", "true", "1")
_NO = ("no", "n", "off", "false", "0")
_BARE_UNITS = {"in": "inches", **{unit.lower(): unit for unit in ("F", "C", "A", "V", "W", "Ah")}}
_UNIT_HABITS = dict.fromkeys(("mm", "cm", "m"), "metric") | dict.fromkeys(("in", "ft"), "inch")
"""Units that say which habit is meant."""
_MOST_LISTED = 6
_OPEN = (("", UNKNOWN, AUTO), ("", UNKNOWN, AUTO, NONE))
"""What leaves an optional field open: a quantity; a plain number, too."""


def choices(document: Document, table: str, field: str) -> list[tuple[Scalar, str]]:
    """Every (value, shown) of a choice, flag or reference; empty for what is typed freely.

    A name that two records share is shown with its id, as in "Amp 1 (a2)".
    """
    known = schema_of(record_type_of(table), field)
    found: list[tuple[Scalar, str]] = [(None, AUTO)] if known.optional else []
    if known.kind == "choice":
        found.extend((option, shown(option)) for option in known.options)
        return found
    if known.kind == "flag":
        return [*found, (True, "yes"), (False, "no")]
    if known.kind == "reference":
        names = _candidates(document, table, field)
        bearers = Counter(names.values())
        found.append(("", NONE))
        found.extend(
            (id, name if bearers[name] == 1 else f"{name} ({id})") for id, name in names.items()
        )
        return found
    return []


def describe_field(document: Document, table: str, field: str) -> str:
    """One line of help: what the field is, what may be typed and within which limits."""
    known = schema_of(record_type_of(table), field)
    habit = document.habit()
    parts = [f"{known.title}: {known.description}"]
    if known.typed:
        parts.append(known.typed)
    elif known.kind in KINDS:
        whole = known.kind == "count"  # any example may be out of its limits, which follow
        parts.append("a whole number" if whole else f"type {_such_as(known.kind, habit)}")
        bare = KINDS[known.kind].bare[0 if habit is UnitHabit.INCH else 1]
        if bare:
            parts.append(f"bare: {_BARE_UNITS.get(bare, bare)}")
        limits = limits_text(known, habit)
        if limits:
            parts.append(limits)
    elif known.kind == "choice":
        parts.append(f"type the start of {', '.join(map(shown, known.options))}")
    elif known.kind == "flag":
        parts.append("yes or no")
    elif known.kind == "gauge":
        parts.append("type 1/0, 4 or 35 mm2")
    elif known.kind == "reference":
        parts.append(f"type the start of a name, an id, or {NONE}")
    if known.optional and not known.typed and f"{AUTO}:" not in known.description:
        parts.append(f"{AUTO}: Mainrun chooses")
    return "; ".join(parts)


def show_field(document: Document, table: str, record: Entry, field: str) -> str:
    """A field's value as plain text in the document's display units; None shows as "auto".

    There is no control character in it, and nothing in it is markup.
    """
    return show_as(document, type(record), field, getattr(record, field))


def show_as(document: Document, record_type: type[Entry], field: str, value: Any) -> str:
    """As ``show_field``, of a value that no record of the document holds."""
    kind = schema_of(record_type, field).kind
    if value is None:
        return UNKNOWN if kind in PLAIN_NUMBERS else AUTO
    if kind in PLAIN_NUMBERS:
        return plain(value) if kind == "number" else f"{value:f}"
    if kind == "flag":
        return "yes" if value else "no"
    if kind == "gauge":
        return format_gauge(value)
    if kind == "reference":
        return visible(label(document, value)) if value else NONE
    if kind == "choice":
        return shown(value)
    if kind == "text":
        return visible(str(value))
    return format_quantity(kind, value, document.habit())


_SEVERAL = Pattern(r"(\d{1,2}) ?[x*×] ?(.+)", re.IGNORECASE)
"""Several fuses alike, as amplifiers print them: 2x30."""


def parse_field(document: Document, table: str, field: str, text: str) -> Scalar:
    """The value of typed text for a field, fit for ``SetField``.

    ``UnitError`` says what was wrong and what would do, with limits in the display
    units. ``KeyError`` if there is no such field.
    """
    if field == "id":
        raise UnitError("an id never changes")
    known = schema_of(record_type_of(table), field)
    typed = text.strip()
    if known.optional and typed.casefold() in _OPEN[known.kind in PLAIN_NUMBERS]:
        return None
    if known.kind in PLAIN_NUMBERS:
        return _plain_number(document, table, field, typed)
    if known.kind == "choice":
        habit = _UNIT_HABITS.get(typed.casefold()) if field == "units" else None
        return _option(known, habit or typed)
    if known.kind == "flag":
        return _flag(known, typed)
    if field == "drop_limit_v" and typed.endswith("%"):
        share = parse_quantity("fraction", typed, document.habit())
        return checked(table, field, round(share * planned("design_v"), 4), document.habit())
    if known.kind == "reference":
        return _reference(document, table, field, typed)
    if field == "onboard_fuse_a" and (several := _SEVERAL.fullmatch(typed)):
        each = parse_quantity(known.kind, several[2], document.habit())
        return checked(table, field, int(several[1]) * each, document.habit())
    if known.kind == "gauge":
        return parse_gauge(typed)
    if known.kind == "text":
        return checked(table, field, typed, document.habit())
    value = parse_quantity(known.kind, typed, document.habit())
    return checked(table, field, int(value) if known.kind == "count" else value, document.habit())


def _plain_number(document: Document, table: str, field: str, typed: str) -> Scalar:
    """A number as a CSV file has it, with either decimal mark; money with or without its sign."""
    value = number(amount(typed) if field.endswith("price") else typed)
    exact = schema_of(record_type_of(table), field).kind == "money"
    given: Scalar = f"{value:f}" if exact else float(value)
    try:
        return checked(table, field, given, document.habit())
    except UnitError as error:
        raise UnitError(f"{error}. {describe_field(document, table, field)}") from None


def _such_as(kind: str, units: UnitHabit) -> str:
    return KINDS[kind].such_as[0 if units is UnitHabit.INCH else 1]


def _quoted(text: str) -> str:
    shown = visible(text)
    return f"'{shown}'" if len(shown) <= 30 else f"'{shown[:27]}...'"


def _listed(names: list[str]) -> str:
    more = len(names) - _MOST_LISTED
    return ", ".join(names[:_MOST_LISTED]) + (f" and {more} more" if more > 0 else "")


def _option(known: FieldSchema, typed: str) -> str:
    wanted = typed.casefold()
    pairs = [
        (option, (shown(option).casefold(), option.casefold(), name.casefold().replace("_", " ")))
        for option, name in zip(known.options, known.option_names, strict=True)
    ]
    exact = [option for option, words in pairs if wanted in words]
    first = [o for o, words in pairs if wanted and words[0].startswith(wanted)]
    starts = [o for o, words in pairs if wanted and any(w.startswith(wanted) for w in words)]
    inside = [o for o, words in pairs if wanted and f" {wanted}" in words[0].replace("(", " ")]
    found = exact or (first if len(first) == 1 else starts) or inside
    if len(found) == 1:
        return found[0]
    if found:
        listed = _listed([shown(each) for each in found])
        raise UnitError(f"{_quoted(typed)} could be {listed}: type more of it")
    said = f"{_quoted(typed)} is not one of them" if typed else "nothing was typed"
    one = known.typed or f"{called(known)} is one of {', '.join(map(shown, known.options))}"
    raise UnitError(f"{said}; {one}")


def _flag(known: FieldSchema, typed: str) -> bool:
    wanted = typed.casefold()
    if wanted in _YES or wanted in _NO:
        return wanted in _YES
    said = f"{_quoted(typed)} is neither" if typed else "nothing was typed"
    raise UnitError(f"{said}; {called(known)} takes yes or no")


def _candidates(document: Document, table: str, field: str) -> dict[str, str]:
    """Every record that a reference field may name: id -> what it is called."""
    return {
        record.id: visible(label(document, record.id))
        for allowed in document.REFERENCES[table, field]
        for record in records(document, allowed)
    }


def _reference(document: Document, table: str, field: str, typed: str) -> str:
    names = _candidates(document, table, field)
    wanted = typed.casefold()
    exact = [
        id
        for id, name in names.items()
        if wanted in (id, name.casefold(), f"{name} ({id})".casefold()) and wanted
    ]
    if not exact and wanted in ("", "-", NONE):
        return ""
    found = (
        exact
        or [id for id, name in names.items() if name.casefold().startswith(wanted)]
        or [id for id in names if id.startswith(wanted)]
    )
    if len(found) == 1:
        return found[0]
    if found:
        listed = _listed([f"{names[id]} ({id})" for id in found])
        raise UnitError(f"{_quoted(typed)} could be {listed}: type more of it, or the id")
    there = f"there is {_listed(list(names.values()))}" if names else "there is nothing to name yet"
    raise UnitError(f"{_quoted(typed)} is not there; {there}")
