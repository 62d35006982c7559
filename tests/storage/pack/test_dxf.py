"""DXF files read back and audited: units, layers, true arcs, sizes within 0.05 mm."""

from io import StringIO
from math import dist, radians
from typing import Any

import pytest
from ezdxf import filemanagement, recover, units

from domain.build.records import Build
from domain.fabrication.shape.flat_pattern import Arc, Flat, develop, hole_path, path_length_m
from storage.pack.dxf import dxf
from storage.pack.pattern import pattern
from tests.storage.pack.parts import ODD_NAMES, bracket, many_holes

NEAR = 0.05


def read(build: Build) -> tuple[Any, Flat]:
    flat = develop(build, build.parts[0])
    assert isinstance(flat, Flat)
    return filemanagement.read(StringIO(dxf(pattern(build, "p1")).decode())), flat


LAYERS = [
    *("CUT", "BEND_UP", "BEND_DOWN", "SCORE_MARKED_FACE", "SCORE_BACK", "HEAT", "DRILL"),
    "ENGRAVE",
]


def length(entity: Any) -> float:
    if entity.dxftype() == "LINE":
        return float((entity.dxf.end - entity.dxf.start).magnitude)
    turned = (entity.dxf.end_angle - entity.dxf.start_angle) % 360
    return float(entity.dxf.radius * radians(turned))


def test_version_units_and_layers() -> None:
    document, _ = read(bracket())
    assert document.dxfversion == "AC1024"
    assert document.units == units.MM
    assert document.header["$MEASUREMENT"] == 1
    names = [layer.dxf.name for layer in document.layers]
    assert names[-8:] == LAYERS
    # this bracket bends both ways and is scored on its marked face alone
    assert {entity.dxf.layer for entity in document.modelspace()} == {*LAYERS} - {"SCORE_BACK"}
    assert not document.audit().errors


def test_outline_and_slots_are_true_lines_and_arcs() -> None:
    document, flat = read(bracket())
    cut = list(document.modelspace().query('*[layer=="CUT"]'))
    paths = [flat.outline, *(hole_path(h) for h in flat.holes if len(hole_path(h)) > 1)]
    wanted = [segment for path in paths for segment in path]
    arcs = [entity for entity in cut if entity.dxftype() == "ARC"]
    assert len(arcs) == sum(isinstance(segment, Arc) for segment in wanted) > 8
    assert len(cut) == len(wanted)
    total = sum(path_length_m(path) for path in paths) * 1000
    assert sum(map(length, cut)) == pytest.approx(total, abs=NEAR)
    ends: list[tuple[float, float]] = []
    for entity in cut:
        pair = (
            (entity.dxf.start, entity.dxf.end)
            if entity.dxftype() == "LINE"
            else (entity.start_point, entity.end_point)
        )
        ends += [(end.x, end.y) for end in pair]
    # A closed path has every end twice.
    for end in ends:
        assert sum(dist(end, other) < NEAR / 10 for other in ends) == 2
    assert min(x for x, _ in ends) == pytest.approx(0, abs=NEAR)
    assert max(x for x, _ in ends) == pytest.approx(flat.width_m * 1000, abs=NEAR)
    assert max(y for _, y in ends) == pytest.approx(flat.height_m * 1000, abs=NEAR)


def test_round_holes_are_circles_where_they_were_typed() -> None:
    document, flat = read(bracket())
    circles = list(document.modelspace().query("CIRCLE"))
    rounds = [hole for hole in flat.holes if len(hole_path(hole)) == 1]
    assert len(circles) == len(rounds) == 5
    for hole in rounds:
        at = (hole.x_m * 1000, hole.y_m * 1000)
        found = min(circles, key=lambda c: dist((c.dxf.center.x, c.dxf.center.y), at))
        assert dist((found.dxf.center.x, found.dxf.center.y), at) < NEAR
        assert found.dxf.radius * 2 == pytest.approx(hole.diameter_m * 1000, abs=NEAR)
        assert found.dxf.layer == "DRILL"


def test_bends_heat_and_score() -> None:
    document, flat = read(bracket())
    space = document.modelspace()
    for layer, up in (("BEND_UP", True), ("BEND_DOWN", False)):
        lines = list(space.query(f'LINE[layer=="{layer}"]'))
        assert [length(line) for line in lines] == pytest.approx(
            [dist((b.x0, b.y0), (b.x1, b.y1)) * 1000 for b in flat.bends if b.up is up], abs=NEAR
        )
    assert len(space.query('LINE[layer=="HEAT"]')) == 2 * len(flat.bends)
    (score,) = space.query('LINE[layer=="SCORE_MARKED_FACE"]')
    assert score.dxf.start.y == pytest.approx(flat.bends[0].y0 * 1000, abs=NEAR)


def test_a_machine_does_not_score_the_wrong_face_nor_the_edges_of_the_heat() -> None:
    # common practice: a bend is scored on its inside, so a bend down on the back, which a machine
    # that cuts from the marked face must be able to leave out; heat limits are drawn, never cut
    build = bracket()
    base, platform, lip = build.panels
    lip = lip.but(score_m=0.0008)
    document, flat = read(build.but(panels=(base, platform, lip)))
    space = document.modelspace()
    for layer, up in (("SCORE_MARKED_FACE", True), ("SCORE_BACK", False)):
        (line,) = space.query(f'LINE[layer=="{layer}"]')
        (bend,) = (bend for bend in flat.bends if bend.up is up)
        wanted = sorted([(bend.x0 * 1000, bend.y0 * 1000), (bend.x1 * 1000, bend.y1 * 1000)])
        ends = sorted((end.x, end.y) for end in (line.dxf.start, line.dxf.end))
        for end, at in zip(ends, wanted, strict=True):
            assert end == pytest.approx(at, abs=NEAR)
    # each bend has the two limits of its heat on a layer of their own, off its own line
    starts = {(line.dxf.start.x, line.dxf.start.y) for line in space.query('LINE[layer=="HEAT"]')}
    assert len(starts) == 2 * len(flat.bends)
    assert not starts & {(bend.x0 * 1000, bend.y0 * 1000) for bend in flat.bends}


@pytest.mark.parametrize("name", ODD_NAMES.values(), ids=ODD_NAMES)
def test_odd_names_are_readable_files(name: str, tmp_path: Any) -> None:
    build = bracket(name)
    path = tmp_path / "part.dxf"
    path.write_bytes(dxf(pattern(build, "p1")))
    document, auditor = recover.readfile(path)
    assert not auditor.errors
    texts = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert len(texts) == 3
    assert all("\n" not in text for text in texts)
    shown = (build.parts[0].name or "Part p1").replace("%%", "% %")
    assert texts[-1] == shown


def test_thousands_of_holes() -> None:
    document, _ = read(many_holes(5000))
    assert len(document.modelspace().query("CIRCLE")) == 5000
