"""Random vibration profiles against their stated values, and Miles' equation."""

from itertools import pairwise
from math import pi

import numpy as np
import pytest

from domain.build.choices import Place
from domain.fabrication.strength.vibration import (
    answer_m_s2,
    density,
    in_peak,
    miles_m_s2,
    profile,
    rms_m_s2,
)


@pytest.mark.parametrize(
    ("name", "rms"),
    [
        # source: overall r.m.s. stated in ISO 16750-3 for each profile [m/s2]
        (Place.BODY, 27.8),
        (Place.TRUCK_BODY, 57.9),
        (Place.ENGINE, 181),
        (Place.UNSPRUNG, 107.3),
        ("gearbox", 96.6),
        ("truck engine", 177),
    ],
)
def test_profiles_integrate_to_their_stated_value(name: Place | str, rms: float) -> None:
    points = profile(name)
    assert rms_m_s2(points) == pytest.approx(rms, rel=0.003)
    # second method: the trapezoid rule on 20 000 points, straight on log-log
    f = np.geomspace(points[0][0], points[-1][0], 20001)
    a = np.exp(np.interp(np.log(f), [np.log(p) for p, _ in points], [np.log(q) for _, q in points]))
    assert rms_m_s2(points) == pytest.approx(float(np.sqrt(np.trapezoid(a, f))), rel=1e-4)
    assert all(low[0] < high[0] for low, high in pairwise(points))


def test_screening_profile_of_6_g() -> None:
    # source: NAVMAT P-9492 profile, 6.06 g r.m.s.
    points = ((20.0, 0.01005), (80.0, 0.04), (350.0, 0.04), (2000.0, 0.00704))
    assert rms_m_s2(points) == pytest.approx(6.06, abs=0.01)


def test_miles_against_the_integral_of_the_answer() -> None:
    # second method: a mass on a damped spring, absolute acceleration over a flat spectrum
    fn, quality, level = 120.0, 10.0, 2.0
    f = np.linspace(0.01, 6000, 2_000_001)
    r = f / fn
    gain = (1 + (r / quality) ** 2) / ((1 - r**2) ** 2 + (r / quality) ** 2)
    # Miles leaves out the damper's part of the answer, 1 + 1/Q^2 of it
    whole = float(np.sqrt(np.trapezoid(gain * level, f)))
    assert miles_m_s2(fn, quality, level) == pytest.approx(whole, rel=0.01)


def test_a_profile_that_falls_as_one_over_the_frequency() -> None:
    # by hand: from 2 at 10 Hz to 0.2 at 100 Hz the area is 2 * 10 * ln 10 = 46.05 (m/s2)2
    points = ((10.0, 2.0), (100.0, 0.2))
    assert rms_m_s2(points) == pytest.approx(46.0517**0.5, rel=1e-6)
    # and half way on log-log, at 31.6 Hz, it is 0.632; beyond its ends it stays as it is there
    assert density(points, 1000**0.5) == pytest.approx(0.4**0.5)
    assert [density(points, f) for f in (5.0, 10.0, 100.0, 200.0)] == pytest.approx(
        [2, 2, 0.2, 0.2]
    )


def test_the_peak_of_a_profile_is_above_half_of_its_highest_value() -> None:
    # by hand: the same line is at half of its value at 20 Hz
    points = ((10.0, 2.0), (100.0, 0.2))
    peak = [in_peak(points, f) for f in (9.9, 10.1, 19.9, 20.1, 100.1)]
    assert peak == [False, True, True, False, False]


def test_above_its_profile_a_mass_moves_with_its_mount() -> None:
    # Miles by hand at 50 Hz: sqrt(pi/2 * 50 * 10 * 2); above the profile the shaking itself
    points = ((10.0, 2.0), (100.0, 2.0))
    assert answer_m_s2(points, 50.0, 10.0) == pytest.approx((pi * 500) ** 0.5)
    assert answer_m_s2(points, 101.0, 10.0) == pytest.approx(180**0.5)
