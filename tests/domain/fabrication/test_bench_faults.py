"""What rings, does not fit or costs too much on the bench though it looked well on paper.

What the screws, the heat, rows of holes, the order of steps and the blanks themselves do is in the
neighbouring files; here are the cases for which a figure by hand can stand beside ours.
"""

from math import pi

import numpy as np
import pytest

from domain.evaluate import evaluate
from domain.fabrication.nesting.cut_sheets import cut_lists
from domain.fabrication.parts import fabricate
from domain.fabrication.steps import steps
from tests.domain.fabrication.making import INCH_M, build_of, codes_of
from tests.domain.fabrication.test_held import screws, strong

G = 9.80665
FOUR = screws((0.015, 0.015), (0.085, 0.015), (0.015, 0.035), (0.085, 0.035))


@pytest.mark.parametrize("height_m", [0.01, 0.05, 0.1])
def test_a_tall_device_on_a_bracket_rings_at_what_its_height_allows(height_m: float) -> None:
    # second method: two of Euler's beams, from the screws to the bend (b) and up to the middle of
    # the device (a), by Castigliano; on their end a stiff body that leans over the base, its centre
    # half its height off the sheet: the lowest eigenvalue of flexibility times mass, in the ways
    # off the upright, along it and its turn. Screws give a little, feet stand apart
    wide, thick, kg, foot = 0.1, 0.01, 2.0, 0.06
    corners = [(0.0, 0.0), (foot, 0.0), (0.0, foot), (foot, foot)]
    panels = [
        {"id": "n1", "length_m": 0.06, "width_m": wide},
        {"id": "n2", "joins": "n1", "length_m": 0.1, "width_m": wide, "bend_radius_m": 0.01},
    ]
    build = build_of(
        panels,
        part={"material": "ABS", "thickness_m": thick, "seat": "flush on something stiff"},
        holes=FOUR,
        footprints=[{"id": "f1", "mass_kg": kg, "length_m": foot, "width_m": foot,
                     "height_m": height_m}],
        studs=[{"id": f"u{k}", "footprint": "f1", "x_m": x, "y_m": y}
               for k, (x, y) in enumerate(corners)],
        mounts=[{"id": "o1", "footprint": "f1", "panel": "n2", "x_m": 0.05, "y_m": 0.06}],
    )  # fmt: skip
    ei = 2.2e9 * wide * thick**3 / 12
    a, b, up = 0.06 - thick / 2, 0.06 - thick / 2 - 0.035, (height_m + thick) / 2
    gives = (
        np.array(
            [
                [a**3 / 3 + a * a * b, a * b * b / 2, a * a / 2 + a * b],
                [a * b * b / 2, b**3 / 3, b * b / 2],
                [a * a / 2 + a * b, b * b / 2, a + b],
            ]
        )
        / ei
    )
    turn = (foot**2 + height_m**2) / 12 + up**2
    mass = kg * np.array([[1, 0, 0], [0, 1, -up], [0, -up, turn]])
    by_hand = 1 / (2 * pi * np.linalg.eigvals(gives @ mass).real.max() ** 0.5)
    found = strong(build).natural_hz
    # 41.1, 34.4 and 24.5 Hz by hand; with all of the mass on the sheet's middle it would be 44 Hz
    assert found == pytest.approx(by_hand, rel=0.06)
    assert "strip-resonates-low" in codes_of(build)


def test_a_blank_as_wide_as_the_sheet_leaves_nothing_for_the_rough_cut() -> None:
    # by hand: an eighth of an inch all round an 8 x 6 in plate wants 8 1/4 x 6 1/4 in
    for wide_in, fits in ((6.0, False), (6.2, False), (6.25, True)):
        build = build_of(
            [{"id": "n1", "length_m": 8 * INCH_M, "width_m": 6 * INCH_M}],
            part={"material": "ABS", "thickness_m": 0.25 * INCH_M},
            header={"cutting": "saw"},
            stock=[{"id": "k1", "width_m": wide_in * INCH_M, "length_m": 24 * INCH_M}],
        )
        assert ("part-larger-than-sheet" in {f.code for f in evaluate(build).findings}) == (
            not fits
        )
        rough = next(s for s in steps(build, build.parts[0]) if s.what.startswith("cut the blank"))
        assert "0.125 in outside the line" in rough.what
        assert "8.25 in x 6.25 in" in rough.size.replace("0 in", " in")


def test_three_plates_do_not_buy_the_largest_sheet_there_is() -> None:
    # by hand: three plates of 0.4 m have 0.48 m2; counters sell 500 x 500 and 500 x 1000 mm, one
    # of each holds them on 0.75 m2, where 2050 x 3050 mm would be 6.25 m2 and nine tenths waste
    build = build_of(
        [{"id": "n1", "length_m": 0.4, "width_m": 0.4}],
        part={"material": "ABS", "thickness_m": 0.006, "quantity": 3},
        header={"units": "metric"},
    )
    (cut,) = cut_lists(build, fabricate(build)[0])
    assert cut.nest.bought_m2 == pytest.approx(0.75)
    assert sum(len(sheet.blanks) for sheet in cut.nest.sheets) == 3
    assert all(each.waste < 0.37 for each in cut.counts)
