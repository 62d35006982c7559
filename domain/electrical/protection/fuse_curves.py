"""The curves of a fuse against its weakest wire, on log paper: what every chart of them draws."""

from collections.abc import Callable
from math import ceil, exp, floor, inf, log, log10

from msgspec import Struct

from domain.electrical.protection import opening
from domain.electrical.protection.withstand import Wire, withstand_s
from domain.sheet import FuseStudy

Curve = tuple[tuple[float, float], ...]

_SAMPLES = 160
"""Points of a curve, evenly on log paper."""

_BEYOND = 1.2
"""The field reaches so far beyond the largest current that matters."""

_QUICKEST_S, _SLOWEST_S = 1e-4, 1e6


class FuseCurves(Struct, frozen=True):
    """Time over current, both as powers of ten of A and s, and the field that they lie in.

    ``slowest`` and ``quickest`` are the fuse's opening, ``stands`` what its weakest wire stands;
    ``marks`` the currents at which it must open, of the far and of the near short, by letter.
    """

    slowest: Curve
    quickest: Curve
    stands: Curve
    marks: dict[str, float]
    across: tuple[float, float]
    up: tuple[float, float]

    @property
    def currents(self) -> dict[float, str]:
        """Places and labels of the level axis: decades, their doubles and fives."""
        low, high = self.across
        labels = {}
        for decade in range(floor(low), ceil(high) + 1):
            for step in (1, 2, 5):
                value = step * 10.0**decade
                if low <= log10(value) <= high:
                    labels[log10(value)] = f"{value:g} A"
        return labels

    @property
    def decades(self) -> dict[float, str]:
        """Places and labels of the upright axis, every power of ten."""
        low, high = map(int, self.up)
        return {float(power): _decade(power) for power in range(low, high + 1)}


def fuse_curves(study: FuseStudy, points: opening.Window, wire: Wire | None) -> FuseCurves | None:
    """The curves from the fuse's rating on; ``None`` where no current is known to open it.

    ``points`` is the fuse's opening window, ``wire`` the weakest one that it guards.
    """
    must, rating = study.must_open_a, study.rating_a
    if not points or must is None or must == inf:
        return None
    high = max(study.fault_near_a, study.fault_far_a, 4 * must) * _BEYOND
    slow, fast = opening.slow_side(points), opening.fast_side(points)
    slowest = _sampled(rating, high, lambda a: slow.at(a / rating))
    quickest = _sampled(rating, high, lambda a: fast.at(a / rating))
    stands = _sampled(rating, high, lambda a: withstand_s(wire, a)) if wire else ()
    times = [t for curve in (slowest, quickest, stands) for _, t in curve]
    if not times:
        return None
    # The quick edge climbs without end towards the rating: up to the decade above the slow one.
    top = min(max(times), max((t for _, t in slowest), default=inf) + 1, log10(_SLOWEST_S))
    bottom = floor(max(min(times), log10(_QUICKEST_S)))
    shorts = {"m": must, "f": study.fault_far_a, "n": study.fault_near_a}
    return FuseCurves(
        slowest,
        quickest,
        stands,
        {letter: log10(max(current, 1e-9)) for letter, current in shorts.items()},
        (log10(rating), log10(high)),
        (float(bottom), float(max(ceil(top + 1e-9), bottom + 1))),
    )


def _sampled(low: float, high: float, time_of: Callable[[float], float]) -> Curve:
    """A curve without the stretch on which it has no end."""
    found = []
    for i in range(_SAMPLES + 1):
        current = low * exp(log(high / low) * i / _SAMPLES)
        time = time_of(current)
        if 0 < time < inf:
            found.append((log10(current), log10(time)))
    return tuple(found)


def _decade(power: int) -> str:
    if power < 0:
        return f"{10.0 ** (power + 3):g} ms"
    return f"{10**power} s"
