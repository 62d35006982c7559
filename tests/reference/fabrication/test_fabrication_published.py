"""Fabrication figures against published examples and tables; the source stands beside each."""

import csv
from importlib import resources
from math import pi, sqrt

import pytest

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.cable.fittings import outside_diameter_mm
from domain.fabrication.materials.drills import (
    clearance_drill,
    nearest_drill,
    tap_drill,
    thread_major_m,
    thread_pitch_m,
    thread_size,
)
from domain.fabrication.materials.sheet_materials import material, min_bend_radius_m, stock_sheet
from domain.fabrication.materials.shop_practice import (
    bending_c,
    screw_range_m,
    screw_stack,
    spacing,
    speeds,
)
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.bend_allowance import bend_allowance, k_factor, outside_setback

INCH_M = 0.0254
POUND_KG = 0.45359237
FOOT_M = 0.3048


def rows(name: str) -> list[dict[str, str]]:
    """Read by other means than the product's loader."""
    text = resources.files("domain.reference").joinpath(f"{name}.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def test_developed_length_of_a_part_with_two_bends() -> None:
    # source: Machinery's Handbook, 31st ed., p. 1421: soft steel 1/8 in, 3.5 in straight,
    # 180 deg at 3/8 in and 60 deg at 5/8 in: 1.338 + 0.707 + 3.5 = 5.545 in, printed to 0.001
    # with 1.57 for pi/2
    k = k_factor("half-hard")
    half_turn = bend_allowance(180, 0.375 * INCH_M, 0.125 * INCH_M, k) / INCH_M
    sixth = bend_allowance(60, 0.625 * INCH_M, 0.125 * INCH_M, k) / INCH_M
    assert half_turn == pytest.approx(1.338, abs=0.001)
    assert sixth == pytest.approx(0.707, abs=0.001)
    assert half_turn + sixth + 3.5 == pytest.approx(5.545, abs=0.0015)


@pytest.mark.parametrize(
    ("angle_deg", "radius_in", "thickness_in", "published_in"),
    [(90, 3.0, 0.5, 5.10), (180, 1.0, 0.5, 3.925)],
)
def test_bend_allowance_with_neutral_line_at_half_thickness(
    angle_deg: float, radius_in: float, thickness_in: float, published_in: float
) -> None:
    # source: Navy training manual 14119, p. 13-43; it uses pi = 3.14 and three figures
    found = bend_allowance(angle_deg, radius_in * INCH_M, thickness_in * INCH_M, 0.5) / INCH_M
    assert found == pytest.approx(published_in, abs=0.006)


def channel(units: str = "inch") -> Build:
    """U channel of FAA-H-8083-31: t 0.040, r 0.16, mould lines 1.00, 2.00, 1.00 in."""
    bend = {"part": "p1", "width_m": INCH_M, "bend_radius_m": 0.16 * INCH_M}
    return Build.of(
        {
            "header": {"units": units},
            "parts": [
                {"id": "p1", "material": "aluminium 3003-H14", "thickness_m": 0.040 * INCH_M}
            ],
            "panels": [
                {"id": "n1", "length_m": 2 * INCH_M, **bend},
                {"id": "n2", "joins": "n1", "length_m": INCH_M, **bend},
                {"id": "n3", "joins": "n1", "edge": "near", "length_m": INCH_M, **bend},
            ],
        }
    )


@pytest.mark.parametrize("units", ["inch", "metric"])
def test_u_channel(units: str) -> None:
    # source: FAA-H-8083-31, airframe handbook: setback 0.20 in, flats 0.80, 1.60, 0.80 in
    assert outside_setback(90, 0.16, 0.040) == pytest.approx(0.20, abs=1e-9)
    (part,), findings = fabricate(channel(units))
    assert part.shape == "U"
    assert (part.flat_length_m - part.bend_allowance_m) / INCH_M == pytest.approx(3.2, abs=1e-9)
    # source: the handbook's empirical allowance N (0.0173 R + 0.0078 T), 0.2772 in a bend and
    # 3.754 in developed; its K is 0.447, ours 0.407: 2 bends differ by pi * 0.04 * T = 0.005 in
    assert part.flat_length_m / INCH_M == pytest.approx(3.754, abs=0.006)
    assert part.bends == 2
    assert part.envelope_m == pytest.approx((INCH_M, 2 * INCH_M, INCH_M))
    assert findings == ()


@pytest.mark.parametrize(
    ("gauge_in", "published_lb_ft2"), [(0.1345, 5.625), (0.0598, 2.5), (0.0478, 2.0), (0.0359, 1.5)]
)
def test_mass_of_sheet_steel(gauge_in: float, published_lb_ft2: float) -> None:
    # source: Manufacturers' Standard Gauge table, 41.82 lb/ft2 per inch of thickness; the
    # rule's density is 8039 kg/m3, steel's 7850, 2.4 % less
    build = Build.of(
        {
            "parts": [{"id": "p1", "material": "Mild steel", "thickness_m": gauge_in * INCH_M}],
            "panels": [{"id": "n1", "part": "p1", "length_m": FOOT_M, "width_m": FOOT_M}],
        }
    )
    (part,), findings = fabricate(build)
    assert part.mass_kg / POUND_KG == pytest.approx(published_lb_ft2, rel=0.025)
    assert part.mass_kg / POUND_KG < published_lb_ft2
    assert findings == ()


def test_area_of_a_ring_and_a_circle() -> None:
    # source: Navy training manual 14119 p. 14-22: ring D 10, d 3: 71.4714; Machinery's Handbook
    # p. 78: circle 2 3/4 in: 5.9396. Here as what the hole takes from a square of 10.
    def area_less_hole(diameter_in: float) -> float:
        build = Build.of(
            {
                "parts": [{"id": "p1"}],
                "panels": [
                    {"id": "n1", "part": "p1", "length_m": 10 * INCH_M, "width_m": 10 * INCH_M}
                ],
                "holes": [
                    {
                        "id": "h1",
                        "panel": "n1",
                        "x_m": 5 * INCH_M,
                        "y_m": 5 * INCH_M,
                        "diameter_m": diameter_in * INCH_M,
                    }
                ],
            }
        )
        (part,), _ = fabricate(build)
        return part.area_m2 / INCH_M**2

    assert 100 - area_less_hole(2.75) == pytest.approx(5.9396, abs=0.0001)
    assert area_less_hole(3) - (100 - pi * 25) == pytest.approx(71.4714, abs=0.001)


@pytest.mark.parametrize("row", rows("threads"), ids=lambda row: row["thread"])
def test_every_thread_against_its_formulas(row: dict[str, str]) -> None:
    major, pitch = float(row["major_mm"]), float(row["pitch_mm"])
    drill = tap_drill(row["thread"])
    assert drill is not None
    drill_mm = drill.diameter_m * 1000
    # source: tap drill = D - P, common rule; a shop drill lies within a tenth of a pitch of it
    assert drill_mm == pytest.approx(major - pitch, abs=0.12 * pitch)
    # source: percent of thread = (D - drill) / (1.299 P), Machinery's Handbook p. 2155
    assert 68 <= 100 * (major - drill_mm) / (1.299 * pitch) <= 80
    name = row["thread"]
    assert thread_major_m(name) == pytest.approx(major / 1000)
    assert thread_pitch_m(name) == pytest.approx(pitch / 1000)
    if not name.startswith("M"):
        size, per_inch = name.split("-")
        # source: ASME B1.1, size number n is 0.060 + 0.013 n in
        inches = (
            float(size.split("/")[0]) / float(size.split("/")[1])
            if "/" in size
            else 0.060 + 0.013 * int(size)
        )
        assert major == pytest.approx(inches * 25.4, abs=0.001)
        assert pitch == pytest.approx(25.4 / int(per_inch), abs=0.0001)
    else:
        assert major == float(name[1:])


@pytest.mark.parametrize("row", rows("clearance_holes"), ids=lambda row: row["size"])
def test_every_clearance_hole_passes_its_screw(row: dict[str, str]) -> None:
    size = row["size"]
    if size.startswith("M"):
        major = float(size[1:])
    elif size.startswith("#"):
        major = (0.060 + 0.013 * int(size[1:])) * 25.4
    else:
        over, under = size.split("/")
        major = int(over) / int(under) * 25.4
    drill = clearance_drill(size)
    assert drill is not None
    # source: ISO 273 medium fit and ASME B18.2.8 normal fit leave 0.4 to 1.6 mm
    assert 0.25 <= drill.diameter_m * 1000 - major <= 1.6
    # second method: the drill table's figure for that drill name
    by_name = {drill["drill"]: float(drill["diameter_mm"]) for drill in rows("drills")}
    if not row["drill"].endswith("mm"):
        assert by_name[row["drill"]] == pytest.approx(drill.diameter_m * 1000, abs=0.002)


@pytest.mark.parametrize("row", rows("screw_stack"), ids=lambda row: row["size"])
def test_every_washer_and_nut_fits_its_screw(row: dict[str, str]) -> None:
    drill, stack = clearance_drill(row["size"]), screw_stack(row["size"])
    assert drill is not None
    assert stack is not None
    coarse = next(t for t in rows("threads") if thread_size(t["thread"]) == row["size"])
    major = float(coarse["major_mm"]) / 1000
    # source: a washer covers its clearance hole; ISO 4032 and ASME B18.2.2 nuts are 0.6 to 0.96
    # screw diameters high
    assert stack.washer_od_m > drill.diameter_m * 1.5
    assert 0.6 * major < stack.nut_m < 0.96 * major
    # by hand: a tapped screw holds foot, washer and sheet; a bolt also washer, nut and a pitch
    least, most = screw_range_m(coarse["thread"], 0.003, 0.006, True) or (0.0, 0.0)
    assert least == pytest.approx(0.009 + stack.washer_m)
    assert least < most
    bolt, _ = screw_range_m(coarse["thread"], 0.003, 0.006, False) or (0.0, 0.0)
    pitch = float(coarse["pitch_mm"]) / 1000
    assert bolt - least == pytest.approx(stack.washer_m + stack.nut_m + pitch)


def test_every_material_has_its_shop_figures() -> None:
    for row in rows("materials"):
        sheet = material(row["material"])
        assert sheet is not None
        # source: rivet rules of AC 43.13 (2 d to the edge, 3 d apart) are the middle of the band
        assert 1.5 <= spacing(sheet).edge <= 4
        assert 2.5 <= spacing(sheet).between <= 5
        assert (bending_c(sheet) is not None) == (sheet.bends == "hot")
        heated = bending_c(sheet)
        if heated and sheet.hdt_c:
            # limit: a sheet is soft enough to bend only above its heat deflection temperature
            assert sheet.hdt_c < heated[0] < heated[1] < heated[2]
        assert 100 < speeds(sheet).drill_rpm(0.005) <= 3000


def test_every_fraction_drill_is_its_fraction() -> None:
    # source: arithmetic
    for row in rows("drills"):
        if row["kind"] == "fraction":
            name = row["drill"].removesuffix(" in")
            over, _, under = name.partition("/")
            exact = float(over) / float(under or 1) * 25.4
            assert float(row["diameter_mm"]) == pytest.approx(exact, abs=0.00006)
    sizes = [float(row["diameter_mm"]) for row in rows("drills") if row["kind"] == "number"]
    assert sizes == sorted(sizes)


def test_drill_names_that_every_shop_knows() -> None:
    # source: drill and tap charts; common practice
    drills = {
        "10-24": "#25",
        "#10-24": "#25",
        "10-32 UNF": "#21",
        "1/4-20": "#7",
        "M6": "5.0 mm",
        "m5x0.8": "4.2 mm",
        "M8 x 1.25": "6.8 mm",
    }
    for thread, name in drills.items():
        drill = tap_drill(thread)
        assert drill is not None
        assert drill.name == name
    passes = {"1/4-20": "9/32 in", "#10": "#2", "10-24": "#2", "M5": "5.5 mm", "M8x1": "9.0 mm"}
    for thread, name in passes.items():
        drill = clearance_drill(thread)
        assert drill is not None
        assert drill.name == name
    assert tap_drill("M8x1") is None
    assert tap_drill("1/4-19") is None
    assert nearest_drill(0.25 * INCH_M, UnitHabit.INCH).name == "1/4 in"
    assert nearest_drill(0.0065, UnitHabit.METRIC).name == "6.5 mm"
    assert nearest_drill(0.035, UnitHabit.METRIC).name == "hole saw 35 mm"


@pytest.mark.parametrize(
    ("name", "thickness_in", "published_ratio"),
    [
        ("aluminium 5052-H32", 1 / 32, 0),
        ("aluminium 5052-H32", 1 / 16, 1),
        ("aluminium 5052-H32", 1 / 8, 1.5),
        ("aluminium 6061-T6", 1 / 8, 2.5),
        ("aluminium 3003-H14", 1 / 4, 1.5),
    ],
)
def test_least_bend_radius(name: str, thickness_in: float, published_ratio: float) -> None:
    # source: Aluminum Association Table 3-1, 90 deg cold bends
    sheet = material(name)
    assert sheet is not None
    least = min_bend_radius_m(sheet, thickness_in * INCH_M)
    assert least == pytest.approx(published_ratio * thickness_in * INCH_M, abs=1e-9)


def test_gauges_of_sheet() -> None:
    # source: Manufacturers' Standard Gauge, thickness = weight / 41.82
    steel = material("mild steel")
    assert steel is not None
    for name, weight in (("10 ga", 5.625), ("16 ga", 2.5), ("20 ga", 1.5)):
        assert stock_sheet(steel, weight / 41.82 * INCH_M) == name
    for row in rows("sheet_stock"):
        if row["source"] == "MEM" and row["name"].endswith(" mm"):
            assert float(row["thickness_mm"]) == float(row["name"].removesuffix(" mm"))


def test_cable_diameters_follow_the_copper() -> None:
    # source: ASTM B258, d = 0.127 * 92^((36 - n) / 39) mm; the insulation adds to it
    numbers = {"1/0": 0, "2/0": -1, "4/0": -3}
    last = 0.0
    for row in rows("cable_od"):
        name = row["gauge"].removeprefix("AWG ")
        number = numbers.get(name, int(name) if name.isdigit() else 0)
        bare = 0.127 * 92 ** ((36 - number) / 39)
        assert float(row["area_mm2"]) == pytest.approx(pi / 4 * bare**2, rel=1e-4)
        od = outside_diameter_mm(float(row["area_mm2"]))
        assert od == pytest.approx(float(row["outside_diameter_mm"]))
        assert od > max(last, bare * sqrt(4 / pi))
        last = od
    assert outside_diameter_mm(35) > outside_diameter_mm(33.63)
    assert outside_diameter_mm(150) > 19.5
    assert 1.4 < outside_diameter_mm(0.5) < 2.1
    assert outside_diameter_mm(0) == 0


def test_every_source_key_is_explained() -> None:
    folder = resources.files("domain.reference")
    listed = folder.joinpath("SOURCES.md").read_text("utf-8")
    names = [entry.name for entry in folder.iterdir() if entry.name.endswith(".csv")]
    assert "threads.csv" in names
    keys = {
        (name, key)
        for name in names
        for row in rows(name.removesuffix(".csv"))
        for key in row["source"].split("+")
    }
    assert not {(name, key) for name, key in keys if key not in listed}
