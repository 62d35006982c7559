"""What is cut: widths of holes, the drills for them, the sheets that a thickness is cut from."""

from typing import Any

import pytest

from domain.build.choices import UnitHabit
from domain.evaluate import evaluate
from domain.fabrication.materials.drills import (
    clearance_drill,
    nearest_drill,
    tap_drill,
    thread_key,
    thread_size,
)
from domain.fabrication.materials.shop_practice import screw_range_m
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


def test_a_drill_cuts_its_own_size() -> None:
    # ASME B94.11M: 1/4 in is 6.35 mm, #25 is 0.1495 in; metric drills by their name
    assert nearest_drill(0.0064, UnitHabit.INCH).diameter_m == pytest.approx(0.00635)
    assert nearest_drill(0.0038, UnitHabit.INCH).diameter_m == pytest.approx(0.1495 * 0.0254, 1e-4)
    assert nearest_drill(0.00513, UnitHabit.METRIC).diameter_m == pytest.approx(0.0051)
    assert nearest_drill(0.03, UnitHabit.INCH).diameter_m == 0.03


@pytest.mark.parametrize(
    ("typed", "thread", "size"),
    [
        ("#10-24 UNC", "10-24", "#10"),
        ("10 - 24", "10-24", "#10"),
        ("1/4-20", "1/4-20", "1/4"),
        ('1/4"', '1/4"', "1/4"),
        # ISO 261: the coarse pitch of M5 is 0.8 mm, of M8 1.25 mm
        ("m5 x 0.8", "M5", "M5"),
        ("M5×0,80", "M5", "M5"),
        ("M8X1.25", "M8", "M8"),
        # a fine thread is another thread of the same size
        ("M8x1", "M8X1", "M8"),
    ],
)
def test_threads_as_they_are_typed(typed: str, thread: str, size: str) -> None:
    assert thread_key(typed) == thread
    assert thread_size(typed) == size


def test_coarse_and_fine_threads_have_their_own_drills() -> None:
    # ISO 2306: the core hole of M8 coarse is 6.8 mm; of a fine M8 nothing is in the table, but a
    # screw of it passes the same clearance hole, 9 mm by ISO 273
    coarse = tap_drill("M8x1.25")
    assert coarse is not None
    assert coarse.diameter_m == pytest.approx(0.0068)
    assert tap_drill("M8x1") is None
    for typed in ("M8", "M8x1"):
        passing = clearance_drill(typed)
        assert passing is not None
        assert passing.diameter_m == pytest.approx(0.009)


@pytest.mark.parametrize(
    ("thread", "foot_mm", "sheet_mm", "tapped", "range_mm"),
    [
        # by hand: foot, washer 1.0 (ISO 7089), sheet; behind a clearance hole another washer, the
        # nut 4.7 (ISO 4032) and a pitch of 0.8. Two pitches more, and up to a length that is sold
        ("M5", 3, 3.6, False, (14.1, 16)),
        ("M5", 3, 4, True, (8, 10)),
        ("M5", 3, 6.3, True, (10.3, 12)),
        # 1/4-20: washer 1.6, nut 4.712, pitch 1.27
        ("1/4-20", 0, 6.35, False, (6.35 + 3.2 + 4.712 + 1.27, 19.05)),
        # longer than any that is sold: two pitches more
        ("M5", 100, 3, True, (104, 105.6)),
    ],
)
def test_useful_lengths_of_a_screw(
    thread: str, foot_mm: float, sheet_mm: float, tapped: bool, range_mm: tuple[float, float]
) -> None:
    found = screw_range_m(thread, foot_mm / 1000, sheet_mm / 1000, tapped)
    assert found == pytest.approx([each / 1000 for each in range_mm])
