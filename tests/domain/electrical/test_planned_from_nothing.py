"""Cars with two sources, planned from nothing by a user's own commands, with nothing pinned.

No finding is to blame what was left to the engine. What the second alternator asks of the
battery's own ground is worked out beside it by Kirchhoff's laws and a general equation solver.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build import actions, run_ends
from domain.build.choices import UnitHabit
from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Finding, Level


def car_with_two_alternators(output_a: float = 180.0, watts: float = 500.0) -> Build:
    build = start_build()
    build = actions.applied(build, actions.add(build, "amplifiers", channel_w=watts))
    return actions.applied(build, actions.add(build, "alternators", rated_a=output_a))


def van_with_an_isolator(chemistry: str, capacity_ah: float, watts: float = 500.0) -> Build:
    """A house battery behind an isolator, and amplifiers that it feeds."""
    build = start_build(units=UnitHabit.METRIC)
    house = actions.add(
        build, "batteries", chemistry=chemistry, capacity_ah=capacity_ah, name="House battery"
    )
    build = actions.applied(build, house)
    link = next(run.id for run in build.runs if run.far_fused)
    build = actions.applied(build, actions.add(build, "blocks", kind="isolator", zone="z1"))
    isolator = build.blocks[-1].id
    build = actions.applied(build, run_ends.feed_from(build, link, isolator))
    build = actions.applied(build, SetField(table="runs", id=link, field="fused", value=False))
    to_it = run_ends.add_run(build, "b1", isolator, fused=True, fuse_distance_m=0.3)
    build = actions.applied(build, to_it)
    build = actions.applied(build, run_ends.feed_from(build, "r4", "b2"))
    build = actions.applied(build, actions.add(build, "amplifiers", channel_w=watts))
    return actions.applied(build, actions.add(build, "amplifiers", channels=4, channel_w=100.0))


def serious(build: Build) -> list[Finding]:
    return [f for f in evaluate(build, swept=True).findings if f.level is not Level.NOTE]


def nothing_pinned(build: Build) -> bool:
    return all(
        (run.gauge, run.fuse_a, run.fuse_family, run.bundle, run.cover) == (None,) * 5
        for run in build.runs
        if not run.existing
    )


@settings(max_examples=6, deadline=None)
@given(st.sampled_from((60.0, 90.0, 120.0, 150.0, 180.0)), st.sampled_from((200.0, 500.0)))
def test_a_car_with_two_alternators(output_a: float, watts: float) -> None:
    build = car_with_two_alternators(output_a, watts)
    assert nothing_pinned(build)
    assert serious(build) == []


@settings(max_examples=6, deadline=None)
@given(
    st.sampled_from((("AGM", 70.0), ("AGM", 200.0), ("flooded", 100.0), ("LiFePO4", 100.0))),
    st.sampled_from((200.0, 500.0)),
)
def test_a_van_with_two_batteries_and_an_isolator(house: tuple[str, float], watts: float) -> None:
    build = van_with_an_isolator(*house, watts)
    assert nothing_pinned(build)
    assert serious(build) == []


def test_the_second_alternator_brings_a_new_battery_ground_and_one_undo_takes_it_back() -> None:
    before = start_build()
    edit = actions.add(before, "alternators", rated_a=180.0)
    assert "a new Battery ground cable" in edit.label
    after, back = apply(before, edit)
    ground = next(run for run in after.runs if run.id == "r3")
    assert (ground.existing, ground.gauge) == (False, None)
    strap = next(run for run in after.runs if run.id == "r2")
    assert strap.existing  # it is the first alternator's: no more comes back through it
    assert apply(after, back)[0] == before


def with_the_old_ground(build: Build) -> Build:
    """The same with the ground cable that the maker laid."""
    return actions.applied(
        build,
        SetField(table="runs", id="r3", field="existing", value=True),
        SetField(table="runs", id="r3", field="gauge", value="AWG 2"),
    )


def by_kirchhoff(fault_ohm: float, running: bool) -> dict[str, float]:
    """Currents of a short to the engine at the far end of the new charge cable [A].

    Nodes: battery plus, battery minus, the body, the alternators' plus 1 and 2. A battery of
    12.7 V behind 5 mohm; both alternators are current sources; wires of 1 mohm.
    """
    plus, minus, body, first, second = range(5)
    matrix, right = np.zeros((5, 5)), np.zeros(5)

    def resistor(a: int, b: int, ohm: float) -> None:
        for i, j in ((a, b), (b, a)):
            matrix[i, i] += 1 / ohm
            matrix[i, j] -= 1 / ohm

    resistor(plus, minus, 0.005)
    right[plus] += 12.7 / 0.005
    right[minus] -= 12.7 / 0.005
    resistor(minus, body, 0.001)  # the battery's ground cable
    resistor(plus, first, 0.001)  # the old charge cable
    resistor(plus, second, 0.001)  # the new one, its fuse at the battery
    resistor(second, body, fault_ohm)
    if running:
        for node, amperes in ((first, 120.0), (second, 180.0)):
            right[node] += amperes
            right[body] -= amperes  # each is grounded on its own, not through the battery's cable
    kept = [n for n in range(5) if n != body]
    volts = np.zeros(5)
    volts[kept] = np.linalg.solve(matrix[np.ix_(kept, kept)], right[kept])
    return {
        "ground": abs(volts[minus] - volts[body]) / 0.001,
        "fuse": abs(volts[plus] - volts[second]) / 0.001,
    }


def test_the_stop_on_the_old_battery_ground_is_true() -> None:
    # by Kirchhoff: the battery's minus has one way, so all that its plus gives comes back through
    # the ground cable. Healthy, the alternators' output does not pass there at all; in a short of
    # the new charge cable that its fuse of 250 A bears for ever, the whole 250 A do, engine off.
    old = with_the_old_ground(car_with_two_alternators())
    fuse_a = evaluate(old).run("r7")
    assert fuse_a is not None
    assert fuse_a.fuse_a == 250
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if by_kirchhoff(middle, False)["fuse"] > 250 else (low, middle)
    at_rating = by_kirchhoff(high, False)
    assert at_rating["fuse"] == pytest.approx(250)
    assert at_rating["ground"] == pytest.approx(250)
    # with the engine running the other alternator gives its share of what the fuse bears
    shared = by_kirchhoff(high, True)
    assert shared["ground"] < at_rating["ground"]
    # 33 CFR 183.425 Table 5: AWG 2, 105 C, at 30 C 210 A; in the bay at 60 C sqrt(45/75) of it,
    # and the rise goes as the square: past the 160 C that PVC stands for a short time only
    carries = 210 * (45 / 75) ** 0.5
    assert 60 + 45 * (250 / carries) ** 2 > 160
    (stop,) = [f for f in serious(old) if f.id == "r3"]
    assert (stop.level, stop.code) == (Level.STOP, "ground-overload")
    # in use the ground carries what the battery gives or takes, less the vehicle's 35 A beside it
    sheet = evaluate(old)
    for state in sheet.states:
        if state.id.startswith("cruise"):
            own_a = state.battery_a["b1"] - old.alternators[0].vehicle_load_a
            assert abs(state.current_a["r3"]) == pytest.approx(abs(own_a), abs=0.1)
