"""Plates solved leaf by leaf against the whole matrix at once (second method)."""

import numpy as np
import pytest

from domain.fabrication.strength.legendre import gauss, values
from domain.fabrication.strength.plate_tree import PlateTree


@pytest.mark.parametrize(
    "joints",
    [(), ((0, 1),), ((0, 1), (1, 2), (2, 3)), ((0, 1), (0, 2), (2, 3), (2, 4)), ((2, 0), (0, 1))],
)
def test_leaf_by_leaf_is_all_at_once(joints: tuple[tuple[int, int], ...]) -> None:
    random, each = np.random.default_rng(len(joints)), 4
    plates = 1 + max((max(pair) for pair in joints), default=0)
    rows = random.normal(size=(plates * each, plates * each))
    stiffness = np.zeros_like(rows)
    for number in range(plates):
        here = slice(number * each, number * each + each)
        stiffness[here, here] += rows[here, here].T @ rows[here, here] + np.eye(each)
    for parent, child in joints:
        both = np.r_[parent * each : parent * each + each, child * each : child * each + each]
        spring = random.normal(size=(3, 2 * each))
        stiffness[np.ix_(both, both)] += spring.T @ spring * 1e4
    load = random.normal(size=(plates * each, 3))
    found = PlateTree(stiffness, each, plates, joints).solve(load)
    assert np.allclose(found, np.linalg.solve(stiffness, load), rtol=1e-7, atol=1e-9)


def test_polynomials_are_legendres() -> None:
    # second method: numpy's own evaluation by Clenshaw's recursion
    at = np.linspace(-1, 1, 11)
    for n in (1, 2, 7, 9, 12):
        found = values(n, at)
        for degree in range(n):
            own = np.polynomial.Legendre.basis(degree)
            for order, columns in enumerate(found):
                expected = own.deriv(order)(at) if order else own(at)
                assert np.allclose(columns[:, degree], expected, atol=1e-8 * (1 + degree**4))


def test_places_and_weights_are_gauss_and_legendres() -> None:
    # second method: numpy's own rule
    for n in (1, 2, 3, 8, 13, 24):
        places, weights = gauss(n)
        own_places, own_weights = np.polynomial.legendre.leggauss(n)
        assert np.allclose(places, own_places, rtol=0, atol=1e-14)
        assert np.allclose(weights, own_weights, rtol=0, atol=1e-14)
