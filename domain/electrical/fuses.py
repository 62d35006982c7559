"""Fuse families and breakers: their ratings, and what heat leaves of them.

Parts of ISO 8820 and families of the trade; the series are from memory.
"""

from bisect import bisect_left
from functools import cache, lru_cache
from itertools import pairwise

from domain.build.choices import FuseFamily
from domain.reference.csv_tables import load
from domain.reference.planning import planned

AUTO_FAMILIES = (FuseFamily.BLADE_C, FuseFamily.STRIP_30, FuseFamily.STRIP_51)
"""Families that auto picks from, in this order: the first with a fitting rating wins."""

AT_BATTERY = (FuseFamily.CUBE, FuseFamily.CLASS_T)
"""Families that auto goes on to where a short at a battery is more than those can break."""


@lru_cache(maxsize=1)
def _series() -> dict[FuseFamily, tuple[tuple[float, float], ...]]:
    found: dict[FuseFamily, list[tuple[float, float]]] = {}
    for row in load("fuse_ratings", ("family", "rated_a", "breaking_a")):
        pair = (float(row["rated_a"]), float(row["breaking_a"]))
        found.setdefault(FuseFamily(row["family"]), []).append(pair)
    return {family: tuple(sorted(pairs)) for family, pairs in found.items()}


@cache
def ratings(family: FuseFamily) -> tuple[float, ...]:
    """The rated currents of a family [A], small to large."""
    return tuple(rating for rating, _ in _series()[family])


def breaking_a(family: FuseFamily) -> float:
    """The breaking capacity of a family [A]."""
    return _series()[family][0][1]


def smallest(
    least_a: float, family: FuseFamily | None, short_a: float = 0.0
) -> tuple[float, FuseFamily] | None:
    """The smallest standard rating of at least ``least_a`` [A] and its family, or ``None``.

    A family that is not given is one that breaks ``short_a`` [A], else the one that breaks most.
    """
    for each in (family,) if family else _families(short_a):
        rated = ratings(each)
        at = bisect_left(rated, least_a * (1 - 1e-9))
        if at < len(rated):
            return rated[at], each
    return None


def largest(family: FuseFamily | None, short_a: float = 0.0) -> tuple[float, FuseFamily]:
    """The largest rating [A] of a family, or of those that auto picks from, and its family."""
    each = [(ratings(f)[-1], f) for f in ((family,) if family else _families(short_a))]
    return max(each, key=lambda pair: pair[0])


def family_of(rating_a: float, short_a: float = 0.0) -> FuseFamily:
    """The family that auto would take for a pinned rating where so much can flow in a short."""
    for each in _families(short_a) if short_a else ():
        if rating_a in ratings(each):
            return each
    found = smallest(rating_a, None)
    return found[1] if found else AUTO_FAMILIES[-1]


@lru_cache(maxsize=256)
def _families(short_a: float) -> tuple[FuseFamily, ...]:
    """The families that auto picks from, those that break a short [A] before the others."""
    if not short_a:
        return AUTO_FAMILIES
    every = (*AUTO_FAMILIES, *AT_BATTERY)
    able = tuple(f for f in every if breaking_a(f) >= short_a)
    return (*able, *sorted((f for f in every if f not in able), key=lambda f: -breaking_a(f)))


@lru_cache(maxsize=1)
def _heat_curve() -> tuple[tuple[float, float], ...]:
    rows = load("fuse_heat", ("ambient_c", "fraction"))
    return tuple(sorted((float(r["ambient_c"]), float(r["fraction"])) for r in rows))


@lru_cache(maxsize=256)
def heat_fraction(ambient_c: float) -> float:
    """What a fuse carries at this temperature around it, over its rating at 25 C.

    Straight between the points of the usual re-rating curve of blade fuses with a zinc element,
    taken for all families (from memory; makers' curves go before it); one below 25 C, because
    nobody can promise the cold.
    """
    points = _heat_curve()
    for (t0, f0), (t1, f1) in pairwise(points):
        if ambient_c <= t1:
            return min(f0 + (f1 - f0) * (max(ambient_c, t0) - t0) / (t1 - t0), 1.0)
    (t0, f0), (t1, f1) = points[-2:]
    return max(f1 + (f1 - f0) * (ambient_c - t1) / (t1 - t0), 0.1)


BREAKER_PER_K = 0.004
"""What a thermal breaker trips earlier by for each kelvin above 25 C: 0.3 to 0.6 %, from memory."""

HOLDS_RATIO = 1.1
"""A blade fuse holds 110 % of its rating for a hundred hours (ISO 8820-3, from memory)."""


def family_heat(ambient_c: float, family: FuseFamily | None) -> float:
    """``heat_fraction`` of a family: a thermal breaker's bimetal feels the air more than fuses."""
    if family is FuseFamily.BREAKER:
        return min(max(1 - BREAKER_PER_K * (ambient_c - 25.0), 0.1), 1.0)
    return heat_fraction(ambient_c)


def least_rating_a(
    full_a: float,
    lasting_a: float,
    ambient_c: float = 25.0,
    family: FuseFamily | None = None,
) -> float:
    """Smallest rating that carries the load, where it is ``ambient_c`` around the fuse [A].

    At least the lasting current over the share of its rating at which a fuse may run continuously
    (about 80 %, common practice), and over what heat leaves of it. At least the current at full
    output, which lasts minutes: heat counts there only beyond what a fuse holds above its rating.
    """
    heat = family_heat(ambient_c, family)
    holds = 1.0 if family is FuseFamily.BREAKER else HOLDS_RATIO
    peak = full_a / min(heat * holds, 1.0)
    return max(peak, lasting_a / planned("fuse_continuous_fraction") / heat)


def resistance_ohm(rating_a: float) -> float:
    """Fuse and holder [ohm]: a typical drop at rated current, over that current."""
    return planned("fuse_drop_v") / rating_a
