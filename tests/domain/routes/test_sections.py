"""Heat, holes and cautions section by section; a run carries what its worst section lets it."""

from math import sqrt
from typing import Any

import pytest

from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.electrical import ampacity
from domain.evaluate import evaluate, make_plan
from domain.sheet import RunResult
from domain.workings.figures import figures_of, value_of
from domain.workings.registry import workings
from tests.domain.routes.vehicles import estate


def set_to(build: Build, table: str, id: str, field: str, value: Any) -> Build:
    return apply(build, SetField(table=table, id=id, field=field, value=value))[0]


def run(build: Build, id: str) -> RunResult:
    found = evaluate(build).run(id)
    assert found is not None
    return found


def test_the_hottest_section_of_a_lone_run_decides() -> None:
    """The main run lies alone: 60, 50 C; by the square-root rule of 33 CFR 183.425."""
    here = run(estate(gauge="AWG 2"), "r1")
    assert (here.ambient_c, here.bundle, here.cover) == (60.0, 1, "tube")
    table, class_c, table_c = ampacity.base_ampacity("AWG 2", estate().runs[0].insulation)
    at_60 = sqrt((class_c - 60) / (class_c - table_c))
    assert here.ampacity_a == pytest.approx(table * 0.8 * at_60)


def test_a_cool_section_of_many_wires_may_be_worse_than_a_hot_one_of_few() -> None:
    """Factors of bundles: ABYC E-11, six loaded conductors 0.6 of one alone."""
    build = set_to(estate(), "blocks", "d1", "place", "j1")
    build = set_to(build, "zones", "z1", "ambient_c", 50.0)
    here = run(build, "r2")  # firewall and sill with two more, then with all six in the trunk
    assert here.bundle == 6
    assert here.ambient_c == 40.0
    hot = set_to(build, "zones", "z1", "ambient_c", 95.0)
    assert run(hot, "r2").ambient_c == 95.0
    assert run(hot, "r2").bundle == 3


def test_a_word_parts_what_lies_in_a_section() -> None:
    build = estate()
    for id in ("r2", "r3"):
        build = set_to(build, "runs", id, "loom", "Left")
    assert run(build, "r2").bundle == 2
    assert run(build, "r4").bundle == 4
    looms = {loom.id: set(loom.runs) for loom in evaluate(build).looms}
    assert looms["y3 left"] == {"r2", "r3"}
    assert looms["y3"] == {"r4", "r5", "r6", "r7"}


def test_a_bundle_set_by_hand_stays() -> None:
    assert run(set_to(estate(), "runs", "r2", "bundle", 9), "r2").bundle == 9


def test_tube_and_clamps_are_counted_by_section() -> None:
    """One clamp every 0.45 m begun (ABYC E-11, memory) of each section with its tenth of slack."""
    lines = evaluate(estate()).materials
    tube = sum(line.needed for line in lines if line.item == "Split loom")
    local = 0.0  # r8 is no positive run, but lies in the engine bay
    for each in evaluate(estate()).runs:
        if each.id == "r8":
            local = each.wire_m
    assert tube == pytest.approx(1.1 * (1.0 + 2.5 + 1.5 + 0.8) + local)


def test_a_hole_has_one_grommet_for_all_runs_in_it() -> None:
    def grommets(build: Build) -> list[tuple[float, set[str]]]:
        lines = evaluate(build).materials
        return [(line.needed, set(line.asked_by)) for line in lines if line.group == "Grommets"]

    build = set_to(estate(), "sections", "y3", "hole", "new hole, grommet")
    both = grommets(build)
    assert (1, {"r2", "r3", "r4", "r5", "r6", "r7"}) in both
    assert (1, {"r1"}) in both
    assert sum(needed for needed, _ in both) == 2
    kept = set_to(build, "sections", "y3", "hole", "factory grommet")
    assert sum(needed for needed, _ in grommets(kept)) == 1


def test_holes_and_what_is_beside_them_are_told_once() -> None:
    build = estate()
    for field in ("fuel", "airbag", "high_voltage", "exhaust"):
        build = set_to(build, "sections", "y3", field, True)
    build = set_to(build, "sections", "y2", "hole", "no grommet")
    told = [f.code for f in evaluate(build).findings]
    for code in ("fuel", "airbag", "high_voltage", "exhaust"):
        assert told.count(f"beside-{code}") == 1
    assert told.count("hole-bare") == 1
    assert told.count("hole-unknown") == 1  # the firewall's, of which nobody told anything
    assert [f.code for f in evaluate(set_to(build, "sections", "y1", "panel", "")).findings].count(
        "hole-unknown"
    ) == 0


def test_a_section_without_ends_is_told_and_taken_by_none() -> None:
    for field in ("from_place", "to_place"):
        build = set_to(estate(), "sections", "y4", field, "")
        codes = {(f.code, f.id) for f in evaluate(build).findings}
        assert {("section-ends", "y4"), ("way-missing", "r3")} <= codes


def test_every_figure_says_how_it_came_about() -> None:
    plan = make_plan(set_to(estate(), "sections", "y2", "length_m", None))
    for figure in figures_of(plan.sheet):
        if figure.kind in ("run_result", "loom_stretch"):
            found = workings(plan, figure)
            shown = value_of(plan.sheet, figure)
            if shown is None:
                assert found.value is None
            else:
                assert found.value == pytest.approx(shown, rel=1e-9, abs=1e-12), figure
