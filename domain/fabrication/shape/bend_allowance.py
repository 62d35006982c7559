"""How much sheet a bend takes.

Sources: Machinery's Handbook, 31st ed., p. 1421, formulas 32 to 34 (MH31A-1421); FAA
AC 43.13-1B paragraph 4-56 (AC43-4-14).
"""

from functools import cache
from math import pi, radians, tan

from domain.reference.csv_tables import load


def bend_allowance(angle_deg: float, radius_m: float, thickness_m: float, k: float) -> float:
    """Length of the neutral line round a bend [m]: BA = angle (r + K t).

    ``angle_deg`` is the angle turned through (0 is flat), ``radius_m`` the inside radius,
    ``k`` the neutral line's depth from the inside face as a fraction of the thickness.
    MH31A-1421, with the coefficient of its formulas written as K.
    """
    return radians(angle_deg) * (radius_m + k * thickness_m)


def outside_setback(angle_deg: float, radius_m: float, thickness_m: float) -> float:
    """From the corner of the outside faces to where the bend begins [m]: tan(angle/2) (r + t).

    For angles of 0 up to but not including 180 degrees. AC43-4-14.
    """
    return tan(radians(angle_deg) / 2) * (radius_m + thickness_m)


def k_factor(k_class: str) -> float:
    """K of a class of material; ``KeyError`` for a class that does not bend.

    Metals: the handbook's thickness coefficient of a 90 degree bend over pi/2 (MH31A-1421),
    so 0.64 for soft steel and aluminium gives 0.407. Hot-bent plastic: 0.5, typical.
    """
    return _k_factors()[k_class]


@cache
def _k_factors() -> dict[str, float]:
    columns = ("k_class", "coefficient_90deg", "k_factor")
    return {
        row["k_class"]: float(row["k_factor"])
        if row["k_factor"]
        else float(row["coefficient_90deg"]) / (pi / 2)
        for row in load("bend_allowance", columns)
    }
