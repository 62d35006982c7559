"""How thick a bundle is, against published packings, a theorem, and packings found by scipy."""

from math import inf, pi, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import minimize

from domain.cable.bundles import MOST_LAID, bundle_size, ratio
from domain.reference.csv_tables import load

# Exact ratios, S. Kravitz, Mathematics Magazine 40 (1967); the proofs for 5 to 13 are by Graham,
# Pirl, Melissen and Fodor (encyclopedia article on circle packing in a circle). 10: OEIS A281115.
EXACT = {
    1: 1.0,
    2: 2.0,
    3: 1 + 2 / sqrt(3),
    4: 1 + sqrt(2),
    5: 1 + sqrt(2 * (1 + 1 / sqrt(5))),
    6: 3.0,
    7: 3.0,
    8: 1 + 1 / sin(pi / 7),
    9: 1 + sqrt(2 * (2 + sqrt(2))),
    10: 3.81302563,
    11: 1 + 1 / sin(pi / 9),
    13: 2 + sqrt(5),
    15: 1 + sqrt(6 + 2 / sqrt(5) + 4 * sqrt(1 + 2 / sqrt(5))),
    19: 1 + sqrt(2) + sqrt(6),
}

# Best known circles round circles of diameters 1, 2 ... n, over 1: a packing contest's results,
# from memory.
STEPPED = {3: 5.0, 4: 7.0, 5: 9.001398, 6: 11.057040, 7: 13.462111, 8: 16.221747, 10: 22.000193}

CABLES = tuple(
    float(row["outside_diameter_mm"])
    for row in load("cable_od", ("gauge", "area_mm2", "outside_diameter_mm"))
)


def packed(diameters: tuple[float, ...], starts: int = 40) -> float:
    """The smallest circle that sequential quadratic programming finds, from random starts."""
    radii: NDArray[np.float64] = np.array(diameters) / 2
    n = len(radii)
    first, second = np.triu_indices(n, 1)
    touch = (radii[first] + radii[second]) ** 2
    limits = (
        {
            "type": "ineq",
            "fun": lambda v: (
                (v[first] - v[second]) ** 2 + (v[n + first] - v[n + second]) ** 2 - touch
            ),
        },
        {"type": "ineq", "fun": lambda v: (v[-1] - radii) ** 2 - v[:n] ** 2 - v[n:-1] ** 2},
        {"type": "ineq", "fun": lambda v: v[-1] - radii.max()},
    )
    random = np.random.default_rng(1)
    span, best = float(radii.sum()), inf
    for _ in range(starts):
        start = np.r_[random.uniform(-0.6 * span, 0.6 * span, 2 * n), 1.5 * span]
        found = minimize(lambda v: v[-1], start, constraints=limits, method="SLSQP")
        if found.success and min(limit["fun"](found.x).min() for limit in limits) > -1e-6:  # type: ignore[operator]
            best = min(best, 2 * float(found.fun))
    return best


@pytest.mark.parametrize("count", sorted(EXACT))
def test_the_table_holds_the_exact_ratios_rounded_up(count: int) -> None:
    listed = ratio(count)
    assert listed is not None
    assert EXACT[count] - 1e-9 <= listed < EXACT[count] + 1e-4


def test_the_table_is_whole_and_rises() -> None:
    listed = [ratio(count) or inf for count in range(1, 21)]
    assert listed == sorted(listed)
    assert ratio(21) is None
    # No packing of equal circles is denser than the hexagonal one, pi / sqrt(12).
    assert all(n / k**2 < pi / sqrt(12) for n, k in enumerate(listed, 1) if n > 1)


@pytest.mark.parametrize("count", range(1, 11))
def test_equal_cables_are_as_thick_as_published(count: int) -> None:
    assert bundle_size((4.5,) * count).diameter == pytest.approx(
        4.5 * (ratio(count) or 0), rel=1e-4
    )


@pytest.mark.parametrize("count", range(2, 8))
def test_the_search_by_scipy_finds_the_published_packings(count: int) -> None:
    # the two outside checks against each other, so that the search can be trusted below
    assert packed((1.0,) * count, 20) == pytest.approx(EXACT[count], rel=1e-4)


@pytest.mark.parametrize(
    "diameters",
    [
        (14.0, 4.5, 4.5, 4.5),
        (14.0, 9.3, 6.0, 6.0),
        (11.3, 9.3, 9.3, 4.5, 3.5),
        (14.0, 11.3, 9.3, 9.3, 6.0),
        (9.3, 7.5, 7.5, 7.5, 6.0, 6.0),
        (14.0, 9.3, 7.5, 6.0, 3.5, 3.5),
    ],
)
def test_mixed_cables_against_the_closest_packing_that_scipy_finds(
    diameters: tuple[float, ...],
) -> None:
    closest = packed(diameters)
    ours = bundle_size(diameters).diameter
    assert closest * (1 - 1e-4) <= ours <= closest * 1.1


@pytest.mark.parametrize("count", sorted(STEPPED))
def test_cables_that_grow_by_steps_against_the_best_known_packings(count: int) -> None:
    ours = bundle_size(tuple(map(float, range(1, count + 1)))).diameter
    assert STEPPED[count] * (1 - 1e-5) <= ours <= STEPPED[count] * 1.1


@given(*(st.floats(1, 30) for _ in range(3)))
def test_three_cables_by_the_theorem_of_descartes(a: float, b: float, c: float) -> None:
    # Curvatures of circles that touch, k = 1 / r: the circle round three of them has
    # k = 2 sqrt(k1 k2 + k2 k3 + k3 k1) - (k1 + k2 + k3). The gap beside two of them in the circle
    # round both takes a third of k = k1 + k2 - 1 / (r1 + r2), the same theorem with a root of 0.
    third, second, first = sorted((a, b, c))
    k1, k2, k3 = 2 / first, 2 / second, 2 / third
    if k3 >= k1 + k2 - 2 / (first + second):
        expected = first + second
    else:
        expected = 2 / (2 * sqrt(k1 * k2 + k2 * k3 + k3 * k1) - (k1 + k2 + k3))
    assert bundle_size((a, b, c)).diameter == pytest.approx(expected, rel=2e-4)


@settings(max_examples=150)
@given(st.lists(st.sampled_from(CABLES), min_size=1, max_size=9))
def test_no_circle_is_too_small_and_none_looser_than_the_theorem(cables: list[float]) -> None:
    ours = bundle_size(tuple(cables)).diameter
    squares = sum(d * d for d in cables)
    # lower bounds: the two thickest side by side; no packing in a circle fills all of it
    assert ours >= sum(sorted(cables)[-2:]) * (1 - 1e-9)
    assert ours**2 >= squares
    # upper bound: Fekete, Keldenich, Scheffer (2019), half of the area is always enough
    assert ours <= sqrt(2 * squares) * (1 + 1e-9)
    # the order in which they are named does not matter, nor the unit
    assert bundle_size(tuple(reversed(cables))).diameter == ours
    scaled = bundle_size(tuple(d / 25.4 for d in cables)).diameter
    assert scaled * 25.4 == pytest.approx(ours, rel=1e-3)


def test_the_rule_of_thumb_of_the_trade_is_too_thin_for_few_cables() -> None:
    # Common practice, 1.2 sqrt(sum d^2): right for many cables, and no circle goes round two.
    for count in range(2, 5):
        assert 1.2 * sqrt(count) < EXACT[count]
    for count in (7, 10, 13, 19):
        assert 1.2 * sqrt(count) == pytest.approx(EXACT[count], rel=0.08)


def test_more_cables_than_are_laid_still_have_a_circle() -> None:
    many = bundle_size((4.5, 3.5) * 12)
    assert many.laid == inf
    assert many.diameter == pytest.approx(sqrt(2 * 12 * (4.5**2 + 3.5**2)))
    assert bundle_size((3.0,) * (MOST_LAID + 1)).diameter == pytest.approx(3 * (ratio(13) or 0))
