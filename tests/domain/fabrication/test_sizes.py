"""What is cut: widths of holes, the drills for them, the sheets that a thickness is cut from."""

from typing import Any

import pytest

from domain.build.choices import UnitHabit
from domain.evaluate import evaluate
from domain.fabrication.materials.drills import nearest_drill
from domain.fabrication.steps import steps
from tests.domain.fabrication.making import build_of, laid_of

SLOT = {"shape": "slot", "across_m": 0.02}
PLATE: list[dict[str, Any]] = [{"id": "n1", "width_m": 0.1, "length_m": 0.1}]


@pytest.mark.parametrize(
    ("hole", "width_m", "across_m"),
    [
        # a round hole is as wide as its drill: tenths of a millimetre in a metric shop
        ({"diameter_m": 0.00513}, 0.0051, None),
        # a slot is cut to the width that was typed, no drill makes it
        ({"diameter_m": 0.00513, **SLOT}, 0.00513, 0.02),
        # a slot for a screw is as wide as the screw's clearance hole: 5.5 mm for M5 by ISO 273
        ({"diameter_m": 0.005, "kind": "clearance", "thread": "M5", **SLOT}, 0.0055, 0.02),
        # and is never shorter than it is wide
        ({"diameter_m": 0.00513, "shape": "slot", "across_m": 0.003}, 0.00513, 0.00513),
        # core hole of M5 by ISO 2306: 4.2 mm, whatever was typed
        ({"diameter_m": 0.006, "kind": "tapped", "thread": "M5"}, 0.0042, None),
    ],
)
def test_the_width_of_a_hole(hole: dict[str, Any], width_m: float, across_m: float | None) -> None:
    whole = {"id": "h1", "panel": "n1", "x_m": 0.05, "y_m": 0.05, **hole}
    build = build_of(PLATE, holes=[whole], header={"units": "metric"})
    (placed,) = laid_of(build).placed
    assert placed.diameter_m == pytest.approx(width_m)
    assert placed.across_m == pytest.approx(across_m) if across_m else placed.across_m is None
    made = evaluate(build).parts[0].holes[0]
    assert made.diameter_m == pytest.approx(width_m)


@pytest.mark.parametrize(
    ("diameter_mm", "units", "name"),
    [
        # ASME B94.11M: #80 is 0.0135 in (0.343 mm), #79 0.0145 in (0.368 mm), nothing is smaller
        (0.35, UnitHabit.INCH, "#80"),
        (0.36, UnitHabit.INCH, "#79"),
        (0.1, UnitHabit.INCH, "#80"),
        # 1 in is the largest drill; half a percent over it is still that drill
        (25.45, UnitHabit.INCH, "1 in"),
        (25.6, UnitHabit.INCH, "hole saw 1.008 in"),
        # tenths of a millimetre from 0.1 to 13
        (0.02, UnitHabit.METRIC, "0.1 mm"),
        (13.04, UnitHabit.METRIC, "13 mm"),
        (13.2, UnitHabit.METRIC, "hole saw 13.2 mm"),
    ],
)
def test_drills_at_both_ends_of_the_box(diameter_mm: float, units: UnitHabit, name: str) -> None:
    assert nearest_drill(diameter_mm / 1000, units).name == name


def test_a_drill_is_named_with_its_holes() -> None:
    # by hand: two holes of 6.5 mm and one of 3 mm, the smaller drill first
    holes = [
        {"id": f"h{i}", "panel": "n1", "x_m": 0.02 * i, "y_m": 0.05, "diameter_m": size}
        for i, size in enumerate((0.0065, 0.003, 0.0065), 1)
    ]
    build = build_of(PLATE, holes=holes, header={"units": "metric"})
    drilled = [step for step in steps(build, build.parts[0]) if step.what.startswith("drill ")]
    assert [(step.what, step.tool, step.size) for step in drilled] == [
        ("drill 1 hole: h2", "drill", "3 mm"),
        ("drill 2 holes: h1, h3", "drill", "6.5 mm"),
    ]


@pytest.mark.parametrize(("thickness_m", "counts"), [(0.003, False), (0.006, True), (None, True)])
def test_a_sheet_at_hand_counts_for_its_own_thickness(
    thickness_m: float | None, counts: bool
) -> None:
    # by definition: a sheet of 6 mm at hand serves a part of 6 mm, one of 3 mm does not
    own = {"id": "k1", "width_m": 0.5, "length_m": 0.7, "thickness_m": thickness_m}
    build = build_of(PLATE, part={"thickness_m": 0.006}, stock=[own], header={"units": "metric"})
    (line,) = (line for line in evaluate(build).materials if line.group == "Sheet")
    assert line.size.endswith("500 x 700 mm") is counts
