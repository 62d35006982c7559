"""Sizes of a device that nobody measured: round ones are taken, and known again as such."""

from collections.abc import Iterable

from domain.build.choices import UnitHabit
from domain.build.records import Build, Footprint

_TOUCH_M = 1e-6
_INCH_M = 0.0254

SIZES = ("length_m", "width_m", "height_m")

_TAKEN = {
    UnitHabit.INCH: (4 * _INCH_M, 4 * _INCH_M, 2 * _INCH_M),
    UnitHabit.METRIC: (0.1, 0.1, 0.05),
}


def assumed_sizes(units: UnitHabit) -> dict[str, float]:
    """Length, width and height [m] of a device that was not measured: 4 x 4 x 2 in or
    100 x 100 x 50 mm. Of our own choice: they hold the place of what is measured.
    """
    return dict(zip(SIZES, _TAKEN[units], strict=True))


def sizes_assumed(build: Build, footprint: Footprint) -> bool:
    """Whether length, width and height all are such as are taken for a device unmeasured.

    An outline that ends in the middle of its outermost screws was grown to hold them, not measured:
    a device reaches beyond its screws.
    """
    studs = [stud for stud in build.studs if stud.footprint == footprint.id]
    across = _reach(stud.x_m for stud in studs), _reach(stud.y_m for stud in studs)
    for taken in _TAKEN.values():
        sides = zip((footprint.length_m, footprint.width_m), taken, across, strict=False)
        if _same(footprint.height_m, taken[2]) and all(
            _same(size, usual) or (size > usual and _same(size, reach))
            for size, usual, reach in sides
        ):
            return True
    return False


def _reach(places: Iterable[float]) -> float:
    """From the first place to the last [m]."""
    known = list(places)
    return max(known) - min(known) if known else 0.0


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= _TOUCH_M
