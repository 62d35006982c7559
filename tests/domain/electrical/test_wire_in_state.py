"""A wire in a solved state: what it loses, and how warm it gets."""

from math import copysign

import pytest

from demo_db.load import demo_builds
from domain.build.choices import BlockKind
from domain.build.records import Build, Run
from domain.document.records import find
from domain.electrical.network.wire_in_state import current_a, drop_v, temperature_c
from domain.evaluate import evaluate


@pytest.mark.parametrize("build", [build for _, build in demo_builds()])
def test_drops_of_a_state_add_up_from_battery_to_amplifier(build: Build) -> None:
    """Kirchhoff's voltage law: what is lost on the way is what is missing at the end."""
    sheet = evaluate(build)
    isolators = {b.id for b in build.blocks if b.kind is BlockKind.ISOLATOR}
    tried = 0
    for state in sheet.states:
        for load in sheet.amplifiers:
            runs = [find(build, id) for id in load.feed_runs]
            if any({run.source, run.target} & isolators for run in runs if isinstance(run, Run)):
                continue
            # a lead of a bank may bring charge back: what it loses then counts the other way
            lost = sum(
                copysign(drop_v(state, run), state.current_a[run.id])
                for run in sheet.runs
                if run.id in load.feed_runs
            )
            at_post, at_load = state.node_v[f"{load.feed}_pos"], state.node_v[f"{load.id}_pos"]
            assert lost == pytest.approx(at_post - at_load, abs=1e-9)
            tried += 1
    assert tried


@pytest.mark.parametrize("build", [build for _, build in demo_builds()])
def test_a_wire_warms_with_the_square_of_its_current(build: Build) -> None:
    # by Joule's law from what the sheet says of it at full tone; above 500 C nothing is told
    sheet = evaluate(build)
    tried = 0
    for state in sheet.states:
        for run in sheet.runs:
            warm, design = temperature_c(build, state, run), run.design_a * run.count
            assert warm is not None
            if design and max(warm, run.temperature_c) < 500:
                rise = (run.temperature_c - run.ambient_c) * (current_a(state, run) / design) ** 2
                assert warm == pytest.approx(run.ambient_c + rise, rel=1e-6)
                tried += 1
    assert tried
