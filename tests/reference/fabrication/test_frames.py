"""Plane frames against a general frame library and published cases; random vibration profiles."""

from itertools import pairwise
from math import cos, hypot, pi, radians, sin, sqrt
from random import Random

import numpy as np
import pytest

from domain.build.choices import Place
from domain.fabrication.strength.plane_frame import (
    FIXED,
    PINNED,
    Frame,
    FrameNode,
    Member,
    SolvedFrame,
    Unstable,
)
from domain.fabrication.strength.vibration import miles_m_s2, profile, rms_m_s2

ROLLER = (False, True, False)


def beam(
    points: list[float],
    held: dict[int, tuple[bool, bool, bool]],
    modulus: float,
    area: float,
    inertia: float,
    mass: float = 0.0,
) -> Frame:
    nodes = tuple(FrameNode(x, 0.0, held.get(i, (False,) * 3)) for i, x in enumerate(points))
    members = tuple(Member(i, i + 1, modulus, area, inertia, mass) for i in range(len(points) - 1))
    return Frame(nodes, members)


def bracket(chance: Random) -> tuple[Frame, dict[int, tuple[float, float, float]], list[float]]:
    """A random folded strip of two to five panels, held at one or both ends, loaded anywhere."""
    count = chance.randint(2, 5)
    thickness = chance.uniform(0.001, 0.008)
    modulus = chance.choice([2.2e9, 69e9, 200e9])
    x = y = heading = 0.0
    places, widths = [(x, y)], []
    for _ in range(count):
        length = chance.uniform(0.02, 0.2)
        x, y = x + length * cos(heading), y + length * sin(heading)
        places.append((x, y))
        widths.append(chance.uniform(0.02, 0.12))
        heading += chance.choice([1, -1]) * radians(chance.uniform(20, 110))
    ends = {0, count} if chance.random() < 0.3 else {0}
    nodes = tuple(
        FrameNode(*place, FIXED if i in ends else (False,) * 3) for i, place in enumerate(places)
    )
    members = tuple(
        Member(i, i + 1, modulus, w * thickness, w * thickness**3 / 12)
        for i, w in enumerate(widths)
    )
    forces = {
        node: (chance.uniform(-50, 50), chance.uniform(-50, 50), chance.uniform(-2, 2))
        for node in range(1, count + 1)
        if node not in ends
    }
    return Frame(nodes, members), forces, [chance.uniform(-40, 40) for _ in members]


def by_library(
    frame: Frame,
    forces: dict[int, tuple[float, float, float]],
    loads: list[tuple[float, float]],
) -> tuple[list[tuple[float, ...]], list[tuple[float, ...]]]:
    """Node displacements, and per member moment at both ends and axial force at the start."""
    from Pynite import FEModel3D

    model = FEModel3D()
    for i, node in enumerate(frame.nodes):
        model.add_node(f"n{i}", node.x_m, node.y_m, 0.0)
        held = node.held
        model.def_support(f"n{i}", held[0], held[1], True, True, True, held[2])
        fx, fy, m = forces.get(i, (0.0, 0.0, 0.0))
        for way, value in (("FX", fx), ("FY", fy), ("MZ", m)):
            model.add_node_load(f"n{i}", way, value)
    for i, member in enumerate(frame.members):
        e = member.modulus_pa
        model.add_material(f"s{i}", e, e / 2.6, 0.3, 1.0)
        j = member.inertia_m4
        model.add_section(f"c{i}", member.area_m2, j, j, 2 * j)
        model.add_member(f"m{i}", f"n{member.start}", f"n{member.end}", f"s{i}", f"c{i}")
        for way, value in zip(("FX", "FY"), loads[i], strict=True):
            model.add_member_dist_load(f"m{i}", way, value, value)
    model.analyze_linear(check_stability=False, sparse=False)
    nodes = [model.nodes[f"n{i}"] for i in range(len(frame.nodes))]
    moved = [tuple(float(v["Combo 1"]) for v in (n.DX, n.DY, n.RZ)) for n in nodes]
    ends: list[tuple[float, ...]] = []
    for i in range(len(frame.members)):
        f = model.members[f"m{i}"].f("Combo 1").flatten()
        ends.append((abs(float(f[5])), abs(float(f[11])), -float(f[0])))
    return moved, ends


def test_600_random_brackets_agree_with_a_general_frame_library() -> None:
    # second method: a general 3-D frame library; its local axes turn over on some members, so that
    # moments are compared by size
    chance = Random(20)
    for _ in range(600):
        frame, forces, lines = bracket(chance)
        loads = []
        for member, line in zip(frame.members, lines, strict=True):
            a, b = frame.nodes[member.start], frame.nodes[member.end]
            length = sqrt((b.x_m - a.x_m) ** 2 + (b.y_m - a.y_m) ** 2)
            loads.append((-line * (b.y_m - a.y_m) / length, line * (b.x_m - a.x_m) / length))
        ours = frame.solve(forces, loads)
        moved, ends = by_library(frame, forces, loads)
        assert np.allclose(ours.moved, moved, rtol=0.005, atol=0.005 * np.abs(moved).max() / 100)
        mine = [
            (abs(m.moment_nm(0.0)), abs(m.moment_nm(m.length_m)), m.axial_n(0.0))
            for m in ours.members
        ]
        assert np.allclose(mine, ends, rtol=0.005, atol=0.005 * np.abs(ends).max() / 100)
        _balance(frame, forces, loads, ours)


def _balance(
    frame: Frame,
    forces: dict[int, tuple[float, float, float]],
    loads: list[tuple[float, float]],
    ours: SolvedFrame,
) -> None:
    """Conservation: loads and reactions add up to nought."""
    for axis in (0, 1):
        total = sum(force[axis] for force in forces.values())
        total += sum(m.length_m * w[axis] for m, w in zip(ours.members, loads, strict=True))
        back = sum(reaction[axis] for reaction in ours.reactions.values())
        assert total + back == pytest.approx(0, abs=1e-5)


def test_bar_depth_for_a_stress() -> None:
    # source: machinist handbook beam chapter, classic example: 3000 lbf at 36 in, 2 in wide,
    # 12 000 psi asks for 5.2 in (5.196 exactly)
    depth = 5.196
    frame = beam([0, 36], {0: FIXED}, 30e6, 2 * depth, 2 * depth**3 / 12)
    solved = frame.solve({1: (0, -3000, 0)})
    moment = abs(solved.members[0].moment_nm(0))
    assert moment / (2 * depth**2 / 6) == pytest.approx(12000, rel=0.001)


def test_cantilever_strip_in_metric() -> None:
    # source: laboratory note, printed 0.574 mm with a rounded second moment
    frame = beam([0, 0.09373], {0: FIXED}, 70e9, 40e-6, 1.37e-10)
    solved = frame.solve({1: (0, -20, 0)})
    assert -solved.moved[1][1] * 1000 == pytest.approx(0.574, rel=0.005)


def test_gable_frame_of_a_textbook() -> None:
    # source: Logan, A First Course in the Finite Element Method, problem 5.30 (kip, inch)
    places = [(0, 0), (0, 360), (180, 480), (420, 480), (600, 360), (600, 0)]
    nodes = tuple(
        FrameNode(*p, FIXED if i in (0, 5) else (False,) * 3) for i, p in enumerate(places)
    )
    frame = Frame(nodes, tuple(Member(i, i + 1, 30000, 12, 200) for i in range(5)))
    solved = frame.solve({2: (0, -30, 0), 3: (0, -30, 0)})
    assert solved.reactions[0] == pytest.approx((11.6877, 30, -1810.07), rel=1e-4)
    assert solved.moved[2][1] == pytest.approx(-6.6668, abs=0.0001)


def test_three_spans_with_the_outer_ones_loaded() -> None:
    # source: handbook beam table by way of an open frame library's tests: w 70, L 5, EI 15 000
    w, length = 70.0, 5.0
    held = {0: PINNED, 1: ROLLER, 2: ROLLER, 3: ROLLER}
    frame = beam([0, 5, 10, 15], held, 15000.0, 1e3, 1.0)
    solved = frame.solve({}, [(0, -w), (0, 0), (0, -w)])
    first, middle, _ = solved.members
    at = first.stations_m()[1]
    assert first.moment_nm(at) == pytest.approx(0.10125 * w * length**2, rel=1e-4)
    assert middle.moment_nm(2.5) == pytest.approx(-0.05 * w * length**2, rel=1e-6)
    reactions = [solved.reactions[i][1] for i in range(4)]
    assert reactions == pytest.approx([0.45 * w * length, 0.55 * w * length] * 1 + [
        0.55 * w * length, 0.45 * w * length])  # fmt: skip
    sag = max(-first.moved_m(i * length / 200)[1] for i in range(201))
    assert sag == pytest.approx(0.009917 * w * length**4 / 15000, rel=0.001)


@pytest.mark.parametrize(
    ("points", "held", "forces", "line", "moment", "sag"),
    [
        # source: machinist handbook beam table and textbook cases; L = 2, E I = 100, F = 3, w = 5
        ([0, 2], {0: FIXED}, {1: -3.0}, 0.0, 3 * 2, 3 * 8 / 300),
        ([0, 2], {0: FIXED}, {}, -5.0, 5 * 4 / 2, 5 * 16 / 800),
        ([0, 0.5, 2], {0: FIXED}, {1: -3.0}, 0.0, 1.5, 3 * 0.25 * (1 + 4.5) / 600),
        ([0, 1, 2], {0: PINNED, 2: ROLLER}, {1: -3.0}, 0.0, 1.5, 3 * 8 / 4800),
        ([0, 2], {0: PINNED, 1: ROLLER}, {}, -5.0, 2.5, 5 * 5 * 16 / 38400),
        ([0, 1, 2], {0: FIXED, 2: FIXED}, {1: -3.0}, 0.0, 0.75, 3 * 8 / 19200),
        ([0, 1, 2], {0: PINNED, 1: ROLLER, 2: ROLLER}, {}, -5.0, 5 / 8, None),
    ],
)
def test_beam_table(
    points: list[float],
    held: dict[int, tuple[bool, bool, bool]],
    forces: dict[int, float],
    line: float,
    moment: float,
    sag: float | None,
) -> None:
    frame = beam(points, held, 100.0, 1e6, 1.0)
    solved = frame.solve({n: (0, f, 0) for n, f in forces.items()},
                         [(0, line)] * len(frame.members))  # fmt: skip
    most = max(abs(m.moment_nm(at)) for m in solved.members for at in m.stations_m())
    assert most == pytest.approx(moment)
    if sag is not None:
        moved = [m.moved_m(m.length_m * i / 8) for m in solved.members for i in range(9)]
        assert max(hypot(*each) for each in moved) == pytest.approx(sag, rel=1e-6)


def test_l_frame_with_its_tip_loaded() -> None:
    # source: Timoshenko and Young par. 80: P Lh2 Lv/(E I) + P Lh3/(3 E I) + P Lv/(E A)
    p, lh, lv, e, a, i = 40.0, 0.1, 0.12, 2.2e9, 3e-4, 9e-10
    frame = Frame(
        (FrameNode(0, 0, FIXED), FrameNode(0, lv), FrameNode(lh, lv)),
        (Member(0, 1, e, a, i), Member(1, 2, e, a, i)),
    )
    tip = -frame.solve({2: (0, -p, 0)}).moved[2][1]
    assert tip == pytest.approx(
        p * lh**2 * lv / (e * i) + p * lh**3 / (3 * e * i) + p * lv / (e * a), rel=1e-9
    )


def test_a_frame_that_can_move_is_refused() -> None:
    frame = beam([0, 1], {0: PINNED}, 1.0, 1.0, 1.0)
    with pytest.raises(Unstable):
        frame.solve({1: (0, -1, 0)})


def test_bare_cantilever_frequency() -> None:
    # source: uniform cantilever, 1.875104^2/(2 pi L2) sqrt(EI/m)
    frame = beam([i * 0.3 / 4 for i in range(5)], {0: FIXED}, 2e9, 3e-4, 1e-9, 1.5)
    exact = 1.875104**2 / (2 * pi * 0.09) * sqrt(2 / 1.5)
    assert frame.first_mode_hz() == pytest.approx(exact, rel=2e-4)


def test_cantilever_with_a_mass_at_its_tip() -> None:
    # source: sqrt(3 E I/((M + 0.23 m) L3))/(2 pi), a Rayleigh estimate, good to some 1 %
    nodes = tuple(FrameNode(i * 0.05, 0, FIXED if i == 0 else (False,) * 3, 0.8 if i == 4 else 0.0)
                  for i in range(5))  # fmt: skip
    members = tuple(Member(i, i + 1, 2e9, 3e-4, 1e-9, 0.5) for i in range(4))
    formula = sqrt(3 * 2.0 / ((0.8 + 0.23 * 0.1) * 0.2**3)) / (2 * pi)
    assert Frame(nodes, members).first_mode_hz() == pytest.approx(formula, rel=0.01)


def test_first_modes_of_random_brackets_by_numpy() -> None:
    # second method: dense eigenvalues of flexibility times mass, both rebuilt column by column
    chance = Random(4)
    for _ in range(25):
        plain, _, _ = bracket(chance)
        nodes = tuple(FrameNode(n.x_m, n.y_m, n.held, chance.uniform(0, 2)) for n in plain.nodes)
        members = tuple(
            Member(m.start, m.end, m.modulus_pa, m.area_m2, m.inertia_m4, m.area_m2 * 2000)
            for m in plain.members
        )
        frame = Frame(nodes, members)
        free = [3 * n + i for n, node in enumerate(nodes) for i in range(3) if not node.held[i]]
        flexibility = []
        for place in free:
            unit = [0.0, 0.0, 0.0]
            unit[place % 3] = 1.0
            solved = frame.solve({place // 3: (unit[0], unit[1], unit[2])})
            flexibility.append([solved.moved[p // 3][p % 3] for p in free])
        mass = []
        for place in free:
            shape = [0.0] * (3 * len(nodes))
            shape[place] = 1.0
            mass.append([frame._times_mass(shape)[p] for p in free])
        largest = np.linalg.eigvals(np.array(flexibility) @ np.array(mass)).real.max()
        assert frame.first_mode_hz() == pytest.approx(1 / (2 * pi * sqrt(largest)), rel=1e-6)


@pytest.mark.parametrize(
    ("name", "rms"),
    [
        # source: overall r.m.s. stated in ISO 16750-3 for each profile [m/s2]
        (Place.BODY, 27.8),
        (Place.TRUCK_BODY, 57.9),
        (Place.ENGINE, 181),
        (Place.UNSPRUNG, 107.3),
        ("gearbox", 96.6),
        ("truck engine", 177),
    ],
)
def test_profiles_integrate_to_their_stated_value(name: Place | str, rms: float) -> None:
    points = profile(name)
    assert rms_m_s2(points) == pytest.approx(rms, rel=0.003)
    # second method: the trapezoid rule on 20 000 points, straight on log-log
    f = np.geomspace(points[0][0], points[-1][0], 20001)
    a = np.exp(np.interp(np.log(f), [np.log(p) for p, _ in points], [np.log(q) for _, q in points]))
    assert rms_m_s2(points) == pytest.approx(float(np.sqrt(np.trapezoid(a, f))), rel=1e-4)
    assert all(low[0] < high[0] for low, high in pairwise(points))


def test_screening_profile_of_6_g() -> None:
    # source: NAVMAT P-9492 profile, 6.06 g r.m.s.
    points = ((20.0, 0.01005), (80.0, 0.04), (350.0, 0.04), (2000.0, 0.00704))
    assert rms_m_s2(points) == pytest.approx(6.06, abs=0.01)


def test_miles_against_the_integral_of_the_answer() -> None:
    # second method: a mass on a damped spring, absolute acceleration over a flat spectrum
    fn, quality, level = 120.0, 10.0, 2.0
    f = np.linspace(0.01, 6000, 2_000_001)
    r = f / fn
    gain = (1 + (r / quality) ** 2) / ((1 - r**2) ** 2 + (r / quality) ** 2)
    # Miles leaves out the damper's part of the answer, 1 + 1/Q^2 of it
    whole = float(np.sqrt(np.trapezoid(gain * level, f)))
    assert miles_m_s2(fn, quality, level) == pytest.approx(whole, rel=0.01)


def test_static_deflection_and_frequency() -> None:
    # source: vibration textbooks: 1 mm of static deflection is 15.76 Hz
    stiffness = 9.80665 / 0.001
    inertia = stiffness / 3
    frame = Frame(
        (FrameNode(0, 0, FIXED), FrameNode(1, 0, mass_kg=1.0)), (Member(0, 1, 1.0, 1e9, inertia),)
    )
    assert frame.first_mode_hz() == pytest.approx(15.76, abs=0.005)
