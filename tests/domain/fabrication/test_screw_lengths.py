"""Screws of mounted devices: just long enough, just too long, and just clear of other panels."""

from math import cos, radians, sin
from typing import Any

import pytest

from tests.domain.fabrication.making import build_of, findings_of

WASHER_M = 0.0016
"""ISO 7089, for M6."""


def codes(
    panels: list[dict[str, Any]], screw_m: float, y_m: float = 0.05, kind: str = "clearance"
) -> dict[str, str]:
    """What is said of an M6 screw through a foot of 4 mm and a sheet of 3 mm, and why."""
    build = build_of(
        panels,
        part={"material": "aluminium 5052-H32", "thickness_m": 0.003},
        footprints=[{"id": "f1", "foot_m": 0.004, "length_m": 0.02, "width_m": 0.02}],
        studs=[
            {"id": "u1", "footprint": "f1", "thread": "M6", "kind": kind, "screw_m": screw_m,
             "x_m": 0.01, "y_m": 0.01}
        ],
        mounts=[{"id": "o1", "footprint": "f1", "panel": "n1", "x_m": 0.05, "y_m": y_m}],
    )  # fmt: skip
    return {f.code: f.why for f in findings_of(build) if f.code.startswith("screw-")}


PLATE: list[dict[str, Any]] = [{"id": "n1", "length_m": 0.1, "width_m": 0.1}]
STACK_M = 0.004 + WASHER_M + 0.003


@pytest.mark.parametrize(
    ("kind", "least_m", "most_m", "words"),
    [
        # by hand: foot, washer and sheet, and two pitches of 1 mm up to a length that is sold
        ("tapped", STACK_M, 0.012, "foot, washer and sheet"),
        # behind it a washer, a nut of 5.2 mm (ISO 4032) and a pitch
        ("clearance", STACK_M + WASHER_M + 0.0052 + 0.001, 0.02, "washers, sheet, nut"),
    ],
)
def test_a_screw_of_just_the_length_is_well(
    kind: str, least_m: float, most_m: float, words: str
) -> None:
    for right in (least_m, most_m):
        assert codes(PLATE, right, kind=kind) == {}
    short, long = codes(PLATE, least_m - 1e-4, kind=kind), codes(PLATE, most_m + 1e-4, kind=kind)
    assert list(short) == ["screw-too-short"]
    assert list(long) == ["screw-too-long"]
    assert all(words in why for why in (*short.values(), *long.values()))


def test_a_screw_that_just_reaches_the_panel_behind() -> None:
    # by hand: a channel 40 mm high outside has 34 mm between its sheets of 3 mm
    channel = [
        *PLATE,
        *(
            {"id": id, "joins": on, "length_m": long, "width_m": 0.1, "bend_radius_m": 0.003,
             "up": False}
            for id, on, long in (("n2", "n1", 0.04), ("n3", "n2", 0.1))
        ),
    ]  # fmt: skip
    assert "screw-fouls" not in codes(channel, STACK_M + 0.034 - 1e-4)
    assert "screw-fouls" in codes(channel, STACK_M + 0.034 + 1e-4)


def test_a_screw_that_just_clears_a_wall_beside_it() -> None:
    # by hand: the wall's near face is at 97 mm; a screw in its hole of 6.6 mm (ISO 273) needs 3.3
    wall = [
        *PLATE,
        {"id": "n2", "joins": "n1", "length_m": 0.05, "width_m": 0.1, "bend_radius_m": 0.003,
         "up": False},
    ]  # fmt: skip
    assert "screw-fouls" not in codes(wall, 0.04, y_m=0.097 - 0.0033 - 1e-4)
    assert "screw-fouls" in codes(wall, 0.04, y_m=0.097 - 0.0033 + 1e-4)


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0, -30.0, 135.0])
def test_a_turned_device_just_clears_a_wall_beside_it(turn_deg: float) -> None:
    # by hand: 60 by 20 mm, turned, reaches 30 |sin| + 10 |cos| across; the wall's near face is at
    # 97 mm, 3 mm of sheet inside the outer size of 100 mm
    reach = 0.03 * abs(sin(radians(turn_deg))) + 0.01 * abs(cos(radians(turn_deg)))
    for gap_m, fouls in ((5e-4, False), (-5e-4, True)):
        build = build_of(
            [
                *PLATE,
                {"id": "n2", "joins": "n1", "length_m": 0.05, "width_m": 0.1,
                 "bend_radius_m": 0.0005, "up": True},
            ],
            part={"material": "aluminium 5052-H32", "thickness_m": 0.003},
            footprints=[{"id": "f1", "foot_m": 0.004, "length_m": 0.06, "width_m": 0.02,
                         "height_m": 0.03}],
            mounts=[{"id": "o1", "footprint": "f1", "panel": "n1", "x_m": 0.05,
                     "y_m": 0.097 - reach - gap_m, "turn_deg": turn_deg}],
        )  # fmt: skip
        assert ("device-fouls" in {f.code for f in findings_of(build)}) is fouls
