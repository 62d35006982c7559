"""Flat and folded are one part: distances, areas and bends agree between the two."""

from math import dist, pi, radians, sin
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from domain.fabrication.shape.flat_pattern import (
    Arc,
    Flat,
    Folded,
    NotDeveloped,
    develop,
    fold,
    path_area_m2,
    path_bounds,
)
from tests.domain.fabrication.making import BRACKET, INCH_M, build_of

lengths = st.floats(0.06, 0.5)
EDGES = ("far", "left", "right", "near")


@st.composite
def trees(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Panels that join the ones before them at any free edge."""
    panels: list[dict[str, Any]] = []
    for i in range(draw(st.integers(1, 6))):
        panel: dict[str, Any] = {
            "id": f"n{i + 1}",
            "length_m": draw(lengths),
            "width_m": draw(lengths),
        }
        if i:
            onto = draw(st.integers(0, i - 1))
            panel |= {
                "joins": f"n{onto + 1}",
                "edge": draw(st.sampled_from(EDGES if onto == 0 else EDGES[:3])),
                "up": draw(st.booleans()),
                "offset_m": draw(st.floats(-0.05, 0.05)),
                "bend_deg": draw(st.just(0.0) | st.floats(0, 170)),
                "bend_radius_m": draw(st.floats(0, 0.01)),
            }
        panels.append(panel)
    return panels


def any_of(panels: list[dict[str, Any]], **part: Any) -> tuple[Flat, Folded]:
    """As ``both``, for random panels: what cannot be laid out is passed over."""
    build = build_of(panels, part=part)
    assume(not isinstance(develop(build, build.parts[0]), NotDeveloped))
    return both(panels, **part)


def both(panels: list[dict[str, Any]], **part: Any) -> tuple[Flat, Folded]:
    build = build_of(panels, part=part)
    flat, folded = develop(build, build.parts[0]), fold(build, build.parts[0])
    assert isinstance(flat, Flat), flat
    assert isinstance(folded, Folded)
    return flat, folded


@settings(max_examples=150, deadline=None)
@given(panels=trees(), thickness=st.floats(0.001, 0.006), x=st.floats(0, 1), y=st.floats(0, 1))
def test_folding_and_unfolding_gives_the_same_point(
    panels: list[dict[str, Any]], thickness: float, x: float, y: float
) -> None:
    flat, folded = any_of(panels, thickness_m=thickness)
    for panel in panels:
        at = (x * panel["width_m"], y * panel["length_m"])
        place, frame = flat.panels[panel["id"]], folded.panels[panel["id"]]
        assert place.back(*place.at(*at)) == pytest.approx(at, abs=1e-12)
        assert frame.back(frame.at(*at)) == pytest.approx((*at, 0), abs=1e-12)
        # conservation: a panel stays flat and keeps its size
        other = (0.01, 0.02)
        assert dist(frame.at(*at), frame.at(*other)) == pytest.approx(
            dist(place.at(*at), place.at(*other)), abs=1e-12
        )


@settings(max_examples=150, deadline=None)
@given(panels=trees(), thickness=st.floats(0.001, 0.006), corner=st.floats(0, 0.01))
def test_area_and_bends_are_conserved(
    panels: list[dict[str, Any]], thickness: float, corner: float
) -> None:
    flat, folded = any_of(panels, thickness_m=thickness, corner_m=corner)
    assume(not flat.overlaps)
    # conservation: folded faces and the sheet in the bends make the flat pattern; each rounded
    # corner takes (1 - pi/4) r^2, each inner one leaves it
    total = 0.0
    for frame in folded.panels.values():
        a, b, _, d = frame.corners(thickness)[:4]
        total += dist(a, b) * dist(a, d)
    joints = {panel["id"]: panel for panel in panels if "joins" in panel}
    for bend in flat.bends:
        # neutral line at half thickness of hot-bent plastic
        middle = bend.radius_m + thickness / 2
        assert bend.allowance_m == pytest.approx(radians(bend.angle_deg) * middle)
    narrow = _bend_lengths(flat)
    total += sum(bend.allowance_m * narrow[bend.panel] for bend in flat.bends)
    for arc in flat.outline:
        if isinstance(arc, Arc):
            side = 1 if arc.end_deg > arc.start_deg else -1
            assert abs(arc.end_deg - arc.start_deg) == pytest.approx(90)
            total -= side * (1 - pi / 4) * arc.r**2
    strips = len(joints) != len({(p["joins"], p["edge"]) for p in joints.values()})
    if strips:  # two bends at one edge: sheet between the core and the smaller of them
        assert flat.area_m2 >= total - 1e-9
    else:
        assert flat.area_m2 == pytest.approx(total, abs=1e-9)
    # the outline closes, and its box is the pattern's
    for one, following in zip(flat.outline, (*flat.outline[1:], flat.outline[0]), strict=True):
        assert dist(one.end, following.start) < 1e-9
    x0, y0, x1, y1 = path_bounds(flat.outline)
    assert (x0, y0, x1, y1) == pytest.approx((0, 0, flat.width_m, flat.height_m), abs=1e-9)
    assert path_area_m2(flat.outline) == pytest.approx(flat.area_m2)


def _bend_lengths(flat: Flat) -> dict[str, float]:
    return {b.panel: dist((b.x0, b.y0), (b.x1, b.y1)) for b in flat.bends}


@settings(max_examples=80, deadline=None)
@given(
    angle=st.floats(0, 175),
    radius=st.floats(0, 0.02),
    thickness=st.floats(0.0005, 0.01),
    up=st.booleans(),
    edge=st.sampled_from(EDGES),
)
def test_a_bend_keeps_its_radius(
    angle: float, radius: float, thickness: float, up: bool, edge: str
) -> None:
    panels = [
        {"id": "n1", "length_m": 3, "width_m": 3},
        {
            "id": "n2",
            "joins": "n1",
            "edge": edge,
            "up": up,
            "length_m": 1,
            "width_m": 1,
            "bend_deg": angle,
            "bend_radius_m": radius,
        },
    ]
    flat, folded = both(panels, thickness_m=thickness)
    if not angle:
        assert flat.bends == ()
        return
    (bend,) = flat.bends
    place = {id: flat.panels[id] for id in ("n1", "n2")}
    # second method: both ends of the bend's middle lie on a chord of the neutral circle
    ends = []
    for id in ("n1", "n2"):
        x, y = place[id].back((bend.x0 + bend.x1) / 2, (bend.y0 + bend.y1) / 2)
        x0, y0, x1, y1 = place[id].core
        tangent = (min(max(x, x0), x1), min(max(y, y0), y1))
        ends.append(folded.panels[id].at(*tangent, -thickness / 2))
    chord = 2 * (radius + thickness / 2) * sin(radians(angle) / 2)
    assert dist(*ends) == pytest.approx(chord, abs=1e-9)


def test_outside_sizes_of_an_l_are_what_was_entered() -> None:
    # by hand: both lengths are measured to outside faces
    _, folded = both(BRACKET, thickness_m=0.25 * INCH_M)
    assert [size / INCH_M for size in folded.envelope] == pytest.approx([3, 4, 4])
    # a hole 1 in from the bend's outside face is 1 in above the upright's outer face
    platform = folded.panels["n2"]
    back = platform.at(INCH_M, INCH_M, -0.25 * INCH_M)
    assert back[1] / INCH_M == pytest.approx(4)
    assert (back[2] - folded.low[2]) / INCH_M == pytest.approx(1)


def test_a_bend_beyond_a_right_angle_bulges() -> None:
    # by hand: the bend's outer circle, radius r + t = 5 mm, passes 5 mm beyond where it begins;
    # its outside corner would be tan(60 deg) 5 = 8.66 mm beyond
    panels: list[dict[str, Any]] = [
        {"id": "n1", "length_m": 0.1},
        {"id": "n2", "joins": "n1", "bend_deg": 120, "bend_radius_m": 0.002, "length_m": 0.05},
    ]
    _, folded = both(panels, thickness_m=0.003, material="aluminium 3003")
    assert folded.envelope[1] == pytest.approx(0.1 - 0.00866025 + 0.005, abs=1e-6)


def test_flat_joints_do_not_leave_the_plane() -> None:
    panels: list[dict[str, Any]] = [{"id": "n1"}]
    panels += [{"id": "n2", "joins": "n1", "bend_deg": 0, "edge": "left"}]
    flat, folded = both(panels, thickness_m=0.005)
    assert folded.envelope[2] == pytest.approx(0.005)
    assert flat.bends == ()
    assert flat.width_m == pytest.approx(0.15)
