"""How much width the holes of a panel take out of a strip that runs along it."""

from bisect import bisect_left, bisect_right
from itertools import accumulate
from math import cos, radians, sin

from domain.fabrication.shape.hole_placing import PlacedHole

NEAR_M = 1e-6
"""Points of a strip closer than this [m] are one."""


class Cuts:
    """Holes of one panel as stretches along it: (middle, width across, length along) [m]."""

    def __init__(self, sizes: list[tuple[float, float, float]]) -> None:
        self.at = sorted({at for at, _, _ in sizes})
        starts = sorted((at - long / 2 - NEAR_M, wide) for at, wide, long in sizes)
        ends = sorted((at + long / 2 + NEAR_M, wide) for at, wide, long in sizes)
        self.starts, self.ends = [at for at, _ in starts], [at for at, _ in ends]
        self.begun = [0.0, *accumulate(wide for _, wide in starts)]
        self.ended = [0.0, *accumulate(wide for _, wide in ends)]

    def between(self, low: float, high: float) -> list[float]:
        """Middles of holes from one place along the panel to another [m]."""
        return self.at[bisect_left(self.at, low) : bisect_right(self.at, high)]

    def lost(self, along: float) -> float:
        """Width that holes take out at one place along the panel [m]."""
        begun = self.begun[bisect_right(self.starts, along)]
        return begun - self.ended[bisect_left(self.ends, along)]


def hole_size_m(hole: PlacedHole, axis: int) -> tuple[float, float, float]:
    """Where a hole lies along an axis of its panel (0 is x), its extent across it and along [m]."""
    c, s = abs(cos(radians(hole.turn_deg))), abs(sin(radians(hole.turn_deg)))
    long = hole.across_m or hole.diameter_m
    x = y = hole.diameter_m
    if long != hole.diameter_m:
        x, y = long * c + hole.diameter_m * s, long * s + hole.diameter_m * c
    return (hole.x_m, y, x) if axis == 0 else (hole.y_m, x, y)
