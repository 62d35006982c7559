"""SVG files read back by another library: sizes in millimetres within 0.05 mm."""

from io import BytesIO
from math import dist, hypot

import pytest
from shapely import Polygon
from svgelements import SVG, Circle, Group, Path, SimpleLine, Title
from svgelements import Path as SvgPath

from domain.build.records import Build
from domain.fabrication.shape.flat_pattern import Flat, develop, hole_area_m2, path_length_m
from storage.pack.pattern import pattern
from storage.pack.svg import EDGE, svg
from tests.storage.pack.parts import ODD_NAMES, bracket, many_holes

NEAR = 0.05
PPI = 25.4
"""Read so that one unit is one millimetre."""


def read(build: Build) -> tuple[SVG, dict[str, Group], Flat]:
    flat = develop(build, build.parts[0])
    assert isinstance(flat, Flat)
    document = SVG.parse(BytesIO(svg(pattern(build, "p1"))), ppi=PPI)
    groups = {each.id: each for each in document if isinstance(each, Group) and each.id}
    return document, groups, flat


def points(path: SvgPath, steps: int = 40) -> list[tuple[float, float]]:
    return [
        (at.x, at.y)
        for segment in path
        for at in (segment.point(i / steps) for i in range(steps + 1))
        if segment.start is not None
    ]


LAYERS = [
    *("CUT", "BEND_UP", "BEND_DOWN", "SCORE_MARKED_FACE", "SCORE_BACK", "HEAT", "DRILL"),
    "ENGRAVE",
]


def test_page_and_layers() -> None:
    document, groups, flat = read(bracket())
    assert list(groups) == LAYERS
    size = (flat.width_m * 1000 + 2 * EDGE, flat.height_m * 1000 + 2 * EDGE)
    assert (document.width, document.height) == pytest.approx(size, abs=1e-3)
    shapes = [sum(not isinstance(each, Title) for each in group) for group in groups.values()]
    assert shapes == [3, 1, 1, 1, 0, 4, 5, 3]


def test_outline_slots_and_holes_measure_right() -> None:
    _, groups, flat = read(bracket())
    high = flat.height_m * 1000
    cut = {each.id: Path(each) for each in groups["CUT"]}
    outline = cut.pop("outline")
    assert outline.length(error=1e-6) == pytest.approx(path_length_m(flat.outline) * 1000, abs=NEAR)
    x0, y0, x1, y1 = outline.bbox()
    assert (x0, y0) == pytest.approx((EDGE, EDGE), abs=NEAR)
    assert (x1 - x0, y1 - y0) == pytest.approx((flat.width_m * 1000, high), abs=NEAR)
    rounds = {each.id: each for each in groups["DRILL"] if isinstance(each, Circle)}
    for hole in flat.holes:
        at = (EDGE + hole.x_m * 1000, EDGE + high - hole.y_m * 1000)
        if hole.id in rounds:
            circle = rounds[hole.id]
            assert dist((circle.cx, circle.cy), at) < NEAR
            assert circle.rx * 2 == pytest.approx(hole.diameter_m * 1000, abs=NEAR)
        else:
            shape = Polygon(points(cut[hole.id]))
            assert dist(shape.centroid.coords[0], at) < NEAR
            assert shape.area == pytest.approx(hole_area_m2(hole) * 1e6, rel=1e-3)


def test_bends_and_scores() -> None:
    _, groups, flat = read(bracket())
    lines = [
        each
        for layer in ("BEND_UP", "BEND_DOWN", "HEAT")
        for each in groups[layer]
        if isinstance(each, SimpleLine)
    ]
    lengths = sorted(hypot(line.x2 - line.x1, line.y2 - line.y1) for line in lines)
    wanted = [hypot(b.x1 - b.x0, b.y1 - b.y0) * 1000 for b in flat.bends]
    assert lengths == pytest.approx(sorted(3 * wanted), abs=NEAR)
    score = groups["SCORE_MARKED_FACE"][0]
    scored = next(b for b in flat.bends if b.score_m)
    high = flat.height_m * 1000
    assert score.y1 == pytest.approx(EDGE + high - scored.y0 * 1000, abs=NEAR)


@pytest.mark.parametrize("name", ODD_NAMES.values(), ids=ODD_NAMES)
def test_odd_names_are_readable_files(name: str) -> None:
    build = bracket(name)
    _, groups, _ = read(build)
    words = [each.text for each in groups["ENGRAVE"]]
    shown = build.parts[0].name.replace("\uffff", "\ufffd") or "Part p1"
    assert words[-1] == shown


def test_thousands_of_holes() -> None:
    _, groups, _ = read(many_holes(5000))
    assert sum(isinstance(each, Circle) for each in groups["DRILL"]) == 5000
