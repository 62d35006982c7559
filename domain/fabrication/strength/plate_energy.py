"""Stiffness and mass of a part made of plates, by the method of Rayleigh and Ritz.

Each plate's deflection is a sum of products of Legendre polynomials, w = sum a_ij P_i(x) P_j(y),
and it shifts and turns in its own plane as a rigid body. Bends, screws and devices are springs and
masses on that. Premises: thin plates (Kirchhoff), small deflections, plates rigid in their own
plane, bends as sharp corners, screws that do not give way. Sources: plate energy after Timoshenko
and Woinowsky-Krieger, Theory of Plates and Shells, chapter 10; Ritz's method after any text on
vibration (from memory; checked in the tests against published plates and a shell).
"""

from __future__ import annotations

from math import cos, hypot, log, pi, radians, sin
from typing import TYPE_CHECKING

from msgspec import Struct

from domain.fabrication.strength.legendre import forms, gauss, values

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from domain.fabrication.shape.panel_tree import Vector
    from domain.fabrication.strength.folded_plates import Clamp, Device, Fold, Folded, Plate

    Array = NDArray[np.float64]

STIFF = 20000.0
"""A joint's or screw's spring in D/s2: so stiff that it hardly gives, so soft that figures keep."""

_SHEAR = 5 / 6
"""Share of the thickness that shear over it counts with (Reissner)."""

_HELD = 1.4
"""Fitted to plates under round washers that can lift off (see DEVELOPERS); a rigid disc: 0.12."""

_ANGLES = 16
_LEAST_RADIUS_M = 1e-6

ONE_PLATE = 9
"""Polynomials each way for a flat part; ``terms`` says how many for a bent one."""

_BENT = 7
_MOST_UNKNOWN = 330


def terms(plates: int) -> int:
    """Polynomials each way: 9 for one plate, 7 for a few, less for many, at least 4."""
    if plates == 1:
        return ONE_PLATE
    n = _BENT
    while n > 4 and plates * (n * n + 3) > _MOST_UNKNOWN:
        n -= 1
    return n


class Spring(Struct, frozen=True):
    """A spring on some of the unknowns [N/m]: its rows, a row a direction, and their stiffness."""

    rows: Array
    stiffness: Array


class Energy:
    """Stiffness K and mass M of a part, and the rows that give displacements from unknowns.

    The unknowns of each plate are n x n deflections, then two shifts and a turn in its plane, all
    in metres.
    """

    def __init__(
        self, part: Folded, modulus_pa: float, poisson: float, n: int | None = None
    ) -> None:
        import numpy as np

        self.part, self.poisson = part, poisson
        self.n = n or terms(len(part.plates))
        self.modulus_pa = modulus_pa
        t = part.thickness_m
        self.rigidity = modulus_pa * t**3 / 12 / (1 - poisson**2)
        self.each = self.n * self.n + 3
        self.unknown = self.each * len(part.plates)
        self.stiff = STIFF * self.rigidity / part.shortest_m**2
        self.stiffness = np.zeros((self.unknown, self.unknown))
        self.mass = np.zeros((self.unknown, self.unknown))
        for number in range(len(part.plates)):
            self._plate(number)
        for lip in part.lips:
            self._lip(lip.plate, lip.ends, lip.mass_kg)
        self.devices = [self._device(device) for device in part.devices]
        self.folds = [self._fold(fold) for fold in part.folds]

    # rows -------------------------------------------------------------------------------------

    def span(self, plate: int) -> slice:
        """The unknowns of one plate."""
        return slice(plate * self.each, (plate + 1) * self.each)

    def _local(self, plate: Plate, at: Array) -> tuple[tuple[Array, ...], tuple[Array, ...]]:
        """P, P', P'' at points of a plate, along x and along y, in metres."""
        w, h = plate.size_m
        (xm, ym) = plate.middle
        px = values(self.n, (at[:, 0] - xm) / (w / 2))
        py = values(self.n, (at[:, 1] - ym) / (h / 2))
        a, b = w / 2, h / 2
        return (px[0], px[1] / a, px[2] / a**2), (py[0], py[1] / b, py[2] / b**2)

    def bent_rows(self, plate: int, at: Array, along: int, across: int) -> Array:
        """Rows of the deflection's derivative: ``along`` times by x, ``across`` times by y."""
        return self.many_rows(plate, at, (along, across))[0]

    def many_rows(self, plate: int, at: Array, *orders: tuple[int, int]) -> list[Array]:
        """Rows of several derivatives at the same points, as ``bent_rows``."""
        px, py = self._local(self.part.plates[plate], at)
        return [
            (px[along][:, :, None] * py[across][:, None, :]).reshape(len(at), -1)
            for along, across in orders
        ]

    def rows(self, plate: int, at: Array, out: Array | None = None) -> Array:
        """Displacement of points of a plate, in its axes x, y and out: points, 3, unknowns.

        ``out`` are the rows of the deflection, if they are known already.
        """
        import numpy as np

        on = self.part.plates[plate]
        found = np.zeros((len(at), 3, self.each))
        found[:, 2, :-3] = self.bent_rows(plate, at, 0, 0) if out is None else out
        reach = max(on.size_m) / 2
        found[:, 0, -3] = 1.0
        found[:, 1, -2] = 1.0
        found[:, 0, -1] = -(at[:, 1] - on.middle[1]) / reach
        found[:, 1, -1] = (at[:, 0] - on.middle[0]) / reach
        return found

    def bent_on_grid(
        self, plate: int, count: int, bent: Array, orders: Sequence[tuple[int, int]]
    ) -> list[Array]:
        """Derivatives of the deflection at ``count`` x ``count`` points of a plate, as in ``grid``.

        ``bent`` are the unknowns of the deflection, a column a pull: the products come apart, so
        that each way is worked out for one row of points.
        """
        px, py = self._grid_values(plate, count)
        each = bent.reshape(self.n, self.n, -1)
        found = []
        for along, across in orders:
            first = (px[along] @ each.reshape(self.n, -1)).reshape(count, self.n, -1)
            both = py[across] @ first
            found.append(both.reshape(count * count, -1))
        return found

    def on_grid(self, plate: int, count: int, unknowns: Array) -> Array:
        """Displacement of those points in the plate's axes: points, 3, pulls."""
        import numpy as np

        on = self.part.plates[plate]
        x0, y0, x1, y1 = on.rect
        x, y = np.linspace(x0, x1, count), np.linspace(y0, y1, count)
        reach = max(on.size_m) / 2
        found = np.empty((count, count, 3, unknowns.shape[1]))
        found[:, :, 0] = unknowns[-3] - ((y - on.middle[1]) / reach)[None, :, None] * unknowns[-1]
        found[:, :, 1] = unknowns[-2] + ((x - on.middle[0]) / reach)[:, None, None] * unknowns[-1]
        (out,) = self.bent_on_grid(plate, count, unknowns[:-3], ((0, 0),))
        found[:, :, 2] = out.reshape(count, count, -1)
        return found.reshape(count * count, 3, -1)

    def _grid_values(self, plate: int, count: int) -> tuple[tuple[Array, ...], tuple[Array, ...]]:
        """P, P', P'' at even places along a plate's rectangle and across it."""
        import numpy as np

        on = self.part.plates[plate]
        x0, y0, x1, y1 = on.rect
        ends = np.linspace(0.0, 1.0, count)
        return self._local(on, np.column_stack([x0 + (x1 - x0) * ends, y0 + (y1 - y0) * ends]))

    def turn_row(self, plate: int) -> Array:
        """The plate's turn in its own plane [rad]."""
        import numpy as np

        row = np.zeros(self.each)
        row[-1] = 1.0 / (max(self.part.plates[plate].size_m) / 2)
        return row

    def axes(self, plate: int) -> Array:
        """A plate's unit vectors as rows: along x, along y, out."""
        import numpy as np

        return np.array(self.part.plates[plate].axes)

    def shift(self) -> Array:
        """The unknowns of a rigid shift of the whole part along each axis in space: unknown, 3."""
        import numpy as np

        found = np.zeros((self.unknown, 3))
        for number in range(len(self.part.plates)):
            start = number * self.each
            axes = self.axes(number)
            found[start] = axes[2]
            found[start + self.each - 3] = axes[0]
            found[start + self.each - 2] = axes[1]
        return found

    # plates and their masses ------------------------------------------------------------------

    def _plate(self, number: int) -> None:
        import numpy as np

        plate, nu, d = self.part.plates[number], self.poisson, self.rigidity
        (w, h), t = plate.size_m, self.part.thickness_m
        a, b = w / 2, h / 2
        along, across, both, twist, whole = forms(self.n)
        bend = b / a**3 * along + a / b**3 * across
        bend += nu / (a * b) * both + 2 * (1 - nu) / (a * b) * twist
        here = self.span(number)
        surface = self.part.density_kg_m3 * t
        block = np.zeros((self.each, self.each))
        block[:-3, :-3] = d * bend
        self.stiffness[here, here] += block
        mass = np.zeros((self.each, self.each))
        mass[:-3, :-3] = surface * a * b * whole
        all_kg, reach = surface * w * h, max(w, h) / 2
        mass[-3, -3] = mass[-2, -2] = all_kg
        mass[-1, -1] = all_kg * (w * w + h * h) / 12 / reach**2
        self.mass[here, here] += mass
        for rect in cut_outs(self.part, number):
            self._cut_out(number, rect, surface)

    def _cut_out(
        self, number: int, rect: tuple[float, float, float, float], surface: float
    ) -> None:
        """Take a rectangle's energy and mass off, by Gauss points."""
        import numpy as np

        places, weights = gauss(self.n + 1)
        x0, y0, x1, y1 = rect
        x = (x0 + x1) / 2 + (x1 - x0) / 2 * places
        y = (y0 + y1) / 2 + (y1 - y0) / 2 * places
        at = np.array([(i, j) for i in x for j in y])
        area = np.outer(weights, weights).ravel() * (x1 - x0) * (y1 - y0) / 4
        nu, d = self.poisson, self.rigidity
        xx, yy, xy = self.many_rows(number, at, (2, 0), (0, 2), (1, 1))
        weighed = area[:, None]
        lost = xx.T @ (weighed * (xx + nu * yy)) + yy.T @ (weighed * (yy + nu * xx))
        lost += 2 * (1 - nu) * xy.T @ (weighed * xy)
        start = number * self.each
        bent = slice(start, start + self.each - 3)
        self.stiffness[bent, bent] -= d * lost
        rows = self.rows(number, at)
        here = self.span(number)
        self.mass[here, here] -= surface * np.einsum("p,pki,pkj->ij", area, rows, rows)

    def _lip(self, number: int, ends: tuple[Vector, Vector], mass_kg: float) -> None:
        import numpy as np

        places, weights = gauss(self.n + 1)
        at = _between(ends, places)
        plate = self.part.plates[number]
        at = np.array([plate.inside(float(x), float(y)) for x, y in at])
        rows = self.rows(number, at)
        here = self.span(number)
        self.mass[here, here] += mass_kg * np.einsum("p,pki,pkj->ij", weights / 2, rows, rows)

    # devices ----------------------------------------------------------------------------------

    def _device(self, device: Device) -> Array:
        """Six rows of a device's shift and turn in the plate's axes, its mass put into M.

        It follows the mean of its feet, and the plane that fits them best.
        """

        rows, _feet = device_rows(self, device)
        here = self.span(device.plate)
        self.mass[here, here] += rows.T @ inertia(device) @ rows
        return rows

    # joints -----------------------------------------------------------------------------------

    def _fold(self, fold: Fold) -> tuple[Spring, Spring]:
        """A bend's springs, put into K: three shifts, and the slope, at points along it."""
        import numpy as np

        places, weights = gauss(self.n + 1)
        share = weights / 2
        pair = (fold.parent, fold.child)
        at = [_between(ends, places) for ends in fold.ends]
        gaps, slopes = [], []
        ways = (fold.outward, (0.0, 1.0))
        for plate, points, way in zip(pair, at, ways, strict=True):
            out, by_x, by_y = self.many_rows(plate, points, (0, 0), (1, 0), (0, 1))
            rows = self.rows(plate, points, out)
            gaps.append(self.axes(plate).T @ rows)
            slope = np.zeros((len(points), self.each))
            slope[:, :-3] = way[0] * by_x + way[1] * by_y
            slopes.append(slope)
        apart = np.concatenate([gaps[0], -gaps[1]], axis=2)
        turned = np.concatenate([slopes[0], -slopes[1]], axis=1)
        shifts = Spring(apart.reshape(-1, 2 * self.each), np.repeat(self.stiff * share, 3))
        turns = Spring(
            turned,
            STIFF * self.rigidity * fold.length_m / self.part.shortest_m * share,
        )
        spans = [self.span(plate) for plate in pair]
        halves = [slice(0, self.each), slice(self.each, 2 * self.each)]
        both = np.zeros((2 * self.each, 2 * self.each))
        for spring in (shifts, turns):
            both += spring.rows.T @ (spring.stiffness[:, None] * spring.rows)
        for one, low in zip(spans, halves, strict=True):
            for other, high in zip(spans, halves, strict=True):
                self.stiffness[one, other] += both[low, high]
        return shifts, turns

    # screws -----------------------------------------------------------------------------------

    def clamps(self, held: bool) -> list[Spring]:
        """Each screw's springs, not yet in K: shifts along the sheet, out of it, slopes if held.

        Rows: x, y, turn about the screw, out; then slope by x and by y.
        """
        import numpy as np

        found: dict[int, Spring] = {}
        for number, plate in enumerate(self.part.plates):
            on = [i for i, clamp in enumerate(self.part.clamps) if clamp.plate == number]
            if not on:
                continue
            at = []
            for i in on:
                clamp = self.part.clamps[i]
                x, y, r = clamp.x_m, clamp.y_m, max(clamp.radius_m, _LEAST_RADIUS_M)
                off, step = r / 2**0.5, 0.87 * r
                at += [(x, y), (x + off, y), (x - off, y), (x, y + off), (x, y - off)]
                at += [(x + step, y), (x - step, y), (x, y + step), (x, y - step)]
            points = np.array([plate.inside(*each) for each in at])
            rows = self.rows(number, points).reshape(len(on), 9, 3, self.each)
            points = points.reshape(len(on), 9, 2)
            turn = self.turn_row(number)
            for i, own, places in zip(on, rows, points, strict=True):
                found[i] = self._clamp(self.part.clamps[i], own, places, turn, held)
        return [found[i] for i in range(len(self.part.clamps))]

    def _clamp(self, clamp: Clamp, own: Array, places: Array, turn: Array, held: bool) -> Spring:
        """A screw's springs from the rows of its nine points: its middle, its ring, its ends."""
        import numpy as np

        r = max(clamp.radius_m, _LEAST_RADIUS_M)
        rows = np.zeros((6 if held else 4, self.each))
        rows[:2] = own[0, :2]
        rows[2] = r * turn
        rows[3] = own[1:5, 2].mean(axis=0)
        q = finest(self, clamp.plate, clamp.x_m, clamp.y_m)
        stiff = [self.stiff, self.stiff, self.stiff, 1 / (1 / self.stiff + self._sinks(clamp, q))]
        if held:
            angles = (np.arange(_ANGLES) + 0.5) * (pi / 2 / _ANGLES)
            more = np.maximum(0.0, np.log(1 / (q * r)) + _HELD)
            for axis, part in ((0, np.cos(angles) ** 2), (1, np.sin(angles) ** 2)):
                one, other = 5 + 2 * axis, 6 + 2 * axis
                apart = max(float(places[one, axis] - places[other, axis]), _LEAST_RADIUS_M)
                rows[4 + axis] = (own[one, 2] - own[other, 2]) / apart
                soft = 1 / (STIFF * self.rigidity)
                soft += float((part * more).mean()) / (2 * pi * self.rigidity)
                stiff.append(1 / soft)
        return Spring(rows, np.array(stiff))

    def _sinks(self, clamp: Clamp, q: Array) -> float:
        """What the sheet gives way round a screw beyond what the polynomials carry [m/N].

        By shear, and by bending finer than the polynomials.
        """
        import numpy as np

        plate, r = self.part.plates[clamp.plate], max(clamp.radius_m, _LEAST_RADIUS_M)
        x0, y0, x1, y1 = plate.rect
        ex = max(min(clamp.x_m - x0, x1 - clamp.x_m), _LEAST_RADIUS_M)
        ey = max(min(clamp.y_m - y0, y1 - clamp.y_m), _LEAST_RADIUS_M)
        wide = self.part.shortest_m / 2
        images = (2 * ex, 2 * ey, 2 * hypot(ex, ey))
        shear = log(wide / r) + 0.25 + sum(max(0.0, log(wide / gap)) for gap in images)
        g = self.modulus_pa / 2 / (1 + self.poisson)
        shear /= 2 * pi * _SHEAR * g * self.part.thickness_m
        fine = float(np.mean(np.exp(-q * r) / q**2)) / (4 * pi * self.rigidity)
        return max(0.0, shear) + fine


def device_rows(energy: Energy, device: Device) -> tuple[Array, Array]:
    """Six rows of a device's shift and turn, and how its six forces go into its feet.

    The second is feet by six: the push out of the sheet on each foot from a force along x, y, out
    and a couple about x, y, out at the device's centre.
    """
    import numpy as np

    feet = np.array(device.feet)
    count = len(feet)
    middle = feet.mean(axis=0)
    spread = feet - middle
    if count < 3 or np.linalg.svd(spread, compute_uv=False)[-1] < max(device.foot_m, 1e-4):
        # feet in one line: the device's own outline says how it tips
        plate = energy.part.plates[device.plate]
        feet = np.array([plate.inside(*corner) for corner in corners(device)])
        middle, count = feet.mean(axis=0), len(feet)
        spread = feet - middle
    fit = np.linalg.pinv(np.column_stack([np.ones(count), spread]), rcond=1e-9)
    to_feet = np.zeros((6, count))
    centre = np.array([device.x_m, device.y_m]) - middle
    to_feet[2] = fit[0] + centre[0] * fit[1] + centre[1] * fit[2]
    to_feet[3], to_feet[4] = fit[2], -fit[1]
    to_feet[0] = device.height_m * to_feet[4]
    to_feet[1] = -device.height_m * to_feet[3]
    rows = to_feet @ energy.rows(device.plate, feet)[:, 2]
    at = np.array([[device.x_m, device.y_m]])
    rows[:2] += energy.rows(device.plate, at)[0, :2]
    rows[5] += energy.turn_row(device.plate)
    return rows, np.column_stack([feet, to_feet.T])


def inertia(device: Device) -> Array:
    """Mass and moments of inertia of a solid box, in the plate's axes: 6 by 6 [kg, kg m2]."""
    import numpy as np

    m, (along, across, up) = device.mass_kg, device.size_m
    own = np.diag([across**2 + up**2, along**2 + up**2, along**2 + across**2]) * m / 12
    c, s = cos(radians(device.turn_deg)), sin(radians(device.turn_deg))
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    found = np.zeros((6, 6))
    found[:3, :3] = m * np.eye(3)
    found[3:, 3:] = turn @ own @ turn.T
    return found


def corners(device: Device) -> list[Vector]:
    """The corners of a device's outline on its plate [m]."""
    c, s = cos(radians(device.turn_deg)), sin(radians(device.turn_deg))
    along, across = device.size_m[0] / 2, device.size_m[1] / 2
    return [
        (device.x_m + c * i * along - s * j * across, device.y_m + s * i * along + c * j * across)
        for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]


def finest(energy: Energy, plate: int, x_m: float, y_m: float) -> Array:
    """Highest wave number [1/m] that the polynomials carry at a point, in 16 directions."""
    import numpy as np

    on = energy.part.plates[plate]
    angles = (np.arange(_ANGLES) + 0.5) * (pi / 2 / _ANGLES)
    found = []
    for size, middle, at in zip(on.size_m, on.middle, (x_m, y_m), strict=True):
        xi = min(max((at - middle) / (size / 2), -1.0), 1.0)
        found.append((energy.n - 0.5) / (size / 2 * (1 - xi**2 + 1 / energy.n**2) ** 0.5))
    both: Array = np.minimum(found[0] / np.cos(angles), found[1] / np.sin(angles))
    return both


def cut_outs(part: Folded, plate: int) -> list[tuple[float, float, float, float]]:
    """Rectangles of the same area as a plate's large holes [m]."""
    from domain.fabrication.strength.folded_plates import CUT_OUT

    on = part.plates[plate]
    found = []
    for hole in part.holes[plate]:
        long = hole.across_m or hole.diameter_m
        if max(long, hole.diameter_m) < CUT_OUT * min(on.size_m):
            continue
        c, s = abs(cos(radians(hole.turn_deg))), abs(sin(radians(hole.turn_deg)))
        wide, high = long * c + hole.diameter_m * s, long * s + hole.diameter_m * c
        if hole.across_m is None:
            wide = high = hole.diameter_m * (pi / 4) ** 0.5
        x0, y0 = on.inside(hole.x_m - wide / 2, hole.y_m - high / 2)
        x1, y1 = on.inside(hole.x_m + wide / 2, hole.y_m + high / 2)
        if x1 > x0 and y1 > y0:
            found.append((x0, y0, x1, y1))
    return found


def _between(ends: tuple[Vector, Vector], places: Sequence[float] | Array) -> Array:
    """Points on a line, from -1 at its start to 1 at its end."""
    import numpy as np

    start, end = np.array(ends[0]), np.array(ends[1])
    share = (np.asarray(places)[:, None] + 1) / 2
    found: Array = start + share * (end - start)
    return found
