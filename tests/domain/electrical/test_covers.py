"""What lies round a run is one thing for the bill that buys it and for what the run carries."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.actions import applied
from domain.build.choices import Cover
from domain.build.edits import SetField
from domain.build.records import Build
from domain.electrical import ampacity
from domain.electrical.covers import covers
from domain.evaluate import evaluate, make_plan
from domain.workings.registry import workings
from domain.workings.working import Figure
from tests.domain.electrical.random_builds import random_build
from tests.domain.electrical.small import changed, small_build


def in_tube(build: Build) -> set[str]:
    """New runs that lie in a stretch of loom for which the bill has tube."""
    sheet = evaluate(build)
    bought = {id for line in sheet.materials if line.group == "Loom" for id in line.asked_by}
    return bought & {run.id for run in sheet.runs if not run.existing}


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_the_bill_buys_tube_for_the_runs_that_carry_less_for_it(seed: int) -> None:
    build = random_build(Random(seed), 14)
    laid = {run.id: run.cover for run in evaluate(build).runs}
    new = {run.id for run in build.runs if not run.existing}
    cut = {r.id for r in evaluate(build).runs if r.wire_m > 0 and r.area_mm2 > 0}
    assert in_tube(build) == {
        run.id
        for run in build.runs
        if run.id in new & cut
        and (laid[run.id] == Cover.TUBE or (run.cover is Cover.CARPET and _tubed(build, run.id)))
    }


def _tubed(build: Build, id: str) -> bool:
    return any(id in loom.runs and loom.sleeved for loom in evaluate(build).looms)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from(["AWG 18", "AWG 4/0", "2.5 mm2"]))
def test_what_covers_a_run_does_not_hang_on_gauges(seed: int, gauge: str) -> None:
    build = random_build(Random(seed), 14)
    other = applied(
        build, *(SetField(table="runs", id=r.id, field="gauge", value=gauge) for r in build.runs)
    )
    assert covers(other).of == covers(build).of


def test_a_feed_lies_in_tube_and_its_ground_in_the_open() -> None:
    # by hand: AWG 4, 105 C: 160 A at 30 C (33 CFR 183.425 Table 5); at 50 C sqrt(55/75) of it
    build = changed(
        small_build(),
        *(("runs", id, "gauge", "AWG 4") for id in ("r5", "r6")),
        *(("runs", id, "zone", "z3") for id in ("r5", "r6")),
    )
    sheet = evaluate(build)
    feed, ground = sheet.run("r5"), sheet.run("r6")
    assert feed is not None
    assert ground is not None
    assert (feed.cover, ground.cover) == ("tube", "open air")
    assert ground.ampacity_a == pytest.approx(160 * (55 / 75) ** 0.5)
    assert feed.ampacity_a == pytest.approx(0.8 * 160 * (55 / 75) ** 0.5)
    # at one current the rise goes with the square of what it carries
    plan = make_plan(build)
    warm = [plan.solved.items[id].temperature_c("AWG 4", 60.0) - 50 for id in ("r5", "r6")]
    assert warm[0] / warm[1] == pytest.approx(1 / 0.8**2)
    # every proof sees the same wire
    for segment in sheet.segments_of("r5"):
        assert segment.carries_a == pytest.approx(feed.ampacity_a)


def test_a_cover_that_is_entered_goes_before_the_rule_and_the_bill_follows() -> None:
    build = changed(small_build(), ("runs", "r5", "gauge", "AWG 4"))
    auto = evaluate(build).run("r5")
    openly = changed(build, ("runs", "r5", "cover", "open air"))
    carpet = changed(build, ("runs", "r5", "cover", "carpet"))
    ground = changed(build, ("runs", "r6", "cover", "tube"))
    assert auto is not None
    assert "r5" in in_tube(build)
    assert "r5" not in in_tube(openly)
    assert "r6" not in in_tube(build)
    assert "r6" in in_tube(ground)
    for other, factor in ((openly, 1.0), (carpet, ampacity.cover_factor(Cover.CARPET))):
        run = evaluate(other).run("r5")
        assert run is not None
        assert run.ampacity_a == pytest.approx(auto.ampacity_a / 0.8 * factor)


def test_a_run_that_the_vehicle_has_is_left_alone_until_new_ones_lie_with_it() -> None:
    build = small_build()
    assert covers(build).of["r1"] is Cover.OPEN
    beside = changed(build, ("runs", "r1", "loom", "Bay"), ("runs", "r4", "loom", "bay "))
    assert covers(beside).of["r1"] is Cover.TUBE


def test_the_working_names_factor_and_source() -> None:
    plan = make_plan(changed(small_build(), ("runs", "r5", "bundle", 2)))
    working = workings(plan, Figure("run_result", "r5", "ampacity_a"))
    run = plan.sheet.run("r5")
    assert run is not None
    assert working.value == pytest.approx(run.ampacity_a)
    assert "min(f_b, f_c)" in working.formula
    assert "BS7671-4D1A" in working.source
    (piece, *_) = plan.sheet.segments_of("r5")
    working = workings(plan, Figure("segment_result", piece.id, "carries_a"))
    assert any("tube" in step for step in working.steps)
    assert "BS7671-4D1A" in working.source
