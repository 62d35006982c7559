"""A drive over time as curves: what every chart of it draws."""

from itertools import pairwise
from math import ceil, floor

from msgspec import Struct

from domain.sheet import DriveResult

Curve = tuple[tuple[float, float], ...]

_STEPS_S = (10, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400, 43200, 86400, 432000)
_MOST_TICKS = 8


class DriveCurves(Struct, frozen=True):
    """Voltages [V] and charge (0 to 1, by battery) over time [s], and the field of the voltages.

    ``post`` is at the posts of the starter battery, ``lowest`` at the amplifier that has least;
    ``legs`` has the beginning of each leg with its id, ``ticks`` round times.
    """

    post: Curve
    lowest: Curve
    charge: dict[str, Curve]
    legs: tuple[tuple[float, str], ...]
    end_s: float
    volts: tuple[float, float]
    ticks: tuple[int, ...]


def drive_curves(result: DriveResult) -> DriveCurves | None:
    """The curves of a drive; ``None`` where it has no legs."""
    points = result.points
    if not points:
        return None
    end = points[-1].time_s + result.step_s
    post = tuple((p.time_s, p.post_v) for p in points)
    lowest = tuple((p.time_s, p.lowest_v) for p in points if p.lowest_v is not None)
    every = [v for _, v in (*post, *lowest)]
    low, high = floor(min(every) * 2) / 2, ceil(max(every) * 2 + 1e-9) / 2
    step = next((s for s in _STEPS_S if end / s <= _MOST_TICKS), _STEPS_S[-1])
    return DriveCurves(
        post,
        lowest,
        {
            id: tuple((p.time_s, min(max(p.charge[id], 0.0), 1.0)) for p in points)
            for id in points[0].charge
        },
        (
            (points[0].time_s, points[0].leg),
            *((q.time_s, q.leg) for p, q in pairwise(points) if q.leg != p.leg),
        ),
        end,
        (low, max(high, low + 0.5)),
        tuple(range(0, int(end) + 1, step)),
    )
