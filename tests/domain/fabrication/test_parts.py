"""Custom parts: flat pattern, area, mass, and what is found wrong."""

from math import pi
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from demo_db.load import demo_builds
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.fabrication.parts import fabricate
from domain.findings import Finding, Level
from domain.reference import csv_tables
from domain.reference.csv_tables import load, parse
from domain.sheet import PartResult

INCH_M = 0.0254


def make(
    panels: list[dict[str, Any]],
    holes: list[dict[str, Any]] | None = None,
    zone_c: float | None = None,
    **part: Any,
) -> tuple[PartResult, tuple[Finding, ...]]:
    """One part's result. Lengths in the dictionaries are in metres."""
    zones = [] if zone_c is None else [{"id": "z1", "name": "Locker", "ambient_c": zone_c}]
    build = Build.of(
        {
            "zones": zones,
            "parts": [{"id": "p1", "name": "Part", "zone": "z1" if zones else "", **part}],
            "panels": [{"part": "p1", **panel} for panel in panels],
            "holes": holes or [],
        }
    )
    (result,), findings = fabricate(build)
    return result, findings


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.code for finding in findings]


L_PANELS = [
    {"id": "n1", "length_m": 4 * INCH_M, "width_m": 2 * INCH_M, "name": "Upright"},
    {
        "id": "n2",
        "length_m": 4 * INCH_M,
        "width_m": 3 * INCH_M,
        "name": "Platform",
        "joins": "n1",
        "bend_radius_m": 0.25 * INCH_M,
    },
]


def test_l_bracket_in_quarter_inch_abs() -> None:
    # common practice, by hand: setback 0.25 + 0.25 = 0.5; flats 3.5 + 3.5; allowance
    # pi/2 (0.25 + 0.125) = 0.5890; the bend as wide as the upright, 2 in
    part, findings = make(L_PANELS, thickness_m=0.25 * INCH_M)
    assert part.shape == "L"
    assert part.bends == 1
    assert part.flat_length_m / INCH_M == pytest.approx(7.5890, abs=0.0001)
    assert part.flat_width_m / INCH_M == pytest.approx(3)
    # the two inner corners beside the bend are drilled 1/8 in: (1 - pi/4) r^2 is left standing
    area_in2 = 3.5 * 2 + 0.589049 * 2 + 3.5 * 3 + 2 * (1 - pi / 4) * 0.0625**2
    assert part.area_m2 / INCH_M**2 == pytest.approx(area_in2, abs=0.0001)
    # second method: ABS 1.05 g/cm3, 16.387 cm3 to the cubic inch
    assert part.mass_kg == pytest.approx(area_in2 * 0.25 * 16.387064e-3 * 1.05, rel=1e-5)
    # by hand: outside sizes are what was entered, 3 in wide, 4 in along and 4 in up
    assert part.envelope_m == pytest.approx((3 * INCH_M, 4 * INCH_M, 4 * INCH_M))
    assert findings == ()


def test_holes_are_placed_from_the_bend_and_drilled_by_thread() -> None:
    holes = [
        {
            "id": "h1",
            "panel": "n2",
            "x_m": INCH_M,
            "y_m": 2 * INCH_M,
            "kind": "tapped",
            "thread": "#10-24",
            "diameter_m": 0.1495 * INCH_M,
        },
        {
            "id": "h2",
            "panel": "n1",
            "x_m": INCH_M,
            "y_m": INCH_M,
            "kind": "clearance",
            "thread": "M5",
        },
    ]
    part, findings = make(L_PANELS, holes, thickness_m=0.25 * INCH_M)
    placed = {hole.id: hole for hole in part.holes}
    # by hand: the root counts from its near edge; the platform's flat begins at 3.5 + 0.5890 in,
    # 0.5 in after its outside corner, and it stands out half an inch on each side.
    assert placed["h2"].y_m / INCH_M == pytest.approx(1.0)
    assert placed["h2"].x_m / INCH_M == pytest.approx(1.5)
    assert placed["h1"].y_m / INCH_M == pytest.approx(4.0890 + 1.5, abs=0.0001)
    assert placed["h1"].drill == "#25"
    assert placed["h2"].drill == "5.5 mm"
    # what was entered (5 mm) is not what an M5 needs
    assert codes(findings) == ["hole-drilled-for-thread"]
    assert (findings[0].table, findings[0].id) == ("holes", "h2")


def test_plate_is_its_rectangle() -> None:
    part, findings = make([{"id": "n1", "length_m": 0.2, "width_m": 0.1}], material="MDF")
    assert part.shape == "plate"
    assert (part.flat_length_m, part.flat_width_m) == (0.2, 0.1)
    assert part.area_m2 == pytest.approx(0.02)
    assert findings == ()


def test_chain_grows_by_each_panel() -> None:
    # second method: mould lines less two setbacks plus one allowance for each bend
    panels: list[dict[str, Any]] = [{"id": "n1"}]
    panels += [{"id": f"n{i}", "joins": f"n{i - 1}", "up": i % 2 == 0} for i in range(2, 6)]
    part, findings = make(panels, thickness_m=0.003, material="aluminium 3003")
    deduction = 2 * (0.00635 + 0.003) - pi / 2 * (0.00635 + 0.64 / (pi / 2) * 0.003)
    assert part.flat_length_m == pytest.approx(5 * 0.1 - 4 * deduction)
    assert part.shape == "5 flanges in a line"
    assert part.bends == 4
    assert findings == ()
    # by hand: three panels along and two up, all to outside faces, less a thickness where two
    # of them share a corner that each counts
    assert part.envelope_m == pytest.approx((0.05, 0.3 - 2 * 0.003, 0.2 - 0.003))
    coil = [{**panel, "up": True} for panel in panels]
    assert codes(make(coil, thickness_m=0.003, material="aluminium 3003")[1]) == ["panels-clash"]


def test_no_bend_angle_is_one_long_plate() -> None:
    part, _ = make([{"id": "n1"}, {"id": "n2", "joins": "n1", "bend_deg": 0}])
    assert part.flat_length_m == pytest.approx(0.2)
    assert part.bends == 0


lengths = st.floats(0.05, 1.0)


@settings(max_examples=60, deadline=None)
@given(
    panels=st.lists(
        st.tuples(lengths, lengths, st.just(0.0) | st.floats(0, 179)), min_size=1, max_size=5
    ),
    thickness=st.floats(0.001, 0.006),
    radius=st.floats(0, 0.01),
    at=st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=4),
    both_ends=st.booleans(),
)
def test_area_is_conserved(
    panels: list[tuple[float, float, float]],
    thickness: float,
    radius: float,
    at: list[tuple[float, float]],
    both_ends: bool,
) -> None:
    # conservation: the pattern less its holes is the part; no hole is lost from the results
    made: list[dict[str, Any]] = []
    for i, (length, width, angle) in enumerate(panels, 1):
        other_end = both_ends and i == 3
        joins = "" if i == 1 else "n1" if other_end else f"n{i - 1}"
        made.append(
            {
                "id": f"n{i}",
                "length_m": length,
                "width_m": width,
                "bend_deg": angle,
                "bend_radius_m": radius,
                "joins": joins,
                "edge": "near" if other_end else "far",
            }
        )
    first_length, first_width = panels[0][:2]
    holes = [
        {
            "id": f"h{i}",
            "panel": "n1",
            "x_m": x * first_width,
            "y_m": y * first_length,
            "diameter_m": 0.004,
        }
        for i, (x, y) in enumerate(at, 1)
    ]
    bare, _ = make(made, thickness_m=thickness)
    part, findings = make(made, holes, thickness_m=thickness)
    if part.shape == "not developed":
        assert any(finding.code == "part-not-developed" for finding in findings)
        assert part.area_m2 == part.mass_kg == 0
        return
    assert len(part.holes) == len(holes)
    drilled = sum(pi / 4 * hole.diameter_m**2 for hole in part.holes)
    assert bare.area_m2 - drilled <= part.area_m2 + 1e-12
    assert part.area_m2 <= bare.area_m2
    if not any(finding.code == "hole-breaks-out" for finding in findings):
        assert part.area_m2 + drilled == pytest.approx(bare.area_m2, rel=1e-9)
    assert part.area_m2 <= part.flat_length_m * part.flat_width_m * (1 + 1e-9)
    assert part.mass_kg == pytest.approx(part.area_m2 * thickness * 1050)
    narrowest = min(width for _, width, _ in panels)
    assert bare.area_m2 >= part.flat_length_m * narrowest * (1 - 1e-9)


HOLE = {"id": "h1", "panel": "n1", "x_m": 0.025, "y_m": 0.05, "diameter_m": 0.005}


@pytest.mark.parametrize(
    ("panels", "hole", "part", "code", "level"),
    [
        ([], None, {}, "part-without-panels", Level.STOP),
        ([{"id": "n1"}], None, {"material": "unobtainium"}, "material-unknown", Level.STOP),
        ([{"id": "n1"}, {"id": "n2"}], None, {}, "part-not-developed", Level.STOP),
        (
            [{"id": "n1", "joins": "n2"}, {"id": "n2", "joins": "n1"}],
            None,
            {},
            "part-not-developed",
            Level.STOP,
        ),
        ([{"id": "n1", "joins": "n1"}], None, {}, "part-not-developed", Level.STOP),
        (
            [
                {"id": "n1"},
                {"id": "n2", "joins": "n1"},
                {"id": "n3", "joins": "n2", "edge": "near"},
            ],
            None,
            {},
            "part-not-developed",
            Level.STOP,
        ),
        (
            [{"id": "n1"}, {"id": "n2", "joins": "n1", "offset_m": 0.06}],
            None,
            {},
            "part-not-developed",
            Level.STOP,
        ),
        (
            [{"id": f"n{i}", "joins": "n1" if i > 1 else ""} for i in range(1, 202)],
            None,
            {},
            "part-not-developed",
            Level.STOP,
        ),
        (
            [{"id": "n1"}, {"id": "n2", "joins": "n1", "length_m": 0.01}],
            None,
            {},
            "part-not-developed",
            Level.STOP,
        ),
        (
            [{"id": "n1"}, {"id": "n2", "joins": "n1"}],
            None,
            {"material": "MDF"},
            "bend-impossible",
            Level.STOP,
        ),
        (
            [{"id": "n1"}, {"id": "n2", "joins": "n1", "bend_radius_m": 0.001}],
            None,
            {},
            "bend-too-tight",
            Level.FIX,
        ),
        ([{"id": "n1"}], {"x_m": 0.06}, {}, "hole-off-panel", Level.STOP),
        ([{"id": "n1"}], {"y_m": -0.01}, {}, "hole-off-panel", Level.STOP),
        ([{"id": "n1"}], {"x_m": 0.002}, {}, "hole-breaks-out", Level.STOP),
        (
            [{"id": "n1"}],
            {"x_m": 0.045, "kind": "clearance"},
            {},
            "hole-near-edge",
            Level.FIX,
        ),
        ([{"id": "n1"}], {"x_m": 0.005}, {}, "hole-near-edge", Level.NOTE),
        ([{"id": "n1"}, {"id": "n2", "joins": "n1"}], {"y_m": 0.09}, {}, "hole-in-bend", Level.FIX),
        ([{"id": "n1"}], {"kind": "tapped"}, {}, "thread-unknown", Level.FIX),
        ([{"id": "n1"}], {"kind": "tapped", "thread": "=1+1"}, {}, "thread-unknown", Level.FIX),
    ],
)
def test_findings(
    panels: list[dict[str, Any]],
    hole: dict[str, Any] | None,
    part: dict[str, Any],
    code: str,
    level: Level,
) -> None:
    result, findings = make(panels, [{**HOLE, **hole}] if hole else [], **part)
    assert codes(findings) == [code]
    assert findings[0].level is level
    assert all((findings[0].what, findings[0].why, findings[0].do, findings[0].source))
    if code in ("part-without-panels", "part-not-developed", "material-unknown"):
        assert result.mass_kg == 0
    assert result.quantity == 1


def test_heat_in_the_zone() -> None:
    # source: ABS, 88 C at 1.82 MPa (typical) less 15 K (common practice) is 73 C
    assert make([{"id": "n1"}], zone_c=73)[1] == ()
    _, findings = make([{"id": "n1"}], zone_c=74)
    assert codes(findings) == ["part-too-warm"]
    assert "165 F" in findings[0].why
    assert make([{"id": "n1"}], zone_c=120, material="mild steel")[1] == ()


def test_orphans_and_foreign_panels_are_findings() -> None:
    build = Build.of(
        {
            "parts": [{"id": "p1"}, {"id": "p2"}],
            "panels": [
                {"id": "n1", "part": "p1"},
                {"id": "n2", "part": "p2", "joins": "n1"},
                {"id": "n3"},
            ],
            "holes": [{"id": "h1"}],
        }
    )
    parts, findings = fabricate(build)
    assert [part.shape for part in parts] == ["plate", "not developed"]
    assert codes(findings) == ["panel-without-part", "hole-without-panel", "part-not-developed"]
    assert [finding.id for finding in findings] == ["n3", "h1", "n2"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a,source,seen\n1,X,read\n2,X\n", "t.csv line 3: 2 cells under 3 columns"),
        ("a,b,source,seen\n", "t.csv line 1: unknown columns: b"),
        ("a,seen\n", "t.csv line 1: missing columns: source"),
        ("a,source,seen\n1,X,heard\n", "t.csv line 2: seen must be"),
        ("a,source,seen\n1,,read\n", "t.csv line 2: source is empty"),
        ("", "t.csv line 1: there is no header"),
    ],
)
def test_tables_are_read_strictly(text: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        parse(text, "t.csv", ("a",))


def test_tables_are_read_once_and_only_their_figures_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    columns = ("gauge", "area_mm2", "outside_diameter_mm")
    assert load("cable_od", columns) is not load("cable_od", columns)
    builds = [build for _, build in demo_builds()]
    for build in builds:
        evaluate(build)
    monkeypatch.setattr(csv_tables, "parse", None)
    with pytest.raises(TypeError):
        load("cable_od", columns)
    for build in builds:
        evaluate(build)
