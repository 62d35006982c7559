"""All that the program says of a build, one line a record, so that two versions can be compared.

What is right is for the checks against the outside; this only tells that something has changed,
and where. Whoever means the change writes the files anew and reads the difference:

    python -m tests.kept.plans
"""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from enum import Enum
from math import isclose
from pathlib import Path
from typing import Any

from domain.build.records import Build
from domain.evaluate import make_plan
from domain.fabrication.steps import steps
from domain.full_results import full_results
from domain.mending import mend
from domain.plan import Plan
from domain.work_order import work_order
from domain.workings.figures import figures_of
from domain.workings.registry import text as working_text
from domain.workings.registry import workings
from storage.transfer import export_build, import_file
from tui.report.sheet import text

DATA = Path(__file__).parent / "data"
IN_FULL = ("camper_van", "estate_car", "hatchback")
NAMES = sorted(path.stem for path in DATA.glob("*.json"))
CLOSE = 2e-5
"""Two figures are one figure up to this share of them: another machine rounds otherwise."""

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def kept(name: str) -> Build:
    """One of the builds."""
    return import_file(DATA / f"{name}.json")


def said(build: Build, in_full: bool = False) -> list[str]:
    """What is said of it, in lines; in full with what paper and text make of the figures."""
    plan = make_plan(build, swept=True)
    results = full_results(plan)
    drive = results.drive and {
        field.name: getattr(results.drive, field.name)
        for field in fields(results.drive)
        if field.name != "points"
    }
    told = [
        *_records("sheet", plan.sheet),
        *_records("drive", drive),
        *_records("mending", [mend(build, finding) for finding in plan.sheet.findings[:12]]),
    ]
    if not in_full:
        return told
    return [
        *told,
        *_records("readings", results.readings),
        *_records("work", work_order(build, plan.sheet)),
        *(line for part in build.parts for line in _records(part.id, steps(build, part))),
        *_workings(plan),
        *text(build, results).splitlines(),
    ]


def _workings(plan: Plan) -> Iterator[str]:
    """How the first figure of each name came about."""
    names = set()
    for figure in figures_of(plan.sheet):
        if (figure.kind, figure.field) not in names:
            names.add((figure.kind, figure.field))
            yield from working_text(workings(plan, figure))


def _records(path: str, value: Any) -> Iterator[str]:
    """A line for each record below this value, the path to it first."""
    if isinstance(value, tuple | list):
        for number, each in enumerate(value):
            yield from _records(f"{path}.{number}", each)
    elif is_dataclass(value):
        plain = []
        for field in fields(value):
            inner = getattr(value, field.name)
            if _holds_records(inner):
                yield from _records(f"{path}.{field.name}", inner)
            else:
                plain.append(f"{field.name}={_short(inner)}")
        yield f"{path}: {' '.join(plain)}"
    elif value is not None:
        yield f"{path}: {_short(value)}"


def _holds_records(value: Any) -> bool:
    if isinstance(value, tuple | list):
        return any(_holds_records(each) or isinstance(each, str) for each in value[:1])
    return is_dataclass(value)


def _short(value: Any) -> str:
    match value:
        case bool() | None:
            return str(value)
        case Enum():
            return str(value.value)
        case float():
            return f"{value:.7g}"
        case tuple() | list():
            return "(" + ", ".join(_short(each) for each in value) + ")"
        case dict():
            return "{" + ", ".join(f"{k}: {_short(each)}" for k, each in value.items()) + "}"
        case _:
            return str(value).replace("\n", " ")


def same(one: str, other: str) -> bool:
    """Whether two lines say the same."""
    if one == other:
        return True
    if _NUMBER.sub("#", one) != _NUMBER.sub("#", other):
        return False
    return all(
        isclose(float(a), float(b), rel_tol=CLOSE, abs_tol=1e-9)
        for a, b in zip(_NUMBER.findall(one), _NUMBER.findall(other), strict=True)
    )


def write() -> None:
    """Write what is said of each build now."""
    for name in NAMES:
        (DATA / f"{name}.txt").write_text(
            "\n".join(said(kept(name), name in IN_FULL)) + "\n", encoding="utf-8"
        )


def add(name: str, build: Build) -> None:
    """Keep one more build."""
    (DATA / f"{name}.json").write_text(export_build(build), encoding="utf-8")


if __name__ == "__main__":
    write()
