"""The working of any figure of a sheet: formula, inputs, steps, value and source."""

from msgspec.structs import replace

from domain.build.records import Build
from domain.document.records import find, label
from domain.plan import Plan
from domain.workings import looms, materials, parts, strength
from domain.workings.cited import ENTERED, publications
from domain.workings.cited import parts as sources_of
from domain.workings.context import context
from domain.workings.electrical import (
    designs,
    fuse_study,
    fuses,
    grounds,
    isolators,
    leads,
    loads,
    network,
    runs,
    segments,
    spots,
    supply,
)
from domain.workings.figures import figures_of, record_of, value_of
from domain.workings.makers import Maker
from domain.workings.working import Figure, Input, Working, number

__all__ = ["NOT_WORKED", "Figure", "Input", "Working", "figures_of", "text", "workings"]

NOT_WORKED: dict[tuple[str, str], str] = {
    ("amplifier_load", "idle_a"): ENTERED,
    ("spot_result", "unprotected_m"): ENTERED,
    ("part_result", "thickness_m"): ENTERED,
    ("part_result", "quantity"): ENTERED,
    ("strength_result", "shock_ratio"): ENTERED,
    ("run_result", "depth"): "its place in the list",
}
"""Figures that follow from nothing: (kind, field) -> why."""

_TOPICS = (
    *(loads, runs, fuses, segments, fuse_study, network, designs),
    *(grounds, isolators, leads, supply, spots, parts, strength, materials, looms),
)

_MAKERS: dict[tuple[str, str], Maker] = {
    (kind, field): maker
    for topic in _TOPICS
    for kind, by_field in topic.WORKINGS.items()
    for field, maker in by_field.items()
}


def workings(plan: Plan, figure: Figure) -> Working:
    """The working of a figure; ``LookupError`` if the plan's sheet has no such figure."""
    sheet = plan.sheet
    shown = value_of(sheet, figure)
    field, _, key = figure.field.partition(".")
    reason = NOT_WORKED.get((figure.kind, field))
    if reason:
        return Working(field, reason, (), (), shown, "", ENTERED)
    maker = _MAKERS.get((figure.kind, field))
    if maker is None:
        raise LookupError(f"{figure.kind} {figure.field} has no working")
    return _named(plan.build, maker(context(plan), record_of(sheet, figure), key))


def _named(build: Build, working: Working) -> Working:
    """The working, with the name of each record whose id a symbol ends with ("I a1"), if it has
    one."""
    inputs = (_with_name(build, each) for each in working.inputs)
    return replace(working, inputs=tuple(inputs))


def _with_name(build: Build, given: Input) -> Input:
    _, _, id = given.symbol.partition(" ")
    record = find(build, id)
    name = id if record is None or type(record) in build.NAMELESS else label(build, id)
    return given if name == id else replace(given, meaning=f"{name}: {given.meaning}")


def text(working: Working) -> list[str]:
    """A working as plain lines for a terminal."""
    lines = [working.title, f"  {working.formula}"]
    wide = max((len(i.symbol) for i in working.inputs), default=0)
    for i in working.inputs:
        unit = "" if i.unit == "-" else f" {i.unit}"
        lines.append(f"  {i.symbol:<{wide}} = {number(i.value)}{unit}  ({i.meaning})")
    lines += [f"  {step}" for step in working.steps]
    unit = "" if working.unit in ("", "-") or working.value is None else f" {working.unit}"
    lines.append(f"  = {number(working.value)}{unit}")
    for source in sources_of(working.source):
        published = publications().get(source, "")
        lines.append(f"  source: {source}{': ' if published else ''}{published}")
    return lines
