"""Legendre polynomials on [-1, 1]: values, slopes and curvatures, and their exact integrals.

They are what a plate's deflection is made of (``domain.fabrication.strength.plate_energy``). numpy
is loaded when the first plate is worked out, not before; its own polynomials, which are another
MB of memory, are not.

Source: Abramowitz and Stegun, chapters 22 and 25: Bonnet's recursion (22.7.10), the rule's weights
(25.4.29); from memory. Its places are the eigenvalues of Golub and Welsch's matrix (1969), from
memory.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]


@lru_cache(maxsize=16)
def integrals(n: int) -> tuple[Array, Array, Array, Array]:
    """The n by n matrices of PP, P'P', P''P'' and P''P, each integrated from -1 to 1; exact."""
    import numpy as np

    first, second = _derivatives(n)
    whole = np.diag(2.0 / (2.0 * np.arange(n) + 1.0))
    return whole, first.T @ whole @ first, second.T @ whole @ second, second.T @ whole


def values(n: int, at: Sequence[float] | Array) -> tuple[Array, Array, Array]:
    """P, P' and P'' of degrees 0 to n - 1 at places from -1 to 1, a row a place."""
    import numpy as np

    powers = np.vander(np.asarray(at, dtype=float), n, increasing=True)
    plain, first, second = (powers @ each for each in _coefficients(n))
    return plain, first, second


@lru_cache(maxsize=16)
def forms(n: int) -> tuple[Array, ...]:
    """What a plate's energy and mass are made of, for the products P_i(x) P_j(y): n2 by n2 each.

    Bending by x, by y, both together, twisting, and mass.
    """
    g0, g1, g2, mixed = integrals(n)
    both = _products(mixed, mixed.T) + _products(mixed.T, mixed)
    bent = _products(g2, g0), _products(g0, g2)
    return *bent, both, _products(g1, g1), _products(g0, g0)


def _products(by_x: Array, by_y: Array) -> Array:
    """Every product of the two matrices' entries, as Kronecker orders them."""
    both = by_x[:, None, :, None] * by_y[None, :, None, :]
    return both.reshape(len(by_x) * len(by_y), -1)


@lru_cache(maxsize=16)
def gauss(n: int) -> tuple[Array, Array]:
    """Places and weights of Gauss and Legendre's rule with n points; the weights add up to 2."""
    import numpy as np

    steps = np.arange(1, n)
    beside = steps / np.sqrt(4.0 * steps**2 - 1.0)
    places = np.linalg.eigvalsh(np.diag(beside, 1) + np.diag(beside, -1))
    value, slope = _last(n, places)
    places = places - value / slope  # one step of Newton's takes what the eigenvalues leave
    places = (places - places[::-1]) / 2.0
    weights = 2.0 / ((1.0 - places**2) * _last(n, places)[1] ** 2)
    return places, weights * 2.0 / weights.sum()


def _last(n: int, at: Array) -> tuple[Array, Array]:
    """P_n and its slope, by Bonnet's recursion."""
    import numpy as np

    before, value = np.zeros_like(at), np.ones_like(at)
    for degree in range(n):
        before, value = value, ((2 * degree + 1) * at * value - degree * before) / (degree + 1)
    return value, n * (before - at * value) / (1.0 - at**2)


@lru_cache(maxsize=16)
def _coefficients(n: int) -> tuple[Array, Array, Array]:
    """Column j holds the coefficients of P_j by powers of x, then of P'_j and P''_j."""
    import numpy as np

    plain = np.eye(n)
    for degree in range(1, n - 1):  # Bonnet's recursion
        plain[1:, degree + 1] = (2 * degree + 1) * plain[:-1, degree]
        plain[:, degree + 1] -= degree * plain[:, degree - 1]
        plain[:, degree + 1] /= degree + 1
    first, second = _derivatives(n)
    return plain, plain @ first, plain @ second


@lru_cache(maxsize=16)
def _derivatives(n: int) -> tuple[Array, Array]:
    """Column j holds the derivative of P_j, and its second, as sums of the polynomials."""
    import numpy as np

    first = np.zeros((n, n))
    for degree in range(1, n):
        lower = np.arange(degree - 1, -1, -2)
        first[lower, degree] = 2 * lower + 1
    return first, first @ first
