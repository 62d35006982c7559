"""Parts whose panels turn sideways, against a general frame library and exact series."""

from dataclasses import replace
from math import atan2, cos, degrees, dist, pi, sin, sqrt, tan, tanh
from random import Random
from typing import Any

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from domain.build.records import Build
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.folding import panel_frames
from domain.fabrication.shape.hole_placing import placed_holes
from domain.fabrication.shape.panel_tree import NotDeveloped, build_panel_tree, records_by_part
from domain.fabrication.strength.load_path import LoadPath, trace_load_paths
from domain.fabrication.strength.part_strength import strength
from domain.fabrication.strength.payload import burdens_of, fixings_of
from domain.fabrication.strength.rectangular_section import (
    POISSON,
    bent_pa,
    combined_pa,
    torsion_m4,
    twisted_pa,
)
from domain.fabrication.strength.space_statics import solve_statics
from domain.fabrication.strength.strip import in_plane
from domain.sheet import StrengthResult

G = 9.80665
STEEL_PA = 200e9
T = 0.002
RADIUS = 0.003


def made(panels: list[dict[str, Any]], mass_kg: float = 40.0, **tables: Any) -> Build:
    weighed = any(feet.get("mass_kg") for feet in tables.get("footprints", []))
    load_kg = 0.0 if weighed else mass_kg
    part = {"id": "p1", "material": "mild steel", "thickness_m": T, "load_kg": load_kg}
    part |= tables.pop("part", {})
    return Build.model_validate(
        {
            "parts": [part],
            "panels": [{"part": "p1", "bend_radius_m": RADIUS, **panel} for panel in panels],
            **tables,
        }
    )


def result_of(build: Build) -> StrengthResult:
    found = strength(build, build.parts[0])
    assert found is not None
    return found


Place = tuple[float, float, float]


def nanometres(place: Place) -> Place:
    """A place without the crumbs of rounding."""
    return round(place[0], 9), round(place[1], 9), round(place[2], 9)


class Sticks:
    """A space frame of sticks, built here by hand from a sketch and solved by the library."""

    def __init__(self) -> None:
        from Pynite import FEModel3D

        self.model = FEModel3D()
        self.model.add_material("m", STEEL_PA, STEEL_PA / (2 * (1 + POISSON)), POISSON, 1.0)
        self.names: dict[Place, str] = {}

    def node(self, place: Place) -> str:
        place = nanometres(place)
        if place not in self.names:
            self.names[place] = f"n{len(self.names)}"
            self.model.add_node(self.names[place], *place)
        return self.names[place]

    def strip(self, start: Place, end: Place, across: Place, width: float) -> str:
        """A strip of sheet ``width`` wide along ``across``; the library's z is turned to it."""
        name = f"s{len(self.model.members)}"
        b, t = width, T
        # the library bends about its local z with Iz; z lies along the width here
        self.model.add_section(name, b * t, t * b**3 / 12, b * t**3 / 12, torsion_m4(b, t))
        self.model.add_member(name, self.node(start), self.node(end), "m", name)
        member = self.model.members[name]
        y, z = member.T()[1, :3], member.T()[2, :3]
        turned = degrees(atan2(float(np.dot(y, across)), float(np.dot(z, across))))
        for way in (turned, -turned):
            member.rotation = way
            if abs(np.dot(member.T()[2, :3], across)) > 1 - 1e-9:
                return name
        raise AssertionError("the width is not square to the strip")

    def rigid(self, start: Place, end: Place) -> None:
        name = f"r{len(self.model.members)}"
        # stiff enough, and not so stiff that a short one drowns the rest in rounding
        stiff = 1e-4 * dist(start, end)
        self.model.add_section(name, 0.1, stiff, stiff, stiff)
        self.model.add_member(name, self.node(start), self.node(end), "m", name)

    def solve(self, held: Place, loads: dict[Place, float]) -> None:
        """Fixed at one place, and one g on every mass from each of three directions."""
        self.model.def_support(self.node(held), *[True] * 6)
        for way in ("FX", "FY", "FZ"):
            self.model.add_load_combo(way, {way: 1.0})
            for place, mass in loads.items():
                self.model.add_node_load(self.node(place), way, mass * G, case=way)
        self.model.analyze_linear(check_stability=False, sparse=False)

    def sag(self, at: Place) -> float:
        """Largest movement of a place under one g from any direction [m]."""
        node = self.model.nodes[self.names[nanometres(at)]]
        moved = [[float(d[way]) for way in ("FX", "FY", "FZ")] for d in (node.DX, node.DY, node.DZ)]
        return float(np.linalg.norm(np.array(moved), 2))

    def stress(self, strip: str, end: str, width: float, thick: float = T) -> float:
        """Stress at one end of a strip as ours is put together, from the library's forces [Pa]."""
        member = self.model.members[strip]
        place = {"start": 0, "end": 6}[end]
        f = np.array([[float(v) for v in np.array(member.f(way)).flatten()[place : place + 6]]
                      for way in ("FX", "FY", "FZ")])  # fmt: skip
        # each as large as a force from any direction makes it
        twist, aside, bend = (float(np.linalg.norm(f[:, k])) for k in (3, 4, 5))
        axial = max(float(np.linalg.norm(f[:, :3], 2)), 0.0)
        return combined_pa(axial, bend, aside, twist, width, thick)


def test_a_side_panel_of_the_root_with_another_on_its_far_edge() -> None:
    # sketch: root 0.2 x 0.12 (length y, width x), held by one screw at (0.06, 0.02); left wall up
    # 0.08 high, 0.1 long, its middle at y 0.1; far shelf too, so that the part does not lie in one
    # plane. 40 kg on the left wall, 0.05 up. Middles of the sheet meet half of t inside the corner.
    feet = {"id": "f1", "mass_kg": 40, "height_m": 0.06, "length_m": 0.05, "width_m": 0.05}
    shelf = {"id": "f2", "mass_kg": 20, "height_m": 0.04, "length_m": 0.05, "width_m": 0.05}
    build = made(
        [
            {"id": "n1", "length_m": 0.2, "width_m": 0.12},
            {"id": "n2", "joins": "n1", "edge": "left", "length_m": 0.08, "width_m": 0.1},
            {"id": "n3", "joins": "n1", "edge": "far", "length_m": 0.06, "width_m": 0.12},
        ],
        holes=[{"id": "h1", "panel": "n1", "x_m": 0.06, "y_m": 0.02, "kind": "clearance",
                "thread": "M6", "diameter_m": 0.0066}],
        footprints=[feet, shelf],
        mounts=[
            {"id": "o1", "footprint": "f1", "panel": "n2", "x_m": 0.05, "y_m": 0.05},
            {"id": "o2", "footprint": "f2", "panel": "n3", "x_m": 0.03, "y_m": 0.04},
        ],
    )  # fmt: skip
    found = result_of(build)
    assert found.spatial
    # by hand, in the middle of the sheet (z down from the marked face by t/2): the wall's way goes
    # from abreast of the screw straight to the left bend, 0.1 wide, and up the wall
    h = T / 2
    wall, far = Sticks(), Sticks()
    corner = (h, 0.1, -h)
    in_root = wall.strip((0.06, 0.1, -h), corner, (0, 1, 0), 0.1)
    up = wall.strip(corner, (h, 0.1, 0.05 - T), (0, 1, 0), 0.1)
    device = (h + 0.031, 0.1, 0.05 - T)
    wall.rigid((h, 0.1, 0.05 - T), device)
    wall_corner = (h, 0.05, 0.08 - T)
    wall.rigid((h, 0.1, 0.05 - T), wall_corner)
    wall.solve((0.06, 0.1, -h), {device: 40.0})
    # and the shelf's: from the screw to the far bend, 0.12 wide less the left wall's bend
    root_wide = 0.12 - (T + RADIUS)
    middle = (0.12 + T + RADIUS) / 2
    end = (middle, 0.2 - h, -h)
    in_root_2 = far.strip((middle, 0.02, -h), end, (1, 0, 0), root_wide)
    top = (middle, 0.2 - h, 0.04 - T)
    up_2 = far.strip(end, top, (1, 0, 0), root_wide)
    device_2 = (0.03, 0.2 - h - 0.021, 0.04 - T)
    far.rigid(top, device_2)
    shelf_corner = (0.0, 0.2 - h, 0.06 - T)
    far.rigid(top, shelf_corner)
    far.solve((middle, 0.02, -h), {device_2: 20.0})
    worst = max(
        wall.stress(in_root, "start", 0.1),
        wall.stress(up, "start", 0.1),
        far.stress(in_root_2, "start", root_wide),
        far.stress(up_2, "start", root_wide),
    )
    # the sheet's own 0.6 kg is on top of what the sketch carries
    own = found.own_mass_kg / 40
    assert worst < found.stress_pa / 5 < worst * (1 + own)
    assert (found.panel, found.bend) == ("n1", False)
    sag = max(wall.sag(device), wall.sag(wall_corner), far.sag(device_2), far.sag(shelf_corner))
    assert sag < found.deflection_m / 5 < sag * (1 + 2 * own)
    assert found.natural_hz == pytest.approx(sqrt(G / (found.deflection_m / 5)) / (2 * pi))


def test_a_wing_on_the_side_of_an_upright() -> None:
    # sketch: root 0.1 x 0.1 held by two screws at y 0.03; upright 0.15 high on its far edge; a wing
    # bent 60 degrees forward from the upright's left edge, 0.08 wide, its middle 0.03 above the
    # upright's. 8 kg on the wing's middle, scored bend.
    score = 0.0004
    build = made(
        [
            {"id": "n1", "length_m": 0.1, "width_m": 0.1},
            {"id": "n2", "name": "Upright", "joins": "n1", "length_m": 0.15, "width_m": 0.1},
            {"id": "n3", "name": "Wing", "joins": "n2", "edge": "left", "length_m": 0.09,
             "width_m": 0.08, "offset_m": 0.03, "bend_deg": 60, "score_m": score},
        ],
        8.0,
        holes=[{"id": f"h{k}", "panel": "n1", "x_m": x, "y_m": 0.03, "kind": "clearance",
                "thread": "M6", "diameter_m": 0.0066} for k, x in enumerate((0.02, 0.08))],
    )  # fmt: skip
    found = result_of(build)
    assert found.spatial
    h = T / 2
    cut, c, s = h * tan(pi / 6), cos(pi / 3), sin(pi / 3)
    # the upright stands at y 0.1 less half a thickness, its marked face towards less y; its left
    # edge is at x 0, its bend's middle 0.105 up, and "up" bends the wing forward
    model = Sticks()
    back = 0.1 - h
    up_wide, wing_wide = 0.1 - (T + RADIUS) * tan(pi / 6), 0.08
    middle = (0.1 + (T + RADIUS) * tan(pi / 6)) / 2
    foot, corner = (middle, 0.03, -h), (middle, back, -h)
    turn = (middle, back, 0.105 - T)
    edge = (cut, back, 0.105 - T)
    root = model.strip(foot, corner, (1, 0, 0), up_wide)
    model.strip(corner, turn, (1, 0, 0), up_wide)
    model.strip(turn, edge, (0, 0, 1), wing_wide)
    reach = 0.045 - cut
    device = (cut - reach * c, back - reach * s, 0.105 - T)
    wing = model.strip(edge, device, (0, 0, 1), wing_wide)
    far = 0.09 - cut
    tip = (cut - far * c, back - far * s, 0.145 - T)
    model.rigid(device, tip)
    model.solve(foot, {device: 8.0})
    own = found.own_mass_kg / 8
    bend = model.stress(wing, "start", wing_wide, T - score)
    worst = max(model.stress(root, "start", up_wide), bend)
    assert worst < found.stress_pa / 5 < worst * (1 + 2 * own)
    sag = max(model.sag(device), model.sag(tip))
    assert sag < found.deflection_m / 5 < sag * (1 + 2 * own)


def test_the_finding_names_the_bend() -> None:
    # by hand: one screw right beside the bend, so that the bend's score decides; 10 kg 50 mm out
    # at 5 g on 40 mm of sheet 1.2 mm thick: 6 M/(b t2) = 2550 MPa
    build = made(
        [
            {"id": "n1", "length_m": 0.1, "width_m": 0.1},
            {"id": "n2", "name": "Ear", "joins": "n1", "edge": "left", "length_m": 0.1,
             "width_m": 0.04, "score_m": 0.0008},
            {"id": "n3", "joins": "n1", "edge": "far"},
        ],
        footprints=[{"id": "f1", "mass_kg": 10, "height_m": 0.001}, {"id": "f2", "mass_kg": 0.01}],
        mounts=[
            {"id": "o1", "footprint": "f1", "panel": "n2", "x_m": 0.02, "y_m": 0.05},
            {"id": "o2", "footprint": "f2", "panel": "n3", "x_m": 0.02, "y_m": 0.05},
        ],
        holes=[{"id": "h1", "panel": "n1", "x_m": 0.012, "y_m": 0.05, "kind": "clearance",
                "thread": "M6", "diameter_m": 0.0066}],
    )  # fmt: skip
    (part,), findings = fabricate(build)
    assert part.strength is not None
    assert (part.strength.panel, part.strength.bend) == ("n2", True)
    plain = 6 * 10 * G * 5 * (0.05 - T / 2) / (0.04 * 0.0012**2)
    assert plain < part.strength.stress_pa < 1.1 * plain
    (broken,) = [finding for finding in findings if finding.code == "strip-breaks"]
    assert "at the bend of Ear" in broken.why
    assert "at the bend of Ear" in broken.do


@pytest.mark.parametrize("b_over_t", [1.0, 1.5, 2.0, 4.0, 10.0, 40.0])
def test_twisted_rectangle_against_its_series(b_over_t: float) -> None:
    # second method: Saint-Venant's series; source: Timoshenko and Goodier, Theory of Elasticity,
    # torsion of rectangular bars: J = b t3/3 (1 - 192 t/(pi5 b) sum tanh(n pi b/2t)/n5), and the
    # highest shear 2 G theta t/2 (1 - 8/pi2 sum 1/(n2 cosh(n pi b/2t))), n odd
    t, b = 1.0, b_over_t
    odd = range(1, 60, 2)
    j = b * t**3 / 3 * (
        1 - 192 * t / (pi**5 * b) * sum(tanh(n * pi * b / (2 * t)) / n**5 for n in odd)
    )  # fmt: skip
    assert torsion_m4(b, t) == pytest.approx(j, rel=0.005)
    over_cosh = [2 / (np.exp(n * pi * b / 2) + np.exp(-n * pi * b / 2)) / n**2 for n in odd
                 if n * pi * b / 2 < 500]  # fmt: skip
    exact = t / j * (1 - 8 / pi**2 * sum(over_cosh))
    assert twisted_pa(1.0, b, t) == pytest.approx(exact, rel=0.045)
    assert twisted_pa(1.0, t, b) == twisted_pa(1.0, b, t)


def test_combined_stress_by_hand() -> None:
    # by hand: 100 N and 2 N m on 50 x 2 mm are 1 + 60 MPa; 5 N m in the plane 6 MPa; no twist
    assert bent_pa(100, 2, 0.05, 0.002) == pytest.approx(61e6)
    assert combined_pa(100, 2, 5, 0, 0.05, 0.002) == pytest.approx(67e6)
    # source: von Mises, sqrt(s2 + 3 t2)
    twist = twisted_pa(1, 0.05, 0.002)
    assert combined_pa(100, 2, 5, 1, 0.05, 0.002) == pytest.approx(sqrt(67e6**2 + 3 * twist**2))


def turning(chance: Random) -> Build:
    """A random part of three to six panels at any edges, with two devices and a row of screws."""
    count = chance.randint(3, 6)
    panels: list[dict[str, Any]] = [{"id": "n1", "length_m": 0.15, "width_m": 0.15}]
    for i in range(2, count + 1):
        onto = chance.randint(1, i - 1)
        panels.append(
            {
                "id": f"n{i}",
                "joins": f"n{onto}",
                "edge": chance.choice(["left", "right", "far", "near"][: 3 + (onto == 1)]),
                "length_m": chance.uniform(0.05, 0.2),
                "width_m": chance.uniform(0.04, 0.15),
                "bend_deg": chance.uniform(10, 120),
                "up": chance.random() < 0.5,
                "offset_m": chance.uniform(-0.02, 0.02),
            }
        )
    feet = [{"id": f"f{k}", "mass_kg": chance.uniform(1, 9), "height_m": 0.05} for k in (1, 2)]
    mounts = [
        {"id": f"o{k}", "footprint": f"f{k}", "panel": f"n{panel}", "x_m": 0.03, "y_m": 0.03}
        for k, panel in ((1, count), (2, chance.randint(1, count)))
    ]
    # feet of its own, so that a part that carries on its root is held at another panel
    holes = [
        {"id": f"h{k}", "panel": f"n{k}", "x_m": 0.02, "y_m": 0.02, "kind": "clearance",
         "thread": "M6", "diameter_m": 0.0066} for k in (1, chance.randint(2, count))
    ]  # fmt: skip
    return made(panels, footprints=feet, mounts=mounts, holes=holes)


def ways_of(build: Build) -> LoadPath | None:
    """The pieces of a part that does not lie in one plane, else nothing."""
    records = records_by_part(build)["p1"]
    tree = build_panel_tree(records.part, records.panels)
    if isinstance(tree, NotDeveloped):
        return None
    burdens, holes = burdens_of(build, records), placed_holes(build, records)
    loaded = [burden.panel for burden in burdens]
    held, screws = fixings_of(records, tree, holes, loaded)
    if in_plane(tree, [*held, *loaded]):
        return None
    return trace_load_paths(tree, panel_frames(tree), burdens, held, screws, holes, 7850.0)


def turned(place: Place) -> Place:
    """A place turned about an axis that is none of the part's."""
    x, y, z = (float(value) for value in Rotation.from_rotvec([0.7, -0.4, 0.9]).apply(place))
    return x, y, z


def test_random_parts_as_space_frames() -> None:
    # second method: the same pieces in a general space frame library, one g from three directions
    chance = Random(7)
    seen = 0
    while seen < 25:
        ways = ways_of(turning(chance))
        if ways is None or not ways.carried:
            continue
        seen += 1
        sticks = Sticks()
        model = sticks.model
        # all of it turned in space, so that no stick stands upright: the library turns those over
        ways = replace(
            ways,
            pieces=[
                replace(
                    piece,
                    start=turned(piece.start),
                    end=turned(piece.end),
                    axes=tuple(turned(axis) for axis in piece.axes),  # type: ignore[arg-type]
                    masses=[(mass, turned(place)) for mass, place in piece.masses],
                    sections=[replace(s, at=turned(s.at)) for s in piece.sections],
                )
                for piece in ways.pieces
            ],
            carried=[(i, turned(place)) for i, place in ways.carried],
        )
        # every piece from nodes of its own; a rigid stick from the end of one to the next
        for piece in ways.pieces:
            if dist(piece.start, piece.end) > 1e-9:
                name = sticks.strip(piece.start, piece.end, piece.axes[1], piece.width_m)
                assert name in model.members
            if piece.parent is None:
                model.def_support(sticks.node(piece.start), *[True] * 6)
            elif dist(ways.pieces[piece.parent].end, piece.start) > 1e-9:
                sticks.rigid(ways.pieces[piece.parent].end, piece.start)
            for _, place in piece.masses:
                if dist(piece.end, place) > 1e-9:
                    sticks.rigid(piece.end, place)
        for way in ("FX", "FY", "FZ"):
            model.add_load_combo(way, {way: 1.0})
            for piece in ways.pieces:
                for mass, place in piece.masses:
                    model.add_node_load(sticks.node(place), way, mass * G, case=way)
        for i, place in ways.carried:
            if dist(ways.pieces[i].end, place) > 1e-9 and nanometres(place) not in sticks.names:
                sticks.rigid(ways.pieces[i].end, place)
        model.analyze_linear(check_stability=False, sparse=True)
        answer = solve_statics(ways, STEEL_PA, True)
        assert answer is not None
        sag = max(sticks.sag(place) for _, place in ways.carried)
        assert answer.sag_m == pytest.approx(sag, rel=0.003)
