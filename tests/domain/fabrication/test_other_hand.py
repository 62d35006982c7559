"""Left and right hand: the other is the mirror image, by a geometry library and in space."""

from typing import Any

import pytest
from shapely.affinity import scale, translate
from shapely.geometry import Point, Polygon

from domain.build.choices import PanelEdge
from domain.build.records import Build
from domain.fabrication.other_hand import hands, other_hand, pieces
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.path import path_outline
from tests.domain.fabrication.making import build_of, laid_of

PANELS: list[dict[str, Any]] = [
    {"id": "n1", "name": "Base", "length_m": 0.1, "width_m": 0.12},
    {"id": "n2", "joins": "n1", "length_m": 0.05, "width_m": 0.06, "offset_m": 0.02,
     "bend_radius_m": 0.003},
    {"id": "n3", "joins": "n1", "edge": "left", "length_m": 0.04, "width_m": 0.05,
     "offset_m": 0.01, "bend_radius_m": 0.003, "up": False},
    {"id": "n4", "joins": "n3", "edge": "right", "length_m": 0.03, "width_m": 0.02,
     "offset_m": -0.004, "bend_radius_m": 0.003, "bend_deg": 60},
    {"id": "n5", "joins": "n2", "edge": "far", "length_m": 0.03, "width_m": 0.03,
     "offset_m": -0.01, "bend_radius_m": 0.003, "bend_deg": 45},
]  # fmt: skip
HOLES: list[dict[str, Any]] = [
    {"id": "h1", "panel": "n1", "x_m": 0.02, "y_m": 0.03},
    {"id": "h2", "panel": "n2", "x_m": 0.02, "y_m": 0.02, "shape": "slot", "across_m": 0.012,
     "turn_deg": 30},
    {"id": "h3", "panel": "n3", "x_m": 0.01, "y_m": 0.02},
    {"id": "h4", "panel": "n5", "x_m": 0.007, "y_m": 0.012},
]  # fmt: skip


def bracket(**part: Any) -> Build:
    return build_of(PANELS, part={"material": "steel", "thickness_m": 0.002, **part}, holes=HOLES)


def outline(build: Build) -> Polygon:
    return Polygon(path_outline(laid_of(build).flat.outline, chord_error_m=1e-6))


def test_the_flat_pattern_is_mirrored() -> None:
    # second method: shapely turns the outline over
    build = bracket()
    one, other = outline(build), outline(other_hand(build, "p1"))
    wide = laid_of(build).flat.width_m
    turned = translate(scale(one, xfact=-1, origin=(0, 0)), wide, 0)
    assert turned.symmetric_difference(other).area < 1e-9
    assert one.symmetric_difference(other).area > 1e-4
    places = {h.id: (wide - h.x_m, h.y_m) for h in laid_of(build).flat.holes}
    for hole in laid_of(other_hand(build, "p1")).flat.holes:
        assert Point(hole.x_m, hole.y_m).distance(Point(*places[hole.id])) < 1e-9


def test_the_folded_part_is_mirrored_in_space() -> None:
    build = bracket()
    one, other = laid_of(build), laid_of(other_hand(build, "p1"))
    wide = build.panels[0].width_m
    for id, frame in one.folded.panels.items():
        panel = one.tree.nodes[id].panel
        for x, y in ((0.0, 0.0), (panel.width_m, 0.0), (0.01, panel.length_m)):
            a = frame.at(x, y, 0.0)
            b = other.folded.panels[id].at(panel.width_m - x, y, 0.0)
            assert (wide - a[0], a[1], a[2]) == pytest.approx(b, abs=1e-9)


def test_twice_is_the_part_itself() -> None:
    build = bracket()
    again = other_hand(other_hand(build, "p1"), "p1")
    assert again.panels == build.panels
    assert [h.x_m for h in again.holes] == pytest.approx([h.x_m for h in build.holes])
    assert [h.turn_deg for h in again.holes] == [h.turn_deg for h in build.holes]
    assert {panel.edge for panel in other_hand(build, "p1").panels} == {
        PanelEdge.FAR, PanelEdge.LEFT, PanelEdge.RIGHT
    }  # fmt: skip


def test_both_are_named_and_counted() -> None:
    build = bracket(both_hands=True, quantity=2)
    assert pieces(build.parts[0]) == 4
    assert [part.name for _, part in hands(build, build.parts[0])] == [
        "Bracket, left hand", "Bracket, right hand"
    ]  # fmt: skip
    assert fabricate(build)[0][0].quantity == 4
    assert [part.name for _, part in hands(bracket(), bracket().parts[0])] == ["Bracket"]
