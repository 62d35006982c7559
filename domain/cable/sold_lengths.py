"""The lengths in which wire, loom and heat-shrink are sold."""

from math import ceil

from domain.units.habit import UnitHabit

SOLD_BY_M = {UnitHabit.INCH: 0.3048, UnitHabit.METRIC: 0.5}
"""Wire, loom and heat-shrink are sold by the foot or by the half metre [m]. Common practice."""


def round_up(needed: float, step: float) -> float:
    """The least whole number of steps that covers ``needed``, in the same unit."""
    return round(ceil(needed / step - 1e-9) * step, 9)
