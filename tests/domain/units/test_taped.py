"""Lengths as a tape shows them: fractions of an inch beside decimals."""

import pytest

from domain.build.choices import UnitHabit
from domain.units.show import format_taped

INCH_M = 0.0254


@pytest.mark.parametrize(
    ("inches", "shown"),
    [
        # arithmetic: to the nearest 32nd, in lowest terms
        ((7.25, 11.25), "7.25 in x 11.25 in (7 1/4 x 11 1/4)"),
        ((5.187,), "5.187 in (5 3/16)"),
        ((0.188,), "0.188 in (3/16)"),
        ((2.96875, 3.0), "2.969 in x 3 in (2 31/32 x 3)"),
        ((4.0, 6.0), "4 in x 6 in"),
        ((3.999,), "3.999 in (4)"),
    ],
)
def test_inches(inches: tuple[float, ...], shown: str) -> None:
    assert format_taped(tuple(i * INCH_M for i in inches), UnitHabit.INCH) == shown


def test_millimetres_stand_alone() -> None:
    assert format_taped((0.1234, 0.02), UnitHabit.METRIC) == "123.4 mm x 20 mm"
