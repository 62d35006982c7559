"""Conductors: size, resistance and mass of a wire.

AWG geometry is the definition of ASTM B258; resistance is that of 100 % IACS copper at 20 C
(IEC 60028). Metric sizes take the largest resistance that ISO 6722-1 allows (from memory).
"""

from functools import lru_cache
from math import pi

from msgspec import Struct

from domain.build.choices import Metal, WireSizes
from domain.reference.csv_tables import load

AWG_STOCK = ("18", "16", "14", "12", "10", "8", "6", "4", "2", "1/0", "2/0", "4/0")
"""AWG sizes that a shop buys off the shelf, thin to thick (common practice)."""

METRIC_STOCK = (0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120)
"""Metric sections that a shop buys off the shelf, thin to thick [mm2] (common practice)."""


class MetalData(Struct, frozen=True):
    """Resistivity at 20 C [ohm mm2/m], temperature coefficient at 20 C [1/K], density [kg/m3]."""

    resistivity: float
    coefficient: float
    density: float


@lru_cache(maxsize=1)
def metals() -> dict[Metal, MetalData]:
    """The conductor metals by name."""
    columns = ("metal", "resistivity_ohm_mm2_per_m", "temp_coeff_per_k", "density_kg_per_m3")
    return {
        Metal(row["metal"]): MetalData(*(float(row[column]) for column in columns[1:]))
        for row in load("metals", columns)
    }


def awg_number(name: str) -> int:
    """The number of an AWG size name: "4/0" is -3, "1/0" is 0, "8" is 8."""
    return 1 - int(name[0]) if name.endswith("/0") else int(name)


def awg_diameter_m(number: int) -> float:
    """Diameter [m] of a solid AWG conductor: 0.127 mm x 92^((36 - n)/39), ASTM B258."""
    return 0.000127 * float(92 ** ((36 - number) / 39))


@lru_cache(maxsize=256)
def area_mm2(gauge: str) -> float:
    """Conductor area [mm2] of a gauge such as "AWG 1/0" or "35 mm2"."""
    if gauge.startswith("AWG "):
        return pi / 4 * (awg_diameter_m(awg_number(gauge[4:])) * 1000) ** 2
    return float(gauge.removesuffix(" mm2"))


def strands_mm2(strands: int, strand_m: float) -> float:
    """Copper area [mm2] of a number of strands of this diameter: N pi d^2 / 4."""
    return strands * pi / 4 * (strand_m * 1000) ** 2


@lru_cache(maxsize=2)
def stock(sizes: WireSizes) -> tuple[str, ...]:
    """Gauges of a series that auto choices are taken from, thin to thick."""
    if sizes is WireSizes.AWG:
        return tuple(f"AWG {name}" for name in AWG_STOCK)
    return tuple(f"{area:g} mm2" for area in METRIC_STOCK)


@lru_cache(maxsize=1)
def _metric_resistance() -> dict[float, float]:
    rows = load("metric_wire", ("area_mm2", "max_resistance_ohm_per_km_20c"))
    return {float(r["area_mm2"]): float(r["max_resistance_ohm_per_km_20c"]) for r in rows}


@lru_cache(maxsize=1024)
def ohm_per_m_20c(gauge: str, metal: Metal) -> float:
    """Resistance per metre at 20 C [ohm/m].

    rho / A for AWG sizes. For metric sizes the ISO 6722-1 maximum for copper, scaled by the
    ratio of resistivities for other metals; rho / A where the standard has no such section.
    """
    rho = metals()[metal].resistivity
    if not gauge.startswith("AWG "):
        listed = _metric_resistance().get(area_mm2(gauge))
        if listed is not None:
            return listed / 1000 * rho / metals()[Metal.COPPER].resistivity
    return rho / area_mm2(gauge)


def resistance_ohm(gauge: str, metal: Metal, length_m: float, temperature_c: float) -> float:
    """Resistance of a wire [ohm]: R20 (1 + alpha (T - 20)) L, IEC 60028."""
    warm = 1 + metals()[metal].coefficient * (temperature_c - 20)
    return ohm_per_m_20c(gauge, metal) * warm * length_m


def conductor_kg(gauge: str, metal: Metal, length_m: float) -> float:
    """Mass of the conductor alone [kg]."""
    return metals()[metal].density * area_mm2(gauge) * 1e-6 * length_m


SAME_SIZE = 0.92
"""Areas within 8 % of each other count as the same size (35 mm2 and AWG 2): common practice."""


def fits(gauge: str, largest: str) -> bool:
    """Whether a terminal that takes ``largest`` takes this wire.

    Compared by area. A metric terminal and an AWG wire within 8 % of each other count as the
    same size (35 mm2 and AWG 2, 50 mm2 and AWG 1/0): common practice.
    """
    same_series = gauge.startswith("AWG ") == largest.startswith("AWG ")
    return area_mm2(gauge) <= area_mm2(largest) * (1.0001 if same_series else 2 - SAME_SIZE)
