"""Fuse families and their standard ratings (parts of ISO 8820; the series are from memory)."""

from functools import lru_cache

from domain.build.choices import FuseFamily
from domain.reference.planning import planned
from domain.reference.tables import load

AUTO_FAMILIES = (FuseFamily.BLADE_C, FuseFamily.STRIP_30, FuseFamily.STRIP_51)
"""Families that auto picks from, in this order: the first with a fitting rating wins."""


@lru_cache(maxsize=1)
def _series() -> dict[FuseFamily, tuple[tuple[float, float], ...]]:
    found: dict[FuseFamily, list[tuple[float, float]]] = {}
    for row in load("fuse_ratings", ("family", "rated_a", "breaking_a")):
        pair = (float(row["rated_a"]), float(row["breaking_a"]))
        found.setdefault(FuseFamily(row["family"]), []).append(pair)
    return {family: tuple(sorted(pairs)) for family, pairs in found.items()}


def ratings(family: FuseFamily) -> tuple[float, ...]:
    """The rated currents of a family [A], small to large."""
    return tuple(rating for rating, _ in _series()[family])


def breaking_a(family: FuseFamily) -> float:
    """The breaking capacity of a family [A]."""
    return _series()[family][0][1]


@lru_cache(maxsize=1024)
def smallest(least_a: float, family: FuseFamily | None) -> tuple[float, FuseFamily] | None:
    """The smallest standard rating of at least ``least_a`` [A] and its family, or ``None``."""
    families = (family,) if family else AUTO_FAMILIES
    for each in families:
        for rating in ratings(each):
            if rating >= least_a * (1 - 1e-9):
                return rating, each
    return None


def family_of(rating_a: float) -> FuseFamily:
    """The family that auto would take for a pinned rating."""
    found = smallest(rating_a, None)
    return found[1] if found else AUTO_FAMILIES[-1]


def least_rating_a(design_a: float, programme_a: float) -> float:
    """Smallest rating that carries the load [A].

    At least the full-tone current, and at least the programme current over the share of its
    rating at which a fuse may run continuously (about 80 %, common practice).
    """
    return max(design_a, programme_a / planned("fuse_continuous_fraction"))


def resistance_ohm(rating_a: float) -> float:
    """Fuse and holder [ohm]: a typical drop at rated current, over that current."""
    return planned("fuse_drop_v") / rating_a
