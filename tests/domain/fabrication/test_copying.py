"""A copied part is the same part again, and leaves the first as it was."""

import pytest
from msgspec.structs import replace

from domain.build.actions import add, applied
from domain.build.edits import AddRecord, EditRefused, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.fabrication.copying import copy_part
from domain.fabrication.presets import PRESETS, preset


def build_with(shape: str) -> Build:
    build = applied(start_build(), preset(start_build(), shape, load_kg=1.0))
    build = applied(build, add(build, "footprints"))
    build = applied(build, add(build, "studs"), add(build, "mounts", panel="n1"))
    hole = {"id": "h1", "panel": "n1", "x_m": 0.02, "y_m": 0.02}
    return applied(build, AddRecord(table="holes", record=hole))


@pytest.mark.parametrize("shape", PRESETS)
def test_a_copy_is_the_same_part(shape: str) -> None:
    # Conservation: size, area, mass, bends and holes of the copy are those of the part.
    before = build_with(shape)
    build, back = apply(before, copy_part(before, "p1"))
    first, copy = evaluate(build).parts
    assert (copy.id, copy.name) == ("p2", f"{first.name.removesuffix(' 1')} 2")
    ids = [(hole.x_m, hole.y_m, hole.diameter_m) for hole in copy.holes]
    assert ids == [(hole.x_m, hole.y_m, hole.diameter_m) for hole in first.holes]
    same = {"id": "", "name": "", "holes": (), "strength": None}
    assert first.strength is not None
    assert copy.strength is not None
    unnamed = {"id": "", "panel": "", "screws": ()}
    taken = [
        [(screw.pull_n, screw.shear_n, screw.margin) for screw in part.strength.screws]
        for part in (first, copy)
        if part.strength
    ]
    assert taken[0] == taken[1]
    assert replace(first.strength, **unnamed) == replace(copy.strength, **unnamed)
    assert replace(first, **same) == replace(copy, **same)
    assert first == evaluate(before).parts[0]
    assert build.footprints == before.footprints
    assert apply(build, back)[0] == before


def test_there_must_be_a_part() -> None:
    with pytest.raises(EditRefused, match="p9"):
        copy_part(start_build(), "p9")
