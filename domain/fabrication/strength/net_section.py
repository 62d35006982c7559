"""Net section: the stress of every straight line across a panel through its holes, by statics.

All that lies beyond the line pulls on it and bends it; what the holes leave of the width carries
it. The holes of the screws that hold the part count as all others do: the moment is highest there.
Premise: the stress is spread evenly over what is left (no concentration at a hole's edge).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate
from math import cos, radians, sin
from typing import TYPE_CHECKING

from msgspec import Struct

from domain.fabrication.shape.hole_placing import PlacedHole

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

NEAR_M = 1e-6
"""Points of a strip closer than this [m] are one."""

_ON_M = 10 * NEAR_M
"""Forces this near to a line [m] are on it."""

_LEAST_LEFT = 0.01
"""At least this share of the width is left, so that the stress is a number."""


class Force(Struct, frozen=True):
    """A force on a plate at a point [m], in its axes, under three pulls (arrays of three) [N, N m].

    ``about_x`` turns +y out of the sheet, ``about_y`` turns +x out of it, ``turn`` is in the plane.
    ``presses``: it is spread over a foot or washer of ``radius_m`` on the sheet.
    """

    at: tuple[float, float]
    x: Array
    y: Array
    out: Array
    about_x: Array
    about_y: Array
    turn: Array
    radius_m: float = 0.0
    presses: bool = False


def worst_section(
    rect: tuple[float, float, float, float],
    holes: Sequence[PlacedHole],
    forces: Sequence[Force],
    own_n_m2: Array,
    thickness_m: float,
) -> float:
    """The highest stress [Pa] of any line across a plate through its holes, pulled from the worst.

    ``forces`` are all on it, ``own_n_m2`` its own weight over the area in its axes under the three
    pulls. 6 M/(b t2) + N/(b t) + 6 M'/(t b2), b the width that is left, M' in the sheet's plane.
    """
    if not holes or not forces:
        return 0.0
    import numpy as np

    at = np.array([force.at for force in forces])
    each = [way for f in forces for way in (f.x, f.y, f.out, f.about_y, f.about_x, f.turn)]
    all_of = np.concatenate(each).reshape(len(forces), 6, -1)
    sheet, out, turn = (all_of[:, 0], all_of[:, 1]), all_of[:, 2], all_of[:, 5]
    couples = (all_of[:, 3], all_of[:, 4])
    worst = 0.0
    for axis, sign in ((0, 1), (1, -1)):
        low, high = rect[axis], rect[axis + 2]
        start, end = rect[1 - axis], rect[3 - axis]
        width, middle = end - start, (start + end) / 2
        lines = [each for each in _lines(holes, axis) if low <= each[0] <= high]
        if not lines:
            continue
        line, lost = (np.array(each)[:, None] for each in zip(*lines, strict=True))
        left = np.maximum(width - lost, width * _LEAST_LEFT)
        area, lever = (high - line) * width, (high - line) / 2
        order = np.argsort(at[:, axis])
        place, aside = at[order, axis][:, None], at[order, 1 - axis][:, None] - middle
        along, across = sheet[axis][order], sheet[1 - axis][order]
        beyond = _from_here_on(
            (out[order], out[order] * place, couples[axis][order]),
            (along, along * aside, across, across * place, turn[order]),
        )
        # with the forces right on the line, and without them
        near = np.concatenate([line[:, 0] - _ON_M, line[:, 0] + _ON_M])
        first = np.searchsorted(place[:, 0], near, side="right")
        line, left, area, lever = (np.concatenate([c, c]) for c in (line, left, area, lever))
        push, lifted, couple, pull, pulled, swing, swung, turned = beyond[first].swapaxes(0, 1)
        bend = lifted - line * push + couple + own_n_m2[2] * area * lever
        plane = sign * (swung - line * swing - pulled) + turned
        plane = plane + sign * own_n_m2[1 - axis] * area * lever
        straight = (pull + own_n_m2[axis] * area) / (left * thickness_m)
        bent = 6 * bend / (left * thickness_m**2)
        aslant = 6 * plane / (thickness_m * left**2)
        # the squares of bent + straight + aslant, either of the last two with either sign
        squares = (bent * bent + straight * straight + aslant * aslant).sum(axis=1)
        pairs = (bent * straight).sum(axis=1), (bent * aslant).sum(axis=1)
        third = (straight * aslant).sum(axis=1)
        mixed = np.maximum(abs(pairs[0] + pairs[1]) + third, abs(pairs[0] - pairs[1]) - third)
        worst = max(worst, float((squares + 2 * mixed).max()))
    return float(worst**0.5)


def _lines(holes: Sequence[PlacedHole], axis: int) -> tuple[tuple[float, float], ...]:
    """Lines across a plate through the middles of its holes, and what they lose there [m]."""
    cuts = Cuts([hole_size_m(hole, axis) for hole in holes])
    return tuple((place, cuts.lost(place)) for place in cuts.at)


def _from_here_on(*columns: tuple[Array, ...]) -> Array:
    """Sums of columns from each row to the last; nothing after the last: rows, columns, pulls."""
    import numpy as np

    each = np.stack([column for some in columns for column in some], axis=1)
    found = np.zeros((len(each) + 1, *each.shape[1:]))
    found[:-1] = np.cumsum(each[::-1], axis=0)[::-1]
    return found


class Cuts:
    """Holes of one panel as stretches along it: (middle, width across, length along) [m]."""

    def __init__(self, sizes: list[tuple[float, float, float]]) -> None:
        self.at = sorted({at for at, _, _ in sizes})
        starts = sorted((at - long / 2 - NEAR_M, wide) for at, wide, long in sizes)
        ends = sorted((at + long / 2 + NEAR_M, wide) for at, wide, long in sizes)
        self.starts, self.ends = [at for at, _ in starts], [at for at, _ in ends]
        self.begun = [0.0, *accumulate(wide for _, wide in starts)]
        self.ended = [0.0, *accumulate(wide for _, wide in ends)]

    def lost(self, along: float) -> float:
        """Width that holes take out at one place along the panel [m]."""
        begun = self.begun[bisect_right(self.starts, along)]
        return begun - self.ended[bisect_left(self.ends, along)]


def hole_size_m(hole: PlacedHole, axis: int) -> tuple[float, float, float]:
    """Where a hole lies along an axis of its panel (0 is x), its extent across it and along [m]."""
    long = hole.across_m or hole.diameter_m
    x = y = hole.diameter_m
    if long != hole.diameter_m:
        c, s = abs(cos(radians(hole.turn_deg))), abs(sin(radians(hole.turn_deg)))
        x, y = long * c + hole.diameter_m * s, long * s + hole.diameter_m * c
    return (hole.x_m, y, x) if axis == 0 else (hole.y_m, x, y)
