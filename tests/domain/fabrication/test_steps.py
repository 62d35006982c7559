"""The steps of making a part come in the order of the trade, with their tools."""

from typing import Any

import pytest

from domain.build.records import Build
from domain.checks.everything import cautions
from domain.fabrication.steps import Step, steps
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
        "transfer",
        "rough cut",
        "rout the edges",
        "round the corners",
        "slots and openings",
        "round over the edges",
        "drill 1 hole: h1",
        "drill 1 hole: h2",
        "tap h1",
        "deburr",
        "score the bend line",
        "heat a strip",
        "test fit",
        "finish",
    )
    places = [place(made, words) for words in order]
    assert places == list(range(1, len(order) + 1))


def test_tools_sizes_and_cautions() -> None:
    made = steps_of(thickness_m=0.25 * INCH_M)
    drill = made[place(made, "drill 1 hole: h1") - 1]
    # by hand: 35 m/min over pi 3.797 mm is 2934 per minute
    assert (drill.size, drill.speed.split(";")[0]) == ("#25", "about 2900 per minute")
    heat = made[place(made, "heat a strip") - 1]
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
    heat = made[place(made, "heat a strip") - 1]
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
