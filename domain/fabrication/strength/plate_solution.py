"""What one g from any side does to a part made of plates: stress, sag, first mode, its screws.

Three pulls, one along each axis in space, are solved; every answer is the worst that any direction
between them makes. Stress is that of bending in twelve directions in the sheet, with the moment
that a force at a point makes beyond the polynomials (Timoshenko and Woinowsky-Krieger, the plate's
fundamental solution), the bending round the washer of a held screw, and by statics that of every
line across a panel through its holes (``domain.fabrication.strength.net_section``).
"""

from __future__ import annotations

from math import hypot, pi
from typing import TYPE_CHECKING

from msgspec import Struct

from domain.fabrication.strength.legendre import gauss
from domain.fabrication.strength.net_section import Force, worst_section
from domain.fabrication.strength.plate_energy import (
    Energy,
    Spring,
    device_rows,
    finest,
)
from domain.fabrication.strength.plate_tree import PlateTree
from domain.fabrication.strength.vibration import GRAVITY_M_S2

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from domain.fabrication.strength.folded_plates import Clamp, Fold

    Array = NDArray[np.float64]

_ROUNDS = 8
"""Rounds of the subspace iteration for the first mode."""

_SETTLED = 1e-5
"""Rounds end early where the square of the period changes by less than this part of itself."""

_SAG_POINTS = 17
_STRESS_POINTS = 21
_FEW, _LESS = 3, 8
"""A plate of a part of more than three is looked at with eight points a side less."""

_DIRECTIONS = 12

_RIM, _IMAGE = 0.616, 0.116
"""Of the bending moment under a round foot: its own, and that of its image beyond an edge."""

_NEAR_EDGE = 1.1
"""Stress at a screw nearer to an edge than three washer radii (fitted to a shell model)."""

_BENT_PARTS = 1.2
"""Bending stress of a bent part is taken this much higher. Of 34 bent parts drawn afresh, shells of
a general library had at most 6 % more than what is then taken, two radii and more from screws (the
worst of them less on finer elements); half of the parts are taken 18 % too high or more. At the
very edge of a washer such a shell tells nothing: its stress grows as its elements shrink. On a
stiff floor that a base lifts off, screws holding the mean of their washers, nine more had at those
edges at most 9 % more than what is taken, half of them a fifth less or lower still."""

_WASHER = {True: 1.0, False: 0.8}
"""Share of a washer's couple that bends the sheet at its rim, flat and bent (fitted likewise)."""


class ScrewPull(Struct, frozen=True):
    """What one g from the worst side does to a screw that holds the part [N].

    ``pull_n`` is straight off, what the sheet pries on the washer's edge added; ``shear_n`` along
    the sheet.
    """

    hole: str
    pull_n: float
    shear_n: float


class Held:
    """The energy of a part with its screws, pinned or held, solved under its three pulls."""

    def __init__(self, energy: Energy, held: bool) -> None:
        self.energy, self.held = energy, held
        stiffness = energy.stiffness.copy()
        self.clamps = list(zip(energy.part.clamps, energy.clamps(held), strict=True))
        for clamp, spring in self.clamps:
            here = energy.span(clamp.plate)
            stiffness[here, here] += spring.rows.T @ (spring.stiffness[:, None] * spring.rows)
        shift = energy.shift()
        self.pull = -GRAVITY_M_S2 * energy.mass @ shift
        joints = [(fold.parent, fold.child) for fold in energy.part.folds]
        self.tree = PlateTree(stiffness, energy.each, len(energy.part.plates), joints)
        self.moved: Array = self.tree.solve(self.pull)

    def of(self, plate: int) -> Array:
        """The unknowns of one plate under the three pulls: unknown, 3."""
        return self.moved[self.energy.span(plate)]

    def _points(self, most: int) -> int:
        return most if len(self.energy.part.plates) <= _FEW else most - _LESS

    def sag_m(self) -> float:
        """The furthest that any point moves [m]."""
        import numpy as np

        worst = 0.0
        for number in range(len(self.energy.part.plates)):
            moved = self.energy.on_grid(number, self._points(_SAG_POINTS), self.of(number))
            size = np.einsum("pck,pck->p", moved, moved)
            if size.max() <= worst**2:
                continue
            # a matrix moves nothing further than its root of squares, nor less than that by 3
            near = moved[size >= size.max() / 3]
            squares = np.linalg.eigvalsh(near.swapaxes(1, 2) @ near)
            worst = max(worst, float(squares.max()) ** 0.5)
        return worst

    def first_mode_hz(self) -> float:
        """The lowest natural frequency that a pull can set going [Hz], by subspace iteration."""
        import numpy as np

        shapes, mass = self.moved, self.energy.mass
        period2 = 0.0
        for _ in range(_ROUNDS):
            size, way = np.linalg.eigh(shapes.T @ mass @ shapes)
            good = size > size[-1] * 1e-12
            shapes = shapes @ (way[:, good] / np.sqrt(size[good]))
            onward = self.tree.solve(mass @ shapes)
            before, period2 = period2, float(np.linalg.eigvalsh(shapes.T @ mass @ onward)[-1])
            shapes = onward
            if abs(period2 - before) < _SETTLED * period2:
                break
        return float(1 / (2 * pi * period2**0.5))

    def screws(self) -> tuple[ScrewPull, ...]:
        """What each screw takes."""
        import numpy as np

        found = []
        for clamp, spring in self.clamps:
            forces = self._reaction(clamp, spring)
            pull = _worst(forces[3], forces[4:] * 2 / clamp.radius_m if self.held else None)
            shear = float(np.linalg.norm(forces[:2], 2))
            found.append(ScrewPull(clamp.hole, pull, shear))
        return tuple(found)

    def _reaction(self, clamp: Clamp, spring: Spring) -> Array:
        """Forces and couples of a screw's springs on the sheet: a row each, 3 pulls."""
        found: Array = -spring.stiffness[:, None] * (spring.rows @ self.of(clamp.plate))
        return found

    def stress_pa(self) -> tuple[float, str, bool, bool]:
        """The highest stress [Pa], the panel, whether at its bend, whether a net section."""
        forces = self._forces()
        found = [self._bending(number, forces[number]) for number in range(len(forces))]
        found += [self._rim(clamp, spring) for clamp, spring in self.clamps if self.held]
        part = self.energy.part
        for number, plate in enumerate(part.plates):
            density = part.density_kg_m3 * part.thickness_m * GRAVITY_M_S2
            own = -density * self.energy.axes(number)
            stress = worst_section(
                plate.rect, part.holes[number], forces[number], own, part.thickness_m
            )
            found.append((stress, plate.panel, False, True))
        for fold, (_shifts, turns) in zip(part.folds, self.energy.folds, strict=True):
            panel = part.plates[fold.child].panel
            found.append((self._score(fold, turns), panel, True, True))
        return max(found)

    def _score(self, fold: Fold, turns: Spring) -> float:
        """Stress of a bend as one section, over what a score leaves of the thickness [Pa]."""
        import numpy as np

        both = np.concatenate([self.of(fold.parent), self.of(fold.child)])
        moment = (turns.stiffness[:, None] * (turns.rows @ both)).sum(axis=0)
        return float(np.linalg.norm(moment)) * 6 / (fold.length_m * fold.left_m**2)

    def _forces(self) -> list[list[Force]]:
        """All forces on each plate but its own weight, in its axes, under the three pulls."""
        import numpy as np

        energy, part = self.energy, self.energy.part
        found: list[list[Force]] = [[] for _ in part.plates]
        zero = np.zeros(3)
        for clamp, spring in self.clamps:
            f = self._reaction(clamp, spring)
            turn = f[2] * clamp.radius_m
            couples = f[4:] if self.held else np.zeros((2, 3))
            # a spring on the slope by x makes a couple about y, by y one about x
            found[clamp.plate].append(
                Force(
                    (clamp.x_m, clamp.y_m),
                    f[0],
                    f[1],
                    f[3],
                    couples[1],
                    couples[0],
                    turn,
                    clamp.radius_m,
                    not self.held,
                )
            )
        for device in part.devices:
            axes = energy.axes(device.plate)
            weight = np.zeros((6, 3))
            weight[:3] = -GRAVITY_M_S2 * device.mass_kg * axes
            feet = device_rows(energy, device)[1]
            pushes = feet[:, 2:] @ weight
            at = (device.x_m, device.y_m)
            found[device.plate].append(Force(at, weight[0], weight[1], zero, zero, zero, zero))
            for foot, push in zip(feet[:, :2], pushes, strict=True):
                found[device.plate].append(
                    Force(
                        (float(foot[0]), float(foot[1])),
                        zero,
                        zero,
                        push,
                        zero,
                        zero,
                        zero,
                        device.foot_m,
                        True,
                    )
                )
        for fold, (shifts, turns) in zip(part.folds, energy.folds, strict=True):
            both = np.concatenate([self.of(fold.parent), self.of(fold.child)])
            push = -(shifts.stiffness[:, None] * (shifts.rows @ both)).reshape(-1, 3, 3)
            couple = -(turns.stiffness[:, None] * (turns.rows @ both))
            places, _weights = gauss(energy.n + 1)
            for side, plate in enumerate((fold.parent, fold.child)):
                sign, way = (1, fold.outward) if side == 0 else (-1, (0.0, 1.0))
                start, end = fold.ends[side]
                shares = ((places + 1) / 2).tolist()
                pushed = sign * (energy.axes(plate) @ push)
                turned = sign * couple
                by_x, by_y = turned * way[1], turned * way[0]
                for share, f, cx, cy in zip(shares, pushed, by_x, by_y, strict=True):
                    at = (
                        start[0] + share * (end[0] - start[0]),
                        start[1] + share * (end[1] - start[1]),
                    )
                    found[plate].append(Force(at, f[0], f[1], f[2], cx, cy, zero))
        for lip in part.lips:
            axes = energy.axes(lip.plate)
            f = -GRAVITY_M_S2 * lip.mass_kg * axes
            (xa, ya), (xb, yb) = lip.ends
            found[lip.plate].append(
                Force(((xa + xb) / 2, (ya + yb) / 2), f[0], f[1], f[2], zero, zero, zero)
            )
        return found

    def _bending(self, number: int, forces: list[Force]) -> tuple[float, str, bool, bool]:
        """The highest stress of a plate in bending [Pa]."""
        import numpy as np

        energy, part = self.energy, self.energy.part
        plate, nu = part.plates[number], energy.poisson
        points = [each for each in forces if each.presses]
        at = grid(plate.rect, self._points(_STRESS_POINTS))
        bent, orders = self.of(number)[:-3], ((2, 0), (0, 2), (1, 1))
        curved = energy.bent_on_grid(number, self._points(_STRESS_POINTS), bent, orders)
        if points:
            under = np.array([plate.inside(*each.at) for each in points])
            at = np.concatenate([at, under])
            there = energy.many_rows(number, under, *orders)
            curved = [
                np.concatenate([grid_part, rows @ bent])
                for grid_part, rows in zip(curved, there, strict=True)
            ]
        xx, yy, xy = (energy.rigidity * each for each in curved)
        mx, my, mxy = xx + nu * yy, yy + nu * xx, (1 - nu) * xy
        factor = np.ones(len(at))
        first = len(at) - len(points)
        for place, each in enumerate(points, first):
            more, edge = _under(energy, number, each)
            mx[place] -= each.out * more[0]
            my[place] -= each.out * more[1]
            factor[place] = edge
        turn = np.arange(_DIRECTIONS) * pi / _DIRECTIONS
        c, s = np.cos(turn), np.sin(turn)
        moments = (
            mx[:, None] * (c * c)[:, None]
            + my[:, None] * (s * s)[:, None]
            + mxy[:, None] * (2 * s * c)[:, None]
        )
        worst = np.linalg.norm(moments, axis=2).max(axis=1) * factor
        place = int(worst.argmax())
        stress = self._raised() * float(worst[place]) * 6 / part.thickness_m**2
        panel, bend = self._where(number, at[place])
        return stress, panel, bend, False

    def _raised(self) -> float:
        return _BENT_PARTS if self.energy.part.folds else 1.0

    def _where(self, number: int, at: Array) -> tuple[str, bool]:
        """The panel that a stress is named after, and whether it is at this panel's bend."""
        part = self.energy.part
        near = min(part.plates[number].size_m) / (2 * _STRESS_POINTS)
        for fold in part.folds:
            for side, plate in enumerate((fold.parent, fold.child)):
                if plate != number:
                    continue
                start, end = fold.ends[side]
                axis = 0 if abs(start[0] - end[0]) < abs(start[1] - end[1]) else 1
                low, high = sorted((start[1 - axis], end[1 - axis]))
                if abs(at[axis] - start[axis]) < near and low - near < at[1 - axis] < high + near:
                    return part.plates[fold.child].panel, True
        return part.plates[number].panel, False

    def _rim(self, clamp: Clamp, spring: Spring) -> tuple[float, str, bool, bool]:
        """Stress at the edge of a held washer [Pa]: its couple and its pull."""
        part = self.energy.part
        forces = self._reaction(clamp, spring)
        share = _WASHER[len(part.plates) == 1]
        couple = share / (2 * pi * clamp.radius_m) * forces[4:]
        worst = _worst(forces[3] / (4 * pi), couple) * 6 / part.thickness_m**2
        return self._raised() * worst, part.plates[clamp.plate].panel, False, False


def _under(energy: Energy, number: int, force: Force) -> tuple[tuple[float, float], float]:
    """Moments along x and y [N m/m] that one newton at a foot makes beyond the polynomials.

    And what the stress is to be multiplied by near an edge.
    """
    import numpy as np

    plate, nu = energy.part.plates[number], energy.poisson
    x, y = plate.inside(*force.at)
    r = force.radius_m
    q = finest(energy, number, x, y)
    x0, y0, x1, y1 = plate.rect
    ex, ey = min(x - x0, x1 - x), min(y - y0, y1 - y)
    more = np.maximum(0.0, np.log(1 / (q * r)) + _RIM)
    for gap in (2 * ex, 2 * ey, 2 * hypot(ex, ey)):
        if gap > r:
            more = more + np.maximum(0.0, np.log(1 / (q * gap)) + _IMAGE)
    angles = (np.arange(len(q)) + 0.5) * (pi / 2 / len(q))
    c2, s2 = np.cos(angles) ** 2, np.sin(angles) ** 2
    mx = float(((c2 + nu * s2) * more).mean()) / (2 * pi)
    my = float(((s2 + nu * c2) * more).mean()) / (2 * pi)
    return (mx, my), _NEAR_EDGE if min(ex, ey) < 3 * r else 1.0


def _worst(plain: Array, couples: Array | None) -> float:
    """The most that a figure and a couple of any direction add up to, over all pulls."""
    import numpy as np

    if couples is None:
        return float(np.linalg.norm(plain))
    turn = np.arange(2 * _DIRECTIONS) * pi / _DIRECTIONS
    both = plain + np.cos(turn)[:, None] * couples[0] + np.sin(turn)[:, None] * couples[1]
    return float(np.linalg.norm(both, axis=1).max())


def grid(rect: tuple[float, float, float, float], count: int) -> Array:
    """Points of a rectangle in even rows, its edges among them: so many a side."""
    import numpy as np

    x0, y0, x1, y1 = rect
    x, y = np.linspace(x0, x1, count), np.linspace(y0, y1, count)
    return np.column_stack([np.repeat(x, count), np.tile(y, count)])
