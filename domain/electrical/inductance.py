"""Inductance of a wire: far from what carries its current back, and close beside it."""

from math import log, pi, sqrt

from domain.electrical import conductors
from domain.reference.planning import planned

INSIDE = 0.25
"""Of a conductor's own field at low frequencies: mu_r / 4."""

_MU_OVER_2PI = 2e-7


def alone_h(length_m: float, gauge: str) -> float:
    """A straight wire far from its return [H], the most that it can have.

    L = mu_0/2pi l [ln((1 + sqrt(1 + x^2)) / x) - sqrt(1 + x^2) + 1/4 + x], x = r / l; of a wire
    that is shorter than thick some percent off. Source: F. W. Grover, Inductance Calculations, as
    quoted in an engineers' calculator (read). 0 for no length.
    """
    if length_m <= 0:
        return 0.0
    x = _diameter_m(gauge) / 2 / length_m
    root = sqrt(1 + x * x)
    return _MU_OVER_2PI * length_m * (log((1 + root) / x) - root + INSIDE + x)


def beside_h(length_m: float, gauge: str) -> float:
    """The same wire touching its return, or lying on the body's sheet [H]: the least.

    Half of a pair's mu_0/pi l [ln(2 D / d) + 1/4], D between the axes, d the conductor; a sheet
    under a wire acts as a return as far behind it (image). Source: Terman, Radio Engineers'
    Handbook, from memory.
    """
    return _MU_OVER_2PI * max(length_m, 0.0) * (log(2 * planned("touching_axes")) + INSIDE)


def _diameter_m(gauge: str) -> float:
    return 2e-3 * sqrt(conductors.area_mm2(gauge) / pi)
