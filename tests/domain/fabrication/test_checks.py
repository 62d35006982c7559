"""Every check finds its fault, says it in figures, and keeps still when all is well."""

import re
from itertools import permutations
from math import copysign
from typing import Any

import pytest
from msgspec.structs import replace

from domain.build.choices import UnitHabit
from domain.build.edits import Batch, SetField, apply
from domain.document.records import find
from domain.fabrication.mending import mend
from domain.fabrication.parts import fabricate
from domain.findings import Level
from domain.units.parse import parse_quantity
from tests.domain.fabrication.making import (
    BRACKET,
    INCH_M,
    build_of,
    codes_of,
    findings_of,
    laid_of,
)

TAPPED: dict[str, Any] = {"kind": "tapped", "thread": "#10-24", "diameter_m": 0.1495 * INCH_M}
ALUMINIUM: dict[str, Any] = {"material": "aluminium 5052-H32", "thickness_m": 0.003}
FEET: dict[str, Any] = {
    "id": "f1",
    "length_m": 0.06,
    "width_m": 0.04,
    "height_m": 0.03,
    "foot_m": 0.003,
}
LONG_L: list[dict[str, Any]] = [
    {"id": "n1", "length_m": 0.2, "width_m": 0.1},
    {"id": "n2", "joins": "n1"},
]
TRAY_CLASH: list[dict[str, Any]] = [
    {"id": "n1", "length_m": 0.1, "width_m": 0.1},
    {"id": "n2", "joins": "n1", "edge": "far", "width_m": 0.1, "bend_radius_m": 0.0},
    {"id": "n3", "joins": "n1", "edge": "left", "width_m": 0.1, "bend_radius_m": 0.0},
]


def hole(**values: Any) -> dict[str, Any]:
    return {"id": "h1", "panel": "n1", "x_m": 0.025, "y_m": 0.03, "diameter_m": 0.005, **values}


def test_common_practice_bracket_is_well() -> None:
    # source: common practice: L of quarter-inch ABS, #10-24 tapped, score no deeper than 1/32 in
    holes = [
        hole(x_m=x * INCH_M, y_m=y * INCH_M, id=f"h{x}{y}", **TAPPED) for x, y in ((1, 1), (1, 2))
    ]
    build = build_of(BRACKET, holes=holes, part={"thickness_m": 0.25 * INCH_M})
    assert findings_of(build) == ()
    # source: drill and tap chart, #10-24 is drilled #25
    assert {hole.drill for hole in laid_of(build).flat.holes} == {"#25"}


CASES: list[tuple[str, Level, list[dict[str, Any]], dict[str, Any]]] = [
    # a tapped hole within two thicknesses of the bend line of 6.35 mm ABS (heated 25.4 mm wide)
    ("hole-in-heat", Level.FIX, LONG_L, {"holes": [hole(x_m=0.05, y_m=0.182, **TAPPED)]}),
    ("hole-in-heat", Level.NOTE, LONG_L, {"holes": [hole(x_m=0.05, y_m=0.182)]}),
    # 3 mm sheet, radius 6.35: bend begins 9.35 mm before the outside face, 2 t + r is 12.35
    (
        "hole-near-bend",
        Level.NOTE,
        LONG_L,
        {"holes": [hole(y_m=0.187, x_m=0.05)], "part": ALUMINIUM},
    ),
    # a 10 mm M5 washer is 5 mm wide from the centre, the hole only 2.75
    (
        "washer-on-bend",
        Level.FIX,
        LONG_L,
        {
            "holes": [hole(x_m=0.05, y_m=0.1887, kind="clearance", thread="M5", diameter_m=0.0055)],
            "part": {**ALUMINIUM, "thickness_m": 0.001},
        },
    ),
    ("holes-too-near", Level.NOTE, LONG_L, {"holes": [hole(), hole(id="h2", x_m=0.032)]}),
    (
        "holes-too-near",
        Level.FIX,
        LONG_L,
        {"holes": [hole(**TAPPED), hole(id="h2", x_m=0.0339, **TAPPED)]},
    ),
    ("holes-run-together", Level.FIX, LONG_L, {"holes": [hole(), hole(id="h2", x_m=0.029)]}),
    (
        "cutter-too-large",
        Level.FIX,
        LONG_L,
        {
            "holes": [hole(shape="slot", across_m=0.02, x_m=0.05, y_m=0.05)],
            "part": {"cutter_m": 0.006},
        },
    ),
    ("corner-too-large", Level.NOTE, [{"id": "n1"}], {"part": {"corner_m": 0.03}}),
    ("edge-sharp", Level.NOTE, LONG_L, {"holes": [hole(diameter_m=0.02, x_m=0.05)]}),
    ("edge-too-round", Level.FIX, LONG_L, {"part": {"edge_m": 0.01}}),
    ("score-too-deep", Level.FIX, [*BRACKET[:1], {**BRACKET[1], "score_m": 0.001}], {}),
    ("score-too-deep", Level.STOP, [*BRACKET[:1], {**BRACKET[1], "score_m": 0.007}], {}),
    # 12.7 mm setback of 20 leaves 7.3 flat; two thicknesses beyond the heated strip are 17.9
    (
        "flange-too-short",
        Level.FIX,
        [LONG_L[0], {"id": "n2", "joins": "n1", "length_m": 0.02}],
        {},
    ),
    (
        "bends-too-near",
        Level.FIX,
        [
            {"id": "n1", "length_m": 0.035},
            {"id": "n2", "joins": "n1"},
            {"id": "n3", "joins": "n1", "edge": "near", "up": False},
        ],
        {},
    ),
    ("part-outside-space", Level.FIX, BRACKET, {"part": {"box_height_m": 0.1}}),
    (
        "panels-overlap",
        Level.STOP,
        [LONG_L[0], *({"id": n, "joins": "n1"} for n in ("n2", "n3"))],
        {},
    ),
    (
        "panels-overlap",
        Level.STOP,
        TRAY_CLASH,
        {"part": {"material": "aluminium 3003", "thickness_m": 0.001}},
    ),
    (
        "screw-too-short",
        Level.FIX,
        LONG_L,
        {
            "footprints": [FEET],
            "studs": [{"id": "u1", "footprint": "f1", "screw_m": 0.012, "x_m": 0.03, "y_m": 0.02}],
            "mounts": [{"id": "o1", "footprint": "f1", "panel": "n1", "y_m": 0.07}],
        },
    ),
    (
        "screw-too-long",
        Level.NOTE,
        LONG_L,
        {
            "footprints": [FEET],
            "studs": [{"id": "u1", "footprint": "f1", "screw_m": 0.05, "x_m": 0.03, "y_m": 0.02}],
            "mounts": [{"id": "o1", "footprint": "f1", "panel": "n1", "y_m": 0.07}],
        },
    ),
    (
        "device-fouls",
        Level.FIX,
        LONG_L,
        {
            "footprints": [FEET],
            "mounts": [{"id": "o1", "footprint": "f1", "panel": "n1", "y_m": 0.175}],
        },
    ),
    (
        "thread-unknown",
        Level.FIX,
        LONG_L,
        {
            "footprints": [FEET],
            "studs": [{"id": "u1", "footprint": "f1", "thread": "W7", "x_m": 0.03, "y_m": 0.02}],
            "mounts": [{"id": "o1", "footprint": "f1", "panel": "n1", "y_m": 0.07}],
        },
    ),
]


def test_a_bit_that_does_not_go_into_a_slit() -> None:
    # by hand: two flaps 20 mm wide, 2 mm apart on a 60 mm edge: a bit of 6.35 mm goes not between
    panels: list[dict[str, Any]] = [
        {"id": "n1", "length_m": 0.1, "width_m": 0.06},
        {"id": "n2", "joins": "n1", "width_m": 0.02, "offset_m": -0.011, "length_m": 0.05},
        {"id": "n3", "joins": "n1", "width_m": 0.02, "offset_m": 0.011, "length_m": 0.05},
    ]
    for bit, found in ((0.00635, True), (0.002, False), (None, False)):
        build = build_of(panels, part={**ALUMINIUM, "cutter_m": bit})
        assert ("bit-too-large" in codes_of(build)) == found
    wide = build_of(panels, part={**ALUMINIUM, "cutter_m": 0.00635})
    finding = next(f for f in findings_of(wide) if f.code == "bit-too-large")
    assert finding.level is Level.FIX
    edit = mend(wide, finding)
    assert edit is not None
    after = apply(wide, edit)[0]
    assert after.parts[0].cutter_m == pytest.approx(0.002)
    assert "bit-too-large" not in codes_of(after)


@pytest.mark.parametrize(
    ("code", "level", "panels", "tables"), CASES, ids=[f"{c[0]}-{c[1]}" for c in CASES]
)
def test_each_fault_is_found(
    code: str, level: Level, panels: list[dict[str, Any]], tables: dict[str, Any]
) -> None:
    build = build_of(panels, **tables)
    # nobody weighs the devices of these cases, or screws the part on: looked at by themselves
    asked = {"mount-without-mass", "part-held-by-nothing", "device-on-one-screw"}
    asked |= {"device-not-screwed"}
    found = [finding for finding in findings_of(build) if finding.code not in asked]
    assert [(finding.code, finding.level) for finding in found] == [(code, level)]
    finding = found[0]
    assert all((finding.what, finding.why, finding.do, finding.source))
    assert any(char.isdigit() for char in finding.why) or code.startswith("panels-")
    # where an edit is known, it takes the finding away and brings nothing worse
    edit = mend(build, finding)
    if code in ("part-outside-space", "device-fouls", "thread-unknown"):
        assert edit is None
    elif not code.startswith("panels-"):
        assert edit is not None
        after, inverse = apply(build, edit)
        assert {each.code for each in findings_of(after)} <= asked
        assert apply(after, inverse)[0] == build


def test_a_screw_behind_the_sheet_runs_into_another_panel() -> None:
    # by hand: a Z whose foot lies 20 mm below the shelf; the screw stands 40 mm out
    panels: list[dict[str, Any]] = [
        {"id": "n1", "length_m": 0.1, "width_m": 0.1},
        {"id": "n2", "joins": "n1", "length_m": 0.03, "width_m": 0.1, "bend_radius_m": 0.003},
        {"id": "n3", "joins": "n2", "length_m": 0.1, "width_m": 0.1, "bend_radius_m": 0.003},
    ]
    tables = {
        "footprints": [{**FEET, "height_m": 0.01}],
        "studs": [{"id": "u1", "footprint": "f1", "screw_m": 0.05, "x_m": 0.03, "y_m": 0.02}],
        # the marked face of the upper panel looks down on the lower one: fasten from below
        "mounts": [{"id": "o1", "footprint": "f1", "panel": "n1", "y_m": 0.05}],
    }
    up = build_of(panels, part=ALUMINIUM, **tables)
    assert "screw-fouls" not in codes_of(up)
    down = build_of(
        [panels[0], *({**p, "up": False} for p in panels[1:])], part=ALUMINIUM, **tables
    )
    assert "screw-fouls" in codes_of(down)


def test_tapped_hole_moves_or_the_bend_line_moves_out() -> None:
    # by hand: the strip is 25.4 mm wide about the bend line, the bend takes 14.96 mm of it, so
    # 5.22 mm beyond where it begins; the edge of the hole must lie outside of that
    at = {"x_m": 0.05, "y_m": 0.182}
    build = build_of(LONG_L, holes=[hole(**at, **TAPPED)])
    (finding,) = findings_of(build)
    begins = 0.2 - 0.0127
    lacking = 0.0052191 - (begins - 0.182 - 0.003797 / 2)
    edit = mend(build, finding)
    assert edit is not None
    after, _ = apply(build, edit)
    assert after.holes[0].y_m == pytest.approx(0.182 - lacking, abs=2e-6)
    assert f"{lacking / INCH_M:.3f} in" in finding.do
    # a footprint too long to be moved: the panel grows instead
    feet = {**FEET, "length_m": 0.02, "width_m": 0.16}
    studs = [
        {
            "id": f"u{i}",
            "footprint": "f1",
            "kind": "tapped",
            "thread": "#10-24",
            "x_m": 0.01,
            "y_m": y,
        }
        for i, y in enumerate((0.0, 0.169), 1)
    ]
    mounts = [{"id": "o1", "footprint": "f1", "panel": "n1", "x_m": 0.05, "y_m": 0.0922}]
    build = build_of(LONG_L, footprints=[feet], studs=studs, mounts=mounts)
    found = [each for each in findings_of(build) if each.code == "hole-in-heat"]
    assert found
    edit = mend(build, found[0])
    assert edit is not None
    after, _ = apply(build, edit)
    assert after.panels[0].length_m > build.panels[0].length_m
    assert "hole-in-heat" not in codes_of(after)


def test_warm_zone_is_mended_by_another_plastic() -> None:
    zones = [{"id": "z1", "name": "Parcel shelf", "ambient_c": 85}]
    build = build_of(BRACKET, zones=zones, part={"zone": "z1"})
    (finding,) = findings_of(build)
    assert finding.code == "part-too-warm"
    edit = mend(build, finding)
    assert edit is not None
    after, _ = apply(build, edit)
    assert after.parts[0].material in ("ABS/PC", "ABS high-heat", "polycarbonate")


def test_a_sharp_bend_in_acrylic() -> None:
    panels = [LONG_L[0], {**LONG_L[1], "bend_radius_m": 0}]
    build = build_of(panels, part={"material": "acrylic"})
    (finding,) = findings_of(build)
    assert finding.code == "bend-too-tight"
    # source: one thickness, typical for acrylic
    edit = mend(build, finding)
    assert edit is not None
    assert apply(build, edit)[0].panels[1].bend_radius_m == pytest.approx(0.00635)


def test_a_hole_near_a_rounded_corner() -> None:
    # by hand: 10 mm from both sides of a corner of radius 25 mm: the arc passes sqrt(2) 15 mm
    # = 21.2 from its centre, so 3.8 mm from the hole's centre, 1.3 from its edge
    at = {"x_m": 0.01, "y_m": 0.01, "diameter_m": 0.005}
    square = build_of([{"id": "n1", "width_m": 0.1}], holes=[hole(**at)])
    assert codes_of(square) == []
    build = build_of([{"id": "n1", "width_m": 0.1}], holes=[hole(**at)], part={"corner_m": 0.025})
    (finding,) = findings_of(build)
    assert finding.code == "hole-near-edge"
    assert "0.051 in" in finding.why


def test_a_hole_beside_a_narrower_panel_is_off_the_sheet() -> None:
    # the wide panel ends where the bend of the narrow one begins
    panels: list[dict[str, Any]] = [{"id": "n1", "width_m": 0.2}, {"id": "n2", "joins": "n1"}]
    build = build_of(panels, holes=[hole(x_m=0.02, y_m=0.095)])
    assert "hole-breaks-out" in codes_of(build)


@pytest.mark.parametrize("panels", [BRACKET, LONG_L])
def test_what_is_told_of_a_hole_beside_its_flange_would_do(panels: list[dict[str, Any]]) -> None:
    off = build_of(panels, holes=[hole(x_m=1.0)])
    (told,) = [each for each in findings_of(off) if each.code == "hole-off-panel"]
    form = re.compile("enter X from (.*?) to (.*?) and Y from (.*?) to (.*?), or make the flange")
    found = form.match(told.do)
    assert found
    x0, x1, y0, y1 = (
        parse_quantity("small_length", text, UnitHabit.INCH) for text in found.groups()
    )
    for x, y in ((x0, y0), (x1, y1), (x0, y1), (x1, y0)):
        assert not [
            c for c in codes_of(build_of(panels, holes=[hole(x_m=x, y_m=y)])) if "hole" in c
        ]
    large = findings_of(build_of(panels, holes=[hole(x_m=1.0, diameter_m=0.9)]))
    assert any("room nowhere" in each.do for each in large)


@pytest.mark.parametrize("spread", ["apart", "together", "outside"])
def test_five_thousand_holes(spread: str) -> None:
    holes: list[dict[str, Any]] = [{"id": f"h{i + 1}", "panel": "n1"} for i in range(5000)]
    for i, each in enumerate(holes):
        if spread == "apart":
            each |= {"x_m": 0.03 + i % 70 * 0.016, "y_m": 0.03 + i // 70 * 0.016}
        elif spread == "outside":
            each |= {"x_m": 3}
    build = build_of([{"id": "n1", "length_m": 1.8, "width_m": 1.2}], holes=holes)
    (part,), findings = fabricate(build)
    assert len(part.holes) == 5000
    assert len(findings) == {"apart": 0, "together": 21, "outside": 42}[spread]
    if spread != "apart":
        assert f"{5000 - 20 - (spread == 'together')} more" in " ".join(f.what for f in findings)


def test_mend_knows_nothing_of_other_findings() -> None:
    build = build_of([])
    (finding,) = findings_of(build)
    assert finding.code == "part-without-panels"
    assert mend(build, finding) is None


def test_only_a_tapped_thread_softens_in_the_heated_strip() -> None:
    # common practice: the thread of a screw is cut before the strip is heated, and softens in it
    for values, softens in ((TAPPED, True), ({}, False)):
        build = build_of(LONG_L, holes=[hole(x_m=0.05, y_m=0.182, **values)])
        (finding,) = findings_of(build)
        assert ("a tapped thread there softens" in finding.why) is softens
    # near a bend of metal nothing is heated
    build = build_of(LONG_L, holes=[hole(x_m=0.05, y_m=0.187, **TAPPED)], part=ALUMINIUM)
    assert all("softens" not in finding.why for finding in findings_of(build))


@pytest.mark.parametrize(
    ("sides", "turned"),
    [
        # a plate of 100 x 200 x 6 mm: it goes into 110 x 210 x 10 whichever way that lies
        ((0.11, 0.21, 0.01), True),
        ((0.01, 0.11, 0.21), True),
        ((0.19, 0.19, 0.19), False),
        # one side was not measured: nobody can tell
        ((0.11, None, 0.01), False),
    ],
)
def test_a_part_that_would_fit_turned_is_told_so(
    sides: tuple[float | None, ...], turned: bool
) -> None:
    fields = ("box_width_m", "box_length_m", "box_height_m")
    plate = [{"id": "n1", "length_m": 0.2, "width_m": 0.1}]
    told = []
    for way in permutations(sides):
        part = {"thickness_m": 0.006, **dict(zip(fields, way, strict=True))}
        found = findings_of(build_of(plate, part=part))
        told += ["it would fit turned" in f.why for f in found if f.code == "part-outside-space"]
    assert told
    assert set(told) == {turned}


@pytest.mark.parametrize(("across_m", "made_m"), [(0.004, 0.006), (0.02, 0.02)])
def test_what_the_cutter_does_not_go_into_is_made_as_wide_as_it(
    across_m: float, made_m: float
) -> None:
    # by hand: a cutter of 6 mm makes no opening narrower than itself, along either side
    opening = hole(shape="rectangle", diameter_m=0.003, across_m=across_m, x_m=0.05, y_m=0.05)
    build = build_of(LONG_L, holes=[opening], part={"cutter_m": 0.006})
    finding = next(f for f in findings_of(build) if f.code == "cutter-too-large")
    edit = mend(build, finding)
    assert edit is not None
    after = apply(build, edit)[0].holes[0]
    assert (after.diameter_m, after.across_m) == (0.006, made_m)


@pytest.mark.parametrize(
    ("code", "panels", "tables"),
    [(code, panels, tables) for code, _level, panels, tables in CASES
     if code in ("flange-too-short", "bends-too-near", "hole-in-heat", "hole-near-bend")],
)  # fmt: skip
def test_what_is_mended_moves_no_further_than_it_must(
    code: str, panels: list[dict[str, Any]], tables: dict[str, Any]
) -> None:
    # least change: a hundredth of a millimetre less, and the finding is there again
    build = build_of(panels, **tables)
    finding = next(f for f in findings_of(build) if f.code == code)
    edit = mend(build, finding)
    assert isinstance(edit, Batch)
    (step,) = edit.edits
    assert isinstance(step, SetField)
    assert isinstance(step.value, float)
    before = getattr(find(build, step.id), step.field)
    less = step.value - copysign(1e-5, step.value - before)
    again = apply(build, replace(step, value=less))[0]
    assert finding.code in codes_of(again)
    assert finding.code not in codes_of(apply(build, step)[0])
