"""Which of several is the most, where some are equal but for rounding: the first of those.

Else what is told of a plan would hang on the order in which figures were added up.
"""

from collections.abc import Callable, Iterable
from typing import TypeVar

Each = TypeVar("Each")

SAME = 1e-9
"""Two figures are one up to this share of them."""


def more(value: float, than: float) -> bool:
    """Whether a value is more than another (not minus infinite), and not by rounding alone."""
    return value > than + SAME * abs(than)


def first_most(found: Iterable[Each], by: Callable[[Each], float]) -> Each:
    """The first of those that have the most; raises ``ValueError`` where there is none."""
    each = iter(found)
    try:
        best = next(each)
    except StopIteration:
        raise ValueError("the most of none") from None
    most = by(best)
    for other in each:
        value = by(other)
        if more(value, most):
            best, most = other, value
    return best
