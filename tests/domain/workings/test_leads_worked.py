"""Every figure of leads, remote outputs and bus bars has a working that ends in it."""

import pytest

from domain.build import actions, kits
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import make_plan
from domain.workings.figures import value_of
from domain.workings.registry import figures_of, workings
from tests.domain.electrical.small import changed
from tests.domain.workings.worked import known_source

KINDS = ("lead_result", "remote_result", "block_result", "material_line")


def bus_car() -> Build:
    build = start_build()
    for _ in range(3):
        build = actions.applied(build, actions.add(build, "amplifiers"))
    build = actions.applied(build, kits.audio_cables(build))
    build = actions.applied(build, kits.on_the_remote_lead(build))
    return changed(
        build,
        ("blocks", "d1", "kind", "bus bar"),
        ("runs", "r4", "fuse_family", "breaker"),
        ("leads", "w2", "source", "a1"),
    )


@pytest.mark.parametrize("entered", [False, True])
def test_every_working_ends_in_the_figure_shown(entered: bool) -> None:
    build = bus_car()
    if entered:
        build = changed(
            build,
            ("blocks", "d1", "rated_a", 300.0),
            ("remotes", "t1", "limit_a", 2.0),
            ("runs", "r4", "breaks_a", 5000.0),
            ("leads", "w1", "length_m", 4.0),
        )
    plan = make_plan(build)
    seen = set()
    for figure in figures_of(plan.sheet):
        if figure.kind not in KINDS and figure.field != "breaking_a":
            continue
        seen.add(figure.kind)
        working, shown = workings(plan, figure), value_of(plan.sheet, figure)
        # by definition: the sheet's own figure
        assert working.value == (None if shown is None else pytest.approx(shown)), figure
        assert known_source(working.source), figure
    assert seen >= set(KINDS)
