"""What a tube or a carpet takes off a wire, against a published table and a heat balance.

The balance knows nothing of ampacity tables: heat from the conductor through its insulation, the
air in the tube and the tube's wall to free air, with handbook conductivities.
"""

from collections.abc import Callable
from math import log, pi, sqrt

import pytest

from domain.build.choices import Cover, Insulation, Metal, WireSizes
from domain.cable.fittings import loom, outside_diameter_mm
from domain.electrical import ampacity, conductors
from domain.reference.csv_tables import load

AIR = 30 + 273.15
BOLTZMANN = 5.670e-8
GREY = 0.9
"""Emissivity of plastics (handbook of heat transfer, from memory)."""
JACKET = 0.17
"""Conductivity of flexible PVC [W/(m K)] (handbook, from memory)."""
TUBE = 0.3
"""Conductivity of the nylon or polyethylene of a split loom, the lower of both [W/(m K)]."""
TUBE_WALL_M = 0.0008


def test_the_factors_are_a_published_table_s() -> None:
    # BS 7671 Table 4D1A (the figures of IEC 60364-5-52), 25 mm2 in PVC, read: two and three loaded
    # conductors in an insulated wall 80 and 73 A, in conduit 101 and 89, touching in free air 126
    # and 110, one apart in free air 146; IEC 60364-5-52 method F has 110 for three too, read
    conduit, wall = (101 / 126, 89 / 110), (80 / 126, 73 / 110)
    assert min(conduit) == pytest.approx(ampacity.cover_factor(Cover.TUBE), abs=0.005)
    assert min(wall) == pytest.approx(ampacity.cover_factor(Cover.CARPET), abs=0.006)
    assert ampacity.cover_factor(Cover.OPEN) == 1


@pytest.mark.parametrize(
    ("count", "cover", "amperes"),
    [(2, Cover.TUBE, 101), (2, Cover.CARPET, 80)],
)
def test_bundle_and_cover_together_are_no_more_than_published(
    count: int, cover: Cover, amperes: float
) -> None:
    # the same table: so many together and covered, over one alone in free air; each factor once
    published = amperes / 146
    assert ampacity.lying_factor(count, cover) == pytest.approx(published, rel=0.02)
    twice = ampacity.bundle_factor(count) * ampacity.cover_factor(cover)
    assert abs(twice / published - 1) > 0.15


def test_a_cover_never_helps_and_counts_once() -> None:
    # ABYC E-11 (from memory): bundled means tied, in a sheath or in conduit, with one factor
    for count in (1, 2, 3, 4, 6, 7, 24, 25, 60):
        bundled = ampacity.bundle_factor(count)
        tube, carpet = (ampacity.lying_factor(count, c) for c in (Cover.TUBE, Cover.CARPET))
        assert ampacity.lying_factor(count, Cover.OPEN) == bundled
        assert tube == (bundled if count > 1 else ampacity.cover_factor(Cover.TUBE))
        assert carpet < tube


def _root(f: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function is 0, by halving."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if f(middle) > 0 else (middle, high)
    return (low + high) / 2


def _film_w(diameter_m: float, surface_k: float, air_k: float) -> float:
    """Heat from a level cylinder to still air [W/m]: Churchill and Chu 1975, and radiation."""
    film = (surface_k + air_k) / 2
    k, nu, prandtl = _air_k(film), 13.3e-6 * (film / 273.15) ** 1.75, 0.71
    rayleigh = 9.81 / film * max(surface_k - air_k, 1e-6) * diameter_m**3 / nu**2 * prandtl
    chu = 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    lost = (0.60 + chu) ** 2 * k / diameter_m * (surface_k - air_k)
    return float(pi * diameter_m * (lost + GREY * BOLTZMANN * (surface_k**4 - air_k**4)))


def _air_k(kelvin: float) -> float:
    """Conductivity of air [W/(m K)]: 0.0241 at 0 C, 0.0310 at 100 C (handbook)."""
    return float(0.0241 * (kelvin / 273.15) ** 0.81)


def _open_w(core_k: float, bare_m: float, over_m: float, air_k: float = AIR) -> float:
    """Heat of a wire in free air at this conductor temperature [W/m]."""
    jacket = 2 * pi * JACKET / log(over_m / bare_m)
    skin = _root(lambda t: _film_w(over_m, t, air_k) - jacket * (core_k - t), air_k, core_k)
    return _film_w(over_m, skin, air_k)


def _tube_w(core_k: float, bare_m: float, over_m: float, bore_m: float, out_m: float) -> float:
    """Heat of a wire in the middle of a tube [W/m]: still air and radiation across the gap."""
    jacket = 2 * pi * JACKET / log(over_m / bare_m)
    wall = 2 * pi * TUBE / log((bore_m + 2 * TUBE_WALL_M) / bore_m)
    view = 1 / GREY + over_m / bore_m * (1 / GREY - 1)

    def gap_w(skin: float, bore: float) -> float:
        still = 2 * pi * _air_k((skin + bore) / 2) / log(bore_m / over_m) * (skin - bore)
        return still + pi * over_m * BOLTZMANN * (skin**4 - bore**4) / view

    def inside(skin: float) -> float:
        heat = jacket * (core_k - skin)
        bore = _root(lambda t: heat - gap_w(skin, t), AIR, skin)
        return _film_w(out_m, max(bore - heat / wall, AIR), AIR) - heat

    skin = _root(inside, AIR, core_k)
    return jacket * (core_k - skin)


@pytest.mark.parametrize("gauge", conductors.stock(WireSizes.AWG))
def test_against_a_heat_balance_in_the_tube_that_the_bill_buys(gauge: str) -> None:
    # what a wire carries goes with the root of the heat that it may lose; the program's factor is
    # on the safe side of the balance, and by no more than a quarter (0.84 to 0.96 were found)
    area = conductors.area_mm2(gauge)
    over_mm = outside_diameter_mm(area)
    bare_mm = min(1.13 * sqrt(4 * area / pi), 0.93 * over_mm)  # stranded: 1.13 of a solid one
    size, outside_mm = loom(over_mm) or ("", 0.0)
    rows = load("loom", ("size", "bore_mm", "outside_mm"))
    bore_mm = next(float(row["bore_mm"]) for row in rows if row["size"] == size)
    core = Insulation.T105.celsius + 273.15
    free = _open_w(core, bare_mm / 1000, over_mm / 1000)
    closed = _tube_w(core, bare_mm / 1000, over_mm / 1000, bore_mm / 1000, outside_mm / 1000)
    found = sqrt(closed / free)
    factor = ampacity.cover_factor(Cover.TUBE)
    assert factor <= found <= 1.25 * factor
    # the balance is no straw man: in free air it finds the table's own current within a third
    ohm_m = conductors.resistance_ohm(gauge, Metal.COPPER, 1.0, Insulation.T105.celsius)
    table, _, _ = ampacity.base_ampacity(gauge, Insulation.T105)
    assert sqrt(free / ohm_m) == pytest.approx(table, rel=0.34)
