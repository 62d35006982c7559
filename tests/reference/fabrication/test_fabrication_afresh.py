"""Numbers of the parts engine worked out once more, by hand from the source, and compared."""

from math import pi
from typing import Any

import pytest

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.fabrication.materials.drills import nearest_drill, tap_drill
from domain.fabrication.materials.sheet_materials import material
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.bend_allowance import bend_allowance
from domain.fabrication.shape.panel_tree import neutral_k
from domain.fabrication.strength.threads import hole_shear_area_m2, pull_out, thread_limits
from domain.fabrication.strength.vibration import density, miles_m_s2, profile
from domain.findings import Finding
from domain.sheet import PartResult

G = 9.80665


def make(panels: list[dict[str, Any]], **tables: Any) -> tuple[PartResult, tuple[Finding, ...]]:
    part = {"id": "p1", **tables.pop("part", {})}
    made = [{"part": "p1", **panel} for panel in panels]
    header = {"units": "metric"}
    # strengths are stated at 23 C (ISO 291)
    zones = [{"id": "z1", "name": "Room", "ambient_c": 23}]
    part = {"zone": "z1", **part}
    build = Build.of({"header": header, "zones": zones, "parts": [part], "panels": made, **tables})
    (result,), findings = fabricate(build)
    return result, findings


@pytest.mark.parametrize(
    ("name", "angle_deg", "radius_mm", "thickness_mm", "by_hand_mm"),
    [
        # source: Machinery's Handbook, 31st ed., p. 1421: L = (0.64 T + 1.57 R) A/90 for soft
        # steel, aluminium and half-hard brass, (0.71 T + 1.57 R) A/90 for hard metal
        ("aluminium 5052-H32", 90, 6.0, 3.0, 0.64 * 3 + 1.57 * 6),
        ("mild steel", 45, 2.0, 1.5, (0.64 * 1.5 + 1.57 * 2) / 2),
        ("mild steel", 135, 3.0, 2.0, (0.64 * 2 + 1.57 * 3) * 1.5),
        ("stainless 304", 90, 4.0, 2.0, 0.71 * 2 + 1.57 * 4),
        ("stainless 304", 30, 2.5, 1.2, (0.71 * 1.2 + 1.57 * 2.5) / 3),
    ],
)
def test_bend_allowance_of_metal(
    name: str, angle_deg: float, radius_mm: float, thickness_mm: float, by_hand_mm: float
) -> None:
    k = neutral_k(material(name))
    found = bend_allowance(angle_deg, radius_mm / 1000, thickness_mm / 1000, k) * 1000
    assert found == pytest.approx(by_hand_mm, rel=0.001)  # 1.57 for pi/2


@pytest.mark.parametrize(
    ("thickness_mm", "radius_mm", "angle_deg", "flat_mm"),
    [
        # by hand: 100 + 100 to the outside faces, less 2 tan(a/2) (r + t), plus a (r + t/2)
        (6.35, 6.35, 90, 200 - 2 * 12.7 + pi / 2 * 9.525),
        (3.0, 3.0, 90, 200 - 2 * 6 + pi / 2 * 4.5),
        (3.0, 6.0, 45, 200 - 2 * 0.414214 * 9 + pi / 4 * 7.5),
        (4.0, 8.0, 120, 200 - 2 * 1.732051 * 12 + 2 * pi / 3 * 10),
    ],
)
def test_neutral_line_of_hot_bends(
    thickness_mm: float, radius_mm: float, angle_deg: float, flat_mm: float
) -> None:
    # common practice: a sheet bent hot keeps its length at half of its thickness
    bend = {"bend_deg": angle_deg, "bend_radius_m": radius_mm / 1000}
    part, _ = make(
        [{"id": "n1"}, {"id": "n2", "joins": "n1", **bend}],
        part={"material": "ABS", "thickness_m": thickness_mm / 1000},
    )
    assert part.flat_length_m * 1000 == pytest.approx(flat_mm, abs=1e-3)


@pytest.mark.parametrize(
    ("thickness_mm", "radius_mm", "hole", "least_mm"),
    [
        # common practice: from a hole's edge to the outside face of a cold bend 2 t + r, from a
        # slot over 25 mm long 3 t + r
        (2.0, 3.0, {"diameter_m": 0.004}, 2 * 2 + 3 + 2),
        (3.0, 6.35, {"diameter_m": 0.01}, 2 * 3 + 6.35 + 5),
        (1.5, 1.5, {"diameter_m": 0.003}, 2 * 1.5 + 1.5 + 1.5),
        (2.0, 3.0, {"diameter_m": 0.004, "shape": "slot", "across_m": 0.03}, 3 * 2 + 3 + 2),
    ],
)
def test_hole_to_bend(
    thickness_mm: float, radius_mm: float, hole: dict[str, Any], least_mm: float
) -> None:
    def codes(from_face_mm: float) -> set[str]:
        _, findings = make(
            [
                {"id": "n1", "length_m": 0.1, "width_m": 0.1},
                {"id": "n2", "joins": "n1", "width_m": 0.1, "bend_radius_m": radius_mm / 1000},
            ],
            part={"material": "aluminium 3003-H14", "thickness_m": thickness_mm / 1000},
            holes=[
                {"id": "h1", "panel": "n1", "x_m": 0.05, "y_m": 0.1 - from_face_mm / 1000, **hole}
            ],
        )
        return {finding.code for finding in findings if finding.id == "h1"}

    assert codes(least_mm - 0.01) == {"hole-near-bend"}
    assert codes(least_mm + 0.01) == set()


@pytest.mark.parametrize(
    ("frequency_hz", "quality", "density_g2_hz", "by_hand_g"),
    [
        (100, 10, 0.04, 7.927),
        (200, 10, 0.1, 17.725),
        (50, 25, 0.02, 6.267),
        (31.83, 20, 0.001, 1.0),
    ],
)
def test_miles_in_multiples_of_gravity(
    frequency_hz: float, quality: float, density_g2_hz: float, by_hand_g: float
) -> None:
    # source: Miles' equation, G_rms = sqrt(pi/2 f Q ASD); by hand in g2/Hz
    found = miles_m_s2(frequency_hz, quality, density_g2_hz * G**2) / G
    assert found == pytest.approx(by_hand_g, rel=2e-4)


@pytest.mark.parametrize(
    ("frequency_hz", "by_hand"), [(10, 20.0), (30, 9.6932), (100, 1.2573), (240, 0.25), (500, 0.14)]
)
def test_profile_of_the_body_between_its_points(frequency_hz: float, by_hand: float) -> None:
    # source: ISO 16750-3 test IV, points 10 Hz 20, 55 Hz 6.5, 180 and 300 Hz 0.25, 360 and 1000 Hz
    # 0.14 (from memory); by hand on log-log: 20 (30/10)^-0.6593, 6.5 (100/55)^-2.7480
    assert density(profile("body"), frequency_hz) == pytest.approx(by_hand, rel=5e-4)


@pytest.mark.parametrize(
    ("thread", "least_major_mm", "most_pitch_mm", "pitch_mm", "area_mm2_mm"),
    [
        # source: FED-STD-H28/2B formula 2a, pi/P d_min (P/2 + 0.57735 (d_min - D2_max)); limits of
        # ISO 965-1 6g/6H and ASME B1.1 2A/2B, from memory of the tables
        ("M5", 4.826, 4.605, 0.8, 9.999),
        ("M6", 5.794, 5.500, 1.0, 12.191),
        ("1/4-20", 0.2408 * 25.4, 0.2224 * 25.4, 1.27, 13.690),
        ("M8", 7.760, 7.348, 1.25, 16.831),
    ],
)
def test_thread_that_strips(
    thread: str,
    least_major_mm: float,
    most_pitch_mm: float,
    pitch_mm: float,
    area_mm2_mm: float,
) -> None:
    by_hand = pi / pitch_mm * least_major_mm
    by_hand *= pitch_mm / 2 + 0.57735 * (least_major_mm - most_pitch_mm)
    assert by_hand == pytest.approx(area_mm2_mm, rel=1e-3)
    limits = thread_limits(thread)
    assert limits is not None
    assert hole_shear_area_m2(limits, 0.001) * 1e6 == pytest.approx(area_mm2_mm, rel=0.01)
    # by hand: 3 mm of thread in ABS, 20 MPa in shear
    drill = tap_drill(thread)
    assert drill is not None
    holds = pull_out(limits, 0.003, 20e6, drill.diameter_m)
    assert holds.sheet_n == pytest.approx(area_mm2_mm * 3 * 20, rel=0.01)


@pytest.mark.parametrize(
    ("thread", "drill", "percent"),
    [
        # source: tap drill charts for 75 % of thread, drill = D - 0.01299 percent/n [in], or with
        # 76.98 percent/n [mm]: the shop drill nearest to it; percent by that formula by hand
        ("10-32", "#21", 76),
        ("1/4-20", "#7", 75),
        ("5/16-18", "F", 77),
        ("3/8-16", "5/16 in", 77),
        ("8-32", "#29", 69),
        ("M4", "3.3 mm", 77),
        ("M8", "6.8 mm", 74),
        ("M10", "8.5 mm", 77),
    ],
)
def test_tap_drills(thread: str, drill: str, percent: float) -> None:
    found = tap_drill(thread)
    assert found is not None
    assert found.name == drill
    major: float
    metric = {"M4": (4, 0.7), "M8": (8, 1.25), "M10": (10, 1.5)}
    inch = {"10-32": (0.190, 32), "1/4-20": (0.25, 20), "5/16-18": (0.3125, 18),
            "3/8-16": (0.375, 16), "8-32": (0.164, 32)}  # fmt: skip
    if thread in metric:
        major, pitch = metric[thread]
    else:
        major, pitch = inch[thread][0] * 25.4, 25.4 / inch[thread][1]
    by_hand = 100 * (major - found.diameter_m * 1000) / (1.299 * pitch)
    assert by_hand == pytest.approx(percent, abs=1)


@pytest.mark.parametrize(
    ("diameter_mm", "units", "name"),
    [
        (6.4, UnitHabit.INCH, "1/4 in"),
        (5.1, UnitHabit.METRIC, "5.1 mm"),
        (3.8, UnitHabit.INCH, "#25"),
        (10.0, UnitHabit.INCH, "25/64 in"),
    ],
)
def test_nearest_drills(diameter_mm: float, units: UnitHabit, name: str) -> None:
    # source: ASME B94.11M: 1/4 in 6.350 (letter E is the same) and F 6.528, #25 3.797
    # and #24 3.861, 25/64 in 9.922 and X 10.084 mm
    assert nearest_drill(diameter_mm / 1000, units).name == name
