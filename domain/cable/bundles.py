"""How thick a bundle of round cables is: the circle that goes round cables of given diameters.

Each of three ways gives a circle that is sure to be large enough; the smallest of them counts.
A loose or crossed bundle is thicker than a well-laid one: the fill of a loom leaves room for it.
"""

from collections.abc import Callable
from functools import cache, lru_cache
from math import inf, sqrt

from msgspec import Struct

from domain.reference.csv_tables import load

MOST_LAID = 12
"""Up to this many cables are packed one by one; more are rare, and would take long."""

_GOLDEN = (sqrt(5) - 1) / 2

_TURNS = 20
"""Steps of the search for the middle: all of them leave one part in 15,000."""

_Round = tuple[complex, float]
"""A cable's middle and radius."""


class BundleSize(Struct, frozen=True):
    """What goes round a bundle, in the unit of its diameters, by each way; ``inf`` for none.

    ``by_area``: sqrt(2 sum d^2) is always enough. ``by_count``: all of them as thick as the
    thickest, in the closest packing known. ``laid``: round cables laid side by side, the thickest
    first.
    """

    by_area: float
    by_count: float
    laid: float

    @property
    def diameter(self) -> float:
        """The smallest of them."""
        return min(self.by_area, self.by_count, self.laid)


@lru_cache(maxsize=4096)
def bundle_size(diameters: tuple[float, ...]) -> BundleSize:
    """The circle round cables of these diameters (any unit, all above 0, at least one).

    By area: any circles that together have at most half the area of a circle go into it
    (FEKETE2019). By count: ratios for equal circles (KRAVITZ1967), up to 20. Laid: each cable
    touches two others and lies as near the middle as it can; within a tenth of the closest packing
    for cables up to 10, in the tests.
    """
    thick = sorted(diameters, reverse=True)
    most = ratio(len(thick))
    return BundleSize(
        by_area=thick[0] if len(thick) == 1 else sqrt(2 * sum(d * d for d in thick)),
        by_count=most * thick[0] if most else inf,
        laid=_round_all(_laid(thick)) if len(thick) <= MOST_LAID else inf,
    )


def ratio(count: int) -> float | None:
    """Diameter of the smallest known circle round this many equal circles, over theirs.

    KRAVITZ1967, rounded up in the fourth decimal; ``None`` above 20.
    """
    return _ratios().get(count)


def _laid(thick: list[float]) -> list[_Round]:
    """Cables laid one against the other in this order, each touching two before it."""
    radii = [d / 2 for d in thick]
    placed: list[_Round] = [(0j, radii[0])]
    if len(radii) > 1:
        placed.append((complex(radii[0] + radii[1]), radii[1]))
    for radius in radii[2:]:
        weight = sum(r * r for _, r in placed)
        middle = sum(at * r * r for at, r in placed) / weight
        places = [
            place
            for i, one in enumerate(placed)
            for other in placed[:i]
            for place in _touching(one, other, radius)
            if all(abs(place - at) >= r + radius - 1e-9 * radii[0] for at, r in placed)
        ]
        aside = complex(
            2 * sum(radii)
        )  # free of all of them; not met, as two always can be touched
        at = min(places, key=lambda place: abs(place - middle), default=aside)
        placed.append((at, radius))
    return placed


def _touching(one: _Round, other: _Round, radius: float) -> tuple[complex, ...]:
    """The two places where a circle touches both others; none where they lie too far apart."""
    (a, r_a), (b, r_b) = one, other
    apart = abs(b - a)
    near, far = r_a + radius, r_b + radius
    along = (apart * apart + near * near - far * far) / (2 * apart)
    aside = near * near - along * along
    if aside < 0:
        return ()
    way = (b - a) / apart
    return a + way * complex(along, sqrt(aside)), a + way * complex(along, -sqrt(aside))


def _round_all(placed: list[_Round]) -> float:
    """Diameter of the smallest circle round all of them.

    How far the farthest reaches is convex in the middle, so each of x and y is searched alone.
    """
    if len(placed) == 1:
        return 2 * placed[0][1]

    def reach(middle: complex) -> float:
        return max(abs(middle - at) + radius for at, radius in placed)

    def over_y(x: float) -> float:
        return _least(lambda y: reach(complex(x, y)), [at.imag for at, _ in placed])

    return 2 * _least(over_y, [at.real for at, _ in placed])


def _least(reach: Callable[[float], float], between: list[float]) -> float:
    """The least value of a convex function between the ends of a list: golden section."""
    low, high = min(between), max(between)
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = reach(left), reach(right)
    for _ in range(_TURNS):
        if at_left < at_right:
            high, right, at_right = right, left, at_left
            left = high - _GOLDEN * (high - low)
            at_left = reach(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + _GOLDEN * (high - low)
            at_right = reach(right)
    return min(at_left, at_right)


@cache
def _ratios() -> dict[int, float]:
    rows = load("circle_packing", ("count", "ratio"))
    return {int(row["count"]): float(row["ratio"]) for row in rows}
