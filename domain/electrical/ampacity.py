"""How much current a wire carries, and how warm it gets.

Base values: 33 CFR 183.425 Table 5 (AWG) and ISO 10133 Table A.1 (metric, from memory), single
conductors at 30 C in free air. Corrected for the zone by the square-root rule, for bundles by ABYC
E-11 and for what covers the wire by IEC 60364-5-52.
"""

from functools import lru_cache
from math import sqrt

from domain.build.choices import Cover, Insulation, Metal
from domain.electrical.conductors import area_mm2, awg_number, metals
from domain.reference.csv_tables import load


@lru_cache(maxsize=1)
def _awg_rows() -> dict[tuple[float, float], tuple[float, float]]:
    """(area [mm2], insulation class [C]) -> (current [A], table ambient [C])."""
    columns = ("awg", "insulation_c", "ambient_c", "current_a")
    return {
        (float(awg_number(row["awg"])), float(row["insulation_c"])): (
            float(row["current_a"]),
            float(row["ambient_c"]),
        )
        for row in load("ampacity_awg", columns)
    }


@lru_cache(maxsize=1)
def _metric_rows() -> dict[tuple[float, float], tuple[float, float]]:
    columns = ("area_mm2", "insulation_c", "ambient_c", "current_a")
    return {
        (float(row["area_mm2"]), float(row["insulation_c"])): (
            float(row["current_a"]),
            float(row["ambient_c"]),
        )
        for row in load("ampacity_mm2", columns)
    }


@lru_cache(maxsize=1024)
def base_ampacity(gauge: str, insulation: Insulation) -> tuple[float, float, float]:
    """Table current of copper [A], its insulation class [C] and its ambient [C].

    Where the table has no such size or class, the next smaller one counts; zero amperes when
    the wire is thinner than the table goes.
    """
    if gauge.startswith("AWG "):
        rows = _awg_rows()
        number = awg_number(gauge[4:])
        sizes = sorted(n for n in {size for size, _ in rows} if n >= number)
    else:
        rows = _metric_rows()
        area = area_mm2(gauge)
        sizes = sorted((a for a in {size for size, _ in rows} if a <= area), reverse=True)
    classes = sorted({c for _, c in rows if c <= insulation.celsius})
    if not sizes:
        return 0.0, classes[-1], 30.0
    current, ambient = rows[sizes[0], classes[-1]]
    return current, classes[-1], ambient


def ambient_factor(insulation_c: float, ambient_c: float, table_ambient_c: float) -> float:
    """Correction for the air around the wire: sqrt((T_ins - T_amb)/(T_ins - T_table)).

    Zero at and above the insulation class. The factors of 33 CFR 183.425 Table 5 note 1 (from
    memory) follow it within 0.01 up to 125 C.
    """
    if ambient_c >= insulation_c:
        return 0.0
    return sqrt((insulation_c - ambient_c) / (insulation_c - table_ambient_c))


@lru_cache(maxsize=1)
def _bundles() -> tuple[tuple[int, float], ...]:
    rows = load("bundle_factors", ("from_count", "factor"))
    return tuple((int(row["from_count"]), float(row["factor"])) for row in rows)


def bundle_factor(count: int) -> float:
    """Correction for loaded conductors lying together; ABYC E-11, from memory."""
    return [factor for least, factor in _bundles() if count >= least][-1]


@lru_cache(maxsize=1)
def _covers() -> dict[Cover, float]:
    rows = load("cover_factors", ("cover", "factor"))
    return {Cover(row["cover"]): float(row["factor"]) for row in rows}


def cover_factor(cover: Cover) -> float:
    """Correction for what lies round the wire: its method in IEC 60364-5-52 over free air.

    Tube: in conduit, 0.80 (BS 7671 Table 4D1A, 25 mm2: 101 A over 126 A, 89 over 110). Carpet: in a
    heat-insulated wall, 0.63 (80 over 126), a bound for a wire between carpet and floor.
    """
    return _covers()[cover]


def lying_factor(bundle: int, cover: Cover) -> float:
    """Correction for how the wire lies: with how many loaded ones, and what is round them all.

    The bundle factors of ABYC E-11 are those of conductors in a sheath or conduit as much as of
    such that are tied (from memory; two of 25 mm2 in conduit carry 101 A each, one alone in free
    air 146, BS 7671: 0.69, against 0.70). So a tube is in them already, and only what is beyond a
    tube's own factor goes on top of a cover: f_c min(1, f_b / f_tube).
    """
    bundled = bundle_factor(bundle)
    if cover is Cover.OPEN:
        return bundled
    return cover_factor(cover) * min(1.0, bundled / cover_factor(Cover.TUBE))


def metal_factor(metal: Metal) -> float:
    """Ampacity against copper of the same area: sqrt(rho_copper / rho), equal heat per metre."""
    return sqrt(metals()[Metal.COPPER].resistivity / metals()[metal].resistivity)


@lru_cache(maxsize=4096)
def _in_place(
    gauge: str, metal: Metal, insulation: Insulation, bundle: int, cover: Cover
) -> tuple[float, float, float]:
    """Table current with the factors of lying and metal [A], class [C] and table ambient [C]."""
    current, class_c, table_c = base_ampacity(gauge, insulation)
    return current * lying_factor(bundle, cover) * metal_factor(metal), class_c, table_c


def ampacity_a(
    gauge: str,
    metal: Metal,
    insulation: Insulation,
    ambient_c: float,
    bundle: int,
    cover: Cover = Cover.OPEN,
) -> float:
    """What the wire carries continuously in its place [A]: table x lying x metal x zone."""
    current, class_c, table_c = _in_place(gauge, metal, insulation, bundle, cover)
    return current * ambient_factor(class_c, ambient_c, table_c)


def temperature_c(
    current_a: float,
    gauge: str,
    metal: Metal,
    insulation: Insulation,
    ambient_c: float,
    bundle: int,
    cover: Cover = Cover.OPEN,
) -> float:
    """Conductor temperature in service [C]: T_amb + (T_ins - T_table) (I / I_table)^2.

    I_table carries the factors of lying and metal. At the corrected ampacity this gives the
    insulation class. Capped at 500 C, where the figure has long lost its meaning.
    """
    if not current_a:
        return ambient_c
    rise = rise_per_a2(gauge, metal, insulation, bundle, cover) * current_a * current_a
    return min(MOST_C, ambient_c + rise)


MOST_C = 500.0
"""Temperatures are capped here, where the formula has long lost its meaning [C]."""


BOUNDLESS = 1e9
"""Rise of a wire of which no table has a current [K/A2]."""


@lru_cache(maxsize=4096)
def rise_per_a2(
    gauge: str, metal: Metal, insulation: Insulation, bundle: int, cover: Cover = Cover.OPEN
) -> float:
    """Temperature rise of the conductor per square of its current [K/A2]; see ``temperature_c``.

    Where the tables have no such thin wire, a milliampere heats it as far as can be: what is
    left of a current by rounding heats nothing.
    """
    table, class_c, table_c = _in_place(gauge, metal, insulation, bundle, cover)
    return (class_c - table_c) / (table * table) if table > 0 else BOUNDLESS
