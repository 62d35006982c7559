"""The drawing: true to its scale, dimensioned, complete, and within its page."""

from itertools import pairwise, permutations
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.fabrication.shape.flat_pattern import Flat, Folded, develop, fold
from domain.fabrication.shape.folded_faces import SeenFace, seen_faces
from storage.pack.dimensions import STANDARD_SCALES, scale_name, spread, standard_scale
from storage.pack.drawing import drawing_pdf
from storage.pack.pattern import pattern
from storage.pack.tiles import PAPERS
from tests.storage.pack.measuring import drawn, open_pdf, pixels
from tests.storage.pack.parts import ODD_NAMES, bracket, many_holes, plate


def seen(build: Build, **eye: float) -> list[SeenFace]:
    flat, folded = develop(build, build.parts[0]), fold(build, build.parts[0])
    assert isinstance(flat, Flat)
    assert isinstance(folded, Folded)
    return seen_faces(flat, folded, **eye)  # type: ignore[arg-type]


def drawing(build: Build, paper: str = "a4") -> bytes:
    return drawing_pdf(pattern(build, "p1", "B", "2026-03-01"), paper)


@pytest.mark.parametrize(
    ("width_m", "height_m", "scale"),
    [(0.012, 0.01, "10:1"), (0.1, 0.1, "1:1"), (0.12, 0.17, "1:2"), (2.0, 0.3, "1:20")],
)
def test_the_flat_pattern_is_true_to_a_standard_scale(
    width_m: float, height_m: float, scale: str
) -> None:
    """The outline as read back, times the scale that is written, is what was typed."""
    page = open_pdf(drawing(plate(width_m, height_m)))[0]
    assert f"Scale {scale}," in page.get_text()
    one, other = map(float, scale.split(":"))
    wanted = (width_m * 1000 * one / other, height_m * 1000 * one / other)
    boxes = [path.box for path in drawn(page)]
    sizes = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes]
    assert any(size == pytest.approx(wanted, abs=0.05) for size in sizes)


@pytest.mark.parametrize(("turn_deg", "tilt_deg"), [(20.0, 30.0), (50.0, 10.0), (70.0, 65.0)])
def test_a_view_is_a_right_angled_projection(turn_deg: float, tilt_deg: float) -> None:
    # source: Gauss's theorem of axonometry: the squares of the three axes' images, as complex
    # numbers, add up to nothing, and their lengths' squares to 2 sides squared (textbook, memory)
    images: list[complex] = []
    for face in seen(plate(0.3, 0.2), turn_deg=turn_deg, tilt_deg=tilt_deg):
        for (ax, ay), (bx, by) in face.edges:
            image = complex(bx - ax, by - ay)
            if not any(min(abs(image - old), abs(image + old)) < 1e-9 for old in images):
                images.append(image)
    assert len(images) == 3
    of_one = [
        [image / side for image, side in zip(images, sides, strict=True)]
        for sides in permutations((0.3, 0.2, 0.012))
    ]
    assert any(
        abs(sum(z * z for z in axes)) < 1e-9 and abs(sum(abs(z) ** 2 for z in axes) - 2) < 1e-9
        for axes in of_one
    )


def test_scales() -> None:
    """ISO 5455: enlargements and reductions by 2, 5 and 10."""
    assert [scale_name(scale) for scale in STANDARD_SCALES[:8]] == [
        *("10:1", "5:1", "2:1", "1:1", "1:2", "1:5", "1:10", "1:20")
    ]
    assert standard_scale(100, 10, 100, 100) == 1
    assert standard_scale(100.1, 10, 100, 100) == 0.5


def test_dimensions_and_tables_are_there() -> None:
    words = open_pdf(drawing(bracket()))[0].get_text().split("\n")
    for text in ("120", "170", "27", "53", "45", "135", "155", "h1", "o1.u2", "#25, tap 10-24"):
        assert text in words
    assert "slot 6 mm x 30 mm, turned 30°" in words
    assert "Platform: 80 mm x 100 mm" in words
    assert "ABS, 6 mm thick" in words
    inch = open_pdf(drawing(bracket(units=UnitHabit.INCH)))[0].get_text().split("\n")
    assert f"{27 / 25.4:.3f}" in inch


def test_every_hole_is_in_a_table() -> None:
    document = open_pdf(drawing(many_holes(1200)))
    words = [word for page in document for word in page.get_text().split("\n")]
    assert sum(word == "3 mm" for word in words) == 1200
    assert f"page {len(document)} of {len(document)}" in document[-1].get_text()


@pytest.mark.parametrize("name", ODD_NAMES.values(), ids=ODD_NAMES)
@pytest.mark.parametrize("paper", PAPERS)
def test_odd_names_stay_inside_the_frame(name: str, paper: str) -> None:
    page = open_pdf(drawing(bracket(name), paper))[0]
    width, height, grey = pixels(page, 60)
    band = int(8.5 / 25.4 * 60)
    for y in range(height):
        row = bytes(grey[y * width : (y + 1) * width])
        inner = band <= y < height - band
        assert set(row[:band] + row[width - band :] if inner else row) == {255}


def test_a_plate_in_isometric_view() -> None:
    """Every axis is shortened by sqrt(2/3): a box a x b x c is (a + b) / sqrt 2 wide."""
    faces = seen(plate(0.1, 0.05))
    assert len(faces) == 3
    xs = [1000 * x for face in faces for x, _ in face.corners]
    ys = [1000 * y for face in faces for _, y in face.corners]
    assert max(xs) - min(xs) == pytest.approx(150 / sqrt(2))
    assert max(ys) - min(ys) == pytest.approx(150 / sqrt(6) + 12 * sqrt(2 / 3))


def test_a_bracket_fills_its_envelope() -> None:
    """The picture is as wide as the folded panels' own corners, seen the same way."""
    build = bracket()
    folded = fold(build, build.parts[0])
    assert isinstance(folded, Folded)
    corners = [c for frame in folded.panels.values() for c in frame.corners(0.006)]
    across = [(x + y) / sqrt(2) * 1000 for x, y, _ in corners]
    faces = seen(build)
    xs = [1000 * x for face in faces for x, _ in face.corners]
    assert min(xs) == pytest.approx(min(across), abs=0.05)
    assert max(xs) == pytest.approx(max(across), abs=0.05)
    assert sum(len(face.holes) for face in faces) == 7


@given(st.lists(st.floats(0, 300), min_size=1, max_size=40), st.floats(0.5, 5))
def test_figures_stand_apart_and_in_order(places: list[float], pitch: float) -> None:
    wished = sorted(places)
    put = spread(wished, pitch)
    assert len(put) == len(wished)
    assert all(b - a >= pitch - 1e-6 for a, b in pairwise(put))
    # Moving figures apart pulls them no more one way than the other (conservation).
    assert sum(put) == pytest.approx(sum(wished), abs=1e-6)
    loose = [i * (pitch + 0.1) for i in range(5)]
    assert spread(loose, pitch) == pytest.approx(loose)


def test_no_line_to_an_ordinate_runs_through_words() -> None:
    # limit: every such line that crosses words was drawn before the white that lies behind them
    page = open_pdf(drawing(bracket()))[0]
    paths = page.get_drawings()
    grey = pytest.approx((0.5, 0.5, 0.5), abs=1e-3)
    led = [p["rect"] for p in paths if p["color"] and p["color"] == grey]
    last = max(i for i, p in enumerate(paths) if p["rect"] in led)
    white = [(i, p["rect"]) for i, p in enumerate(paths) if p["fill"] == (1.0, 1.0, 1.0)]
    crossed = 0
    for x0, y0, x1, y1, word, *_ in page.get_text("words"):
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        near = any(r.x0 - 1 <= x <= r.x1 + 1 and r.y0 - 1 <= y <= r.y1 + 1 for r in led)
        if near:
            crossed += 1
            assert any(i > last and r.contains((x, y)) for i, r in white), word
    assert crossed
