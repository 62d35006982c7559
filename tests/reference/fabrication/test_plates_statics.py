"""Statics of custom parts: plates in balance, net sections by hand, and axes that do not matter.

How somebody lays the axes of a plate changes nothing that the part does: the same part with every
plate's corner elsewhere, a plate turned by a quarter, and its mirror image must give the same
figures. And whatever acts on a plate that stands still adds up to nothing, in force and in moment.
"""

from collections.abc import Callable
from math import hypot
from random import Random
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.typing import NDArray
from shapely.affinity import rotate
from shapely.geometry import Polygon, box

from domain.build.choices import HoleKind, HoleShape
from domain.fabrication.materials.drills import Drill
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.strength.folded_plates import Clamp, Device, Fold, Folded, Lip, Plate
from domain.fabrication.strength.net_section import Force, worst_section
from domain.fabrication.strength.plate_answer import solve
from domain.fabrication.strength.plate_energy import Energy, corners
from domain.fabrication.strength.plate_solution import Held

G = 9.80665
E_PA, NU, RHO, T = 70e9, 0.33, 2700.0, 0.003
Vector = tuple[float, float]
Space = tuple[float, float, float]
Array = NDArray[np.float64]
NONE = np.zeros(3)


def hole(
    x_m: float, y_m: float, size_m: float, across_m: float | None = None, turn: float = 0.0
) -> PlacedHole:
    shape = HoleShape.ROUND if across_m is None else HoleShape.SLOT
    drill = Drill("", size_m)
    return PlacedHole(
        "h", "n1", x_m, y_m, shape, size_m, across_m, turn, HoleKind.PLAIN, "", drill, None, True
    )


def bent(large: bool = True) -> Folded:
    """A base on screws with a box and two flanges; one carries a box on two feet and has a lip."""
    base = Plate("n1", (0, 0, 0.12, 0.1), (0, 0, 0), ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
    up = Plate("n2", (0, 0, 0.1, 0.05), (0.01, 0.1, 0), ((1, 0, 0), (0, 0, 1), (0, -1, 0)))
    down = Plate("n3", (0, 0, 0.06, 0.04), (0, 0.08, 0), ((0, -1, 0), (0, 0, -1), (1, 0, 0)))
    four = ((0.05, 0.03), (0.08, 0.04), (0.07, 0.07), (0.04, 0.06))
    low = Device(0, 0.06, 0.05, 1.2, 0.03, (0.04, 0.03, 0.06), 20.0, four, 0.004)
    two = ((0.03, 0.02), (0.06, 0.02))
    high = Device(1, 0.05, 0.025, 0.4, -0.02, (0.04, 0.01, 0.035), 15.0, two, 0.004)
    holes = [hole(0.02, 0.09, 0.007), hole(0.1, 0.06, 0.005, 0.012, 25.0)]
    return Folded(
        plates=(base, up, down),
        folds=(
            Fold(0, 1, (((0.01, 0.1), (0.11, 0.1)), ((0, 0), (0.1, 0))), (0, 1), 0.1, T),
            Fold(0, 2, (((0, 0.08), (0, 0.02)), ((0, 0), (0.06, 0))), (-1, 0), 0.06, T),
        ),
        clamps=(
            Clamp("a", 0, 0.015, 0.012, 0.005),
            Clamp("b", 0, 0.108, 0.014, 0.006),
            Clamp("c", 0, 0.1, 0.088, 0.005),
            Clamp("d", 2, 0.03, 0.025, 0.005),
        ),
        devices=(low, high),
        lips=(Lip(1, ((0.0, 0.05), (0.1, 0.05)), 0.02),),
        holes=(tuple(holes), (hole(0.02, 0.012, 0.006),), (hole(0.02, 0.02, 0.016),) * large),
        thickness_m=T,
        density_kg_m3=RHO,
        own_kg=0.0,
    )


Put = Callable[[float, float], Vector]


def laid(
    part: Folded,
    put: dict[int, Put],
    axes: Callable[[tuple[Space, Space, Space]], tuple[Space, Space, Space]],
    turn: Callable[[float], float] = lambda deg: deg,
) -> Folded:
    """A part with other axes on some plates: where their points come to, and the new axes."""

    def at(plate: int, point: Vector) -> Vector:
        return put[plate](*point) if plate in put else point

    def pair(plate: int, ends: tuple[Vector, Vector]) -> tuple[Vector, Vector]:
        return at(plate, ends[0]), at(plate, ends[1])

    def turned(plate: int, deg: float) -> float:
        return turn(deg) if plate in put else deg

    plates = []
    for number, plate in enumerate(part.plates):
        x0, y0, x1, y1 = plate.rect
        (ax, ay), (bx, by) = at(number, (x0, y0)), at(number, (x1, y1))
        own = axes(plate.axes) if number in put else plate.axes
        rect = (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
        # the old (0, 0) stays where it is in space
        ox, oy = at(number, (0.0, 0.0))
        origin = np.array(plate.origin) - ox * np.array(own[0]) - oy * np.array(own[1])
        plates.append(Plate(plate.panel, rect, tuple(origin), own))
    zero = {n: at(n, (0.0, 0.0)) for n in range(len(plates))}
    folds = []
    for fold in part.folds:
        outward = at(fold.parent, fold.outward)
        ends = (pair(fold.parent, fold.ends[0]), pair(fold.child, fold.ends[1]))
        out = (outward[0] - zero[fold.parent][0], outward[1] - zero[fold.parent][1])
        folds.append(replace(fold, ends=ends, outward=out))
    clamps = []
    for clamp in part.clamps:
        x, y = at(clamp.plate, (clamp.x_m, clamp.y_m))
        clamps.append(replace(clamp, x_m=x, y_m=y))
    devices = []
    for device in part.devices:
        x, y = at(device.plate, (device.x_m, device.y_m))
        feet = tuple(at(device.plate, foot) for foot in device.feet)
        deg = turned(device.plate, device.turn_deg)
        devices.append(replace(device, x_m=x, y_m=y, feet=feet, turn_deg=deg))
    holes = []
    for number, on in enumerate(part.holes):
        here = []
        for each in on:
            x, y = at(number, (each.x_m, each.y_m))
            here.append(replace(each, x_m=x, y_m=y, turn_deg=turned(number, each.turn_deg)))
        holes.append(tuple(here))
    return replace(
        part,
        plates=tuple(plates),
        folds=tuple(folds),
        clamps=tuple(clamps),
        devices=tuple(devices),
        lips=tuple(replace(lip, ends=pair(lip.plate, lip.ends)) for lip in part.lips),
        holes=tuple(holes),
    )


def shifted(part: Folded) -> Folded:
    return laid(part, dict.fromkeys(range(3), lambda x, y: (x + 0.3, y - 0.2)), lambda axes: axes)


def quarter_turned(part: Folded) -> Folded:
    """The base alone: a flange's way out is up its y."""

    def axes(old: tuple[Space, Space, Space]) -> tuple[Space, Space, Space]:
        x, y, z = old[1]
        return (-x, -y, -z), old[0], old[2]

    return laid(part, {0: lambda x, y: (-y, x)}, axes, lambda deg: deg + 90)


def mirrored(part: Folded) -> Folded:
    """The part for the other hand: space mirrored left to right, and with it every plate's x."""

    def over(v: Space, sign: int = 1) -> Space:
        return -v[0] * sign, v[1] * sign, v[2] * sign

    def axes(old: tuple[Space, Space, Space]) -> tuple[Space, Space, Space]:
        return over(old[0], -1), over(old[1]), over(old[2])

    plates = tuple(replace(plate, origin=over(plate.origin)) for plate in part.plates)
    put: dict[int, Put] = dict.fromkeys(range(3), lambda x, y: (-x, y))
    return laid(replace(part, plates=plates), put, axes, lambda deg: -deg)


def figures(part: Folded, flush: bool) -> dict[str, Any]:
    found = solve(part, E_PA, NU, flush)
    assert found is not None
    all_of = {"stress": found.stress_pa, "sag": found.sag_m, "mode": found.natural_hz}
    all_of["reach"] = found.reach_m
    for screw in found.screws:
        all_of |= {f"pull {screw.hole}": screw.pull_n, f"shear {screw.hole}": screw.shear_n}
    for held in (True, False):
        solved = Held(Energy(part, E_PA, NU), held)
        forces = solved._forces()
        for number, plate in enumerate(part.plates):
            all_of[f"bent {plate.panel} {held}"] = solved._bending(number, forces[number])[0]
    return all_of


@pytest.mark.parametrize("moved", [shifted, quarter_turned, mirrored])
def test_how_the_axes_lie_changes_nothing(moved: Callable[[Folded], Folded]) -> None:
    part = bent()
    for flush in (True, False):
        assert figures(moved(part), flush) == pytest.approx(figures(part, flush), rel=1e-5)


@pytest.mark.parametrize("held", [True, False])
def test_every_plate_stands_still(held: bool) -> None:
    # statics: forces, and moments about all three axes through the plate's (0, 0), add up to 0
    part = shifted(bent(large=False))
    solved = Held(Energy(part, E_PA, NU), held)
    for number, (plate, forces) in enumerate(zip(part.plates, solved._forces(), strict=True)):
        wide, long = plate.size_m
        weight = -RHO * T * wide * long * G * solved.energy.axes(number)
        own = Force(plate.middle, weight[0], weight[1], weight[2], NONE, NONE, NONE)
        total, size = np.zeros((6, 3)), 0.0
        for each in (*forces, own):
            x, y = each.at
            out_by_y, out_by_x = y * each.out + each.about_x, x * each.out + each.about_y
            plane = x * each.y - y * each.x + each.turn
            total += np.array([each.x, each.y, each.out, out_by_y, out_by_x, plane])
            size += float(abs(np.array([each.x, each.y, each.out])).max())
        # a box off the sheet tips it when it is pulled along: that couple is in its feet
        assert total == pytest.approx(np.zeros((6, 3)), abs=2e-5 * size)


def test_outline_of_a_turned_device() -> None:
    # second method: a rectangle turned by the geometry library
    device = Device(0, 0.06, 0.05, 1.0, 0.0, (0.04, 0.03, 0.06), 20.0, (), 0.004)
    drawn = rotate(box(0.04, 0.035, 0.08, 0.065), 20.0, origin=(0.06, 0.05))
    assert Polygon(corners(device)).symmetric_difference(drawn).area < 1e-12


def force(at: Vector, x: float = 0, y: float = 0, out: float = 0, **more: float) -> Force:
    """A force under the first of the three pulls alone."""
    one = np.array([1.0, 0.0, 0.0])
    by_x, by_y, turn = (more.get(name, 0.0) * one for name in ("about_x", "about_y", "turn"))
    return Force(at, x * one, y * one, out * one, by_x, by_y, turn)


RECT = (0.0, 0.0, 0.2, 0.04)


def section(forces: list[Force], *holes: PlacedHole) -> float:
    return worst_section(RECT, holes, forces, NONE, 0.002)


def test_net_sections_by_hand() -> None:
    # a strip 40 mm wide and 2 mm thick, an 8 mm hole 50 mm from where it is pulled: 32 mm are left.
    # 6 M/(b t2), N/(b t) and 6 M/(t b2) of strength of materials, b what is left
    one = hole(0.15, 0.02, 0.008)
    flat = 6 * 10 * 0.05 / (0.032 * 0.002**2)
    lift = [force((0.2, 0.02), out=10), force((0, 0.02), out=-10, about_y=-2)]
    assert section(lift, one) == pytest.approx(flat, rel=1e-4)
    pull = [force((0.2, 0.02), x=10), force((0, 0.02), x=-10)]
    assert section(pull, one) == pytest.approx(10 / (0.032 * 0.002))
    # 5 mm beside the middle the pull bends the strip in its plane as well
    aside = [force((0.2, 0.025), x=10), force((0, 0.025), x=-10)]
    both = 10 / (0.032 * 0.002) + 6 * 10 * 0.005 / (0.002 * 0.032**2)
    assert section(aside, one) == pytest.approx(both)
    across = [force((0.2, 0.02), y=10), force((0, 0.02), y=-10, turn=-2)]
    assert section(across, one) == pytest.approx(6 * 10 * 0.05 / (0.002 * 0.032**2), rel=1e-4)
    # two in one line take both their widths; a slot along the strip takes its width, not its length
    two = (hole(0.15, 0.01, 0.008), hole(0.15, 0.03, 0.01))
    assert section(pull, *two) == pytest.approx(10 / (0.022 * 0.002))
    assert section(pull, hole(0.15, 0.02, 0.008, 0.02)) == pytest.approx(10 / (0.032 * 0.002))
    standing = hole(0.15, 0.02, 0.008, 0.02, 90.0)
    assert section(pull, standing) == pytest.approx(10 / (0.02 * 0.002))
    # pulled by three sides at once it is the root of the squares: the worst direction between them
    three = [replace(f, x=10 * np.ones(3) * (1 if f.at[0] else -1)) for f in pull]
    assert section(three, one) == pytest.approx(hypot(10, 10, 10) / (0.032 * 0.002))
    assert section(pull) == section([], one) == 0.0


def test_a_strip_under_its_own_weight() -> None:
    # by hand: held at one end, q out of the sheet and along it, beyond the hole 50 mm of strip
    one, q = hole(0.15, 0.02, 0.008), 20.0
    weight = q * 0.2 * 0.04
    out = np.diag([0.0, 0.0, 1.0])[:, [2, 0, 1]] * q
    held = [force((0, 0.02), out=-weight, about_y=-weight * 0.1)]
    bend = 6 * (q * 0.05 * 0.04 * 0.025) / (0.032 * 0.002**2)
    assert worst_section(RECT, [one], held, out, 0.002) == pytest.approx(bend)
    along = np.diag([1.0, 0.0, 0.0]) * q
    held = [force((0, 0.02), x=-weight)]
    assert worst_section(RECT, [one], held, along, 0.002) == pytest.approx(
        q * 0.05 * 0.04 / (0.032 * 0.002)
    )


@pytest.mark.parametrize("seed", range(8))
def test_a_net_section_is_the_same_from_any_side(seed: int) -> None:
    # forces drawn at random, and one that holds against them and the sheet's weight: shifted,
    # turned by a quarter or mirrored the worst section is the same
    chance = Random(seed)
    rect = (0.0, 0.0, 0.2, 0.12)

    def place() -> Vector:
        return chance.uniform(0.01, 0.19), chance.uniform(0.01, 0.11)

    def three() -> Array:
        return np.array([chance.uniform(-20, 20) for _ in range(3)])

    own = np.array([three(), three(), three()]) * 5
    area = 0.2 * 0.12
    forces = [
        Force(place(), three(), three(), three(), three() / 50, three() / 50, three() / 50)
        for _ in range(5)
    ]
    weight = own * area
    all_of = [*forces, Force((0.1, 0.06), weight[0], weight[1], weight[2], NONE, NONE, NONE)]
    x0, y0 = place()
    forces.append(
        Force(
            (x0, y0),
            -sum((f.x for f in all_of), NONE),
            -sum((f.y for f in all_of), NONE),
            -sum((f.out for f in all_of), NONE),
            -sum(((f.at[1] - y0) * f.out + f.about_x for f in all_of), NONE),
            -sum(((f.at[0] - x0) * f.out + f.about_y for f in all_of), NONE),
            -sum(((f.at[0] - x0) * f.y - (f.at[1] - y0) * f.x + f.turn for f in all_of), NONE),
        )
    )
    slots = [hole(*place(), 0.006, 0.015, chance.uniform(-90, 90)) for _ in range(2)]
    holes = [*slots, hole(*place(), 0.01)]
    plain = worst_section(rect, holes, forces, own, 0.002)

    def again(
        box: tuple[float, float, float, float],
        put: Callable[[float, float], Vector],
        way: Callable[[Array, Array], tuple[Array, Array]],
        couples: Callable[[Array, Array], tuple[Array, Array]],
        turn: Callable[[float], float],
        hand: int = 1,
    ) -> float:
        moved = [
            Force(put(*f.at), *way(f.x, f.y), f.out, *couples(f.about_x, f.about_y), hand * f.turn)
            for f in forces
        ]
        cut = []
        for each in holes:
            x, y = put(each.x_m, each.y_m)
            cut.append(replace(each, x_m=x, y_m=y, turn_deg=turn(each.turn_deg)))
        weight = np.array([*way(own[0], own[1]), own[2]])
        return worst_section(box, cut, moved, weight, 0.002)

    same = {
        "shifted": again(
            (0.5, -0.3, 0.7, -0.18), lambda x, y: (x + 0.5, y - 0.3), lambda x, y: (x, y),
            lambda x, y: (x, y), lambda deg: deg,
        ),
        "turned": again(
            (-0.12, 0.0, 0.0, 0.2), lambda x, y: (-y, x), lambda x, y: (-y, x),
            lambda x, y: (y, -x), lambda deg: deg + 90,
        ),
        "mirrored": again(
            (-0.2, 0.0, 0.0, 0.12), lambda x, y: (-x, y), lambda x, y: (-x, y),
            lambda x, y: (x, -y), lambda deg: -deg, -1,
        ),
    }  # fmt: skip
    assert same == pytest.approx(dict.fromkeys(same, plain), rel=1e-6)
