"""Strength of sheet materials at temperature, and the sizes in which sheet is sold.

Planning values chosen from several handbooks and open material cards; no maker's figures.
"""

from functools import cache

from msgspec import Struct

from domain.build.choices import UnitHabit
from domain.fabrication.materials.sheet_materials import Material
from domain.reference.csv_tables import load

ROOM_C = 23.0
"""Temperature at which strengths are stated (ISO 291)."""

HDT_STRESS_PA = 1.82e6
HDT_STRAIN = 0.002
"""Outer fibre stress, and the strain that it adds by the heat deflection temperature (ISO 75)."""

SAW_KERF_M = 0.003175
"""What a table saw blade takes, 1/8 in. Common practice."""

ROUGH_CUT_M = 0.003175
"""What a rough cut leaves standing outside the line, 1/8 in. Common practice."""

ROUTER_KERF_M = 0.00635
"""A router bit of 1/4 in. Common practice."""


class Strength(Struct, frozen=True):
    """Stiffness and strength of a sheet material at one temperature [Pa].

    ``strength_pa`` is the lesser of yield and tensile strength for plastics, yield for metals and
    bending strength for wood (``kind`` says which). ``fraction`` is what the temperature leaves of
    the figures at 23 C, 0 for a plastic above its heat deflection temperature.
    ``engagement_ratio`` is the thread depth over the screw's diameter by rule of thumb, ``None``
    for a material that is not tapped. ``poisson`` is Poisson's ratio.
    """

    modulus_pa: float
    strength_pa: float
    kind: str
    fraction: float
    engagement_ratio: float | None
    poisson: float

    @property
    def shear_pa(self) -> float:
        """Shear strength [Pa]: half of the strength, as FED-STD-H28/2B formulas 14 and 16 take."""
        return self.strength_pa / 2


class SheetSize(Struct, frozen=True):
    """A sheet as it is sold [m]; the grain, where there is any, runs along its length."""

    name: str
    width_m: float
    length_m: float

    @property
    def area_m2(self) -> float:
        """Area [m2]."""
        return self.width_m * self.length_m


def strength_of(material: Material, temperature_c: float) -> Strength:
    """Strength and stiffness at a temperature [C].

    Plastics lose both in a straight line from 23 C to the heat deflection temperature at 1.82 MPa
    (common practice). What is left there follows from that test: 1.82 MPa then makes 0.2 % more
    strain than at room temperature (ISO 75), so the modulus is 1.82/(1.82/E + 0.002). Above it,
    nothing is left. Metals and wood keep theirs in the temperatures of a vehicle's body.
    """
    modulus, strength, kind, ratio, poisson = _strengths()[material.name]
    fraction = heat_fraction(modulus, material.hdt_c, temperature_c)
    return Strength(modulus * fraction, strength * fraction, kind, fraction, ratio, poisson)


def lasting(material: Material) -> tuple[float, float]:
    """What is left of stiffness and of strength under a load for good, 0 to 1; metals keep both.

    Stiffness after a thousand hours or more (ISO 899), the strength that is counted on for years.
    """
    return _creep().get(material.name, (1.0, 1.0))


def heat_fraction(modulus_pa: float, hdt_c: float | None, temperature_c: float) -> float:
    """What is left of stiffness and strength at a temperature [C], 0 to 1; see ``strength_of``."""
    if hdt_c is None or temperature_c <= ROOM_C:
        return 1.0
    if temperature_c > hdt_c:
        return 0.0
    at_hdt = HDT_STRESS_PA / (HDT_STRESS_PA / modulus_pa + HDT_STRAIN) / modulus_pa
    return 1 - (1 - at_hdt) * (temperature_c - ROOM_C) / (hdt_c - ROOM_C)


def sheet_sizes(material: Material, units: UnitHabit) -> tuple[SheetSize, ...]:
    """The sizes in which this sheet is sold, smallest first, in the build's habit of units."""
    return _sheets().get((material.stock, units.value), ())


@cache
def _strengths() -> dict[str, tuple[float, float, str, float | None, float]]:
    columns = (
        "material",
        "modulus_gpa",
        "strength_mpa",
        "strength_kind",
        "engagement_over_diameter",
        "poisson",
    )
    return {
        row["material"]: (
            float(row["modulus_gpa"]) * 1e9,
            float(row["strength_mpa"]) * 1e6,
            row["strength_kind"],
            float(row["engagement_over_diameter"]) if row["engagement_over_diameter"] else None,
            float(row["poisson"]),
        )
        for row in load("material_strength", columns)
    }


@cache
def _creep() -> dict[str, tuple[float, float]]:
    return {
        row["material"]: (float(row["creep_fraction"]), float(row["lasting_fraction"]))
        for row in load("creep", ("material", "creep_fraction", "lasting_fraction"))
    }


@cache
def _sheets() -> dict[tuple[str, str], tuple[SheetSize, ...]]:
    found: dict[tuple[str, str], list[SheetSize]] = {}
    for row in load("sheet_sizes", ("stock", "system", "name", "width_mm", "length_mm")):
        size = SheetSize(row["name"], float(row["width_mm"]) / 1000, float(row["length_mm"]) / 1000)
        found.setdefault((row["stock"], row["system"]), []).append(size)
    return {
        key: tuple(sorted(sizes, key=lambda size: size.area_m2)) for key, sizes in found.items()
    }
