"""Columns of custom parts: materials by any word, bores as drilled, sizes that are assumed."""

from typing import Any

import pytest

from domain.build.edits import EditRefused, SetField
from tests.domain.fabrication.making import build_of
from tui.tables.part_columns import Bore, DeviceSize, SheetMaterial

PANEL: list[dict[str, Any]] = [{"id": "n1", "length_m": 0.1, "width_m": 0.1}]
MATERIAL = SheetMaterial("parts", "material", "Material", 13)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("ply", "birch plywood"),
        ("birch", "birch plywood"),
        ("5052", "5052"),  # a name that the table has is kept as typed
        ("alum 60", "aluminium 6061-T6"),
        ("stain", "stainless 304"),
    ],
)
def test_a_material_goes_by_the_start_of_a_word(typed: str, name: str) -> None:
    build = build_of(PANEL)
    edit = MATERIAL.typed(build, build.parts[0], typed)
    assert isinstance(edit, SetField)
    assert edit.value == name


def test_several_materials_are_named_and_none_is_said() -> None:
    build = build_of(PANEL)
    with pytest.raises(EditRefused, match=r"'poly' may be .*HDPE.* or polycarbonate: type more"):
        MATERIAL.typed(build, build.parts[0], "poly")
    with pytest.raises(EditRefused, match="there is no 'granite': type the start of ABS, "):
        MATERIAL.typed(build, build.parts[0], "granite")


def test_a_hole_of_a_fixing_shows_what_is_drilled() -> None:
    """10-24 passes through 0.221 in, drill no. 2: the sheet, the steps and the table agree."""
    build = build_of(
        PANEL,
        fixings=[{"id": "x1", "part": "p1", "into": "rivet nut in body panel", "thread": "10-24"}],
        holes=[
            {"id": "h1", "panel": "n1", "kind": "clearance", "fixing": "x1"},
            {"id": "h2", "panel": "n1", "diameter_m": 0.005},
        ],
    )
    column = Bore("holes", "diameter_m", "Diameter", 9)
    assert column.shown(build, None, build.holes[0]) == "~0.221 in"
    assert column.shown(build, None, build.holes[1]) == "0.197 in"
    with pytest.raises(EditRefused, match=r"h1 is drilled 0\.221 in for the screw of its fixing"):
        column.typed(build, build.holes[0], "0.3")


def test_sizes_that_nobody_measured_are_marked() -> None:
    sizes = {"length_m": 0.1016, "width_m": 0.1016, "height_m": 0.0508}
    build = build_of(
        PANEL, footprints=[{"id": "f1", **sizes}, {"id": "f2", **sizes, "height_m": 0.04}]
    )
    column = DeviceSize("footprints", "length_m", "Length", 9)
    shown = [column.shown(build, None, each) for each in build.footprints]
    assert shown == ["~4 in", "4 in"]
