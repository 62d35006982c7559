"""All that the program says of a build, one line a record, so that two versions can be compared.

What is right is for the checks against the outside; this only tells that something has changed,
and where. Whoever means the change writes the files anew and reads the difference:

    python -m tests.kept.plans
"""

import dataclasses
import re
from collections.abc import Iterator
from decimal import Decimal
from difflib import SequenceMatcher
from enum import Enum
from math import isclose
from pathlib import Path
from typing import Any

from msgspec import Struct

from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build, Part
from domain.evaluate import make_plan
from domain.fabrication.part_layout import part_layout
from domain.fabrication.shape.folded_faces import folded_faces
from domain.fabrication.shape.panel_tree import NotDeveloped
from domain.fabrication.steps import steps
from domain.full_results import full_results
from domain.mending import mend
from domain.money.estimate import estimate
from domain.money.quote_text import quote_text
from domain.money.shopping import shopping
from domain.money.shopping_tables import shopping_csv
from domain.plan import Plan
from domain.shop.catalogue import CatalogueItem
from domain.shop.times import default_times
from domain.topics import compare, fuse_study
from domain.topics.cut_sheets import how_cut
from domain.topics.job import main_figures
from domain.topics.tables import Subject
from domain.topics.wiring import wiring_rows
from domain.work_order import work_order
from domain.workings.figures import figures_of
from domain.workings.registry import text as working_text
from domain.workings.registry import workings
from storage.transfer import export_build, import_file
from tui.report.sheet import text

DATA = Path(__file__).parent / "data"
NAMES = sorted(path.stem for path in DATA.glob("*.json"))
ITEMS = (
    CatalogueItem(name="Cable", group="Wire", pack=50, unit=PackUnit("ft"), price=Decimal("180")),
    CatalogueItem(
        name="Cable by the foot", group="Wire", pack=1, unit=PackUnit("ft"), price=Decimal("4.2")
    ),
    CatalogueItem(name="Fuses", group="Fuses", pack=5, price=Decimal("12.5"), on_shelf=3),
    CatalogueItem(name="Lugs", group="Terminals", pack=10, price=Decimal("9.99")),
    CatalogueItem(name="Sheet", group="Sheet", pack=1, price=Decimal("61")),
)
"""Prices in a scenario of our own."""

CLOSE = 2e-5
"""Two figures are one figure up to this share of them: another machine rounds otherwise."""

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def kept(name: str) -> Build:
    """One of the builds."""
    return import_file(DATA / f"{name}.json")


def said(build: Build) -> list[str]:
    """What is said of it, in lines; also what paper and text make of the figures."""
    plan = make_plan(build, swept=True)
    results = full_results(plan)
    subject = Subject(build, plan.sheet)
    drive = results.drive and {
        name: getattr(results.drive, name)
        for name in results.drive.__struct_fields__
        if name != "points"
    }
    return [
        *_records("sheet", plan.sheet),
        *_records("drive", drive),
        *_records("mending", [mend(build, finding) for finding in plan.sheet.findings[:12]]),
        *_records("readings", results.readings),
        *_records("work", work_order(build, plan.sheet)),
        *(line for part in build.parts for line in _records(part.id, steps(build, part))),
        *(line for part in build.parts for line in _drawn(build, part)),
        *_records(
            "wiring", [(row.limb.device, row.limb.run, row.more) for row in wiring_rows(build)]
        ),
        *_guarded(subject),
        *_bought(subject),
        *_workings(plan),
        *text(build, results).splitlines(),
    ]


def _drawn(build: Build, part: Part) -> Iterator[str]:
    """A part flat and folded, each face by the middle of its corners."""
    layout = part_layout(build, part)
    if isinstance(layout, NotDeveloped):
        yield f"{part.id}: {layout.why}"
        return
    yield from _records(f"{part.id}.flat", layout.flat)
    yield from _records(f"{part.id}.folded", layout.folded)
    for number, face in enumerate(folded_faces(layout.flat, layout.folded, 3, 1e-4, 20)):
        rings = (face.corners, *face.holes)
        middle = [sum(at[k] for ring in rings for at in ring) for k in range(3)]
        yield f"{part.id}.face.{number}: {sum(map(len, rings))} {_short(middle)}"


def _guarded(subject: Subject) -> Iterator[str]:
    """What the tables of fuses and wires say."""
    for run in subject.sheet.runs:
        for step in fuse_study.steps_of(subject, run):
            yield f"{run.id}: {step.said if isinstance(step, fuse_study.FuseThere) else step.id}"
            if not isinstance(step, fuse_study.FuseThere):
                yield f"{step.id}: {fuse_study.let_in(subject, step)}; " + fuse_study.outlasts(
                    subject, step
                )
    for study in subject.sheet.studies:
        yield f"{fuse_study.answer(subject, study)}; {fuse_study.verdict(subject, study)}"
        yield from _records("study", list(fuse_study.figures(subject, study)))
    yield from _records("figures", [*main_figures(subject), *compare.figures(subject)])


def _bought(subject: Subject) -> Iterator[str]:
    """What is to buy and to cut where everything has a price, and the quote for it."""
    build, sheet = subject.build, subject.sheet
    bought = shopping(build, sheet, ITEMS, quick=True)
    yield from shopping_csv(build, bought).splitlines()
    for each in bought.sheets:
        yield from how_cut(subject, each)
    priced = estimate(build, sheet, bought.lines, default_times())
    yield from quote_text(build, sheet, priced).splitlines()


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
    elif _is_record(value):
        plain = []
        for name in _field_names(value):
            inner = getattr(value, name)
            if _holds_records(inner):
                yield from _records(f"{path}.{name}", inner)
            else:
                plain.append(f"{name}={_short(inner)}")
        yield f"{path}: {' '.join(plain)}"
    elif value is not None:
        yield f"{path}: {_short(value)}"


def _holds_records(value: Any) -> bool:
    if isinstance(value, tuple | list):
        return any(_holds_records(each) or isinstance(each, str) for each in value[:1])
    return _is_record(value)


def _is_record(value: Any) -> bool:
    return isinstance(value, Struct) or dataclasses.is_dataclass(value)


def _field_names(record: Any) -> Iterator[str]:
    if isinstance(record, Struct):
        return iter(record.__struct_fields__)
    return (field.name for field in dataclasses.fields(record))


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


def before(name: str) -> list[str]:
    """What was said of one of the builds; nothing of one that is new."""
    path = DATA / f"{name}.txt"
    return path.read_text(encoding="utf-8").splitlines() if path.exists() else []


def as_before(was: list[str], now: list[str]) -> list[str]:
    """What is said now, in the words of before where they say the same."""
    old, new = ([_NUMBER.sub("#", line) for line in lines] for lines in (was, now))
    words = now.copy()
    for i, j, many in SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks():
        for n in range(many):
            if same(was[i + n], now[j + n]):
                words[j + n] = was[i + n]
    return words


def write() -> None:
    """Write what is said of each build now, where that has changed."""
    for name in NAMES:
        lines = as_before(before(name), said(kept(name)))
        (DATA / f"{name}.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")


def add(name: str, build: Build) -> None:
    """Keep one more build."""
    (DATA / f"{name}.json").write_text(export_build(build), encoding="utf-8")


if __name__ == "__main__":
    write()
