"""Printed templates, read back by another library: sizes hold to 0.05 mm, on paper and in pixels.

Expected sizes are those that were typed (second method: the pattern's exact areas and lengths).
"""

from math import ceil, dist, hypot, pi

import pytest
from shapely import Point, Polygon, box, unary_union

from domain.build.records import Build, Hole, Panel
from domain.fabrication.shape.flat_pattern import Flat as FlatPattern
from domain.fabrication.shape.flat_pattern import develop, hole_area_m2, path_length_m
from storage.errors import TransferError
from storage.pack.ink import HOLE, OUTLINE
from storage.pack.pattern import pattern
from storage.pack.template_pdf import template_pdf, tiles_with_lines
from storage.pack.tiles import OVERLAP, PAPERS, Tile, lay_tiles
from tests.counts import cases
from tests.storage.pack.measuring import Drawn, crosses, drawn, open_pdf, pixels
from tests.storage.pack.parts import ODD_NAMES, bracket, many_holes, plate

NEAR = 0.05
"""What a printed length may be off [mm]."""

BARS = (100.0, 101.6)
"""Check bars [mm]: 100 mm, and 4 in by the definition of the inch."""


def template(build: Build, paper: str = "a4") -> bytes:
    return template_pdf(pattern(build, "p1", "B", "2026-03-01"), paper)


def flat_of(build: Build) -> FlatPattern:
    flat = develop(build, build.parts[0])
    assert isinstance(flat, FlatPattern)
    return flat


def weighing(paths: list[Drawn], weight: float) -> list[Drawn]:
    return [p for p in paths if abs(p.weight - weight) < 1e-3 and not p.filled]


def outline_of(paths: list[Drawn]) -> Drawn:
    return max(weighing(paths, OUTLINE.weight), key=lambda path: path.length)


@pytest.mark.parametrize("paper", PAPERS)
def test_outline_and_holes_measure_what_was_typed(paper: str) -> None:
    build = bracket()
    flat = flat_of(build)
    document = open_pdf(template(build, paper))
    assert len(document) == 1
    paths = drawn(document[0])
    outline = outline_of(paths)
    assert outline.length == pytest.approx(path_length_m(flat.outline) * 1000, abs=NEAR)
    x0, y0, x1, y1 = outline.box
    assert x1 - x0 == pytest.approx(flat.width_m * 1000, abs=NEAR)
    assert y1 - y0 == pytest.approx(flat.height_m * 1000, abs=NEAR)
    holes = [p for p in weighing(paths, HOLE.weight) if dist(p.points[0], p.points[-1]) < 1e-6]
    assert len(holes) == len(flat.holes) == 7
    for hole in flat.holes:
        at = (x0 + hole.x_m * 1000, y0 + hole.y_m * 1000)
        found = min(holes, key=lambda p: dist(Polygon(p.points).centroid.coords[0], at))
        assert dist(Polygon(found.points).centroid.coords[0], at) < NEAR
        area_mm2 = hole_area_m2(hole) * 1e6
        assert Polygon(found.points).area == pytest.approx(area_mm2, rel=2e-3)
        if len(found.points) > 4 and hole.across_m is None:
            wide = found.box[2] - found.box[0]
            assert wide == pytest.approx(hole.diameter_m * 1000, abs=NEAR)


def test_a_metre_wide_circle_is_round() -> None:
    build = plate(1.2, 1.2, (Hole(id="h1", panel="n1", x_m=0.6, y_m=0.6, diameter_m=1.0),))
    paths = drawn(open_pdf(template(build))[5])
    outline = outline_of(paths).box
    circle = max(weighing(paths, HOLE.weight), key=lambda path: path.length)
    middle = (outline[0] + 600, outline[1] + 600)
    away = [hypot(x - middle[0], y - middle[1]) for x, y in circle.points]
    assert min(away) == pytest.approx(500, abs=NEAR)
    assert max(away) == pytest.approx(500, abs=NEAR)
    assert circle.length == pytest.approx(1000 * pi, abs=NEAR)


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_are_the_paper(paper: str) -> None:
    build = plate(0.7, 0.3)
    document = open_pdf(template(build, paper))
    for page in document:
        sides = sorted((page.mediabox.width / 72 * 25.4, page.mediabox.height / 72 * 25.4))
        assert sides == pytest.approx(sorted(PAPERS[paper]), abs=0.001)
        assert page.cropbox == page.mediabox
        assert page.rotation == 0


@pytest.mark.parametrize("paper", PAPERS)
def test_neighbouring_sheets_meet_cross_on_cross(paper: str) -> None:
    build = plate(0.7, 0.6)
    document = open_pdf(template(build, paper))
    tiling = lay_tiles(700, 600, paper)
    sheets = tiles_with_lines(tiling, pattern(build, "p1"))
    assert len(document) == len(sheets) > 4
    seen: dict[tuple[int, int], list[tuple[float, float]]] = {}
    for page, tile in zip(document, sheets, strict=True):
        paths = drawn(page)
        x0, y0, _, _ = outline_of(paths).box
        found = crosses(paths)
        assert len(found) == 4
        for x, y in found:
            assert 0 < x < tiling.page_width
            assert 0 < y < tiling.page_height
        # The lattice point that a cross stands for, and where it lies on the part.
        for i, (x, y) in enumerate(sorted(found, key=lambda at: (round(at[1]), at[0]))):
            corner = (tile.column + i % 2, tile.row - i // 2)
            seen.setdefault(corner, []).append((x - x0, y - y0))
    assert len(seen) == (tiling.columns + 1) * (tiling.rows + 1)
    shared = [places for places in seen.values() if len(places) > 1]
    assert len(shared) > len(sheets)
    for places in shared:
        assert all(dist(places[0], other) < NEAR for other in places)


@pytest.mark.parametrize("paper", PAPERS)
def test_sheets_without_a_line_are_left_out(paper: str) -> None:
    """By a geometry library: the sheets printed cover every line, the others none of them."""
    drawing = pattern(plate(0.7, 0.6), "p1")
    tiling = lay_tiles(700, 600, paper)
    rim = box(0, 0, 700, 600).exterior
    printed = tiles_with_lines(tiling, drawing)
    assert 4 < len(printed) < tiling.sheets

    def seen(tile: Tile) -> Polygon:
        wide, high = tiling.window_width, tiling.window_height
        return box(tile.x, tile.y, tile.x + wide, tile.y + high)

    assert unary_union([seen(tile) for tile in printed]).contains(rim)
    for tile in tiling.tiles():
        if tile not in printed:
            own = seen(tile).buffer(-OVERLAP / 2 - 0.1)
            assert not own.intersects(rim)
            assert not any(own.contains(Point(hole.x, hole.y)) for hole in drawing.holes)


def test_check_bars_measure_right_in_pixels() -> None:
    """The tile set as a printer draws it: 300 dots per inch, ink summed along each bar."""
    dpi = 300
    dot = 25.4 / dpi
    document = open_pdf(template(plate(0.5, 0.4), "letter"))
    assert len(document) > 3
    for page in document:
        bars = [p.box for p in drawn(page) if p.filled and max(_size(p)) > 90]
        assert len(bars) == 4
        width, height, grey = pixels(page, dpi)
        found = []
        for x0, y0, x1, y1 in bars:
            if x1 - x0 > y1 - y0:
                row = height - round((y0 + y1) / 2 / dot)
                line = [
                    grey[row * width + x] for x in range(int(x0 / dot) - 20, int(x1 / dot) + 21)
                ]
            else:
                column = round((x0 + x1) / 2 / dot)
                low, high = height - int(y1 / dot) - 21, height - int(y0 / dot) + 20
                line = [grey[y * width + column] for y in range(low, high)]
            assert line[0] == line[-1] == 255
            found.append(sum(255 - value for value in line) / 255 * dot)
        assert sorted(found) == pytest.approx(sorted(BARS * 2), abs=NEAR)


def _size(path: Drawn) -> tuple[float, float]:
    x0, y0, x1, y1 = path.box
    return x1 - x0, y1 - y0


SIDES = ((0, 0, 500, 0), (500, 0, 500, 400), (0, 400, 500, 400), (0, 0, 0, 400))
"""The four sides of a plate of 500 x 400 [mm]."""


def test_the_window_of_each_sheet_shows_its_part_of_the_outline() -> None:
    """Ink of the outline over all sheets, overlaps counted once, is the whole outline."""
    build = plate(0.5, 0.4)
    tiling = lay_tiles(500, 400, "a4")
    dot = 25.4 / 100
    lengths = 0.0
    for page, tile in zip(open_pdf(template(build)), tiling.tiles(), strict=True):
        width, height, grey = pixels(page, 100)
        (x0, y0), _, (x1, y1), _ = tiling.corners(tile)
        # The outermost sheets show the rest of their windows too.
        x0 -= OVERLAP * (tile.column == 1)
        x1 += OVERLAP * (tile.column == tiling.columns)
        y0 -= OVERLAP * (tile.row == tiling.rows)
        y1 += OVERLAP * (tile.row == 1)
        shift_x, shift_y = (a - b for a, b in zip(tiling.window, (tile.x, tile.y), strict=True))
        for ax, ay, bx, by in SIDES:
            low_x, high_x = max(ax, x0), min(bx, x1)
            low_y, high_y = max(ay, y0), min(by, y1)
            if low_x > high_x or low_y > high_y:
                continue
            px = (low_x + high_x) / 2 + shift_x
            py = (low_y + high_y) / 2 + shift_y
            column, row = int(px / dot), height - 1 - int(py / dot)
            near = [grey[(row + j) * width + column + i] for i in (-1, 0, 1) for j in (-1, 0, 1)]
            assert min(near) < 128
            lengths += high_x - low_x + high_y - low_y
    assert lengths == pytest.approx(1800)


@pytest.mark.parametrize("name", ODD_NAMES.values(), ids=ODD_NAMES)
@pytest.mark.parametrize("paper", PAPERS)
def test_odd_names_print_inside_the_margins(name: str, paper: str) -> None:
    build = bracket(name)
    header = build.header.but(title=build.parts[0].name)
    content = template(build.but(header=header), paper)
    page = open_pdf(content)[0]
    width, height, grey = pixels(page, 60)
    band = int(8.5 / 25.4 * 60)
    for y in range(height):
        row = grey[y * width : (y + 1) * width]
        inner = band <= y < height - band
        edge = bytes(row[:band]) + bytes(row[width - band :]) if inner else bytes(row)
        assert set(edge) == {255}
    assert "Print at 100 %" in page.get_text()


def test_text_on_a_sheet_says_what_it_is() -> None:
    document = open_pdf(template(plate(0.5, 0.4)))
    words = document[1].get_text()
    for text in ("Plate", "12 mm thick", "revision B", "2026-03-01", "row 1, column 2", "R1 C2"):
        assert text in words
    words = open_pdf(template(bracket()))[0].get_text()
    for text in (
        "#25, tap 10-24",
        "5.5 mm for M5",
        "90° down",
        "slot 6 mm x 30 mm",
        "edge of heat",
    ):
        assert text in words


def test_thousands_of_holes_and_two_metres() -> None:
    count = cases(5000, 2000)
    document = open_pdf(template(many_holes(count)))
    tiling = lay_tiles(760, 10 * (1 + ceil(count / 75)), "a4")
    assert len(document) == tiling.sheets
    marks = set()
    for page in document:
        paths = drawn(page, steps=4)
        x0, y0, _, _ = outline_of(paths).box
        for p in weighing(paths, HOLE.weight):
            ax, ay, bx, by = p.box
            if len(p.points) > 40:
                assert bx - ax == pytest.approx(3, abs=NEAR)
                marks.add((round((ax + bx) / 2 - x0, 1), round((ay + by) / 2 - y0, 1)))
    assert marks == {(10.0 * (1 + i % 75), 10.0 * (1 + i // 75)) for i in range(count)}
    long = open_pdf(template(plate(2.0, 0.1), "letter"))
    assert len(long) == lay_tiles(2000, 100, "letter").sheets == 9


def test_the_same_part_gives_the_same_file() -> None:
    assert template(bracket()) == template(bracket())


def test_a_part_too_large_to_print_is_told() -> None:
    with pytest.raises(TransferError, match=r"needs \d+ sheets, at most 600 are printed"):
        template(plate(5.0, 5.0).but(panels=_wall()))


def _wall() -> tuple[Panel, Panel]:
    base = plate(5.0, 5.0).panels[0]
    more = base.but(id="n2", joins="n1", bend_deg=0.0)
    return base, more


def test_the_legend_names_the_lines_that_are_there() -> None:
    # conservation
    names = {"cut", "bend", "score", "edge of heat"}
    flat, bent = (
        set(open_pdf(template_pdf(pattern(build, "p1"), "a4"))[0].get_text().splitlines())
        for build in (plate(0.1, 0.05), bracket())
    )
    assert names & flat == {"cut"}
    assert names <= bent
