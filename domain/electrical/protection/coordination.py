"""A fuse against a wire: the window of the one, the withstand of the other, current by current."""

from collections.abc import Iterable
from functools import lru_cache
from math import exp, inf, log

from domain.build.choices import FuseFamily
from domain.build.records import Build
from domain.electrical import ampacity
from domain.electrical.network.system import Conductor
from domain.electrical.protection import opening
from domain.electrical.protection.withstand import Wire, adiabatic_limit_a, lasting_a, withstand_s

MOST_RATIO = 20.0
"""Beyond this both fuse and wire follow I^2 t, so that nothing changes any more."""

JUST_ABOVE = (1.005, 1.01, 1.02, 1.03, 1.05, 1.08, 1.12, 1.2)
"""Multiples of a wire's lasting current at which the study looks too."""

POINTS = 16
"""Currents looked at between the ends, evenly on log paper, beside the corners of the window."""


def window_of(build: Build, family: FuseFamily, rating_a: float) -> tuple[opening.Window, str]:
    """The opening window of a fuse and where it is from: the user's own points come first."""
    for exact in (rating_a, None):
        own = [
            opening.Point(p.current_ratio, p.fastest_s or 0.0, p.slowest_s or inf)
            for p in build.curves
            if p.family is family and p.rating_a == exact
        ]
        if own:
            return opening.window(own), "points entered for this fuse"
    return opening.table_window(family), "ISO 8820 window, from memory"


def wire(item: Conductor, gauge: str) -> Wire:
    """A run's wire as the withstand formulas want it."""
    _, class_c, _ = ampacity.base_ampacity(gauge, item.run.insulation)
    return Wire(
        area_mm2=item.area_mm2(gauge),
        metal=item.run.metal,
        insulation=item.run.insulation,
        ampacity_a=item.ampacity_a(gauge),
        ambient_c=item.ambient_c,
        class_c=class_c,
    )


@lru_cache(maxsize=4096)
def holds(points: opening.Window, rating_a: float, each: Wire) -> bool:
    """Whether a fuse opens before this wire is hurt, at every current from where it must open."""
    return all(
        withstand_s(each, current) >= opening.slowest_s(points, current / rating_a)
        for current in currents(points, rating_a, MOST_RATIO * rating_a, 0.0, (each,))
    )


def currents(
    points: opening.Window, rating: float, far: float, near: float, wires: Iterable[Wire]
) -> list[float]:
    """Currents to look at: from where the fuse must open up to the largest fault [A].

    Evenly on log paper, at the corners of the window, on both sides of each wire's step from the
    thermal to the adiabatic line, and just above what it carries for good, where its line falls
    steeply.
    """
    low, high = opening.must_open_ratio(points) * rating, max(far, near)
    if not 0 < low < inf:
        return []
    high = max(high, low)
    even = [low * exp(log(high / low) * i / (POINTS - 1)) for i in range(POINTS)]
    corners = [p.ratio * rating for p in points]
    for each in wires:
        step = adiabatic_limit_a(each)
        corners += [step * (1 - 1e-9), step * (1 + 1e-9)]
        corners += [lasting_a(each) * above for above in JUST_ABOVE]
    return sorted({*even, *(c for c in corners if low <= c <= high)})
