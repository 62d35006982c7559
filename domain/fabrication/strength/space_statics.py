"""A part whose panels turn sideways, by statics in space: stress at every bend, and sag.

Beyond any section nothing is held, so that its moments follow from the masses beyond and their
levers alone. The pull may come from any side: each moment is the largest over all directions, and
all are added up as if they acted together (on the safe side). Sag by the method of the unit load
(Mohr's integral: bending both ways and twisting), the pull again from the worst side. Sources: any
text on strength of materials, as Timoshenko, part I, and Gere, Mechanics of Materials, "unit-load
method" (from memory; checked against a general frame library).
"""

from dataclasses import dataclass
from math import pi, sqrt

from domain.fabrication.shape.space import Space
from domain.fabrication.strength.load_path import LoadPath, Section
from domain.fabrication.strength.rectangular_section import POISSON, combined_pa, torsion_m4
from domain.fabrication.strength.vibration import GRAVITY_M_S2

_TURNS = 40
"""Rounds of the power iteration for the worst direction: 3 by 3, so that few are enough."""

Matrix = list[list[float]]


@dataclass(frozen=True, slots=True)
class StaticResult:
    """What one g does to a part: highest stress [Pa] and where, sag [m], first mode [Hz].

    ``panel`` is where the stress is highest, ``bend`` whether it is the bend that the panel hangs
    on. ``reach_m`` is the longest way along the strip from where it is held.
    """

    stress_pa: float
    panel: str
    bend: bool
    sag_m: float
    natural_hz: float
    load_kg: float
    own_mass_kg: float
    reach_m: float
    screwed: bool
    spatial: bool


def solve_statics(load_path: LoadPath, modulus_pa: float, screwed: bool) -> StaticResult | None:
    """Stress and sag of a part along its load path; ``None`` where all sits on its screws.

    The first mode is that of a mass on a spring which sags as much: f = sqrt(g/sag)/(2 pi).
    """
    if not load_path.carried:
        return None
    moments = _beyond(load_path)
    worst = max(
        (stress_pa(load_path, number, section, moments[number]), section.bend, section.panel)
        for number, piece in enumerate(load_path.pieces)
        for section in piece.sections
    )
    sag = max(sag_m(load_path, moments, piece, at, modulus_pa) for piece, at in load_path.carried)
    if worst[0] <= 0 or sag <= 0:
        return None
    return StaticResult(
        stress_pa=worst[0],
        panel=worst[2],
        bend=worst[1],
        sag_m=sag,
        natural_hz=sqrt(GRAVITY_M_S2 / sag) / (2 * pi),
        load_kg=load_path.load_kg,
        own_mass_kg=load_path.own_kg,
        reach_m=_reach(load_path),
        screwed=screwed,
        spatial=True,
    )


Beyond = tuple[float, Space]
"""Mass beyond a piece [kg], and the sum of mass times place [kg m]."""


def _beyond(load_path: LoadPath) -> list[Beyond]:
    found: list[Beyond] = [(0.0, (0.0, 0.0, 0.0))] * len(load_path.pieces)
    for number in range(len(load_path.pieces) - 1, -1, -1):
        piece = load_path.pieces[number]
        mass, moment = found[number]
        for kg, at in piece.masses:
            mass, moment = mass + kg, _mix(moment, kg, at)
        found[number] = mass, moment
        if piece.parent is not None:
            up, above = found[piece.parent]
            found[piece.parent] = up + mass, _mix(above, 1.0, moment)
    return found


def lever_kg_m(beyond: Beyond, at: Space) -> Space:
    """Sum of mass times the way from a point to it [kg m]."""
    return _mix(beyond[1], -beyond[0], at)


def stress_pa(load_path: LoadPath, number: int, section: Section, beyond: Beyond) -> float:
    """Highest stress [Pa] in a section of a piece under one g from any side.

    A force of direction d at the lever R turns about an axis e by e.(R x d), at most |e x R|.
    """
    lever = lever_kg_m(beyond, section.at)
    twist, bend, aside = (
        GRAVITY_M_S2 * _size(_cross(axis, lever)) for axis in load_path.pieces[number].axes
    )
    pull = beyond[0] * GRAVITY_M_S2
    return combined_pa(pull, bend, aside, twist, section.width_m, section.thickness_m)


def sag_m(
    load_path: LoadPath, moments: list[Beyond], number: int, at: Space, modulus_pa: float
) -> float:
    """How far a point on a piece's outer end moves under one g from the worst side [m].

    Integral over all pieces on the way of (e x r)((e x R).d)/B for each axis e with its stiffness
    B; both levers are straight lines, so that Simpson's rule is exact.
    """
    moved: Matrix = [[0.0] * 3 for _ in range(3)]
    on: int | None = number
    while on is not None:
        piece = load_path.pieces[on]
        length = _size(_mix(piece.end, -1.0, piece.start))
        b, t = piece.width_m, load_path.thickness_m
        stiff = (
            modulus_pa / (2 * (1 + POISSON)) * torsion_m4(b, t),
            modulus_pa * b * t**3 / 12,
            modulus_pa * t * b**3 / 12,
        )
        for share, weight in ((0.0, 1 / 6), (0.5, 4 / 6), (1.0, 1 / 6)):
            point = _mix(piece.start, share, _mix(piece.end, -1.0, piece.start))
            lever = lever_kg_m(moments[on], point)
            arm = _mix(at, -1.0, point)
            for axis, stiffness in zip(piece.axes, stiff, strict=True):
                whole = weight * length * GRAVITY_M_S2 / stiffness
                one, other = _cross(axis, arm), _cross(axis, lever)
                for i in range(3):
                    for j in range(3):
                        moved[i][j] += whole * one[i] * other[j]
        on = piece.parent
    return _largest(moved)


def _largest(matrix: Matrix) -> float:
    """How much longer a matrix can make a vector (its largest singular value)."""
    square = [
        [sum(matrix[k][i] * matrix[k][j] for k in range(3)) for j in range(3)] for i in range(3)
    ]
    scale = max(square[i][i] for i in range(3))
    if scale <= 0:
        return 0.0
    most = 0.0
    # from each axis, so that no start lies at right angles to the answer
    for start in range(3):
        vector = [float(i == start) for i in range(3)]
        for _ in range(_TURNS):
            new = [sum(square[i][j] * vector[j] for j in range(3)) for i in range(3)]
            size = sqrt(sum(value * value for value in new))
            if not size:
                break
            vector = [value / size for value in new]
        most = max(
            most,
            sum(vector[i] * square[i][j] * vector[j] for i in range(3) for j in range(3)),
        )
    return sqrt(most)


def _reach(load_path: LoadPath) -> float:
    reach: list[float] = []
    for piece in load_path.pieces:
        before = 0.0 if piece.parent is None else reach[piece.parent]
        reach.append(before + _size(_mix(piece.end, -1.0, piece.start)))
    return max(reach)


def _mix(a: Space, q: float, b: Space) -> Space:
    return a[0] + q * b[0], a[1] + q * b[1], a[2] + q * b[2]


def _cross(a: Space, b: Space) -> Space:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def _size(a: Space) -> float:
    return sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])
