"""The states of the network, and the network written as a netlist."""

from random import Random

import pytest

from domain.build import actions, run_ends
from domain.build.records import Build
from domain.electrical.network import core, nodal, state_currents, states
from domain.electrical.network.netlist import netlist
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.electrical.sources import alternator_limit_a
from domain.evaluate import evaluate
from tests.benchmarks.builds import three, twelve
from tests.domain.electrical.random_builds import random_build
from tests.domain.electrical.small import changed, small_build


def test_states_of_the_small_build() -> None:
    # conservation, and the order that the supply forces: cruise above idle above engine off
    sheet = evaluate(small_build())
    assert [state.id for state in sheet.states] == list(states.TITLES)
    volts = {state.id: state.amplifier_v["a1"] for state in sheet.states}
    assert volts["cruise-programme"] > volts["off-programme"] > volts["off-tone"]
    for state in sheet.states:
        assert state.converged
        assert not state.collapsed
        assert state.power_error < 1e-9
        drawn = sum(state.amplifier_a.values()) + states.vehicle_load_a(
            small_build(), state.id.split("-")[0]
        )
        given = sum(state.battery_a.values()) + sum(state.alternator_a.values())
        assert given == pytest.approx(drawn, abs=1e-3)
        assert all(amperes <= 120 + 1e-9 for amperes in state.alternator_a.values())


def test_an_alternator_at_its_limit_gives_no_more() -> None:
    output = (("alternators", "g1", "rated_a", 40.0), ("alternators", "g1", "hot", True))
    state = evaluate(changed(small_build(), *output)).state("cruise-tone")
    assert state is not None
    assert state.alternator_a["g1"] == pytest.approx(40, abs=1e-3)
    assert state.battery_a["b1"] > 0


def test_a_regulated_amplifier_draws_its_power() -> None:
    # by hand: 500 W at 0.8 and 1 A idle
    state = evaluate(small_build()).state("off-tone")
    assert state is not None
    volts = state.amplifier_v["a1"]
    assert state.amplifier_a["a1"] == pytest.approx(625 / volts + 1, abs=1e-4)


def test_an_isolator_opens_with_the_engine_off() -> None:
    build = small_build()
    build = actions.applied(build, actions.add(build, "blocks", kind="isolator"))
    build = actions.applied(build, actions.add(build, "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    build = changed(build, ("runs", link, "target", "d2"))
    build = actions.applied(build, run_ends.add_run(build, "d2", "b2", length_m=0.5))
    sheet = evaluate(build)
    on, off = sheet.state("cruise-programme"), sheet.state("off-programme")
    assert on is not None
    assert off is not None
    assert abs(on.current_a[link]) > 0.1
    assert abs(off.current_a[link]) < 1e-6


def test_collapse_names_the_greatest_loss() -> None:
    build = changed(
        small_build(), ("runs", "r5", "length_m", 60.0), ("runs", "r5", "gauge", "AWG 16")
    )
    state = evaluate(build).state("off-tone")
    assert state is not None
    assert (state.collapsed, state.blame, state.off) == (True, "r5", ("a1",))


def test_netlist_names_every_node() -> None:
    solved = size_and_solve(small_build())
    state = next(each for each in solved.states if each.id == "cruise-tone")
    text = netlist(solved.wired, state, behavioural=True)
    for name in state.node_v:
        assert f" {name} " in text
    assert "Ba1 a1_pos a1_neg I=" in text
    assert text.endswith(".end\n")


@pytest.mark.parametrize("build", [three(), twelve()], ids=["three", "twelve"])
def test_a_state_is_found_in_few_steps_from_what_its_sources_hold(
    build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Newton's iteration doubles its digits: from a tenth of the answer three steps, and one to see
    solved = size_and_solve(build)
    steps: list[float] = []
    step = core.Reduced.step

    def counted(self: core.Reduced, at: list[float], laid: list[core.Tangent]) -> core.Step:
        found = step(self, at, laid)
        steps.append(max(found.volts))
        return found

    monkeypatch.setattr(core.Reduced, "step", counted)
    for state in states.TITLES:
        steps.clear()
        found = states.solve_state(solved.wired, state)
        assert found.converged
        assert len(steps) <= 5, state
        assert all(v > 11 for v in steps), "no step leads through a network that has broken down"


def test_where_two_states_are_possible_sizing_too_looks_at_the_upper() -> None:
    # a network that is switched on unloaded and then loaded is at the upper: the alternator that
    # feeds a2 alone gives less than it can, and not all of it into a voltage that broke down
    build = random_build(Random(211), 36, extreme=True)
    found = evaluate(build).state("idle-tone")
    assert found is not None
    assert found.converged
    assert "a2" not in found.off
    assert found.alternator_a["g2"] < alternator_limit_a(build.alternators[1], True)


def test_an_alternator_without_output_has_no_piece_between_two_bends() -> None:
    # by definition: it gives nothing at any voltage. An iteration that stops between two bends of
    # one voltage would never get past it
    build = changed(small_build(), ("alternators", "g1", "rated_a", 0.0))
    assert states.knees(build, "cruise-tone")["g1"] == (build.alternators[0].regulated_v,)
    assert len(states.knees(small_build(), "cruise-tone")["g1"]) == 2


def test_sizes_are_those_of_states_solved_to_the_last_digit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """While sizes are chosen states are known to a milliampere: nothing hangs on the rest.

    In builds where a third of an ampere would show.
    """
    for seed in (13, 18, 31):
        one, other = (random_build(Random(seed), 20, seed % 2 == 1) for _ in range(2))
        roughly = size_and_solve(one)
        with monkeypatch.context() as patch:
            patch.setattr(state_currents, "ROUGHLY_A", nodal.MET_A)
            exact = size_and_solve(other)  # nothing kept of the one serves it
        assert roughly.sized.gauge == exact.sized.gauge
        assert roughly.sized.fuse_a == exact.sized.fuse_a
        for id, amperes in exact.sized.solved_a.items():
            assert roughly.sized.solved_a[id] == pytest.approx(amperes, rel=1e-8, abs=1e-8)
