"""A run as a fuse and as a wire: the window of the one, what decides the withstand of the other."""

from functools import lru_cache
from math import inf

from domain.build.choices import FuseFamily, Insulation, Metal
from domain.build.records import Build
from domain.electrical import ampacity
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.protection import opening
from domain.electrical.protection.withstand import Wire
from domain.reference.counter_words import standard


def window_of(build: Build, family: FuseFamily, rating_a: float) -> tuple[opening.Window, str]:
    """The opening window of a fuse and where it is from: the user's own points come first."""
    if not build.curves:
        return _of_family(family)
    for exact in (rating_a, None):
        own = [
            opening.Point(p.current_ratio, p.fastest_s or 0.0, p.slowest_s or inf)
            for p in build.curves
            if p.family is family and p.rating_a == exact
        ]
        if own:
            return opening.window(own), "points entered for this fuse"
    return _of_family(family)


@lru_cache(maxsize=64)
def _of_family(family: FuseFamily) -> tuple[opening.Window, str]:
    iso = standard(family).startswith("ISO 8820")
    whose = "ISO 8820" if iso else f"usual {family.value}"
    return opening.table_window(family), f"{whose} window, from memory"


def wire(item: Conductor, gauge: str) -> Wire:
    """A run's wire as the withstand formulas want it."""
    _, class_c, _ = ampacity.base_ampacity(gauge, item.run.insulation)
    run = item.run
    return _kept(
        item.area_mm2(gauge),
        run.metal,
        run.insulation,
        item.ampacity_a(gauge),
        item.ambient_c,
        class_c,
    )


@lru_cache(maxsize=1024)
def _kept(
    area_mm2: float,
    metal: Metal,
    insulation: Insulation,
    ampacity_a: float,
    ambient_c: float,
    class_c: float,
) -> Wire:
    """One wire for all that are alike, so that what was worked out for it serves all of them."""
    return Wire(area_mm2, metal, insulation, ampacity_a, ambient_c, class_c)
