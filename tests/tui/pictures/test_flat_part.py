"""Pictures of custom parts: to scale, with what is in the part, within their lines and columns."""

from itertools import pairwise
from typing import Any

import pytest

from domain.build.actions import add, applied
from domain.build.choices import UnitHabit
from domain.build.edits import AddRecord, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.fabrication.presets import PRESETS, preset
from domain.fabrication.shape.flat_pattern import Folded, fold
from tui.pictures.flat_part import bend_lines, flat_of, flat_picture, hole_lines
from tui.pictures.folded_part import both_pictures, folded_picture
from tui.pictures.raster import Raster

BRAILLE = 0x2800
_BITS = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))
"""Unicode 17.0, chapter 21.1: bit of a braille cell -> column and row of its dot."""


def shape(name: str, **values: Any) -> Build:
    build = start_build(units=UnitHabit.METRIC)
    thick: dict[str, Any] = {"material": "ABS", "thickness_m": 0.00635}
    return applied(build, preset(build, name, **{**thick, **values}))


def with_hole(build: Build, x_m: float, y_m: float, diameter_m: float) -> Build:
    hole = {"id": "h1", "panel": "n1", "x_m": x_m, "y_m": y_m, "diameter_m": diameter_m}
    return applied(build, AddRecord(table="holes", record=hole))


def dots(lines: list[str]) -> list[tuple[int, int]]:
    """The dots of a picture, from the left and from the bottom."""
    found = []
    high = 4 * len(lines)
    for row, line in enumerate(lines):
        for column, char in enumerate(line):
            if BRAILLE <= ord(char) < BRAILLE + 256:
                found += [
                    (2 * column + x, high - 1 - 4 * row - y)
                    for bit, (x, y) in enumerate(_BITS)
                    if (ord(char) - BRAILLE) >> bit & 1
                ]
    return found


def spread(lines: list[str]) -> tuple[int, int]:
    """From the first dot to the last, across and up."""
    xs, ys = zip(*dots(lines), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


@pytest.mark.parametrize("name", PRESETS)
@pytest.mark.parametrize("size", [(16, 5), (30, 9), (73, 14), (119, 38), (200, 60)])
def test_pictures_keep_to_their_room(name: str, size: tuple[int, int]) -> None:
    build = shape(name)
    for lines in (
        flat_picture(build, "p1", *size),
        flat_picture(build, "p1", *size, sideways=True),
        folded_picture(build, "p1", *size),
        both_pictures(build, "p1", *size),
    ):
        assert len(lines) <= size[1]
        assert max(map(len, lines)) <= size[0]


@pytest.mark.parametrize("sideways", [False, True])
def test_a_plate_is_drawn_to_scale(sideways: bool) -> None:
    # A plate is its own flat pattern: 100 mm by 150 mm, so 2 to 3, within a dot.
    lines = flat_picture(shape("plate"), "p1", 100, 30, sideways=sideways)
    across, up = spread(lines)
    wide, high = (150, 100) if sideways else (100, 150)
    assert across / up == pytest.approx(wide / high, abs=1.5 / up)
    text = "\n".join(lines)
    assert f" {wide} mm " in lines[-1]
    assert f"{high} mm" in text
    assert "Plate" in text


def test_a_hole_lies_where_it_is() -> None:
    # Centre 30 mm from the left and 100 mm up in a plate of 100 mm by 150 mm.
    lines = flat_picture(with_hole(shape("plate"), 0.03, 0.1, 0.02), "p1", 100, 30)
    across, up = spread(lines)
    inside = [(x, y) for x, y in dots(lines) if 2 < x < across - 2]
    low = min(y for _, y in dots(lines))
    ring = [(x, y) for x, y in inside if low + 2 < y < low + up - 2]
    middle_x = (min(x for x, _ in ring) + max(x for x, _ in ring)) / 2
    middle_y = (min(y for _, y in ring) + max(y for _, y in ring)) / 2 - low
    assert middle_x / across == pytest.approx(0.3, abs=1.5 / across)
    assert middle_y / up == pytest.approx(2 / 3, abs=1.5 / up)
    # And it is as large as it is: 20 mm of 100 mm.
    assert (max(x for x, _ in ring) - min(x for x, _ in ring)) / across == pytest.approx(
        0.2, abs=2 / across
    )


def test_bends_scores_and_heat_are_told_in_words() -> None:
    build = shape("L")
    plain = flat_picture(build, "p1", 73, 20)
    assert any("A Upright 90 up" in line for line in plain)
    assert any("shaded: heated" in line for line in plain)
    assert not any("score" in line for line in plain)
    scored = applied(build, SetField(table="panels", id="n2", field="score_m", value=0.0005))
    assert any("... score" in line for line in flat_picture(scored, "p1", 73, 20))
    flat = flat_of(scored, "p1")
    assert not isinstance(flat, str)
    (told,) = bend_lines(scored, flat)
    assert "90 degrees up" in told
    assert "scored 0.5 mm deep" in told
    cold = shape("L", material="aluminium 5052", thickness_m=0.002)
    assert not any("heated" in line for line in flat_picture(cold, "p1", 73, 20))


def test_the_bend_line_is_dashes_and_dots() -> None:
    raster = Raster((0, 0, 59, 3), 30, 1)
    raster.line((0, 0), (59, 0), (1, 1, 1, 1, 1, 0, 0, 1, 0, 0))
    xs = sorted(x for x, _ in dots(raster.text()))
    gaps = {b - a for a, b in pairwise(xs)}
    # By hand: five dots, two off, one dot, two off.
    assert xs[:7] == [0, 1, 2, 3, 4, 7, 10]
    assert gaps == {1, 3}


@pytest.mark.parametrize(
    ("turn", "tilt", "across", "up"), [(0, 0, 0, 2), (90, 0, 1, 2), (0, 90, 0, 1)]
)
@pytest.mark.parametrize("name", PRESETS)
def test_seen_along_an_axis_it_is_its_envelope(
    name: str, turn: float, tilt: float, across: int, up: int
) -> None:
    # Second method: the box round the folded part, as the geometry has it.
    build = shape(name)
    folded = fold(build, build.parts[0])
    assert isinstance(folded, Folded)
    box = folded.envelope
    wide, high = spread(folded_picture(build, "p1", 120, 40, turn, tilt)[:-1])
    assert wide / high == pytest.approx(box[across] / box[up], rel=0.03, abs=1.5 / high)


def test_what_is_behind_is_hidden() -> None:
    # A plate from above: its rim and nothing else.
    lines = folded_picture(shape("plate"), "p1", 60, 20, 0, 90)[:-1]
    across, up = spread(lines)
    low = min(y for _, y in dots(lines))
    assert all(x in (0, across) or y - low in (0, up) for x, y in dots(lines))


def test_what_cannot_be_laid_out_says_why() -> None:
    build = shape("L")
    torn = applied(build, SetField(table="panels", id="n2", field="width_m", value=0.0001))
    torn = applied(torn, SetField(table="panels", id="n2", field="length_m", value=0.001))
    for lines in (flat_picture(torn, "p1", 60, 20), folded_picture(torn, "p1", 60, 20)):
        assert "No flat pattern yet" in lines[0]
    assert "ctrl+n" in " ".join(flat_picture(start_build(), "", 60, 20))


def test_thousands_of_holes_are_drawn_in_part_and_said() -> None:
    build = shape("plate")
    build = build.but(
        holes=tuple(
            with_hole(build, 0.001 * (i % 100), 0.0015 * (i // 100), 0.0005)
            .holes[0]
            .but(id=f"h{i + 1}")
            for i in range(2500)
        )
    )
    assert any("1000 of 2500 holes" in line for line in flat_picture(build, "p1", 73, 14))
    flat = flat_of(build, "p1")
    assert not isinstance(flat, str)
    assert hole_lines(build, flat)[-1] == "and 1500 more"


@pytest.mark.parametrize("name", ["[/red]", "\u202eevil", "🔊 低音", "x" * 500])
def test_names_stay_text_and_within_the_lines(name: str) -> None:
    from rich.cells import cell_len

    build = applied(shape("L"), SetField(table="panels", id="n2", field="name", value=name))
    for lines in (flat_picture(build, "p1", 60, 20), both_pictures(build, "p1", 60, 20)):
        assert max(map(cell_len, lines)) <= 60


def test_a_mounted_device_is_outlined() -> None:
    build = shape("plate")
    build = applied(build, add(build, "footprints", length_m=0.05, width_m=0.05))
    build = applied(build, add(build, "mounts", x_m=0.05, y_m=0.075))
    assert any("dotted box: device" in line for line in flat_picture(build, "p1", 73, 14))
    # The picture of the bare plate has fewer dots.
    bare = flat_picture(shape("plate"), "p1", 73, 14)
    assert len(dots(flat_picture(build, "p1", 73, 14))) > len(dots(bare))
