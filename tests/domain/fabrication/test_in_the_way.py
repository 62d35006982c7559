"""Solid boxes that run into each other, and devices turned on their panel."""

from itertools import product
from random import Random
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.spatial.transform import Rotation

from domain.fabrication.shape.solid_boxes import Solid, boxes_meet
from tests.domain.fabrication.making import build_of, findings_of

Corners = np.ndarray[tuple[int, ...], np.dtype[np.float64]]


def boxes(seed: int) -> tuple[tuple[Solid, Solid], tuple[Corners, Corners]]:
    """Two boxes turned at random, and the corners of each."""
    chance = Random(seed)
    solids: list[Solid] = []
    corners: list[Corners] = []
    for _ in range(2):
        turned = Rotation.from_rotvec([chance.uniform(-3, 3) for _ in range(3)]).as_matrix()
        half = np.array([chance.uniform(0.002, 0.05) for _ in range(3)])
        centre = np.array([chance.uniform(-0.045, 0.045) for _ in range(3)])
        axes = tuple(tuple(map(float, row)) for row in turned)
        solids.append((tuple(map(float, centre)), axes, tuple(map(float, half))))  # type: ignore[arg-type]
        signs = np.array(list(product((-1, 1), repeat=3)))
        corners.append(centre + (signs * half) @ turned)
    return (solids[0], solids[1]), (corners[0], corners[1])


def apart_m(one: Corners, other: Corners) -> float:
    """How far a plane between two sets of corners can stand off both [m]; below 0 they meet.

    Second method: the plane n x = d with the components of n within 1, by linear programming.
    """
    rows = [[*(-p), 1, 1] for p in one] + [[*p, -1, 1] for p in other]
    limits = [(-1, 1)] * 3 + [(None, None), (None, 1)]
    found = linprog([0, 0, 0, 0, -1], A_ub=rows, b_ub=[0] * 16, bounds=limits)
    return float(-found.fun)


def test_boxes_meet_where_no_plane_parts_them() -> None:
    meeting = 0
    for seed in range(100):
        solids, corners = boxes(seed)
        gap = apart_m(*corners)
        if 1e-9 < gap < 2e-5:
            continue  # a touch is neither
        meeting += gap <= 1e-9
        assert boxes_meet(*solids) is (gap <= 1e-9), seed
        assert boxes_meet(solids[1], solids[0]) is (gap <= 1e-9), seed
    assert 20 < meeting < 80


def test_two_rods_that_cross_without_touching() -> None:
    # geometry: rods along x and y, 1 mm square in section, one above the other. Turned by 45
    # degrees about themselves they are 1.414 mm high: at 1.4 mm apart they meet, at 1.43 not.
    root = 0.5**0.5
    along_x: Solid = (
        (0.0, 0.0, 0.0),
        ((1.0, 0.0, 0.0), (0.0, root, root), (0.0, -root, root)),
        (0.1, 0.0005, 0.0005),
    )
    for height, meet in ((0.0014, True), (0.00143, False)):
        along_y: Solid = (
            (0.0, 0.0, height),
            ((0.0, 1.0, 0.0), (root, 0.0, root), (root, 0.0, -root)),
            (0.1, 0.0005, 0.0005),
        )
        assert boxes_meet(along_x, along_y) is meet


@pytest.mark.parametrize(
    ("turn_deg", "side", "mirrored", "fouls"),
    [
        # a device of 120 x 10 mm in the middle of a sheet of 200 x 140, the bend 70 mm above it.
        # Along the sheet it stays 65 mm away, across it it reaches 60 mm: clear of a 10 mm wall
        (0.0, 0.0, False, False),
        (90.0, 0.0, False, True),
        # turned by 60 degrees counter-clockwise its right end points up: 30 mm to the right and
        # 52 + 2.5 up. The wall is on that half only
        (60.0, 0.05, False, True),
        (60.0, -0.05, False, False),
        (-60.0, 0.05, False, False),
        (-60.0, -0.05, False, True),
        # its outline is the same on both sides: mirroring changes nothing
        (60.0, 0.05, True, True),
    ],
)
def test_a_device_is_turned_on_its_panel(
    turn_deg: float, side: float, mirrored: bool, fouls: bool
) -> None:
    wall = 0.2 if side == 0 else 0.1
    panels: list[dict[str, Any]] = [
        {"id": "n1", "width_m": 0.2, "length_m": 0.124},
        {"id": "n2", "joins": "n1", "width_m": wall, "offset_m": side, "bend_radius_m": 0.003},
    ]
    build = build_of(
        panels,
        part={"material": "aluminium 5052-H32", "thickness_m": 0.003},
        footprints=[{"id": "f1", "length_m": 0.12, "width_m": 0.01, "height_m": 0.03}],
        mounts=[
            {
                "id": "o1",
                "footprint": "f1",
                "panel": "n1",
                "x_m": 0.1,
                "y_m": 0.07,
                "turn_deg": turn_deg,
                "mirrored": mirrored,
            }
        ],
    )
    assert any(f.code == "device-fouls" for f in findings_of(build)) is fouls


def test_large_boxes_meet_as_small_ones_do() -> None:
    # likeness: sixty times as large and as far apart, two boxes meet as before
    for seed in range(40):
        solids, corners = boxes(seed)
        if 1e-9 < apart_m(*corners) < 2e-5:
            continue
        large = [
            (tuple(60 * x for x in centre), axes, tuple(60 * x for x in half))
            for centre, axes, half in solids
        ]
        assert boxes_meet(large[0], large[1]) is boxes_meet(*solids), seed  # type: ignore[arg-type]
