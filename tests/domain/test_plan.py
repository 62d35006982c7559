"""A plan: the build, its sheet and its solved network come from one computation.

Counts are of calls seen by the interpreter's own profiler, and the sheet's states are compared
with those of the network (conservation: what was solved is what is shown).
"""

import dataclasses
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

from msgspec import to_builtins

from demo_db.load import demo_builds
from domain.electrical.network.netlist import netlist
from domain.electrical.sizing.designs import designs
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate, make_plan
from domain.full_results import full_results
from domain.materials.bill import materials_list
from domain.workings.registry import figures_of, workings

HATCHBACK = dict(demo_builds())["hatchback"]


@contextmanager
def solved() -> Iterator[list[str]]:
    """One entry for each time that a network is sized and solved in this thread."""
    calls: list[str] = []

    def probe(frame: FrameType, event: str, _: Any) -> None:
        if event == "call" and frame.f_code is size_and_solve.__code__:
            calls.append(frame.f_code.co_name)

    sys.setprofile(probe)
    try:
        yield calls
    finally:
        sys.setprofile(None)


def test_a_plan_is_sized_and_solved_once() -> None:
    with solved() as calls:
        plan = make_plan(HATCHBACK)
    assert calls == ["size_and_solve"]
    assert plan.build is HATCHBACK
    assert plan.sheet == evaluate(HATCHBACK)
    assert plan.sheet.states == plan.solved.states
    assert {run.id: run.gauge for run in plan.sheet.runs} == plan.solved.sized.gauge


def test_what_looks_closer_takes_the_network_that_was_solved() -> None:
    """Drive profile and readings (three of them bad), a working of every kind, the netlists."""
    plan = make_plan(HATCHBACK)
    one_each = {(figure.kind, figure.field): figure for figure in figures_of(plan.sheet)}
    with solved() as calls:
        results = full_results(plan)
        worked = [workings(plan, figure) for figure in one_each.values()]
        nets = [netlist(plan.solved.wired, state) for state in plan.solved.states]
    assert calls == []
    assert results.sheet is plan.sheet
    assert results.drive is not None
    assert results.readings.suspects
    assert len(worked) > 60
    assert len(nets) == 6


def test_what_no_finding_rests_on_is_worked_out_when_it_is_looked_at() -> None:
    late = {"designs": designs, "materials": materials_list}
    codes = {each.__code__: name for name, each in late.items()}
    calls: list[str] = []

    def probe(frame: FrameType, event: str, _: Any) -> None:
        if event == "call" and frame.f_code in codes:
            calls.append(codes[frame.f_code])

    sys.setprofile(probe)
    try:
        sheet = evaluate(HATCHBACK)
        assert sheet.findings
        assert not calls
        looked_at = sheet.materials, sheet.designs, sheet.materials
    finally:
        sys.setprofile(None)
    assert calls == ["materials", "designs"]
    # by the same functions asked at once, and found again by whoever compares or copies the sheet
    plan = make_plan(HATCHBACK)
    solved = plan.solved
    wired = solved.wired
    at_once = designs(HATCHBACK, wired.wiring, wired.circuit, solved.sized, solved.items)
    assert looked_at == (materials_list(HATCHBACK, sheet.runs, sheet.parts), at_once, looked_at[0])
    assert dataclasses.replace(evaluate(HATCHBACK)) == evaluate(HATCHBACK) == sheet
    assert to_builtins(evaluate(HATCHBACK))["materials"] == tuple(
        to_builtins(line) for line in sheet.materials
    )
