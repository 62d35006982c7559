"""Energy is conserved and Kirchhoff's law holds, by linear algebra that is not the product's."""

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.records import Build
from domain.electrical.loads import Load
from domain.electrical.network import nodal
from domain.evaluate import evaluate
from domain.sheet import NetworkState
from tests.counts import cases
from tests.domain.electrical.random_builds import builds, random_build
from tests.domain.electrical.small import changed


def random_law(random: Random) -> tuple[nodal.Law, tuple[float, ...]]:
    """A battery, an alternator, an amplifier or a steady load, and the knees of its law."""
    kind = random.randrange(6)
    if kind < 2:
        ohm = random.uniform(0.002, 0.03)
        return nodal.battery_law(random.uniform(12, 13.3), ohm, ohm * random.uniform(1, 40)), ()
    if kind == 2:
        limit = random.uniform(0, 200)
        return nodal.alternator_law(14.2, 0.001, limit), (14.2 - 0.001 * limit, 14.2)
    if kind == 3:
        return nodal.steady_law(random.uniform(0, 60), 6.0), ()
    cap = random.choice([float("inf"), 30.0, 120.0])
    watts = 10 ** random.uniform(0, 3.3)
    regulated = random.random() < 0.7
    return nodal.load_law(Load(watts, random.uniform(0, 2), cap, 10.0, regulated, 13.5)), ()


def random_network(seed: int) -> tuple[nodal.Circuit, list[float], list[float]]:
    """A network of a positive and a ground side, each in one piece, with at least one battery."""
    random = Random(seed)
    positive, ground = random.randint(1, 6), random.randint(1, 4)
    count = positive + ground
    branches = [(f"p{i}", i, random.randint(0, i - 1)) for i in range(1, positive)]
    branches += [
        (f"g{i}", i, random.choice([-1, *range(positive, i)])) for i in range(positive, count)
    ]
    for side in (range(positive), [-1, *range(positive, count)]):
        if len(side) > 1:
            branches += [("gx", *random.sample(side, 2)) for _ in range(random.randint(0, 2))]
    siemens = [10 ** random.uniform(0 if name[0] == "p" else 2, 4) for name, _, _ in branches]
    elements = [nodal.Element("s", 0, -1, nodal.battery_law(12.65, 0.004, 0.05))]
    for i in range(random.randint(1, 6)):
        a, b = random.randrange(positive), random.choice([-1, *range(positive, count)])
        law, knees = random_law(random)
        elements.append(nodal.Element(f"e{i}", a, b, law, knees))
    start = [14.2] * positive + [0.0] * ground
    return nodal.circuit([f"n{i}" for i in range(count)], branches, elements), siemens, start


@given(st.integers(0, 2**40))
@settings(max_examples=1000, deadline=None, derandomize=True)
def test_energy_and_kirchhoff_on_random_networks(seed: int) -> None:
    # conservation: source power = load power + heat to 1e-9, and at every node the currents sum
    # to nothing
    circuit, siemens, start = random_network(seed)
    solution = nodal.solve(circuit, siemens, start)
    assert solution.converged
    count = len(circuit.nodes)
    incidence = np.zeros((len(siemens), count + 1))
    for row, (_, a, b) in enumerate(circuit.branches):
        incidence[row, a] += 1
        incidence[row, b] -= 1
    volts = np.array([*solution.volts, 0.0])
    across = incidence @ volts
    into = incidence.T @ (np.array(siemens) * across)
    power = 0.0
    delivered = 0.0
    for element in circuit.elements:
        v = volts[element.positive] - volts[element.negative]
        amperes, _ = element.law(float(v))
        into[element.positive] += amperes
        into[element.negative] -= amperes
        power += v * amperes
        delivered += max(0.0, -v * amperes)
    heat = float(np.sum(np.array(siemens) * across**2))
    assert abs(power + heat) <= 1e-9 * max(delivered, 1.0)
    flow = max(1.0, float(np.max(np.abs(np.array(siemens) * across))))
    assert float(np.max(np.abs(into[:count]))) <= 1e-8 * flow
    assert np.isfinite(volts).all()


def unbalanced_w(state: NetworkState) -> float:
    return abs(state.source_w - state.load_w - state.heat_w)


@given(builds())
@settings(max_examples=cases(100, 50), deadline=None, derandomize=True)
def test_energy_in_every_state_of_random_builds(build: Build) -> None:
    # conservation: 1e-9 of the source power, or of one watt where next to nothing flows
    for state in evaluate(build).states:
        if state.converged:
            assert unbalanced_w(state) <= 1e-9 * max(state.source_w, 1.0), state.id
            expected = unbalanced_w(state) / state.source_w if state.source_w else 0.0
            assert state.power_error == pytest.approx(expected, rel=1e-6, abs=1e-15)


@pytest.mark.parametrize("seed", [3, 15, 17, 38])
def test_a_programme_of_full_tone_is_the_full_tone(seed: int) -> None:
    # by definition: both states ask for the same, so that wires are as warm and posts as low; to
    # what one pass more of the full tone's own resistances still moves
    build = random_build(Random(seed), 25)
    full = ("header", "", "programme", "tone"), ("header", "", "average_level", None)
    sheet = evaluate(changed(build, *full))
    for engine in ("cruise", "idle", "off"):
        tone, programme = sheet.state(f"{engine}-tone"), sheet.state(f"{engine}-programme")
        assert tone is not None
        assert programme is not None
        for node, volts in tone.node_v.items():
            assert programme.node_v[node] == pytest.approx(volts, abs=0.01)
