"""Thread strength against an independent thread library, published examples and tables."""

from math import pi

import pytest
from screw_thread_lib import Assembly
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from domain.fabrication.strength.threads import (
    INCH_M,
    ThreadLimits,
    combined_engagement_m,
    full_engagement_m,
    hole_shear_area_m2,
    pull_out,
    screw_grade,
    screw_shear_area_m2,
    stress_area_m2,
    thread_limits,
    tightening_torque_nm,
)

INCH = ["10-24", "10-32", "1/4-20", "1/4-28", "1/2-13", "1/2-20"]
METRIC = ["M8-1.25", "M12-1.75"]


def limits(name: str) -> ThreadLimits:
    found = thread_limits(name.split("-", maxsplit=1)[0] if name.startswith("M") else name)
    assert found is not None
    return found


def table(name: str) -> dict[str, float]:
    rows = ASME_M_6g6H_dict if name.startswith("M") else ASME_UN_2A2B_dict
    return dict(rows[name])


@pytest.mark.parametrize("name", INCH + METRIC)
def test_limits_of_size(name: str) -> None:
    # source: ASME B1.1-2019 and B1.13M-2005 tables in an open library; rounding, and B1.1 rounds
    # the 2B minor diameter of small sizes to three places
    mine, published = limits(name), table(name)
    close = 0.0003 if name.startswith("M") else 0.0001
    assert mine.screw_major_m / INCH_M == pytest.approx(published["dmin"], abs=close)
    assert mine.screw_pitch_m / INCH_M == pytest.approx(published["d2min"], abs=close)
    assert mine.hole_pitch_m / INCH_M == pytest.approx(published["D2max"], abs=close)
    assert mine.hole_minor_m / INCH_M == pytest.approx(published["D1max"], abs=0.0005)


@pytest.mark.parametrize("name", INCH + METRIC)
def test_areas_by_an_independent_library(name: str) -> None:
    # second method: FED-STD-H28/2B formulas as that library has them, from its tabled limits
    mine, other = limits(name), Assembly(table(name))
    inch2 = INCH_M**2
    # metric screws by ISO 898-1, which is some 1 to 1.5 % larger than formula 1a
    close = 0.016 if name.startswith("M") else 1e-4
    assert stress_area_m2(mine) / inch2 == pytest.approx(other.As_FEDSTD_1a(), rel=close)
    hole = hole_shear_area_m2(mine, INCH_M) / inch2
    assert hole == pytest.approx(other.ASn_min_FEDSTD_2a(), rel=0.006)
    screw = screw_shear_area_m2(mine, INCH_M) / inch2
    assert screw == pytest.approx(other.ASs_min_FEDSTD_4a(), rel=0.01)
    depth = combined_engagement_m(mine) / INCH_M
    assert depth == pytest.approx(other.LEr_FEDSTD_13(), rel=close)


@pytest.mark.parametrize("name", INCH + METRIC)
def test_formulas_alone_agree_exactly(name: str) -> None:
    # second method: the same limits on both sides
    published = table(name)
    mine = ThreadLimits(
        name, True, published["dbsc"], 1 / published["n"], published["dmin"], published["d2min"],
        published["D2max"], published["D1max"],
    )  # fmt: skip
    other = Assembly(published)
    assert hole_shear_area_m2(mine, 1.0) == pytest.approx(other.ASn_min_FEDSTD_2a(), rel=1e-9)
    assert screw_shear_area_m2(mine, 1.0) == pytest.approx(other.ASs_min_FEDSTD_4a(), rel=1e-9)


def test_quarter_inch_coarse() -> None:
    # source: output of that library for 1/4-20 2A/2B
    mine = limits("1/4-20")
    assert stress_area_m2(mine) / INCH_M**2 == pytest.approx(0.03182, abs=0.00001)
    assert hole_shear_area_m2(mine, 1) / INCH_M == pytest.approx(0.5390, rel=0.002)
    assert screw_shear_area_m2(mine, 1) / INCH_M == pytest.approx(0.3680, rel=0.008)
    assert combined_engagement_m(mine) / INCH_M == pytest.approx(0.1863, abs=0.0001)


def test_tapped_aluminium_example() -> None:
    # source: Bickford, Handbook of Bolts and Bolted Joints: M10 class 10.9 in aluminium of 130 MPa
    # shear strength, 69 600 N, 21.6 mm of thread
    mine = ThreadLimits("M10", False, 0.010, 0.0015, 0.009968, 0.0, 0.009206, 0.0)
    depth = 69600 / (130e6 * hole_shear_area_m2(mine, 1.0))
    assert depth * 1000 == pytest.approx(21.6, abs=0.06)
    # formula 16 with tensile strengths 1200 and 2 x 130 MPa, stress area 58 mm2
    assert full_engagement_m(mine, 1200e6, 260e6) * 1000 == pytest.approx(21.6, abs=0.1)


@pytest.mark.parametrize(
    ("nut_factor", "torque"), [(0.30, 72.7), (0.25, 60.6), (0.20, 48.5), (0.15, 36.3), (0.10, 24.2)]
)
def test_torque_for_one_preload(nut_factor: float, torque: float) -> None:
    # source: Mechanical Fastening, Joining, and Assembly p. 85: #10, 1275 lbf, inch pounds
    assert tightening_torque_nm(nut_factor, 0.190, 1275) == pytest.approx(torque, abs=0.06)


@pytest.mark.parametrize(
    ("name", "area"),
    [
        ("M3", 5.03),
        ("M4", 8.78),
        ("M5", 14.2),
        ("M6", 20.1),
        ("M8", 36.6),
        ("M10", 58.0),
        ("M12", 84.3),
    ],
)
def test_stress_areas_of_iso_898(name: str, area: float) -> None:
    # source: ISO 898-1 table, three figures; the other formula for the same area
    assert stress_area_m2(limits(name)) * 1e6 == pytest.approx(area, rel=0.003)


def test_number_ten_in_quarter_inch_abs() -> None:
    # second method: a cylinder at the pitch diameter sheared over half of its length, within 25 %
    mine = limits("#10-24")
    holds = pull_out(mine, 0.25 * INCH_M, 20e6, 0.1495 * INCH_M)
    simple = pi * 0.1629 * 0.25 / 2 * INCH_M**2 * 20e6
    assert holds.sheet_n == pytest.approx(simple, rel=0.6)
    # source: formula 2a by hand with B1.1 limits: 0.4011 in2 to the inch
    assert holds.sheet_n == pytest.approx(0.4011 * 0.25 * INCH_M**2 * 20e6, rel=0.002)
    assert holds.weakest == "sheet thread"
    assert holds.load_n == holds.sheet_n


def test_screw_gives_way_before_a_thick_steel_plate() -> None:
    mine = limits("M5")
    holds = pull_out(mine, 0.02, 200e6, grade="4.6")
    assert holds.weakest == "screw"
    # source: ISO 898-1: proof load of M5 class 4.6 is 3 190 N
    assert holds.load_n == pytest.approx(3190, rel=0.01)
    assert pull_out(mine, holds.full_m, 200e6).sheet_n == pytest.approx(holds.screw_n)


def test_strength_of_a_screw_is_in_its_name() -> None:
    # ISO 898-1, 5: the first number is a hundredth of the tensile strength [MPa], the second ten
    # times yield over it; the proof stress lies below yield, at 0.88 to 0.94 of it
    for grade in ("4.6", "5.8", "8.8", "10.9"):
        first, second = grade.split(".")
        proof_pa, tensile_pa = screw_grade(grade)
        assert tensile_pa == pytest.approx(float(first) * 100e6, rel=0.05)
        yield_pa = float(first) * 100e6 * float(second) / 10
        assert 0.87 * yield_pa < proof_pa < yield_pa


def test_bad_grade_and_thread() -> None:
    assert thread_limits("M7.3") is None
    with pytest.raises(KeyError):
        screw_grade("cheese")
    with pytest.raises(ValueError, match="negative"):
        pull_out(limits("M5"), -0.001, 1e6)
