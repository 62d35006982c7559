"""Conductor geometry and resistance against published tables; each table names its source."""

import pytest

from domain.build.choices import Insulation, Metal
from domain.build.records import Build, Run, Zone
from domain.electrical import ampacity, conductors, fuses
from domain.electrical.network.run_conductor import conductor
from domain.reference.planning import planned
from tests.reference.published import KCMIL_MM2, rows

KILOFOOT_M = 304.8
METRIC = rows("metric_maxima")


@pytest.mark.parametrize("row", rows("awg"), ids=lambda row: row["awg"])
def test_awg_geometry_and_resistance(row: dict[str, str]) -> None:
    # source: Lessons In Electric Circuits, DC, and a physics department's gauge table
    # (diameter, kcmil, ohm per kft); NBS Handbook 100 (ohm per kft). Printed to 3 or 4 figures.
    gauge = f"AWG {row['awg']}"
    diameter_mm = conductors.awg_diameter_m(conductors.awg_number(row["awg"])) * 1000
    ohm_per_kft = conductors.resistance_ohm(gauge, Metal.COPPER, KILOFOOT_M, 20)
    kcmil = conductors.area_mm2(gauge) / KCMIL_MM2
    assert diameter_mm == pytest.approx(float(row["diameter_mm"]), rel=3e-4)
    assert kcmil == pytest.approx(float(row["kcmil"]), rel=5e-4)
    assert ohm_per_kft == pytest.approx(float(row["ohm_per_kft_20c"]), rel=1e-3)
    assert ohm_per_kft == pytest.approx(float(row["nbs_ohm_per_kft_20c"]), rel=5e-4)


def test_definition_of_awg() -> None:
    # source: ASTM B258: No. 36 is 0.0050 in and No. 0000 is 0.4600 in, 39 equal ratios between
    assert conductors.awg_diameter_m(36) == pytest.approx(0.0050 * 0.0254, rel=1e-12)
    assert conductors.awg_diameter_m(-3) == pytest.approx(0.4600 * 0.0254, rel=1e-12)
    assert [conductors.awg_number(name) for name in ("4/0", "1/0", "1", "18")] == [-3, 0, 1, 18]


@pytest.mark.parametrize(
    "row",
    [row for row in METRIC if row["standard"].startswith("IEC")],
    ids=lambda row: f"{row['standard']} {row['conductor']} {row['area_mm2']}",
)
def test_metric_wire_is_within_the_maxima(row: dict[str, str]) -> None:
    # source: IEC 60228: class 5 is the flexible cable that vehicle cable must not be worse than;
    # class 2 maxima lie 4 to 20 % above rho / A of the nominal section
    metal = Metal.TINNED if "tinned" in row["conductor"] else Metal.COPPER
    most, area = float(row["max_ohm_per_km_20c"]), float(row["area_mm2"])
    per_km = conductors.ohm_per_m_20c(f"{area:g} mm2", metal) * 1000
    ideal = 0.017241 / area * 1000
    if row["standard"].endswith("class 5"):
        assert ideal <= per_km <= most
    assert 1.04 < most / ideal < 1.20


@pytest.mark.parametrize(
    "row",
    [row for row in METRIC if row["standard"].startswith("ISO") and row["area_mm2"] != "0.35"],
    ids=lambda row: row["area_mm2"],
)
def test_metric_wire_is_the_road_vehicle_maximum(row: dict[str, str]) -> None:
    # source: ISO 6722-1 (from memory)
    gauge = f"{float(row['area_mm2']):g} mm2"
    per_km = conductors.resistance_ohm(gauge, Metal.COPPER, 1000, 20)
    assert per_km == pytest.approx(float(row["max_ohm_per_km_20c"]), rel=1e-12)


@pytest.mark.parametrize("row", rows("ac43_13_table_11_9"), ids=lambda row: row["awg"])
def test_aircraft_wire_as_a_band(row: dict[str, str]) -> None:
    # source: AC 43.13-1B Table 11-9, finished tin-plated stranded wire: stranding, tinning and
    # tolerance put it up to 30 % above the solid conductor; Nos. 20 and 18 have more copper
    per_kft = conductors.resistance_ohm(f"AWG {row['awg']}", Metal.COPPER, KILOFOOT_M, 20)
    assert 0.95 < float(row["max_ohm_per_kft_20c"]) / per_kft < 1.30


def test_resistance_rises_with_temperature() -> None:
    # source: IEC 60028: 0.00393 per kelvin at 20 C, the same as an inferred zero at -234.5 C
    cold = conductors.resistance_ohm("AWG 4", Metal.COPPER, 5, 20)
    for celsius in (-40, 0, 50, 105):
        warm = conductors.resistance_ohm("AWG 4", Metal.COPPER, 5, celsius)
        assert warm / cold == pytest.approx((234.5 + celsius) / (234.5 + 20), rel=3e-4)


def test_copper_clad_aluminium() -> None:
    # source: ASTM B566 class 10A (from memory): 62.9 % IACS, 3.32 g/cm3
    copper = conductors.ohm_per_m_20c("AWG 4", Metal.COPPER)
    clad = conductors.ohm_per_m_20c("AWG 4", Metal.CCA)
    assert copper / clad == pytest.approx(0.629, abs=0.002)
    # 10 % of copper by volume at 8.89 and 90 % aluminium at 2.70 g/cm3, mixed by volume
    kilograms = conductors.conductor_kg("AWG 4", Metal.CCA, 1)
    mixed = 0.1 * 8890 + 0.9 * 2700
    assert kilograms == pytest.approx(mixed * conductors.area_mm2("AWG 4") * 1e-6, rel=0.01)


def test_mass_of_copper_wire() -> None:
    # source: Lessons In Electric Circuits, DC, gauge table: No. 10 weighs 31.43 lb per 1000 ft
    pounds = conductors.conductor_kg("AWG 10", Metal.COPPER, KILOFOOT_M) / 0.45359237
    assert pounds == pytest.approx(31.43, rel=1e-3)


@pytest.mark.parametrize("strands", [None, 84])
@pytest.mark.parametrize("amperes", [0.0, 37.0, 410.0, 5000.0])
def test_a_run_in_every_gauge_resists_as_the_formulas_say(
    amperes: float, strands: int | None
) -> None:
    # source: R = R20 (1 + alpha (T - 20)) L (IEC 60028) at T = T_amb + (T_ins - T_table)
    # (I / I_table)^2, step by step by the functions that are held to published tables; two wires
    # side by side share the current, each with two joints and its fuse
    run = Run(
        id="r1", insulation=Insulation.T105, count=2, strands=strands, strand_m=0.0004, fused=True
    )
    zones = {"z1": 45.0}
    item = conductor(Build(zones=(Zone(id="z1", ambient_c=45.0),)), run, zones)
    gauges = item.allowed
    ends_ohm = 2 * planned("joint_ohm") + fuses.resistance_ohm(80.0)
    drops_v = item.drops_v(gauges, amperes, 80.0)
    for gauge, drop_v in zip(gauges, drops_v, strict=True):
        ohm = item.resistance_ohm(gauge, amperes, 80.0)
        share = item.area_mm2(gauge) / conductors.area_mm2(gauge)
        warm_c = ampacity.temperature_c(
            *(amperes / 2 / share**0.5, gauge, run.metal, run.insulation, item.ambient_c, 2)
        )
        wire = conductors.resistance_ohm(gauge, run.metal, item.wire_m, warm_c) / share
        assert ohm == pytest.approx((wire + ends_ohm) / 2, rel=1e-12)
        assert drop_v == ohm * amperes
