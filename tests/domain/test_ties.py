"""What is told of a plan does not hang on the order in which figures were added up."""

from itertools import permutations
from math import fsum, inf

import pytest

from domain.ties import first_most, more


def test_sums_in_another_order_are_no_more() -> None:
    parts = (35.3, 0.1, 84.6, 1e-3)  # binary fractions of none: sums differ in their last bits
    sums = {sum(each) for each in permutations(parts)}
    assert len(sums) > 1
    assert not any(more(one, other) for one in sums for other in sums)
    assert more(fsum(parts) * (1 + 1e-6), fsum(parts))


def test_what_is_without_limit_is_more_than_any_figure_but_not_than_itself() -> None:
    assert more(inf, 1e300)
    assert not more(inf, inf)
    assert not more(1e300, inf)
    assert more(1e-12, 0.0)
    assert not more(0.0, 0.0)


def test_the_first_of_equals_is_told() -> None:
    found = {"a": 1.0, "b": 3.0, "c": 3.0 + 1e-14, "d": 2.0}
    assert first_most(found, found.__getitem__) == "b"
    assert first_most(reversed(found), found.__getitem__) == "c"
    assert first_most({"e": 5.0}, lambda _: 0.0) == "e"


def test_of_none_there_is_no_most() -> None:
    with pytest.raises(ValueError, match="of none"):
        first_most([], float)
