"""Random vibration of a small bracket: the profile of its place, and what its strip answers.

Sources: random vibration profiles of ISO 16750-3:2007, clause 4.1.2 (points from memory; they
integrate to the stated r.m.s. values); Miles' equation after the finite element pages of a space
agency (read): the answer of one mass on one spring to a flat spectrum about its frequency.
"""

from functools import cache
from itertools import pairwise
from math import exp, log, pi, sqrt

from domain.build.choices import Place
from domain.reference.csv_tables import load

GRAVITY_M_S2 = 9.80665

PEAK_FRACTION = 0.5
"""A profile's peak is where it is above half of its highest value (3 dB). Common practice."""

QUALITY = {"metal": 25.0, "plastic": 10.0, "wood": 10.0}
"""Amplification at resonance, 1/(2 zeta): damping of 2 % for bolted sheet metal, 5 % for plastic
and wood. Common practice."""

Profile = tuple[tuple[float, float], ...]
"""Points (frequency [Hz], power spectral density [(m/s2)2/Hz]), straight on log-log between."""


def profile(name: Place | str) -> Profile:
    """The profile of a place, or "gearbox" or "truck engine"; ``KeyError`` for another name."""
    return _profiles()[str(name)]


def profile_test(name: Place | str) -> str:
    """Which test of ISO 16750-3 the profile is, as "Test IV"; ``KeyError`` as ``profile``."""
    return _tests()[str(name)]


def density(points: Profile, frequency_hz: float) -> float:
    """Power spectral density [(m/s2)2/Hz] at a frequency; beyond the ends it is the end's value.

    Straight line on log-log between points. Raises ``ValueError`` unless the frequency is positive.
    """
    if frequency_hz <= 0:
        raise ValueError(f"a frequency must be above 0 Hz, not {frequency_hz}")
    if frequency_hz <= points[0][0]:
        return points[0][1]
    for (f1, a1), (f2, a2) in pairwise(points):
        if frequency_hz <= f2:
            return exp(log(a1) + log(a2 / a1) * log(frequency_hz / f1) / log(f2 / f1))
    return points[-1][1]


def rms_m_s2(points: Profile) -> float:
    """Overall r.m.s. acceleration [m/s2]: the root of the area, segment by segment.

    a1/f1^n (f2^(n+1) - f1^(n+1))/(n+1) with n the slope on log-log; a1 f1 ln(f2/f1) at n = -1.
    """
    area = 0.0
    for (f1, a1), (f2, a2) in pairwise(points):
        slope = log(a2 / a1) / log(f2 / f1)
        if abs(slope + 1) < 1e-9:
            area += a1 * f1 * log(f2 / f1)
        else:
            area += a1 * f1 * ((f2 / f1) ** (slope + 1) - 1) / (slope + 1)
    return sqrt(area)


def miles_m_s2(frequency_hz: float, quality: float, density_m2_s3: float) -> float:
    """R.m.s. acceleration [m/s2] of the mass by Miles' equation: sqrt(pi/2 f Q ASD(f)).

    Valid where the spectrum is about flat round the frequency and the damping is small.
    """
    return sqrt(pi / 2 * frequency_hz * quality * density_m2_s3)


def answer_m_s2(points: Profile, frequency_hz: float, quality: float) -> float:
    """R.m.s. acceleration [m/s2] of a mass with this natural frequency on this profile.

    Miles' equation, never less than the shaking itself once the frequency is above the profile:
    then the mass moves with its mount.
    """
    miles = miles_m_s2(frequency_hz, quality, density(points, frequency_hz))
    if frequency_hz <= points[-1][0]:
        return miles
    return rms_m_s2(points)


def in_peak(points: Profile, frequency_hz: float) -> bool:
    """The frequency is where the profile is above half of its highest value."""
    if not points[0][0] <= frequency_hz <= points[-1][0]:
        return False
    return density(points, frequency_hz) > PEAK_FRACTION * max(value for _, value in points)


@cache
def _rows() -> tuple[dict[str, str], ...]:
    return load("vibration_profiles", ("profile", "test", "frequency_hz", "psd_m2_s3"))


@cache
def _profiles() -> dict[str, Profile]:
    found: dict[str, list[tuple[float, float]]] = {}
    for row in _rows():
        point = (float(row["frequency_hz"]), float(row["psd_m2_s3"]))
        found.setdefault(row["profile"], []).append(point)
    return {name: tuple(points) for name, points in found.items()}


@cache
def _tests() -> dict[str, str]:
    return {row["profile"]: row["test"] for row in _rows()}
