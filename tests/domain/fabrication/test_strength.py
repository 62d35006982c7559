"""Strength of custom parts: strip, heat, vibration, screws, and what is found wrong."""

from math import hypot, sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.records import Build, Footprint, Part
from domain.fabrication.checks.strength import strength_findings
from domain.fabrication.materials.sheet_materials import material, material_names
from domain.fabrication.materials.stock import heat_fraction, strength_of
from domain.fabrication.strength.part_strength import strength
from domain.fabrication.strength.screws import (
    ScrewResult,
    engagement_m,
    screw_findings,
    screw_pull_n,
    screw_strength,
)
from domain.fabrication.strength.vibration import answer_m_s2, density, in_peak, profile, rms_m_s2
from domain.sheet import StrengthResult

INCH_M = 0.0254
G = 9.80665


def build_of(
    panels: list[dict[str, Any]], zone_c: float | None = 23, **more: Any
) -> tuple[Build, Part]:
    tables = {name: more.pop(name, []) for name in ("holes", "footprints", "studs", "mounts")}
    zones = [] if zone_c is None else [{"id": "z1", "name": "Bay", "ambient_c": zone_c}]
    part = {"id": "p1", "name": "Bracket", "zone": "z1" if zones else "", **more}
    build = Build.of(
        {
            "zones": zones,
            "parts": [part],
            "panels": [{"part": "p1", **panel} for panel in panels],
            **tables,
        }
    )
    return build, build.parts[0]


def result_of(panels: list[dict[str, Any]], **more: Any) -> StrengthResult:
    build, part = build_of(panels, **more)
    found = strength(build, part)
    assert found is not None
    return found


def codes(panels: list[dict[str, Any]], **more: Any) -> list[str]:
    build, part = build_of(panels, **more)
    return [finding.code for finding in strength_findings(build, part, strength(build, part))]


UPRIGHT = {"id": "n1", "length_m": 4 * INCH_M, "width_m": 2 * INCH_M}
PLATFORM = {
    "id": "n2",
    "joins": "n1",
    "length_m": 4 * INCH_M,
    "width_m": 3 * INCH_M,
    "bend_radius_m": 0.25 * INCH_M,
}
SCREWS = [
    {"id": "h1", "panel": "n1", "x_m": INCH_M, "y_m": INCH_M, "kind": "clearance", "thread": "#10"}
]


FOUR = [
    {"id": f"h{k}", "panel": "n1", "x_m": x * INCH_M, "y_m": y * INCH_M, "kind": "clearance",
     "thread": "#10"}
    for k, (x, y) in enumerate([(0.4, 0.4), (1.6, 0.4), (0.4, 1.2), (1.6, 1.2)], 1)
]  # fmt: skip


def test_stress_of_an_l_bracket_by_statics() -> None:
    # by hand: above the upper row of screws (two holes of 0.221 in are gone) the strip bends with
    # P times the way up to the load, P times the way out to it, or from between both
    mass, ratio = 20.0, 5.0
    found = result_of([UPRIGHT, PLATFORM], holes=FOUR, load_kg=mass, shock_ratio=ratio)
    force = mass * ratio * G
    left = (2 - 2 * 0.221) * INCH_M
    z = left * (0.25 * INCH_M) ** 2 / 6
    plain = force * hypot(2 - 0.125, 4 - 0.125 - 1.2) * INCH_M / z
    own = found.own_mass_kg / mass
    axial = force / (left * 0.25 * INCH_M)
    assert found.section
    # and what the pull along the sheet does in its plane, 6 M/(t b2)
    aside = 6 * force * 2.675 * INCH_M / (0.25 * INCH_M * left**2)
    assert plain < found.stress_pa < hypot(plain, aside) * (1 + 3 * own) + axial
    assert found.panel == "n1"
    # statics: all that pulls along the sheet and off it is held by the screws
    weight = (found.load_kg + found.own_mass_kg) * ratio * G
    assert sum(screw.shear_n for screw in found.screws) > weight / 2
    assert max(screw.pull_n for screw in found.screws) > force * 1.875 / 1.2 / 4


def test_a_narrow_bend_weakens() -> None:
    wide = result_of([UPRIGHT, PLATFORM], holes=FOUR, load_kg=5)
    shifted = result_of([UPRIGHT, {**PLATFORM, "offset_m": 1.5 * INCH_M}], holes=FOUR, load_kg=5)
    # by hand: shifted by 1.5 in, 3 in and 2 in wide panels share 1 in of bend
    assert shifted.stress_pa > 1.3 * wide.stress_pa
    assert (shifted.panel, shifted.bend) == ("n2", True)


def test_score_and_cut_out_weaken() -> None:
    whole = result_of([UPRIGHT, PLATFORM], holes=FOUR, load_kg=5)
    scored = result_of([UPRIGHT, {**PLATFORM, "score_m": 0.0045}], holes=FOUR, load_kg=5)
    # by hand: 6.35 mm scored 4.5 mm deep leaves 1.85 mm: the bend decides
    assert scored.stress_pa > whole.stress_pa
    assert (scored.panel, scored.bend) == ("n2", True)
    assert scored.deflection_m == pytest.approx(whole.deflection_m)
    slot = {"id": "h9", "panel": "n1", "x_m": INCH_M, "y_m": 2 * INCH_M, "diameter_m": 0.0381}
    cut = result_of([UPRIGHT, PLATFORM], holes=[*FOUR, slot], load_kg=5)
    assert cut.section
    # by hand: 2 in up the lever is 1.875 in, half an inch of 2 in is left
    force = 5 * 5 * G
    plain = force * hypot(1.875, 1.875) * INCH_M / (0.5 * 0.25**2 / 6 * INCH_M**3)
    assert cut.stress_pa == pytest.approx(plain, rel=0.12)
    assert cut.deflection_m > whole.deflection_m


def test_hat_held_at_its_feet() -> None:
    panels = [
        {"id": "n1", "length_m": 0.1, "width_m": 0.05},
        *(
            {"id": id, "joins": on, "edge": edge, "up": up, "length_m": 0.04, "width_m": 0.05}
            for id, on, edge, up in (
                ("n2", "n1", "far", False),
                ("n3", "n1", "near", False),
                ("n4", "n2", "far", True),
                ("n5", "n3", "far", True),
            )
        ),
    ]
    holes = [
        {"id": f"h{n}", "panel": f"n{n}", "x_m": 0.025, "y_m": 0.02, "kind": "clearance",
         "thread": "M5"} for n in (4, 5)
    ]  # fmt: skip
    footprints = [{"id": "f1", "mass_kg": 2, "height_m": 0.04}]
    mounts = [{"id": "o1", "footprint": "f1", "panel": "n1", "x_m": 0.025, "y_m": 0.05}]
    more = {"footprints": footprints, "mounts": mounts, "thickness_m": 0.002, "material": "steel"}
    both = result_of(panels, holes=holes, **more)
    one = result_of(panels, holes=holes[:1], **more)
    assert both.load_kg == 2
    assert [screw.id for screw in both.screws] == ["h4", "h5"]
    assert both.stress_pa < one.stress_pa / 2
    assert both.natural_hz > 2 * one.natural_hz


def test_nothing_to_say() -> None:
    build, part = build_of([UPRIGHT], load_kg=0)
    assert strength(build, part) is None
    build, part = build_of([UPRIGHT], load_kg=1, material="cheese")
    assert strength(build, part) is None
    build, part = build_of([], load_kg=1)
    assert strength(build, part) is None
    loop = [{**UPRIGHT, "joins": "n2"}, PLATFORM]
    build, part = build_of(loop, load_kg=1)
    assert strength(build, part) is None
    # nothing holds it
    build, part = build_of([UPRIGHT, PLATFORM], load_kg=1)
    assert strength(build, part) is None
    assert strength_findings(build, part, strength(build, part)) == []


def test_findings_by_load() -> None:
    assert "strip-breaks" in codes([UPRIGHT, PLATFORM], holes=FOUR, load_kg=3)
    assert "strip-weak" in codes([UPRIGHT, PLATFORM], holes=FOUR, load_kg=2)
    light = codes([UPRIGHT, PLATFORM], holes=FOUR, load_kg=0.01, thickness_m=0.0127)
    assert light == []
    shaky = codes([UPRIGHT, PLATFORM], holes=FOUR, load_kg=0.6, zone_c=60)
    assert set(shaky) == {"strip-sags", "strip-resonates-low", "strip-shakes-apart"}


def test_findings_name_heat_and_peak() -> None:
    build, part = build_of([UPRIGHT, PLATFORM], holes=SCREWS, load_kg=0.1, zone_c=95)
    found = strength(build, part)
    assert found is not None
    assert (found.margin, found.shaking_margin) == (0, 0)
    first = strength_findings(build, part, strength(build, part))[0]
    assert (first.code, first.level.value, first.field) == ("strip-softens", "stop", "material")
    stiff = codes(
        [{"id": "n1", "length_m": 0.06, "width_m": 0.05}],
        holes=FOUR,
        load_kg=0.1,
        thickness_m=0.003,
        material="steel",
        place="engine",
    )
    assert "strip-resonates-in-peak" in stiff


def test_mended_thickness_is_enough() -> None:
    # conservation of a kind: what the finding advises makes the finding go away
    build, part = build_of([UPRIGHT, PLATFORM], holes=FOUR, load_kg=10)
    found = strength(build, part)
    assert found is not None
    thicker = part.thickness_m * sqrt(2 / (found.margin or 1)) * 1.05
    again = codes([UPRIGHT, PLATFORM], holes=FOUR, load_kg=10, thickness_m=thicker)
    assert "strip-weak" not in again


@settings(max_examples=25, deadline=None)
@given(
    edges=st.lists(st.sampled_from(["far", "left", "right", "near"]), min_size=1, max_size=5),
    angle=st.floats(0, 179),
    length=st.floats(0.01, 0.5),
    offset=st.floats(-0.1, 0.1),
    load=st.floats(0, 500),
    ratio=st.floats(0, 100),
    name=st.sampled_from(material_names()),
    zone_c=st.floats(-40, 200),
)
def test_any_part_gives_figures_or_nothing(
    edges: list[str],
    angle: float,
    length: float,
    offset: float,
    load: float,
    ratio: float,
    name: str,
    zone_c: float,
) -> None:
    panels: list[dict[str, Any]] = [{"id": "n1", "length_m": length, "width_m": 0.05}]
    panels += [
        {
            "id": f"n{k + 2}",
            "joins": f"n{k + 1}",
            "edge": edge,
            "bend_deg": angle,
            "length_m": length,
            "width_m": 0.06,
            "offset_m": offset / 2,
            "up": k % 2 == 0,
        }
        for k, edge in enumerate(edges)
    ]
    holes = [{**hole, "x_m": x, "y_m": y * length} for hole, x, y in zip(
        FOUR, (0.01, 0.04, 0.01, 0.04), (0.2, 0.2, 0.8, 0.8), strict=True)]  # fmt: skip
    build, part = build_of(
        panels,
        holes=holes,
        load_kg=load,
        shock_ratio=ratio,
        material=name,
        zone_c=zone_c,
        thickness_m=0.003,
    )
    found = strength(build, part)
    strength_findings(build, part, found)
    if found is not None:
        assert found.natural_hz > 0
        assert found.stress_pa >= 0
        assert found.margin is None or found.margin >= 0
        assert found.reach_m > 0


@pytest.mark.parametrize("name", material_names())
def test_heat_takes_strength_steadily(name: str) -> None:
    sheet = material(name)
    assert sheet is not None
    steps = [strength_of(sheet, t).strength_pa for t in range(-40, 201, 10)]
    assert steps == sorted(steps, reverse=True)
    assert steps[0] == strength_of(sheet, 23).strength_pa > 0
    if sheet.hdt_c is None:
        assert steps[-1] == steps[0]
    else:
        assert steps[-1] == 0


def test_what_is_left_at_the_heat_deflection_temperature() -> None:
    # by hand from the test: 1.82 MPa makes 1.82/2200 strain when cold and 0.002 more when hot
    left = 1.82 / (1.82 / 2200 + 0.002) / 2200
    assert heat_fraction(2.2e9, 88, 88) == pytest.approx(left)
    assert heat_fraction(2.2e9, 88, 55.5) == pytest.approx((1 + left) / 2)
    assert heat_fraction(2.2e9, 88, 88.1) == 0
    assert heat_fraction(2.2e9, 88, 20) == 1


def test_vibration_at_and_beyond_the_ends() -> None:
    points = profile("body")
    assert density(points, 5) == 20
    assert density(points, 55) == pytest.approx(6.5)
    assert density(points, 2000) == 0.14
    # straight on log-log: the geometric mean of two points lies at the mean of their values
    assert density(points, sqrt(10 * 55)) == pytest.approx(sqrt(20 * 6.5))
    assert answer_m_s2(points, 5000, 10) == rms_m_s2(points)
    assert in_peak(points, 12)
    assert not in_peak(points, 60)
    assert not in_peak(points, 5)
    with pytest.raises(ValueError, match="above 0 Hz"):
        density(points, 0)


FOOT = Footprint(id="f1", mass_kg=2, length_m=0.1, width_m=0.06, height_m=0.05, foot_m=0.003)


def test_pull_on_four_screws() -> None:
    # by hand: 2 kg at 5 g is 98.07 N; off the sheet a quarter each; tipping over the short way
    # M = 98.07 x 0.025, screws 5 and 55 mm from the edge: M 55/(2 (5^2 + 55^2))
    places = [(x, y) for x in (0.01, 0.09) for y in (0.005, 0.055)]
    tips = 98.0665 * 0.025 * 0.055 / (2 * (0.005**2 + 0.055**2))
    pulls = screw_pull_n(2, 5, FOOT, places)
    assert pulls == pytest.approx([max(98.0665 / 4, tips)] * 4)
    tall = FOOT.but(height_m=0.2)
    assert screw_pull_n(2, 5, tall, places) == pytest.approx([tips * 4] * 4)
    assert screw_pull_n(2, 5, FOOT, []) == []


def test_screws_on_one_edge_have_no_lever() -> None:
    assert min(screw_pull_n(2, 5, FOOT, [(0.0, 0.0), (0.1, 0.0)])) > 98


def test_depth_of_thread_by_screw_length() -> None:
    assert engagement_m(0.006, 0.003, None) == 0.006
    assert engagement_m(0.006, 0.003, 0.007) == pytest.approx(0.004)
    assert engagement_m(0.006, 0.003, 0.02) == 0.006
    assert engagement_m(0.006, 0.003, 0.002) == 0


def mounted(screw_m: float | None = None, **part: Any) -> tuple[Build, Part]:
    studs = [
        {"id": f"u{k}", "footprint": "f1", "x_m": x, "y_m": y, "kind": "tapped",
         "thread": "#10-24", "screw_m": screw_m}
        for k, (x, y) in enumerate(((0.01, 0.01), (0.05, 0.01), (0.01, 0.05), (0.05, 0.05)), 1)
    ]  # fmt: skip
    footprints = [{"id": "f1", "mass_kg": 1, "length_m": 0.06, "width_m": 0.06, "foot_m": 0.003}]
    mounts = [{"id": "o1", "footprint": "f1", "panel": "n2", "x_m": 0.038, "y_m": 0.05}]
    return build_of(
        [UPRIGHT, PLATFORM], holes=SCREWS, studs=studs, footprints=footprints, mounts=mounts, **part
    )


def test_number_ten_tapped_in_quarter_inch_abs() -> None:
    # common practice: holds a 1 kg device at 5 g many times over; the thread is shallower than
    # 2.5 diameters, but with such a margin that is not worth a word
    build, part = mounted()
    screws = screw_strength(build, part)
    assert [screw.hole for screw in screws] == ["o1.u1", "o1.u2", "o1.u3", "o1.u4"]
    assert all(isinstance(screw, ScrewResult) and (screw.margin or 0) > 20 for screw in screws)
    # by hand: 0.4011 in2 of thread to the inch, half of 40 MPa
    assert screws[0].holds.sheet_n == pytest.approx(0.4011 * 0.25 * INCH_M**2 * 20e6, rel=0.002)
    assert screw_findings(build, part) == []


def test_screw_that_hardly_reaches() -> None:
    build, part = mounted(screw_m=0.00305)
    first = screw_findings(build, part)[0]
    assert (first.code, first.level.value) == ("screw-pulls-out", "stop")
    assert (first.table, first.id) == ("studs", "u1")


def test_the_washer_takes_thread_away() -> None:
    # by hand: 6 mm screw less a 3 mm foot and a #10 washer of 1.016 mm (ASME B18.21.1)
    build, part = mounted(screw_m=0.006)
    depths = [screw.holds.engagement_m for screw in screw_strength(build, part)]
    assert depths == pytest.approx([0.006 - 0.003 - 0.001016] * 4)


def test_threads_in_board_and_without_a_load() -> None:
    build, part = mounted(material="MDF")
    assert {finding.code for finding in screw_findings(build, part)} == {"thread-in-soft-sheet"}
    hole = {"id": "h1", "panel": "n1", "kind": "tapped", "thread": "M5"}
    build, part = build_of([UPRIGHT], holes=[hole])
    # common practice: M5 tapped in quarter-inch plastic holds while nothing is known to pull on it
    assert screw_findings(build, part) == []
    build, part = build_of([UPRIGHT], holes=[{**hole, "thread": "M12"}])
    assert [finding.code for finding in screw_findings(build, part)] == ["thread-shallow"]
    build, part = build_of([UPRIGHT], holes=[{**hole, "thread": "M7.3"}])
    assert screw_findings(build, part) == []
