"""A network with two stable states is at the upper one; both by a solver of polynomials."""

import numpy as np
import pytest

from domain.electrical.loads import Load
from domain.electrical.network import nodal
from domain.electrical.network.upper_state import upper_state

REST_V, GIVES_OHM, TAKES_OHM = 12.65, 0.005, 0.2
REGULATED_V, DROOP_OHM, MOST_A = 14.2, 0.001, 100.0


def stable_states(watts: float) -> list[float]:
    """Voltages of all stable states: roots of each piece of the sum of currents, times v.

    Battery, alternator and load on one node: (v - E)/R - alternator(v) + P/v = 0 is a quadratic in
    every piece; it is stable where the sum rises with v.
    """
    knee_v = REGULATED_V - DROOP_OHM * MOST_A
    pieces = []
    for ohm, low, high in ((GIVES_OHM, 0, REST_V), (TAKES_OHM, REST_V, knee_v)):
        pieces.append(((1 / ohm, -REST_V / ohm - MOST_A, watts), low, high))
    slope = 1 / TAKES_OHM + 1 / DROOP_OHM
    offset = -REST_V / TAKES_OHM - REGULATED_V / DROOP_OHM
    pieces.append(((slope, offset, watts), knee_v, REGULATED_V))
    found = []
    for (a, b, c), low, high in pieces:
        for root in np.roots([a, b, c]):
            v = float(np.real(root))
            if abs(np.imag(root)) < 1e-9 and low <= v <= high and a - c / v**2 > 0:
                found.append(v)
    return sorted(found)


def network(watts: float) -> tuple[nodal.Circuit, list[float]]:
    laws = {
        "b": nodal.battery_law(REST_V, GIVES_OHM, TAKES_OHM),
        "g": nodal.alternator_law(REGULATED_V, DROOP_OHM, MOST_A),
        "a": nodal.load_law(
            Load(watts, regulated=True, idle_a=0.0, cap_a=1e9, lowest_v=9.0, reference_v=13.5)
        ),
    }
    knees = (REGULATED_V - DROOP_OHM * MOST_A, REGULATED_V)
    elements = [
        nodal.Element(name, 0, nodal.REFERENCE, law, knees if name == "g" else ())
        for name, law in laws.items()
    ]
    return nodal.circuit(("t",), [], elements), []


@pytest.mark.parametrize("watts", [1270.0, 1280.0, 1290.0, 1300.0])
def test_from_the_lower_state_the_upper_is_found(watts: float) -> None:
    states = stable_states(watts)
    assert len(states) == 2
    lower, upper = states
    circuit, siemens = network(watts)
    found = nodal.solve(circuit, siemens, [lower], near=True)
    assert found.volts[0] == pytest.approx(lower, abs=1e-6)
    better = upper_state(circuit, siemens, [REGULATED_V + 0.3], found)
    assert better.volts[0] == pytest.approx(upper, abs=1e-6)


@pytest.mark.parametrize("watts", [300.0, 1200.0, 1340.0, 2000.0])
def test_where_there_is_one_state_it_stays(watts: float) -> None:
    states = stable_states(watts)
    assert len(states) == 1
    circuit, siemens = network(watts)
    found = nodal.solve(circuit, siemens, [REGULATED_V])
    assert found.volts[0] == pytest.approx(states[0], abs=1e-6)
    again = upper_state(circuit, siemens, [REGULATED_V + 0.3], found)
    assert again.volts[0] == pytest.approx(states[0], abs=1e-6)


def test_from_any_state_at_any_power_the_upper_is_found() -> None:
    twice = 0
    for watts in range(50, 2500, 10):
        states = stable_states(float(watts))
        twice += len(states) == 2
        circuit, siemens = network(float(watts))
        for state in states:
            found = nodal.solve(circuit, siemens, [state], near=True)
            assert found.volts[0] == pytest.approx(state, abs=1e-6)
            upper = upper_state(circuit, siemens, [REGULATED_V + 0.3], found)
            assert upper.volts[0] == pytest.approx(states[-1], abs=1e-6)
    assert twice > 3


@pytest.mark.parametrize("begins_v", [REGULATED_V - 0.001, REGULATED_V + 0.3, REST_V])
def test_at_any_power_about_that_which_the_alternator_just_holds_the_upper_is_found(
    begins_v: float,
) -> None:
    # there the pieces beside the knee both have their root in the other: steps go to and fro
    for watts in np.arange(1290.0, 1350.0, 0.25):
        states = stable_states(float(watts))
        circuit, siemens = network(float(watts))
        found = nodal.solve(circuit, siemens, [begins_v])
        assert found.converged, watts
        upper = upper_state(circuit, siemens, [REGULATED_V + 0.3], found)
        assert upper.volts[0] == pytest.approx(states[-1], abs=1e-6), watts
