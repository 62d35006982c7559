"""Inductance of wires against a second method, and against figures of the trade."""

from math import exp, pi, sqrt

import pytest
from scipy.integrate import quad

from domain.electrical import conductors
from domain.electrical.inductance import alone_h, beside_h


@pytest.mark.parametrize("gauge", ["AWG 1/0", "AWG 8", "50 mm2"])
@pytest.mark.parametrize("length_m", [0.3, 1.0, 5.0])
def test_a_straight_wire_as_neumann_has_it(gauge: str, length_m: float) -> None:
    # second method: Neumann's double integral between two filaments as far apart as the mean
    # geometric distance of a round section from itself, r exp(-1/4) (Maxwell), summed by scipy
    radius = sqrt(conductors.area_mm2(gauge) / pi) / 1000
    apart = radius * exp(-0.25)

    def near(x: float) -> float:
        return 2 * (length_m - x) / sqrt(x * x + apart * apart)

    whole, _ = quad(near, 0.0, length_m, points=(apart, 10 * apart), limit=200)
    assert alone_h(length_m, gauge) == pytest.approx(1e-7 * whole, rel=0.01)


def test_a_wire_and_its_return_as_two_straight_wires_have_it() -> None:
    # second method: Neumann again, a long pair with its axes 1.6 diameters apart: twice the one
    # wire less what the other takes off, per wire half of it
    length = 20.0
    radius = sqrt(conductors.area_mm2("AWG 1/0") / pi) / 1000

    def between(apart: float) -> float:
        def near(x: float) -> float:
            return 2 * (length - x) / sqrt(x * x + apart * apart)

        whole, _ = quad(near, 0.0, length, points=(apart, 10 * apart), limit=400)
        return 1e-7 * float(whole)

    pair = between(radius * exp(-0.25)) - between(1.6 * 2 * radius)
    assert beside_h(length, "AWG 1/0") == pytest.approx(pair, rel=0.01)


def test_about_a_microhenry_for_a_metre() -> None:
    # common practice: 1 uH/m for a wire by itself, and the more the farther; Grover's formula for
    # 5 m of 1/0 by hand: x = 4.126 mm / 5 m; 1 uH (ln(2 / x) - 1 + 1/4 + x) = 7.04 uH
    assert alone_h(5.0, "AWG 1/0") == pytest.approx(7.04e-6, rel=2e-3)
    for gauge in ("AWG 10", "AWG 4", "AWG 4/0"):
        for length in (0.3, 1.0, 5.0):
            assert 0.6e-6 < alone_h(length, gauge) / length < 1.9e-6
            assert beside_h(length, gauge) < 0.5 * alone_h(length, gauge)
    assert alone_h(0.0, "AWG 4") == beside_h(0.0, "AWG 4") == 0
