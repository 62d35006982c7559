"""Plates by Ritz's method against shell elements of a general frame library.

The shell is not thin (it shears), is not rigid in its own plane, and is made of small elements:
of the method's premises it shares small deflections and rigid corners, and no other.
"""

from math import pi
from random import Random

import numpy as np
import pytest
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from domain.fabrication.strength.folded_plates import Clamp, Device, Fold, Folded, Plate
from domain.fabrication.strength.plate_answer import solve
from domain.fabrication.strength.plate_energy import inertia

G = 9.80665
MATERIALS = ((200e9, 0.3, 7850.0), (70e9, 0.33, 2700.0), (2.2e9, 0.35, 1050.0))
FLAT = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


class Shell:
    """A chain of plates of one width as quadrilateral shells, a node at every screw and foot."""

    def __init__(self, part: Folded, modulus: float, nu: float) -> None:
        from Pynite import FEModel3D  # draws matplotlib in: by the worker that needs it alone

        self.part, self.model = part, FEModel3D()
        shear = modulus / 2 / (1 + nu)
        self.model.add_material("sheet", modulus, shear, nu, part.density_kg_m3)
        self.nodes: dict[tuple[float, ...], int] = {}
        self.lines: list[tuple[list[float], list[float], list[list[int]]]] = []
        self.mass: dict[int, float] = {}
        self.moved, self.first = np.zeros((0, 3)), [0]
        size = min(part.shortest_m / 8, 0.014)
        marks: list[list[tuple[float, float]]] = [[] for _ in part.plates]
        for clamp in part.clamps:
            r = clamp.radius_m
            marks[clamp.plate] += [
                (clamp.x_m + i * r, clamp.y_m + j * r) for i in (-1, 0, 1) for j in (-1, 0, 1)
            ]
        for device in part.devices:
            marks[device.plate] += device.feet
        x0, _, x1, _ = part.plates[0].rect
        xs = spaced([x0, x1, *(x for points in marks for x, _ in points)], size)
        for number, plate in enumerate(part.plates):
            ys = spaced([plate.rect[1], plate.rect[3], *(y for _, y in marks[number])], size)
            origin, axes = np.array(plate.origin), np.array(plate.axes)
            ids = [[self._node(origin + axes[0] * x + axes[1] * y) for y in ys] for x in xs]
            self.lines.append((xs, ys, ids))
            for i in range(len(xs) - 1):
                for j in range(len(ys) - 1):
                    four = (ids[i][j], ids[i + 1][j], ids[i + 1][j + 1], ids[i][j + 1])
                    name = f"q{number}.{i}.{j}"
                    self.model.add_quad(name, *map(str, four), part.thickness_m, "sheet")
                    area = (xs[i + 1] - xs[i]) * (ys[j + 1] - ys[j])
                    for node in four:
                        more = area * part.thickness_m * part.density_kg_m3 / 4
                        self.mass[node] = self.mass.get(node, 0.0) + more

    def _node(self, at: np.ndarray) -> int:
        key = tuple(round(float(value), 7) for value in at)
        if key not in self.nodes:
            self.nodes[key] = len(self.nodes)
            self.model.add_node(str(self.nodes[key]), *map(float, at))
        return self.nodes[key]

    def at(self, plate: int, x: float, y: float) -> int:
        xs, ys, ids = self.lines[plate]
        return ids[np.abs(np.array(xs) - x).argmin()][np.abs(np.array(ys) - y).argmin()]

    def solve(self, held: bool) -> tuple[float, float]:
        """Sag under one g from the worst side [m] and first mode [Hz]."""
        part, count = self.part, len(self.nodes)
        from Pynite.Analysis import _prepare_model

        _prepare_model(self.model)
        stiffness = csc_matrix(self.model.Ke("Combo 1", False, False, True))
        first = [6 * int(self.model.nodes[str(i)].ID) for i in range(count)]
        fixed: set[int] = set()
        for clamp in part.clamps:
            out = int(np.abs(np.array(part.plates[clamp.plate].axes[2])).argmax())
            middle = first[self.at(clamp.plate, clamp.x_m, clamp.y_m)]
            fixed |= {middle, middle + 1, middle + 2}
            for i, j in ((1, 0), (-1, 0), (0, 1), (0, -1)) if held else ():
                rim = self.at(
                    clamp.plate, clamp.x_m + i * clamp.radius_m, clamp.y_m + j * clamp.radius_m
                )
                fixed.add(first[rim] + out)
        free = np.array([i for i in range(6 * count) if i not in fixed])
        lumped = np.zeros(6 * count)
        load = np.zeros((6 * count, 3))
        for node, mass in self.mass.items():
            lumped[first[node] : first[node] + 3] = mass
            load[first[node] : first[node] + 3] -= G * mass * np.eye(3)
        rigid = []
        for device in part.devices:
            rows = self._device(device, first)
            rigid.append((rows, inertia(device)))
            weight = np.zeros((6, 3))
            weight[:3] = -G * device.mass_kg * np.array(part.plates[device.plate].axes)
            load += rows.T @ weight
        factor = splu(stiffness[free][:, free])
        moved = np.zeros((6 * count, 3))
        moved[free] = factor.solve(load[free])

        def heavy(shapes: np.ndarray) -> np.ndarray:
            whole = np.zeros((6 * count, shapes.shape[1]))
            whole[free] = shapes
            found = lumped[:, None] * whole
            for rows, mass in rigid:
                found += rows.T @ (mass @ (rows @ whole))
            inside: np.ndarray = found[free]
            return inside

        shapes = moved[free]
        for _ in range(20):
            shapes = factor.solve(heavy(shapes))
            size, way = np.linalg.eigh(shapes.T @ heavy(shapes))
            good = size > size[-1] * 1e-12
            shapes = shapes @ (way[:, good] / np.sqrt(size[good]))
        period2 = np.linalg.eigvalsh(shapes.T @ heavy(factor.solve(heavy(shapes))))[-1]
        self.moved, self.first = moved, first
        places = np.array([moved[start : start + 3] for start in first])
        sag = float(np.linalg.norm(places, 2, axis=(1, 2)).max())
        return sag, float(1 / (2 * pi * period2**0.5))

    def stress_pa(self) -> float:
        """The highest bending stress [Pa] in the middle of an element under one g from any side.

        After ``solve``. Only away from points that push or hold: two radii of a screw, two and a
        half of a foot.
        """
        part, turn = self.part, np.arange(24) * pi / 24
        ways = np.array([np.cos(turn) ** 2, np.sin(turn) ** 2, np.sin(2 * turn)])
        names = ("DX", "DY", "DZ", "RX", "RY", "RZ")
        for number, start in enumerate(self.first):
            node = self.model.nodes[str(number)]
            for at, name in enumerate(names):
                for pull in range(3):
                    getattr(node, name)[f"pull {pull}"] = float(self.moved[start + at, pull])
        worst = 0.0
        for number, (xs, ys, _ids) in enumerate(self.lines):
            points = [
                (c.x_m, c.y_m, 2.0 * c.radius_m) for c in part.clamps if c.plate == number
            ] + [
                (x, y, 2.5 * d.foot_m) for d in part.devices if d.plate == number for x, y in d.feet
            ]
            for i in range(len(xs) - 1):
                for j in range(len(ys) - 1):
                    x, y = (xs[i] + xs[i + 1]) / 2, (ys[j] + ys[j + 1]) / 2
                    if any(np.hypot(x - px, y - py) < near for px, py, near in points):
                        continue
                    quad = self.model.quads[f"q{number}.{i}.{j}"]
                    moments = [quad.moment(0, 0, True, f"pull {k}").ravel() for k in range(3)]
                    worst = max(worst, np.linalg.norm(np.array(moments) @ ways, axis=0).max())
        return float(worst) * 6 / part.thickness_m**2

    def _device(self, device: Device, first: list[int]) -> np.ndarray:
        """Shift and turn of a box on four feet: the mean of them, and the plane through them."""
        axes = np.array(self.part.plates[device.plate].axes)
        feet = np.array(device.feet) - np.array([device.x_m, device.y_m])
        fit = np.linalg.pinv(np.column_stack([np.ones(len(feet)), feet]))
        rows = np.zeros((6, 6 * len(first)))
        for k, (x, y) in enumerate(device.feet):
            start = first[self.at(device.plate, x, y)]
            here = slice(start, start + 3)
            rows[2, here] += fit[0, k] * axes[2]
            rows[3, here] += fit[2, k] * axes[2]
            rows[4, here] -= fit[1, k] * axes[2]
            rows[0, here] += axes[0] / len(feet) - device.height_m * fit[1, k] * axes[2]
            rows[1, here] += axes[1] / len(feet) - device.height_m * fit[2, k] * axes[2]
        return rows


def spaced(marks: list[float], size: float) -> list[float]:
    """Lines through all marks, no further apart than a size."""
    found: list[float] = []
    for mark in sorted(marks):
        if found and mark - found[-1] < size / 1000:
            continue
        if found:
            start, pieces = found[-1], max(1, int(np.ceil((mark - found[-1]) / size)))
            found += [start + (mark - start) * i / pieces for i in range(1, pieces)]
        found.append(mark)
    return found


def box(chance: Random, plate: int, wide: float, long: float) -> Device:
    """A device of 0.2 to 3 kg somewhere on a plate, its centre up to 60 mm above it."""
    along, across = chance.uniform(0.2, 0.5) * wide, chance.uniform(0.2, 0.5) * long
    x = chance.uniform(0.52 * along, wide - 0.52 * along)
    y = chance.uniform(0.52 * across, long - 0.52 * across)
    feet = tuple((x + i * along / 2, y + j * across / 2) for i in (-1, 1) for j in (-1, 1))
    high = chance.choice([0.0, chance.uniform(0.01, 0.06)])
    size = (along, across, 2 * high)
    return Device(plate, x, y, chance.uniform(0.2, 3), high, size, 0.0, feet, 0.004)


def drawn(chance: Random, panels: int) -> tuple[Folded, float, float]:
    """A random flat plate on three to five screws, or an L, Z or U on two to four in its base."""
    modulus, nu, density = chance.choice(MATERIALS)
    wide = chance.uniform(0.08, 0.3 if panels == 1 else 0.2)
    lengths = [chance.uniform(0.08 if panels == 1 else 0.05, 0.15) for _ in range(panels)]
    thick = min([wide, *lengths]) / chance.uniform(18, 55)
    r = chance.choice([0.0045, 0.006])
    a, b = (chance.uniform(1.3, 2.5) * r for _ in range(2))
    base = lengths[0]
    if panels == 1:
        screws = [(a, b), (wide - a, b), (b, base - a), (wide - b, base - b), (wide / 2, b)]
        screws = screws[: chance.choice([4, 4, 5])] if chance.random() < 0.8 else screws[1:4]
    else:
        far = base * chance.uniform(0.5, 0.7)
        screws = [(a, far), (wide - a, far), (a, b), (wide - b, b)][: chance.choice([2, 4])]
    plates, folds = [], []
    origin, axes = np.zeros(3), np.array(FLAT)
    for k, length in enumerate(lengths):
        if k:
            origin = origin + axes[1] * lengths[k - 1]
            side = chance.choice([1.0, -1.0])
            axes = np.array([axes[0], side * axes[2], -side * axes[1]])
            before = ((0.0, lengths[k - 1]), (wide, lengths[k - 1]))
            ends = (before, ((0.0, 0.0), (wide, 0.0)))
            folds.append(Fold(k - 1, k, ends, (0.0, 1.0), wide, thick))
        x, y, out = (tuple(map(float, axis)) for axis in axes)
        where = tuple(map(float, origin))
        plates.append(Plate(f"n{k}", (0.0, 0.0, wide, length), where, (x, y, out)))  # type: ignore[arg-type]
    on = panels - 1
    part = Folded(
        plates=tuple(plates),
        folds=tuple(folds),
        clamps=tuple(Clamp(f"h{i}", 0, x, y, r) for i, (x, y) in enumerate(screws)),
        devices=(box(chance, on, wide, lengths[on]),),
        lips=(),
        holes=((),) * panels,
        thickness_m=thick,
        density_kg_m3=density,
        own_kg=0.0,
    )
    return part, modulus, nu


@pytest.mark.parametrize(("panels", "seed"), [(1, 0), (1, 1), (2, 0), (2, 1), (3, 0)])
def test_sag_and_first_mode_against_a_shell(panels: int, seed: int) -> None:
    part, modulus, nu = drawn(Random(f"{panels} panels {seed}"), panels)
    held = panels > 1
    sag, natural_hz = Shell(part, modulus, nu).solve(held)
    found = solve(part, modulus, nu, flush=held)
    assert found is not None
    # 40 flat and 64 bent parts drawn so: sag -3 to +12 %, first mode -7 to +3 %
    assert found.sag_m == pytest.approx(sag, rel=0.1)
    assert found.natural_hz == pytest.approx(natural_hz, rel=0.05)


@pytest.mark.parametrize("seed", [0, 1])
def test_stress_of_a_bent_part_is_not_below_that_of_a_shell(seed: int) -> None:
    # 34 bent parts drawn so: -6 to +69 %, half of them +18 % or more; 10 flat ones +9 % or more
    part, modulus, nu = drawn(Random(f"stress of 2 panels {seed}"), 2)
    shell = Shell(part, modulus, nu)
    shell.solve(held=True)
    found = solve(part, modulus, nu, flush=True)
    assert found is not None
    assert 0.9 * shell.stress_pa() < found.stress_pa < 2 * shell.stress_pa()
