"""Second proof, any short behind a wire's own fuses: the fuse against the wire, at every current.

Behind fuses of its own twig the whole fault current goes through those fuses one after the
other, whatever feeds them. So the network is not needed: at every current that is more than an
overload, the quickest of the fuses' slowest times is set against what the wire stands. A dead
short is not the worst one.
"""

from collections.abc import Sequence
from functools import cached_property, lru_cache
from math import inf

from msgspec import Struct

from domain.electrical.protection import opening
from domain.electrical.protection.circulation import CONVENTIONAL
from domain.electrical.protection.withstand import (
    Wire,
    adiabatic_limit_a,
    lasting_a,
    withstand_s,
)
from domain.ties import more

MOST_RATIO = 20.0
"""Beyond this multiple of a rating a fuse follows I^2 t; so does a wire in five seconds.

A breaker's window goes on to a hundred times its rating, less steeply than that: to its last point.
"""

JUST_ABOVE = (1.001, 1.005, 1.01, 1.02, 1.03, 1.05, 1.08, 1.12, 1.2)
"""Multiples of where a wire's line falls steeply at which it is looked at."""

EVENLY = 12
"""Steps on log paper in which the currents between are looked at, beside the corners."""

TOLERANCE = 1e-6
"""A wire that is short of a fuse by less than this share is not short of it."""


class Fuse(Struct, frozen=True, dict=True, cache_hash=True):
    """A fuse as it opens: the run it is in, its window and rating [A]."""

    run: str
    points: opening.Window
    rating_a: float

    def slowest_s(self, current_a: float) -> float:
        """Longest time to open at a current [s]."""
        return self._slow.at(current_a / self.rating_a)

    @cached_property
    def _slow(self) -> opening.Curve:
        return opening.slow_side(self.points)

    def must_open_a(self) -> float:
        """Least current that must open it [A]."""
        return opening.must_open_ratio(self.points) * self.rating_a


class WorstShort(Struct, frozen=True):
    """The current at which a wire has least to spare against its fuses.

    ``margin`` is stand over open (infinite: never hurt), ``opener`` the run of the fuse that opens
    first then, at the latest after ``opens_s``; the wire stands it for ``stands_s``, with
    ``beside_a`` on top that returns through it too.
    """

    margin: float
    current_a: float
    opens_s: float
    stands_s: float
    opener: str
    beside_a: float = 0.0

    @property
    def holds(self) -> bool:
        """Whether a fuse opens before the wire is hurt, at every current."""
        return self.margin >= 1 - TOLERANCE


@lru_cache(maxsize=1024)
def worst_short(
    fuses: tuple[Fuse, ...],
    wire: Wire,
    line: bool = True,
    opening_only: bool = False,
    beside_a: float = 0.0,
) -> WorstShort:
    """The worst current for a wire behind these fuses.

    ``beside_a`` is what a return carries on top, which does not pass these fuses [A].

    From the least current that must open one of them, or from 1.45 times ampacity where that is
    less; a return (not ``line``) may be thinner, there only from 1.45 times ampacity.
    ``opening_only`` leaves out currents at which no fuse must open.
    """
    worst = inf, 0.0, 0.0, inf, fuses[0].run if fuses else ""
    must_a = min((fuse.must_open_a() for fuse in fuses), default=inf) if opening_only else 0.0
    for current in currents(fuses, wire, line, beside_a):
        if current < must_a:
            continue
        stands = withstand_s(wire, current + beside_a)
        if stands == inf:
            continue
        opens, opener = inf, fuses[0].run
        for fuse in fuses:
            slowest = fuse.slowest_s(current)
            if more(opens, slowest):
                opens, opener = slowest, fuse.run
        if stands / opens < worst[0]:
            worst = stands / opens, current, opens, stands, opener
    return WorstShort(*worst, beside_a)


def worst_return_short(fuses: tuple[Fuse, ...], wire: Wire, beside_a: float) -> WorstShort:
    """The worst current for a return with what it carries on top [A]."""
    return worst_short(fuses, wire, False, False, beside_a)


def hurts_between(fuses: Sequence[Fuse], wire: Wire, low_a: float, high_a: float) -> bool:
    """Whether a short that draws something from ``low_a`` to ``high_a`` [A] hurts a wire."""
    inside = (a for a in currents(fuses, wire, True) if low_a < a < high_a)
    return any(
        withstand_s(wire, amperes) < (1 - TOLERANCE) * min(f.slowest_s(amperes) for f in fuses)
        for amperes in (low_a, *inside, high_a)
    )


def currents(fuses: Sequence[Fuse], wire: Wire, line: bool, beside_a: float = 0.0) -> list[float]:
    """Currents to look at [A]: corners of the windows, and where the wire's line bends."""
    if not fuses:
        return []
    low = CONVENTIONAL * wire.ampacity_a - beside_a
    if low <= 0:
        return [min(fuse.rating_a for fuse in fuses)]  # more than an overload without any short
    if line:
        low = min(low, *(fuse.must_open_a() for fuse in fuses))
    smallest = min(fuse.rating_a for fuse in fuses)
    step = adiabatic_limit_a(wire) - beside_a
    ends = (fuse.points[-1].ratio * fuse.rating_a for fuse in fuses if fuse.points)
    high = max(MOST_RATIO * smallest, step * 1.01, *ends)
    found = {low * (high / low) ** (i / EVENLY) for i in range(EVENLY + 1)} if low > 0 else {high}
    found |= {low, high}
    for fuse in fuses:
        for point in fuse.points:
            corner = point.ratio * fuse.rating_a
            found |= {corner, corner * (1 - 1e-9)}
    found |= {step * (1 - 1e-9), step * (1 + 1e-9)}
    for above in JUST_ABOVE:
        for bend in (lasting_a(wire), CONVENTIONAL * wire.ampacity_a):
            found.add(bend * above - beside_a)
    return sorted(current for current in found if low <= current <= high)
