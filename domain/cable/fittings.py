"""What fits round a cable: its outside diameter, heat-shrink, loom, grommet and clamp.

The figures are typical ones (see ``domain/reference/SOURCES.md``): cables of one gauge differ
by a few tenths of a millimetre between makes, so measure before drilling.
"""

from functools import cache, lru_cache
from itertools import pairwise
from math import ceil, pi, sqrt

from domain.reference.csv_tables import load
from domain.units.habit import UnitHabit
from domain.units.show import format_quantity

LOOM_FILL = 0.75
"""Largest share of a loom's bore area that the cable may fill. Common practice, 0.7 to 0.8."""

SHRINK_FIT = 0.8
"""Heat-shrink goes over a cable of up to this share of its expanded bore. Common practice."""

INCH_MM = 25.4


@lru_cache(maxsize=1024)
def outside_diameter_mm(area_mm2: float) -> float:
    """Outside diameter [mm] of a stranded cable of this copper area, typical insulation.

    Interpolated in the bare diameter between the rows of the AWG table; beyond its ends the
    insulation of the last row is kept. 0 for an area of 0 or less.
    """
    if area_mm2 <= 0:
        return 0.0
    bare = sqrt(4 * area_mm2 / pi)
    rows = _cables()
    if bare <= rows[0][0]:
        return bare + rows[0][1] - rows[0][0]
    for (bare_low, od_low), (bare_high, od_high) in pairwise(rows):
        if bare <= bare_high:
            return od_low + (od_high - od_low) * (bare - bare_low) / (bare_high - bare_low)
    return bare + rows[-1][1] - rows[-1][0]


def heat_shrink(od_mm: float, ratio: int = 3) -> str | None:
    """The smallest tube that goes over the cable and grips it; ``None`` if none does.

    ``ratio`` is expanded over recovered bore: 3 with adhesive, or 2.
    """
    for size, expanded, recovered in _shrink("heat_shrink" if ratio == 3 else "heat_shrink_2to1"):
        if recovered < od_mm < SHRINK_FIT * expanded:
            return size
    return None


def loom(od_mm: float) -> tuple[str, float] | None:
    """The smallest loom with at most 75 % fill, and its outside diameter [mm]."""
    for size, bore, outside in _looms():
        if od_mm**2 <= LOOM_FILL * bore**2:
            return size, outside
    return None


def grommet(od_mm: float, units: UnitHabit) -> str | None:
    """The smallest grommet whose bore passes the cable, as "bore, panel hole"."""
    for bore, hole in _grommets():
        if od_mm <= bore:
            return f"{_size(bore, units)} bore, {_size(hole, units)} hole"
    return None


def clamp_size(over_mm: float, units: UnitHabit) -> str:
    """The P-clamp for a cable or loom of this diameter: next 1/16 in, or next millimetre."""
    if units is UnitHabit.METRIC:
        return f"{ceil(over_mm - 1e-9)} mm"
    sixteenths = ceil(over_mm / INCH_MM * 16 - 1e-9)
    whole, rest = divmod(sixteenths, 16)
    if not rest:
        return f"{whole} in"
    below = 16
    while rest % 2 == 0:
        rest, below = rest // 2, below // 2
    return f"{whole}-{rest}/{below} in" if whole else f"{rest}/{below} in"


def for_cable(od_mm: float, units: UnitHabit) -> str:
    """The size of what no table has: the cable or bundle that it is for."""
    return f"for {format_quantity('small_length', od_mm / 1000, units)} cable"


def ring_fits(stud: str) -> bool:
    """Whether ring terminals are made for this stud: ``M8``, ``5/16``, ``5/16 in``, ``#10``."""
    return _stud_key(stud) in _studs()


def _stud_key(stud: str) -> str:
    return stud.strip().upper().removesuffix("IN").removesuffix('"').strip()


def _size(value_mm: float, units: UnitHabit) -> str:
    return f"{value_mm / INCH_MM:.2f} in" if units is UnitHabit.INCH else f"{value_mm:.1f} mm"


@cache
def _cables() -> list[tuple[float, float]]:
    rows = load("cable_od", ("gauge", "area_mm2", "outside_diameter_mm"))
    return sorted(
        (sqrt(4 * float(row["area_mm2"]) / pi), float(row["outside_diameter_mm"])) for row in rows
    )


@cache
def _shrink(table: str) -> list[tuple[str, float, float]]:
    rows = load(table, ("size", "expanded_mm", "recovered_mm"))
    found = [(row["size"], float(row["expanded_mm"]), float(row["recovered_mm"])) for row in rows]
    return sorted(found, key=lambda tube: tube[1])


@cache
def _looms() -> list[tuple[str, float, float]]:
    rows = load("loom", ("size", "bore_mm", "outside_mm"))
    found = [(row["size"], float(row["bore_mm"]), float(row["outside_mm"])) for row in rows]
    return sorted(found, key=lambda size: size[1])


@cache
def _grommets() -> list[tuple[float, float]]:
    rows = load("grommets", ("bore_mm", "panel_hole_mm"))
    return sorted((float(row["bore_mm"]), float(row["panel_hole_mm"])) for row in rows)


@cache
def _studs() -> frozenset[str]:
    return frozenset(row["stud"] for row in load("ring_studs", ("stud",)))
