"""Builds worked out, and the workings of their figures field by field."""

from functools import cache
from random import Random

from demo_db.load import demo_builds
from domain.build.edits import AddRecord, apply
from domain.evaluate import make_plan
from domain.plan import Plan
from domain.workings.cited import ENTERED, PRACTICE, parts, publications
from domain.workings.registry import figures_of, workings
from domain.workings.working import Figure, Working
from tests.domain.electrical.random_builds import random_build

DEMOS = dict(demo_builds())


@cache
def worked(name: str) -> Plan:
    """A build by the name of its demo, or a random one by number, worked out."""
    build = DEMOS[name] if name in DEMOS else random_build(Random(int(name)), 30)
    if name in DEMOS:
        for spot in ({"feed_m": 0.2}, {"feed_m": 0.4, "onward_m": 3.0}):
            edit = AddRecord(
                table="spots",
                record={"id": f"s{900 + len(spot)}", "run": build.runs[3].id, **spot},
            )
            build, _ = apply(build, edit)
    return make_plan(build)


def inputs(working: Working) -> dict[str, float]:
    """The inputs that are numbers, by symbol."""
    return {i.symbol: float(i.value) for i in working.inputs if not isinstance(i.value, str)}


def of(name: str, kind: str, field: str) -> list[tuple[Figure, Working]]:
    """The workings of one field of all records of a kind, of which there is at least one."""
    plan = worked(name)
    found = [
        (figure, workings(plan, figure))
        for figure in figures_of(plan.sheet)
        if figure.kind == kind and figure.field.partition(".")[0] == field
    ]
    assert found
    return found


def known_source(text: str) -> bool:
    """Whether every source named is a key of the tables, common practice, or the user."""
    return all(
        part == ENTERED or part.startswith(PRACTICE) or part in publications()
        for part in parts(text)
    )
