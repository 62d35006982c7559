"""Footprints: a device's feet placed on a panel, turned and mirrored, drilled for their screws."""

from math import dist
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.build.records import Build
from domain.fabrication.parts import fabricate
from tests.domain.fabrication.making import BRACKET, build_of, laid_of

FEET = {"id": "f1", "name": "Fuse block", "length_m": 0.06, "width_m": 0.04, "height_m": 0.02}
STUDS = [
    {"id": "u1", "footprint": "f1", "x_m": 0.005, "y_m": 0.01},
    {
        "id": "u2",
        "footprint": "f1",
        "x_m": 0.055,
        "y_m": 0.01,
        "kind": "tapped",
        "thread": "#10-24",
    },
    {"id": "u3", "footprint": "f1", "x_m": 0.005, "y_m": 0.035},
]


def placed(**mount: Any) -> dict[str, tuple[float, float]]:
    at = {"id": "o1", "footprint": "f1", "panel": "n1", "x_m": 0.1, "y_m": 0.1, **mount}
    build = build_of(
        [{"id": "n1", "length_m": 0.2, "width_m": 0.2}], footprints=[FEET], studs=STUDS, mounts=[at]
    )
    return {hole.stud: (hole.x_m, hole.y_m) for hole in laid_of(build).placed}


@pytest.mark.parametrize(
    ("mount", "u1", "u2"),
    [
        # by hand: from the middle of the 60 by 40 footprint, u1 is at (-25, -10), u2 at (25, -10)
        ({}, (0.075, 0.09), (0.125, 0.09)),
        ({"turn_deg": 90}, (0.11, 0.075), (0.11, 0.125)),
        ({"turn_deg": 180}, (0.125, 0.11), (0.075, 0.11)),
        ({"mirrored": True}, (0.125, 0.09), (0.075, 0.09)),
        ({"mirrored": True, "turn_deg": 90}, (0.11, 0.125), (0.11, 0.075)),
    ],
)
def test_turned_and_mirrored(
    mount: dict[str, Any], u1: tuple[float, float], u2: tuple[float, float]
) -> None:
    found = placed(**mount)
    assert found["u1"] == pytest.approx(u1)
    assert found["u2"] == pytest.approx(u2)


@given(turn=st.floats(-180, 180), mirrored=st.booleans())
def test_the_pattern_keeps_its_distances(turn: float, mirrored: bool) -> None:
    # conservation: distances between studs do not change
    found = placed(turn_deg=turn, mirrored=mirrored)
    assert dist(found["u1"], found["u2"]) == pytest.approx(0.05)
    assert dist(found["u1"], found["u3"]) == pytest.approx(0.025)
    assert dist(found["u2"], found["u3"]) == pytest.approx((0.05**2 + 0.025**2) ** 0.5)
    # three feet in a row turn the other way round when mirrored
    (ax, ay), (bx, by), (cx, cy) = found["u1"], found["u2"], found["u3"]
    turned = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    assert (turned > 0) is not mirrored


def test_feet_are_drilled_and_listed_with_the_part() -> None:
    mount: dict[str, Any] = {
        "id": "o1",
        "footprint": "f1",
        "panel": "n2",
        "x_m": 0.038,
        "y_m": 0.06,
    }
    mount["turn_deg"] = 90
    build = build_of(BRACKET, footprints=[FEET], studs=STUDS, mounts=[mount])
    (part,), findings = fabricate(build)
    assert [finding.code for finding in findings] == ["mount-without-mass", "part-held-by-nothing"]
    drills = {hole.id: (hole.drill, hole.kind, hole.thread, hole.panel) for hole in part.holes}
    # source: ISO 273 medium, M5 5.5 mm; drill and tap chart, #10-24 #25
    assert drills == {
        "o1.u1": ("5.5 mm", "clearance", "M5", "n2"),
        "o1.u2": ("#25", "tapped", "#10-24", "n2"),
        "o1.u3": ("5.5 mm", "clearance", "M5", "n2"),
    }


def test_a_mount_of_nothing_is_a_finding() -> None:
    build = Build.of(
        {
            "parts": [{"id": "p1"}],
            "panels": [{"id": "n1", "part": "p1"}],
            "footprints": [FEET],
            "mounts": [{"id": "o1", "panel": "n1"}, {"id": "o2", "footprint": "f1"}],
        }
    )
    _, findings = fabricate(build)
    assert [(f.code, f.id, f.field) for f in findings] == [
        ("mount-without-panel", "o2", "panel"),
        ("mount-without-footprint", "o1", "footprint"),
    ]
