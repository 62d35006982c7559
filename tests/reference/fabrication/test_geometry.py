"""Areas, outlines, overlaps and distances of flat patterns against a general geometry library."""

from itertools import pairwise
from math import acos, atan2, cos, hypot, inf, pi, radians, sin
from random import Random
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box, unary_union
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

from domain.build.choices import HoleKind, HoleShape
from domain.build.records import Build
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.cutouts import hole_area_m2, hole_path
from domain.fabrication.shape.flat_pattern import Flat, FlatHole, develop, path_outline
from domain.fabrication.shape.hole_distance import gap_m, least_gap_m
from domain.fabrication.shape.panel_tree import NotDeveloped, build_panel_tree
from domain.fabrication.shape.path import (
    Arc,
    path_area_m2,
    path_length_m,
    polygon_path,
    rounded,
)
from domain.fabrication.shape.sheet_edge import SheetEdge

PANEL = st.floats(0.05, 0.4)
TOUCH_M = 1e-6
CHORD_M = 4e-7
"""Twice what 800 chords leave of a circle of 30 mm, and of a slot turned anyhow."""


@st.composite
def parts(draw: st.DrawFn) -> Build:
    """A part of up to five panels at any edges, of aluminium, in a build of its own."""
    panels: list[dict[str, Any]] = []
    for i in range(draw(st.integers(1, 5))):
        panel = {
            "id": f"n{i + 1}",
            "part": "p1",
            "length_m": draw(PANEL),
            "width_m": draw(PANEL),
        }
        if i:
            onto = draw(st.integers(0, i - 1))
            panel |= {
                "joins": f"n{onto + 1}",
                "edge": draw(st.sampled_from(["far", "left", "right", "near"][: 3 + (onto == 0)])),
                "offset_m": draw(st.floats(-0.05, 0.05)),
                "bend_radius_m": draw(st.floats(0, 0.01)),
                "bend_deg": draw(st.just(0.0) | st.floats(0, 170)),
            }
        panels.append(panel)
    return Build.of(
        {
            "parts": [{"id": "p1", "material": "aluminium 3003", "thickness_m": 0.002}],
            "panels": panels,
        }
    )


def flat_of(build: Build) -> Flat:
    flat = develop(build, build.parts[0])
    assume(isinstance(flat, Flat))
    assert isinstance(flat, Flat)
    return flat


def pieces_of(build: Build, flat: Flat) -> list[BaseGeometry]:
    """Every panel and every bend as a rectangle, the bends from their lines and allowances.

    Of several bends at one edge, sheet of the panel reaches to where the smaller ones begin.
    """
    found: list[BaseGeometry] = [box(*place.rect) for place in flat.panels.values()]
    tree = build_panel_tree(build.parts[0], list(build.panels))
    assert not isinstance(tree, NotDeveloped)
    for joint in tree.joints:
        place, y = flat.panels[joint.child], joint.setback_m - joint.allowance_m
        (x0, y0), (x1, y1) = place.at(joint.span[0], y - joint.strip_m), place.at(joint.span[1], y)
        found.append(box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
    for bend in flat.bends:
        upright = abs(bend.x1 - bend.x0) < abs(bend.y1 - bend.y0)
        half = bend.allowance_m / 2
        x0, x1 = sorted((bend.x0, bend.x1))
        y0, y1 = sorted((bend.y0, bend.y1))
        found.append(
            box(x0 - half, y0, x1 + half, y1) if upright else box(x0, y0 - half, x1, y1 + half)
        )
    return found


def polygon_of(flat: Flat, error_m: float = 1e-7) -> Polygon:
    return Polygon(path_outline(flat.outline, error_m))


@settings(max_examples=100, deadline=None)
@given(build=parts())
def test_outline_is_the_union_of_panels_and_bends(build: Build) -> None:
    flat = flat_of(build)
    pieces = pieces_of(build, flat)
    union = unary_union(pieces)
    doubled = sum(piece.area for piece in pieces) - union.area
    # second method: pieces overlap by area if and only if the panels are said to overlap
    if doubled > 1e-9:
        assert flat.overlaps
        return
    assume(doubled < 1e-12)
    assert not flat.overlaps
    outline = polygon_of(flat)
    assert outline.exterior.is_ccw
    assert outline.area == pytest.approx(flat.area_m2, rel=1e-6)
    # inner corners left standing are all that the outline has beyond the union
    rounds = sum((1 - pi / 4) * arc.r**2 for arc in flat.outline if hasattr(arc, "r"))
    assert outline.area - union.area == pytest.approx(rounds, abs=1e-8)
    # sheet that lies side by side without a joint makes the outline touch itself; else it is sound
    if outline.is_valid:
        assert union.difference(outline).area < 1e-9


@settings(max_examples=60, deadline=None)
@given(
    width=st.floats(0.05, 0.5),
    height=st.floats(0.05, 0.5),
    radius=st.floats(1e-5, 0.02),
    notch=st.floats(0.05, 0.6),
)
def test_rounded_corners_against_offsets(
    width: float, height: float, radius: float, notch: float
) -> None:
    # second method: rounding is an offset in and out again; an L-shaped outline has both kinds
    dx, dy = width * notch, height * notch
    corners = [(0, 0), (width, 0), (width, height - dy), (width - dx, height - dy)]
    corners += [(width - dx, height), (0, height)]
    shape = Polygon(corners)
    inner = 0.0005
    assume(radius < min(dx, dy, width - dx, height - dy) / 2 - inner)
    path = rounded(corners, radius, 0.0)
    offset = shape.buffer(-radius, quad_segs=200, join_style="mitre").buffer(radius, quad_segs=200)
    assert path_area_m2(path) == pytest.approx(offset.area, rel=1e-5)
    assert path_length_m(path) == pytest.approx(offset.length, rel=1e-4)
    path = rounded(corners, 0.0, inner)
    offset = shape.buffer(inner, quad_segs=200, join_style="mitre")
    offset = offset.buffer(-inner, quad_segs=200)
    assert path_area_m2(path) == pytest.approx(offset.area, rel=1e-5)
    assert path_area_m2(polygon_path(corners)) == pytest.approx(shape.area)
    assert path_length_m(polygon_path(corners)) == pytest.approx(shape.length)


@settings(max_examples=20, deadline=None)
@given(corners=st.integers(3, 9), radius=st.floats(1e-4, 0.02))
def test_rounded_corners_of_any_angle_against_offsets(corners: int, radius: float) -> None:
    # a regular polygon turns by 360 degrees over its corners: 120 to 40 degrees, none square
    points = [(cos(2 * pi * i / corners), sin(2 * pi * i / corners)) for i in range(corners)]
    points = [(0.1 * x, 0.1 * y) for x, y in points]
    path = rounded(points, radius, 0.0)
    offset = Polygon(points).buffer(-radius, quad_segs=200, join_style="mitre")
    offset = offset.buffer(radius, quad_segs=200)
    assert path_area_m2(path) == pytest.approx(offset.area, rel=1e-5)
    assert path_length_m(path) == pytest.approx(offset.length, rel=1e-4)


@st.composite
def holes(draw: st.DrawFn, id: str) -> dict[str, Any]:
    diameter = draw(st.floats(0.002, 0.03))
    return {
        "id": id,
        "panel": "n1",
        "x_m": draw(st.floats(0, 0.3)),
        "y_m": draw(st.floats(0, 0.3)),
        "shape": draw(st.sampled_from(["round", "slot", "rectangle"])),
        "diameter_m": diameter,
        "across_m": diameter * draw(st.floats(1, 4)),
        "turn_deg": draw(st.floats(-180, 180)),
    }


def plate_with(made: list[dict[str, Any]]) -> Build:
    return Build.of(
        {
            "header": {"units": "metric"},
            "parts": [{"id": "p1"}],
            "panels": [{"id": "n1", "part": "p1", "length_m": 0.3, "width_m": 0.3}],
            "holes": made,
        }
    )


def shape_of(hole: FlatHole) -> BaseGeometry:
    """The hole drawn by the other library, from its record alone."""
    if hole.shape == "round":
        return Point(hole.x_m, hole.y_m).buffer(hole.diameter_m / 2, quad_segs=200)
    across = hole.across_m or hole.diameter_m
    half, high = across / 2, hole.diameter_m / 2
    made: BaseGeometry = box(-half, -high, half, high)
    if hole.shape == "slot":
        ends = [Point(x, 0).buffer(high, quad_segs=200) for x in (high - half, half - high)]
        made = unary_union([box(high - half, -high, half - high, high), *ends])
    return translate(rotate(made, hole.turn_deg, origin=(0, 0)), hole.x_m, hole.y_m)


@settings(max_examples=150, deadline=None)
@given(first=holes("h1"), second=holes("h2"))
def test_distance_between_holes(first: dict[str, Any], second: dict[str, Any]) -> None:
    build = plate_with([first, second])
    one, other = flat_of(build).holes
    shapes = shape_of(one), shape_of(other)
    for hole, shape in zip((one, other), shapes, strict=True):
        assert hole_area_m2(hole) == pytest.approx(shape.area, rel=1e-4)
        drawn = Polygon(path_outline(hole_path(hole), 1e-7))
        assert drawn.symmetric_difference(shape).area < 1e-3 * shape.area
    apart = shapes[0].distance(shapes[1])
    gap = gap_m(one, other)
    assert max(gap, 0.0) == pytest.approx(apart, abs=2e-6)
    assert least_gap_m(one, other) <= apart + CHORD_M
    # second method: the same least distances, from the drawn shapes
    _, findings = fabricate(build)
    found = {finding.code for finding in findings} & {"holes-too-near", "holes-run-together"}
    # a micrometre of overlap is a touch; the chords of the other library are 0.2 um off their arcs
    least = min(min(one.diameter_m, other.diameter_m) / 2, 2 * 0.00635) - TOUCH_M
    assume(abs(apart - least) > CHORD_M)
    assert bool(found) == (apart < least)


@settings(max_examples=150, deadline=None)
@given(hole=holes("h1"))
def test_distance_to_the_edge(hole: dict[str, Any]) -> None:
    build = plate_with([hole])
    flat = flat_of(build)
    shape = shape_of(flat.holes[0])
    plate = polygon_of(flat)
    _, findings = fabricate(build)
    found = {finding.code for finding in findings} & {"hole-near-edge", "hole-breaks-out"}
    least = min(1.5 * flat.holes[0].diameter_m, 2 * 0.00635) - TOUCH_M
    x0, y0, x1, y1 = shape.bounds
    clear = min(x0, y0, 0.3 - x1, 0.3 - y1)
    # a hole that reaches over the edge by a micrometre touches it: it is near the edge, and whole
    assume(abs(clear - least) > CHORD_M)
    assume(abs(clear + TOUCH_M) > CHORD_M)
    assert bool(found) == (clear < least)
    assert ("hole-breaks-out" in found) == (clear < -TOUCH_M)
    assert flat.holes[0].whole == (clear > -TOUCH_M)
    # conservation: a hole that lies whole in the sheet takes its own area, another takes none
    taken = plate.area - flat.area_m2
    whole = shape.area if clear > -TOUCH_M else 0.0
    assert taken == pytest.approx(whole, rel=1e-4, abs=1e-9)
    # second method: the other library's distance
    rim = SheetEdge(flat.outline)
    gap = rim.clear_m(flat.holes[0], 1.0)
    if clear > 0:
        assert gap == pytest.approx(plate.exterior.distance(shape), abs=2 * CHORD_M)
    else:
        beyond = max(Point(each).distance(plate) for each in shape.exterior.coords)
        assert gap <= 0
        assert rim.beyond_m(flat.holes[0]) == pytest.approx(beyond, abs=2 * CHORD_M)


@pytest.mark.parametrize("seed", range(6))
def test_distance_to_slanted_edges(seed: int) -> None:
    # second method: shapely, with a pointed star that stands anywhere: edges of every direction
    chance = Random(seed)
    x, y = chance.uniform(-0.5, 0.5), chance.uniform(-0.5, 0.5)
    spikes = [(0.15 if i % 2 else chance.uniform(0.06, 0.1), i * pi / 7 + seed) for i in range(14)]
    star = [(x + r * cos(a), y + r * sin(a)) for r, a in spikes]
    rim, plate = SheetEdge(polygon_path(star)), Polygon(star)
    shapes = list(HoleShape)
    for number in range(30):
        size, where = chance.uniform(0.002, 0.01), chance.uniform(0, 0.1)
        turn = chance.uniform(-pi, pi)
        hole = FlatHole(
            "h", x + where * cos(turn), y + where * sin(turn), shapes[number % 3], size,
            chance.uniform(size, 4 * size), chance.uniform(-180, 180), HoleKind.PLAIN, "", size,
            "n1", "",
        )  # fmt: skip
        shape = shape_of(hole)
        apart = plate.exterior.distance(shape) if plate.contains(shape) else 0.0
        assert rim.whole(hole) == (apart > 0)
        for most in (0.001, 0.01, 1.0):
            gap = rim.clear_m(hole, most)
            if not apart:
                assert gap <= 0
            elif abs(apart - most) > CHORD_M:
                assert gap == (pytest.approx(apart, abs=2 * CHORD_M) if apart < most else inf)


@pytest.mark.parametrize("seed", range(6))
def test_how_far_a_hole_lies_beyond_slanted_edges(seed: int) -> None:
    # second method: shapely; the nearest edge may be far above or below the hole
    chance = Random(seed)
    spikes = [(0.15 if i % 2 else chance.uniform(0.06, 0.1), i * pi / 7 + seed) for i in range(14)]
    star = [(r * cos(a), r * sin(a)) for r, a in spikes]
    rim, plate = SheetEdge(polygon_path(star)), Polygon(star)
    outside = 0
    for _ in range(40):
        x, y = chance.uniform(-0.3, 0.3), chance.uniform(-0.3, 0.3)
        hole = FlatHole(
            *("h", x, y, HoleShape.ROUND, 0.006, None, 0.0),
            *(HoleKind.PLAIN, "", 0.006, "n1", ""),
        )
        apart = plate.distance(Point(x, y))
        if apart:
            assert rim.beyond_m(hole) == pytest.approx(apart + 0.003, abs=1e-9)
            outside += 1
    assert outside > 20


@pytest.mark.parametrize("shape", HoleShape)
@pytest.mark.parametrize("side", range(4))
def test_a_hole_that_touches_the_edge_is_whole(shape: HoleShape, side: int) -> None:
    # a micrometre is a touch: crumbs of typed inches put a hole over the edge by less than that
    rim = SheetEdge(polygon_path([(0, 0), (0.3, 0), (0.3, 0.2), (0, 0.2)]))
    half = 0.004 if side % 2 or shape is HoleShape.ROUND else 0.009
    for over, whole in ((-1e-7, True), (9e-7, True), (1.2e-6, False)):
        x, y = [
            (half - over, 0.1), (0.15, half - over), (0.3 - half + over, 0.1),
            (0.15, 0.2 - half + over),
        ][side]  # fmt: skip
        hole = FlatHole("h", x, y, shape, 0.008, 0.018, 0.0, HoleKind.PLAIN, "", 0.008, "n1", "")
        assert rim.whole(hole) is whole
        assert rim.beyond_m(hole) == pytest.approx(max(over, 0.0), abs=1e-9)


def test_crumbs_on_a_straight_edge_are_no_corners() -> None:
    # geometry: a point a hundredth of a nanometre off the straight line between two others is on
    # it, wherever the line lies; so is one exactly on it. A micrometre off it is a corner
    square = [(-0.3, 0.0), (0.1, 1e-11), (0.3, 0.0), (0.3, 0.2), (0.1, 0.2), (-0.3, 0.2)]
    for dx, dy in ((0.0, 0.0), (0.7, -0.4), (0.0, -0.2), (-0.3, 0.0), (0.3, -0.1)):
        at = [(x + dx, y + dy) for x, y in square]
        for points in (at, [(-y, x) for x, y in at]):
            assert len(polygon_path(points)) == 4
            bulged = [*points[:4], ((points[4][0] + 1e-6), points[4][1] + 1e-6), points[5]]
            assert len(polygon_path(bulged)) == 5


@pytest.mark.parametrize("radius_m", [0.0005, 0.004, 0.09])
@pytest.mark.parametrize("error_m", [1e-7, 1e-5])
def test_chords_leave_an_arc_by_no_more_than_is_asked(radius_m: float, error_m: float) -> None:
    # geometry: the middle of a chord is nearest to the centre; and no more chords than it takes
    path = rounded([(0, 0), (0.2, 0), (0.2, 0.2), (0, 0.2)], radius_m, 0.0)
    outline = path_outline(path, error_m)
    for arc in (each for each in path if isinstance(each, Arc)):
        on = [p for p in outline if abs(hypot(p[0] - arc.cx, p[1] - arc.cy) - arc.r) < 1e-9]
        on = sorted(on, key=lambda p: atan2(p[1] - arc.cy, p[0] - arc.cx) - radians(arc.start_deg))
        chords = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(on)]
        most = 2 * (2 * arc.r * error_m - error_m**2) ** 0.5
        assert min(chords) <= most * 1.0001
        ideal = (pi / 2) / (2 * acos(1 - error_m / arc.r))
        assert ideal - 1e-9 <= len(outline) / 4 <= ideal + 2


@pytest.mark.parametrize("edge", ["far", "left", "right", "near"])
def test_sheet_that_only_a_bend_needs_is_taken(edge: str) -> None:
    # by hand: a right angle of 10 mm radius takes 16 mm of sheet, 4 of them beyond the edge; a tab
    # 2 mm deep at the same place lies in that strip alone, 25 mm aside it lies beside it
    bent = {"id": "n2", "joins": "n1", "edge": edge, "length_m": 0.05, "width_m": 0.03}
    tab = {"id": "n3", "joins": "n1", "edge": edge, "length_m": 0.002, "width_m": 0.01}
    for aside, found in ((0.0, (("n2", "n3"),)), (0.025, ())):
        build = Build.of(
            {
                "parts": [{"id": "p1", "material": "aluminium 3003", "thickness_m": 0.002}],
                "panels": [
                    {"id": "n1", "part": "p1", "length_m": 0.1, "width_m": 0.1},
                    {**bent, "part": "p1", "bend_radius_m": 0.01},
                    {**tab, "part": "p1", "bend_deg": 0.0, "offset_m": aside},
                ],
            }
        )
        flat = develop(build, build.parts[0])
        assert isinstance(flat, Flat)
        assert flat.overlaps == found


@pytest.mark.parametrize("sides", [3, 5, 8, 60])
def test_area_of_regular_polygons(sides: int) -> None:
    # source: area n/2 R^2 sin(360/n), Machinery's Handbook, 31st ed., p. 80, regular polygons
    turn = [radians(360 * i / sides) for i in range(sides)]
    path = polygon_path([(cos(a), sin(a)) for a in turn])
    assert path_area_m2(path) == pytest.approx(sides / 2 * sin(2 * pi / sides))
