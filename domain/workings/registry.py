"""Every figure of a sheet and its working: formula, inputs, steps, value and source."""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from domain.build import Build
from domain.findings import Finding
from domain.sheet import MaterialLine, Sheet
from domain.workings import (
    designs,
    fuses,
    grounds,
    loads,
    materials,
    network,
    parts,
    runs,
    supply,
)
from domain.workings.cited import ENTERED, publications
from domain.workings.cited import parts as sources_of
from domain.workings.context import context
from domain.workings.makers import Maker
from domain.workings.working import Figure, Working, number

NOT_WORKED: dict[tuple[str, str], str] = {
    ("amplifier_load", "idle_a"): ENTERED,
    ("run_result", "depth"): "its place in the list",
    ("part_result", "thickness_m"): ENTERED,
    ("part_result", "quantity"): ENTERED,
}
"""Figures that follow from nothing: (kind, field) -> why."""

_NUMBERS = (float, int, float | None, int | None)

_TOPICS = (loads, runs, fuses, network, designs, grounds, supply, parts, materials)


def makers() -> dict[tuple[str, str], Maker]:
    """(kind, field) -> what makes the working, of all topics."""
    return {
        (kind, field): maker
        for topic in _TOPICS
        for kind, by_field in topic.WORKINGS.items()
        for field, maker in by_field.items()
    }


_MAKERS = makers()


def kind_of(record: object) -> str:
    """A record's type in snake case."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", type(record).__name__).lower()


def record_id(record: Any) -> str:
    """What names a record among its kind: its id, a design's title, what a material line is."""
    if isinstance(record, MaterialLine):
        return materials.line_id(record)
    return str(getattr(record, "id", getattr(record, "title", "")))


def records_of(holder: Any) -> Iterator[Any]:
    """Every record in a sheet or record that holds figures, findings aside."""
    for each in fields(holder):
        value = getattr(holder, each.name)
        for record in value if isinstance(value, tuple) else (value,):
            if is_dataclass(record) and not isinstance(record, Finding):
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
    for record in records_of(sheet):
        if kind_of(record) == figure.kind and record_id(record) == figure.id:
            return record
    raise LookupError(f"the sheet has no {figure.kind} {figure.id}".rstrip())


def value_of(sheet: Sheet, figure: Figure) -> float | None:
    """The figure as the sheet has it; ``LookupError`` if it has none."""
    field, _, key = figure.field.partition(".")
    held = getattr(record_of(sheet, figure), field, LookupError)
    if held is LookupError or (key and key not in held):
        raise LookupError(f"{figure.kind} {figure.id} has no figure {figure.field}")
    found: float | None = held[key] if key else held
    return found


def workings(build: Build, sheet: Sheet, figure: Figure) -> Working:
    """The working of a figure. ``sheet`` must be ``evaluate(build)``.

    ``LookupError`` if the sheet has no such figure.
    """
    shown = value_of(sheet, figure)
    field, _, key = figure.field.partition(".")
    reason = NOT_WORKED.get((figure.kind, field))
    if reason:
        return Working(field, reason, (), (), shown, "", ENTERED)
    maker = _MAKERS.get((figure.kind, field))
    if maker is None:
        raise LookupError(f"{figure.kind} {figure.field} has no working")
    return maker(context(build, sheet), record_of(sheet, figure), key)


def text(working: Working) -> list[str]:
    """A working as plain lines for a terminal."""
    lines = [working.title, f"  {working.formula}"]
    wide = max((len(i.symbol) for i in working.inputs), default=0)
    for i in working.inputs:
        unit = "" if i.unit == "-" else f" {i.unit}"
        lines.append(f"  {i.symbol:<{wide}} = {number(i.value)}{unit}  ({i.meaning})")
    lines += [f"  {step}" for step in working.steps]
    unit = "" if working.unit == "-" or working.value is None else f" {working.unit}"
    lines.append(f"  = {number(working.value)}{unit}".rstrip())
    for source in sources_of(working.source):
        published = publications().get(source, "")
        lines.append(f"  source: {source}{': ' if published else ''}{published}")
    return lines
