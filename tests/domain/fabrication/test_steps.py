"""The steps of making a part come in the order of the trade, with their tools."""

from typing import Any

import pytest

from domain.build.records import Build
from domain.checks.everything import cautions
from domain.fabrication.making.bending import press_force_n
from domain.fabrication.making.step import Step
from domain.fabrication.nesting.cut_sheets import cut_lists
from domain.fabrication.parts import fabricate
from domain.fabrication.steps import steps
from tests.domain.fabrication.making import BRACKET, INCH_M, build_of

HOLES = [
    {
        "id": "h1",
        "panel": "n2",
        "x_m": INCH_M,
        "y_m": 2 * INCH_M,
        "kind": "tapped",
        "thread": "#10-24",
    },
    {"id": "h2", "panel": "n1", "x_m": INCH_M, "y_m": INCH_M, "diameter_m": 0.25 * INCH_M},
    {
        "id": "h3",
        "panel": "n1",
        "x_m": INCH_M,
        "y_m": 2 * INCH_M,
        "shape": "slot",
        "across_m": 0.02,
    },
]


def steps_of(panels: list[dict[str, Any]] = BRACKET, **part: Any) -> tuple[Step, ...]:
    build = build_of(panels, holes=HOLES if panels is BRACKET else [], part=part)
    made = steps(build, build.parts[0])
    assert [step.order for step in made] == list(range(1, len(made) + 1))
    return made


def place(made: tuple[Step, ...], words: str) -> int:
    return next(step.order for step in made if words in step.what)


def test_machining_comes_before_bending() -> None:
    # source: common practice, a flat sheet can be clamped
    made = steps_of(corner_m=0.01, cutter_m=0.00635, edge_m=0.0016)
    order = (
        "print the template",
        "fit the card",
        "make a routing template",
        "cut the blank out",
        "transfer",
        "rout the edges",
        "round the corners",
        "drill 1 hole: h1",
        "drill 1 hole: h2",
        "tap h1",
        "slots and openings",
        "round over the edges",
        "deburr",
        "score the bend line",
        "bend an offcut",
        "peel the film",
        "test fit",
        "tighten the screws",
        "finish",
    )
    places = [place(made, words) for words in order]
    assert places == list(range(1, len(order) + 1))


def test_a_hole_near_a_bend_is_drilled_after_it() -> None:
    # common practice: bending draws a hole out of round; the same hole further away comes before
    for y_m, after in ((0.088, True), (0.03, False)):
        hole = {"id": "h1", "panel": "n1", "x_m": 0.03, "y_m": y_m, "diameter_m": 0.005}
        build = build_of(BRACKET, holes=[hole])
        made = steps(build, build.parts[0])
        drilled, bent = place(made, "drill 1 hole: h1"), place(made, "peel the film")
        assert (drilled > bent) == after
    flat = build_of([{"id": "n1"}])
    mark = next(s for s in steps(flat, flat.parts[0]) if s.what.startswith("transfer"))
    assert "bend lines" not in mark.what


Z = [
    {"id": "n1", "name": "Foot", "length_m": 0.1, "width_m": 0.08},
    {"id": "n2", "name": "Web", "joins": "n1", "length_m": 0.1, "width_m": 0.08, "score_m": 0.001},
    {"id": "n3", "name": "Shelf", "joins": "n2", "length_m": 0.1, "width_m": 0.08, "up": False,
     "score_m": 0.001},
]  # fmt: skip


def test_every_score_comes_before_the_first_bend() -> None:
    # source: common practice: a bent sheet no longer lies flat under the knife
    made = steps_of(Z)
    scores = [step.order for step in made if step.what.startswith("score")]
    bends = [step.order for step in made if "hold until cool" in step.what]
    assert (len(scores), len(bends)) == (2, 2)
    assert max(scores) < min(bends)
    assert place(made, "bend line of Shelf, heat") < place(made, "bend line of Web, heat")


def test_a_bearing_runs_on_a_hard_template() -> None:
    made = steps_of(cutter_m=0.0127)
    hard = made[place(made, "make a routing template") - 1]
    assert "MDF or hardboard" in hard.what
    # the bearing is as wide as the bit, its edge longer than the sheet is thick (6.35 + 2 mm)
    assert "0.5 in" in hard.size.replace("0.500", "0.5")
    assert "0.329 in" in hard.size
    assert not any("routing template" in step.what for step in steps_of())


@pytest.mark.parametrize("name", ["acrylic", "polycarbonate"])
def test_no_centre_punch_on_clear_sheet(name: str) -> None:
    made = steps_of(material=name)
    mark = made[place(made, "transfer") - 1]
    assert "center punch" not in mark.tool
    assert "no center punch" in mark.caution
    assert "center punch" in steps_of(material="mild steel")[place(made, "transfer") - 1].tool


def test_clear_sheet_is_dried_and_annealed() -> None:
    # source: data sheets: polycarbonate 5 mm 18 h at 125 C; acrylic 80 C, an hour to the mm
    dry = steps_of(material="polycarbonate", thickness_m=0.005)
    oven = dry[place(dry, "dry the sheet") - 1]
    assert "18 hours at 257 F" in oven.speed
    assert oven.order < place(dry, "peel the film")
    soft = steps_of(material="acrylic", thickness_m=0.005)
    anneal = soft[place(soft, "anneal it") - 1]
    assert "5 hours at 176 F" in anneal.speed
    assert anneal.order > place(soft, "tap h1")
    assert not any("anneal" in step.what or "dry the" in step.what for step in steps_of())


def test_screws_are_drawn_low_in_plastic_and_not_glued() -> None:
    hole = {"id": "h1", "panel": "n1", "x_m": 0.03, "y_m": 0.03, "kind": "clearance",
            "thread": "M5"}  # fmt: skip
    found = {}
    for name in ("acrylic", "mild steel"):
        plate = {"id": "n1", "length_m": 0.1, "width_m": 0.1}
        part = {"material": name, "thickness_m": 0.004}
        build = build_of([plate], holes=[hole], part=part, header={"units": "metric"})
        made = steps(build, build.parts[0])
        tight = made[place(made, "tighten") - 1]
        found[name] = float(tight.what.split(" to ")[1].split()[0])
        assert ("no thread locker" in tight.caution) == (name == "acrylic")
    # by hand: 1000 psi under a 10 mm washer round a 5.5 mm hole is 378 N, 0.2 d F; an M5 of class
    # 4.6 at 75 % of its proof load 14.2 mm2 x 225 MPa
    assert found["acrylic"] == pytest.approx(0.2 * 0.005 * 378, rel=0.03)
    assert found["mild steel"] == pytest.approx(0.2 * 0.005 * 0.75 * 14.18 * 225, rel=0.03)


def test_the_blank_is_the_same_in_steps_and_cut_list() -> None:
    # conservation: what the step cuts out is what the sheet is laid out with
    for name, cutting in (("ABS", "saw"), ("ABS", "router"), ("birch plywood", "saw")):
        panels = BRACKET if name == "ABS" else [{"id": "n1", "length_m": 0.3, "width_m": 0.4}]
        part = {"material": name, "thickness_m": 0.00635}
        build = build_of(panels, part=part, header={"cutting": cutting, "units": "metric"})
        (cut,) = cut_lists(build, fabricate(build)[0])
        (blank,) = cut.blanks
        text = next(step.size for step in steps(build, build.parts[0]) if "blank" in step.size)
        sides = sorted(float(x.split()[0]) for x in text.removeprefix("blank ").split(" x "))
        laid = sorted((blank.width_m * 1000, blank.length_m * 1000))
        assert sides == pytest.approx(laid, abs=0.11)
        whole = fabricate(build)[0][0]
        more = 2 * 0.003175 if cutting == "saw" else 0.0
        assert min(blank.width_m, blank.length_m) == pytest.approx(
            min(whole.flat_width_m, whole.flat_length_m) + more
        )


def test_the_grain_runs_as_the_steps_say() -> None:
    # plywood: face grain along the longer side; the sheet's grain runs along its length
    build = build_of([{"id": "n1", "length_m": 0.3, "width_m": 0.4}],
                     part={"material": "birch plywood", "thickness_m": 0.006})  # fmt: skip
    (cut,) = cut_lists(build, fabricate(build)[0])
    assert cut.blanks[0].grain
    assert cut.blanks[0].length_m > cut.blanks[0].width_m
    assert any("its width along the face grain" in s.what for s in steps(build, build.parts[0]))


@pytest.mark.parametrize("edge", ["far", "right"])
def test_metal_is_never_laid_with_its_bend_along_the_rolling_direction(edge: str) -> None:
    panels = [
        {"id": "n1", "length_m": 0.1, "width_m": 0.1},
        {"id": "n2", "joins": "n1", "edge": edge, "length_m": 0.2, "width_m": 0.1},
    ]
    build = build_of(panels, part={"material": "mild steel", "thickness_m": 0.002, "quantity": 6})
    lists = cut_lists(build, fabricate(build)[0])
    placed = [blank for each in lists for sheet in each.nest.sheets for blank in sheet.blanks]
    assert len(placed) == 6
    # the flat is 0.3 across its bend: that side lies along the sheet's length
    assert all(blank.length_m > blank.width_m for blank in placed)
    assert lists[0].grain_name == "rolling direction"


def test_tools_sizes_and_cautions() -> None:
    made = steps_of(thickness_m=0.25 * INCH_M)
    drill = made[place(made, "drill 1 hole: h1") - 1]
    # by hand: 35 m/min over pi 3.797 mm is 2934 per minute
    assert (drill.size, drill.speed.split(";")[0]) == ("#25", "about 2900 per minute")
    heat = made[place(made, "peel the film") - 1]
    # source: line bending teaching sheet, ABS 127, 138, 204 C; four thicknesses are an inch
    assert "sheet at 280 F, between 261 F and 399 F" in heat.speed
    assert "1 in wide" in heat.what.replace("1.00", "1").replace("1.000", "1")
    assert "90 degrees up" in heat.what
    assert "fumes" in heat.caution
    score = made[place(made, "score") - 1]
    assert score.size.startswith("0.031 in")
    text = " ".join(step.caution for step in made)
    for words in ("battery negative off", "behind the panel", "kicks"):
        assert words in text
    # conservation: the same advice as in the cautions of the whole plan
    wait = "wait as the vehicle maker says before working near airbags or their wiring"
    assert wait in text
    assert any(wait in caution for caution in cautions(Build()))


@pytest.mark.parametrize(
    ("material", "acid"), [("rigid PVC", True), ("foamed PVC", True), ("ABS", False)]
)
def test_hot_pvc_gives_off_acid(material: str, acid: bool) -> None:
    # source: safety data sheets of PVC sheet, from memory
    made = steps_of(material=material)
    heat = made[place(made, "peel the film") - 1]
    said = "hydrogen chloride when overheated: do not heat it without extraction"
    assert (said in heat.caution) is acid
    assert "fumes" in heat.caution


def test_metal_is_bent_cold_and_inner_ends_first() -> None:
    panels = [
        {"id": "n1", "name": "Top", "length_m": 0.2, "width_m": 0.1},
        {"id": "n2", "name": "Leg", "joins": "n1", "up": False, "width_m": 0.1},
        {"id": "n3", "name": "Foot", "joins": "n2", "width_m": 0.1},
    ]
    made = steps_of(panels, material="aluminium 5052-H32", thickness_m=0.002)
    assert place(made, "bend Foot 90 degrees up") < place(made, "bend Leg 90 degrees down")
    assert not any("heat" in step.what for step in made)


@pytest.mark.parametrize("panels", [[], [{"id": "n1", "joins": "n1"}]])
def test_what_cannot_be_laid_out_has_no_steps(panels: list[dict[str, Any]]) -> None:
    assert steps_of(panels) == ()


def test_jig_and_die_have_their_sizes() -> None:
    hot = build_of(BRACKET, part={"material": "ABS", "thickness_m": 0.00635})
    jig = next(s for s in steps(hot, hot.parts[0]) if "jig of" in s.tool)
    # the bend is 2 in long, its leg 4 in; 50 mm more than the bend
    assert "boards 3.969 in by 4 in" in jig.size
    assert "stop at 92 to 94 degrees" in jig.size
    cold = build_of(BRACKET, part={"material": "mild steel", "thickness_m": 0.002})
    bent = next(s for s in steps(cold, cold.parts[0]) if s.what.startswith("bend Platform"))
    assert "die 0.63 in wide" in bent.size
    # by hand: legs 4 + 4 in outside, flat length from the pattern: what the bend takes off
    flat = fabricate(cold)[0][0]
    off = 8 * 0.0254 - max(flat.flat_length_m, flat.flat_width_m)
    assert f"takes {off / 0.0254:.3f} in off" in bent.what


def test_force_of_a_press_brake() -> None:
    # source: the tonnage rule of machine shop handbooks for mild steel of 450 MPa, air bending
    # over 8 thicknesses: 8 metric tons a metre for 1 mm (from memory, to a tenth)
    ours = press_force_n(450e6 / 1.2, 1.0, 0.001, 0.008)
    assert ours == pytest.approx(8e4, rel=0.12)
