"""A plane frame by direct stiffness: straight members, rigid joints, small displacements.

Three freedoms a node: along x, along y, and turning (counter-clockwise). Members carry axial force
and bending (no shear deformation), with uniform loads; other loads act at nodes, so that a point
load on a member is a node put there. Sources: any text on matrix structural analysis, as
Kassimali, Structural Analysis, chapter 18; consistent mass after Logan, A First Course in the
Finite Element Method, chapter 16 (both from memory, checked against a general frame library).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import hypot, pi, sqrt

_SINGULAR = 1e-13
"""A pivot this small, as a fraction of the stiffness it started from, means a mechanism."""

_MODE_STEPS = 300
_MODE_TOLERANCE = 1e-10

Vector = list[float]


class Unstable(ValueError):
    """The frame, or a piece of it, is free to move."""


@dataclass(frozen=True, slots=True)
class FrameNode:
    """A joint [m]; ``held`` says which of its freedoms are held: along x, along y, turning."""

    x_m: float
    y_m: float
    held: tuple[bool, bool, bool] = (False, False, False)
    mass_kg: float = 0.0


FIXED = (True, True, True)
PINNED = (True, True, False)


@dataclass(frozen=True, slots=True)
class Member:
    """A straight member from node ``start`` to node ``end``; ``mass_kg_m`` is its own mass."""

    start: int
    end: int
    modulus_pa: float
    area_m2: float
    inertia_m4: float
    mass_kg_m: float = 0.0


@dataclass(frozen=True, slots=True)
class MemberForces:
    """Inner forces and displacements along one member.

    ``axial_n`` is positive in tension, ``moment_nm`` positive when it stretches the right-hand
    side, seen from start to end (sagging in a member that runs along x).
    """

    length_m: float
    stiffness_nm2: float
    axial_stiffness_n: float
    cosine: float
    sine: float
    ends: tuple[float, ...]
    moved: tuple[float, ...]
    along_n_m: float
    across_n_m: float

    def axial_n(self, at_m: float) -> float:
        """Axial force [N] at a distance from the start, tension positive."""
        return -self.ends[0] - self.along_n_m * at_m

    def moment_nm(self, at_m: float) -> float:
        """Bending moment [N m] at a distance from the start."""
        return -self.ends[2] + self.ends[1] * at_m + self.across_n_m * at_m**2 / 2

    def stations_m(self) -> tuple[float, ...]:
        """Where the moment can be largest [m]: both ends, and where the shear is nought."""
        if self.across_n_m:
            turn = -self.ends[1] / self.across_n_m
            if 0 < turn < self.length_m:
                return (0.0, turn, self.length_m)
        return (0.0, self.length_m)

    def moved_m(self, at_m: float) -> tuple[float, float]:
        """Displacement (x, y) [m] of a point of the member."""
        length, rest = self.length_m, self.length_m - at_m
        u1, v1, r1, u2, v2, r2 = self.moved
        z = at_m / length
        along = u1 + (u2 - u1) * z + self.along_n_m * at_m * rest / (2 * self.axial_stiffness_n)
        across = (
            v1 * (1 - 3 * z**2 + 2 * z**3)
            + r1 * at_m * (1 - z) ** 2
            + v2 * (3 * z**2 - 2 * z**3)
            + r2 * at_m * (z**2 - z)
            + self.across_n_m * at_m**2 * rest**2 / (24 * self.stiffness_nm2)
        )
        return along * self.cosine - across * self.sine, along * self.sine + across * self.cosine


@dataclass(frozen=True, slots=True)
class SolvedFrame:
    """Displacements per node (x, y [m], turn [rad]), forces per member, reactions per held node."""

    moved: tuple[tuple[float, float, float], ...]
    members: tuple[MemberForces, ...]
    reactions: dict[int, tuple[float, float, float]]


@dataclass(frozen=True)
class Frame:
    """Nodes and members. Raises ``Unstable`` when solved if it is free to move."""

    nodes: tuple[FrameNode, ...]
    members: tuple[Member, ...]

    def solve(
        self,
        forces: dict[int, tuple[float, float, float]],
        line_loads: Sequence[tuple[float, float]] = (),
    ) -> SolvedFrame:
        """Displacements and inner forces under loads.

        ``forces``: node -> (x [N], y [N], moment [N m]). ``line_loads``: (x, y) [N per m of
        member], one pair per member, or none. Raises ``Unstable``.
        """
        loads = list(line_loads) or [(0.0, 0.0)] * len(self.members)
        right = [0.0] * (3 * len(self.nodes))
        for node, force in forces.items():
            for i in range(3):
                right[3 * node + i] += force[i]
        for member, load in zip(self.members, loads, strict=True):
            if load != (0.0, 0.0):
                length, cosine, sine = self._run(member)
                local = _fixed_ends(length, *_turn(load, cosine, sine))
                for place, value in zip(
                    _places(member), _to_global(local, cosine, sine), strict=True
                ):
                    right[place] -= value
        applied = list(right)
        for place in self._held:
            right[place] = 0.0
        x = self._factored.solve(right)
        members = tuple(
            self._forces(m, load, x) for m, load in zip(self.members, loads, strict=True)
        )
        return SolvedFrame(
            tuple((x[3 * i], x[3 * i + 1], x[3 * i + 2]) for i in range(len(self.nodes))),
            members,
            self._reactions(x, applied),
        )

    def first_mode_hz(self) -> float | None:
        """First natural frequency [Hz] with consistent mass; ``None`` where nothing has mass.

        Rayleigh's quotient of a shape improved by inverse iteration until it stands still.
        """
        size = 3 * len(self.nodes)
        # A shape without symmetry, so that no mode is missed for being at right angles to it.
        shape = [1 + ((i * 0.6180339887) % 1) / 3 for i in range(size)]
        for place in self._held:
            shape[place] = 0.0
        last = 0.0
        for _ in range(_MODE_STEPS):
            pushed = self._times_mass(shape)
            for place in self._held:
                pushed[place] = 0.0
            new = self._factored.solve(pushed)
            weight = sum(a * b for a, b in zip(new, self._times_mass(new), strict=True))
            if weight <= 0:
                return None
            # new = K^-1 M shape, so new.K.new = new.M.shape
            quotient = sum(a * b for a, b in zip(new, pushed, strict=True)) / weight
            if abs(quotient - last) <= _MODE_TOLERANCE * quotient:
                break
            last = quotient
            scale = 1 / sqrt(weight)
            shape = [value * scale for value in new]
        return sqrt(quotient) / (2 * pi)

    @cached_property
    def _held(self) -> frozenset[int]:
        return frozenset(
            3 * n + i for n, node in enumerate(self.nodes) for i in range(3) if node.held[i]
        )

    @cached_property
    def _factored(self) -> "_Banded":
        band = max((3 * abs(m.start - m.end) + 3 for m in self.members), default=3)
        matrix = _Banded(3 * len(self.nodes), band)
        for member in self.members:
            length, cosine, sine = self._run(member)
            stiffness = _global_matrix(_stiffness(member, length), cosine, sine)
            places = _places(member)
            for i in range(6):
                for j in range(i + 1):
                    if places[i] not in self._held and places[j] not in self._held:
                        matrix.add(places[i], places[j], stiffness[i][j])
        for place in self._held:
            matrix.add(place, place, 1.0)
        matrix.factor()
        return matrix

    @cached_property
    def _masses(self) -> tuple[list[list[float]], ...]:
        return tuple(
            _global_matrix(_mass(m, length), cosine, sine)
            for m in self.members
            for length, cosine, sine in (self._run(m),)
        )

    def _times_mass(self, shape: Vector) -> Vector:
        out = [0.0] * len(shape)
        for member, mass in zip(self.members, self._masses, strict=True):
            places = _places(member)
            local = [shape[place] for place in places]
            for i, place in enumerate(places):
                out[place] += sum(a * b for a, b in zip(mass[i], local, strict=True))
        for i, node in enumerate(self.nodes):
            out[3 * i] += node.mass_kg * shape[3 * i]
            out[3 * i + 1] += node.mass_kg * shape[3 * i + 1]
        return out

    def _run(self, member: Member) -> tuple[float, float, float]:
        start, end = self.nodes[member.start], self.nodes[member.end]
        dx, dy = end.x_m - start.x_m, end.y_m - start.y_m
        length = hypot(dx, dy)
        return length, dx / length, dy / length

    def _forces(self, member: Member, load: tuple[float, float], x: Vector) -> MemberForces:
        length, cosine, sine = self._run(member)
        moved = _to_local([x[place] for place in _places(member)], cosine, sine)
        along, across = _turn(load, cosine, sine)
        fixed = _fixed_ends(length, along, across)
        ends = tuple(
            sum(a * b for a, b in zip(row, moved, strict=True)) + f
            for row, f in zip(_stiffness(member, length), fixed, strict=True)
        )
        bending = member.modulus_pa * member.inertia_m4
        axial = member.modulus_pa * member.area_m2
        return MemberForces(length, bending, axial, cosine, sine, ends, tuple(moved), along, across)

    def _reactions(self, x: Vector, applied: Vector) -> dict[int, tuple[float, float, float]]:
        out = [-value for value in applied]
        for member in self.members:
            length, cosine, sine = self._run(member)
            stiffness = _global_matrix(_stiffness(member, length), cosine, sine)
            places = _places(member)
            local = [x[place] for place in places]
            for i, place in enumerate(places):
                out[place] += sum(a * b for a, b in zip(stiffness[i], local, strict=True))
        return {
            n: (out[3 * n], out[3 * n + 1], out[3 * n + 2])
            for n, node in enumerate(self.nodes)
            if any(node.held)
        }


class _Banded:
    """A symmetric positive matrix kept by its lower band, factored as L D L'."""

    def __init__(self, size: int, band: int) -> None:
        self.size = size
        self.band = min(band, size)
        self.rows = [[0.0] * self.band for _ in range(size)]

    def add(self, i: int, j: int, value: float) -> None:
        """Add to entry (i, j) with i >= j or j >= i; entry (i, j) stands at rows[i][i - j]."""
        if i < j:
            i, j = j, i
        self.rows[i][i - j] += value

    def factor(self) -> None:
        rows, band = self.rows, self.band
        for j in range(self.size):
            row = rows[j]
            first = max(0, j - band + 1)
            start = row[0]
            scaled = [0.0] * (j - first)
            for k in range(first, j):
                other = rows[k]
                value = row[j - k]
                for m in range(max(first, k - band + 1), k):
                    value -= scaled[m - first] * other[k - m]
                scaled[k - first] = value
            pivot = start
            for k in range(first, j):
                factor = scaled[k - first] / rows[k][0]
                pivot -= factor * scaled[k - first]
                row[j - k] = factor
            if pivot <= abs(start) * _SINGULAR:
                raise Unstable("the frame, or a piece of it, is free to move")
            row[0] = pivot

    def solve(self, right: Vector) -> Vector:
        rows, band = self.rows, self.band
        x = list(right)
        for i in range(self.size):
            row = rows[i]
            for j in range(max(0, i - band + 1), i):
                x[i] -= row[i - j] * x[j]
        for i in range(self.size):
            x[i] /= rows[i][0]
        for i in range(self.size - 1, -1, -1):
            row = rows[i]
            for j in range(max(0, i - band + 1), i):
                x[j] -= row[i - j] * x[i]
        return x


def _places(member: Member) -> tuple[int, ...]:
    a, b = 3 * member.start, 3 * member.end
    return (a, a + 1, a + 2, b, b + 1, b + 2)


def _turn(load: tuple[float, float], cosine: float, sine: float) -> tuple[float, float]:
    return load[0] * cosine + load[1] * sine, load[1] * cosine - load[0] * sine


def _to_local(values: Vector, cosine: float, sine: float) -> Vector:
    a, b = _turn((values[0], values[1]), cosine, sine), _turn((values[3], values[4]), cosine, sine)
    return [*a, values[2], *b, values[5]]


def _to_global(values: Vector, cosine: float, sine: float) -> Vector:
    return _to_local(values, cosine, -sine)


def _fixed_ends(length: float, along: float, across: float) -> Vector:
    half, turn = across * length / 2, across * length**2 / 12
    return [-along * length / 2, -half, -turn, -along * length / 2, -half, turn]


def _stiffness(member: Member, length: float) -> list[list[float]]:
    a = member.modulus_pa * member.area_m2 / length
    b = member.modulus_pa * member.inertia_m4 / length**3
    l1, l2 = 6 * b * length, b * length**2
    return [
        [a, 0, 0, -a, 0, 0],
        [0, 12 * b, l1, 0, -12 * b, l1],
        [0, l1, 4 * l2, 0, -l1, 2 * l2],
        [-a, 0, 0, a, 0, 0],
        [0, -12 * b, -l1, 0, 12 * b, -l1],
        [0, l1, 2 * l2, 0, -l1, 4 * l2],
    ]


def _mass(member: Member, length: float) -> list[list[float]]:
    m = member.mass_kg_m * length / 420
    n = length
    return [
        [140 * m, 0, 0, 70 * m, 0, 0],
        [0, 156 * m, 22 * n * m, 0, 54 * m, -13 * n * m],
        [0, 22 * n * m, 4 * n**2 * m, 0, 13 * n * m, -3 * n**2 * m],
        [70 * m, 0, 0, 140 * m, 0, 0],
        [0, 54 * m, 13 * n * m, 0, 156 * m, -22 * n * m],
        [0, -13 * n * m, -3 * n**2 * m, 0, -22 * n * m, 4 * n**2 * m],
    ]


def _global_matrix(local: list[list[float]], cosine: float, sine: float) -> list[list[float]]:
    """T' k T, column by column and then row by row."""
    half = [_to_global(row, cosine, sine) for row in local]
    columns = [_to_global([row[j] for row in half], cosine, sine) for j in range(6)]
    return [[columns[j][i] for j in range(6)] for i in range(6)]
