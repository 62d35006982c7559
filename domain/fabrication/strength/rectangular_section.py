"""A rectangular section of sheet: stress from axial force, bending both ways and twisting.

Sources: bending after any text on strength of materials; twisting of a rectangle after Roark's
Formulas for Stress and Strain, table of torsion (rectangular section), and Timoshenko, Strength of
Materials (both from memory, checked against Saint-Venant's series).
"""

from math import sqrt

POISSON = 0.35
"""Poisson's ratio of sheet: 0.30 steel, 0.33 aluminium, 0.35 to 0.4 plastics. From memory."""


def bent_pa(axial_n: float, moment_nm: float, width_m: float, thickness_m: float) -> float:
    """Outer fibre stress [Pa] of axial force and bending over the thickness: N/A + 6 M/(b t2)."""
    return axial_n / (width_m * thickness_m) + 6 * moment_nm / (width_m * thickness_m**2)


def twisted_pa(torque_nm: float, width_m: float, thickness_m: float) -> float:
    """Highest shear stress [Pa] of a twisted rectangle: T (3 b + 1.8 t)/(b2 t2), b >= t.

    At most 4.2 % below the exact series (at b = 2 t).
    """
    b, t = max(width_m, thickness_m), min(width_m, thickness_m)
    return torque_nm * (3 * b + 1.8 * t) / (b * t) ** 2


def torsion_m4(width_m: float, thickness_m: float) -> float:
    """Torsion constant [m4] of a rectangle: b t3 (1/3 - 0.21 t/b (1 - t4/(12 b4))), b >= t."""
    b, t = max(width_m, thickness_m), min(width_m, thickness_m)
    return b * t**3 * (1 / 3 - 0.21 * t / b * (1 - t**4 / (12 * b**4)))


def combined_pa(
    axial_n: float,
    moment_nm: float,
    aside_nm: float,
    torque_nm: float,
    width_m: float,
    thickness_m: float,
) -> float:
    """Equivalent stress [Pa] after von Mises, all highest values taken at one point.

    ``moment_nm`` bends over the thickness, ``aside_nm`` in the plane of the sheet.
    """
    along = bent_pa(axial_n, moment_nm, width_m, thickness_m)
    along += 6 * aside_nm / (thickness_m * width_m**2)
    across = twisted_pa(torque_nm, width_m, thickness_m)
    return sqrt(along**2 + 3 * across**2)
