"""What shows a quantity in a build's own units: the one way from a figure to its text."""

from collections.abc import Callable

from domain.build.records import Build
from domain.units.show import format_quantity

Show = Callable[[str, float | None], str]
"""Shows one quantity, given its kind and its value in the kind's base unit."""


def shower(build: Build) -> Show:
    """What shows a quantity of some kind in a build's units, "-" where there is none."""
    units = build.header.units

    def show(kind: str, value: float | None) -> str:
        return format_quantity(kind, value, units)

    return show
