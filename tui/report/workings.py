"""The working of one figure as lines of text, found by the names that the sheet gives it."""

from domain.build.records import Build
from domain.electrical.meter.readings import JudgedReading, judged
from domain.full_results import drive_profile
from domain.plan import Plan
from domain.sheet import DriveResult, Sheet
from domain.workings import registry
from domain.workings.electrical import drive, readings
from domain.workings.figures import value_of
from domain.workings.working import Figure, Working, number
from tui.report.plain import wrap
from tui.widgets.cell_text import cut

SUPPLY = "supply"
DRIVE = "drive"

_READ = {
    "predicted_v": readings.predicted_v,
    "tolerance_v": readings.tolerance_v,
    "difference_v": readings.difference_v,
}
_DRIVEN = {"post_v": drive.voltage, "charge": drive.charge}

MOST_NAMED = 30


class UnknownFigure(Exception):
    """There is no such figure; the message is one plain line that says what there is."""


def working_of(plan: Plan, id: str, field: str) -> list[str]:
    """The working of a figure; ``UnknownFigure`` with what there is where there is no such figure.

    ``id`` is a record's id (the title of a design, "supply"), a typed reading's, or "drive" with
    a field as ``post_v.600``: 600 s into the profile.
    """
    try:
        return _lines(_working(plan, id, field))
    except LookupError as error:
        said = str(error.args[0]) if error.args else str(error)
        raise UnknownFigure(f"{cut(id, 40)} {cut(field, 40)}: {said}") from None


def fields_of(plan: Plan, id: str) -> list[str]:
    """Every figure that goes by an id, with its value in SI; ``UnknownFigure`` if there is none."""
    build, sheet = plan.build, plan.sheet
    if id == DRIVE and build.legs:
        return [f"{name}.SECONDS" for name in _DRIVEN]
    reading = _reading(build, sheet, id)
    if reading:
        return [f"{name} = {number(getattr(reading, name))}" for name in _READ]
    return [f"{f.field} = {number(value_of(sheet, f))}" for f in _figures(build, sheet, id)]


def _working(plan: Plan, id: str, field: str) -> Working:
    build, sheet = plan.build, plan.sheet
    if id == DRIVE and build.legs:
        return _driven(plan, field)
    reading = _reading(build, sheet, id)
    if reading:
        if field not in _READ:
            raise LookupError(f"there is no such figure: take one of {', '.join(_READ)}")
        return _READ[field](build, sheet, reading)
    figures = _figures(build, sheet, id)
    for figure in figures:
        if figure.field == field:
            return registry.workings(plan, figure)
    names = [figure.field for figure in figures]
    raise LookupError(f"there is no such figure: take one of {_some(names)}")


def _driven(plan: Plan, field: str) -> Working:
    name, _, seconds = field.partition(".")
    if name not in _DRIVEN or not seconds.isdecimal():
        raise LookupError(f"take one of {', '.join(f'{name}.600' for name in _DRIVEN)}")
    result = drive_profile(plan)
    assert isinstance(result, DriveResult)
    after = float(seconds)
    at = max((i for i, p in enumerate(result.points) if p.time_s <= after + 1e-6), default=0)
    return _DRIVEN[name](plan.build, result, at)


def _reading(build: Build, sheet: Sheet, id: str) -> JudgedReading | None:
    return next((each for each in judged(build, sheet) if each.id == id), None)


def _figures(build: Build, sheet: Sheet, id: str) -> list[Figure]:
    """The figures that go by an id, small letters or large."""
    named = [(figure.id or SUPPLY, figure) for figure in registry.figures_of(sheet)]
    found = [figure for name, figure in named if name.casefold() == id.casefold()]
    if not found:
        names = list(dict.fromkeys(name for name, f in named if f.kind != "material_line"))
        names += [DRIVE] * bool(build.legs) + [reading.id for reading in build.readings]
        raise UnknownFigure(f"no figure goes by {cut(id, 40)!r}: take one of {_some(names)}")
    return found


def _some(names: list[str]) -> str:
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


def _lines(working: Working) -> list[str]:
    """As wide as a page; a line that is longer goes on below, further in."""
    lines = []
    for line in registry.text(working):
        indent = line[: len(line) - len(line.lstrip())]
        lines += [line] if len(line) <= 100 else wrap(line, indent, f"{indent}    ")
    return lines
