"""Blanks, the sheets that they are cut from, and what a layout comes to."""

from collections.abc import Iterable

from msgspec import Struct

from domain.fabrication.materials.stock import SheetSize

FIT_M = 1e-7
"""A blank this much [m] larger than the space still goes in: typed inches leave such crumbs."""


class Blank(Struct, frozen=True):
    """A rectangle to cut ``quantity`` times [m].

    ``grain``: its length must lie along the sheet's length, so that it is not turned.
    """

    id: str
    width_m: float
    length_m: float
    quantity: int = 1
    grain: bool = False

    @property
    def area_m2(self) -> float:
        """Area of all of them [m2]."""
        return self.width_m * self.length_m * self.quantity


class Placed(Struct, frozen=True):
    """One blank on a sheet [m], from the sheet's lower left corner; ``turned`` by 90 degrees."""

    id: str
    x_m: float
    y_m: float
    width_m: float
    length_m: float
    turned: bool


class CutSheet(Struct, frozen=True):
    """One sheet and what is cut from it."""

    size: SheetSize
    blanks: tuple[Placed, ...]

    @property
    def used_m2(self) -> float:
        """Area of its blanks [m2]."""
        return sum(blank.width_m * blank.length_m for blank in self.blanks)

    @property
    def waste(self) -> float:
        """Fraction of it that is not blanks, 0 to 1."""
        return 1 - self.used_m2 / self.size.area_m2


class Nest(Struct, frozen=True):
    """The sheets to buy and cut.

    ``too_large`` are blanks that go on no sheet. ``finished`` is ``False`` where it was broken off:
    then the layout is whole and valid, but fewer tries were made, or there is none yet. ``least``:
    no layout can buy less.
    """

    sheets: tuple[CutSheet, ...]
    too_large: tuple[Blank, ...]
    kerf_m: float
    finished: bool = True
    least: bool = False

    @property
    def bought_m2(self) -> float:
        """Area of the sheets [m2]."""
        return sum(sheet.size.area_m2 for sheet in self.sheets)

    @property
    def used_m2(self) -> float:
        """Area of the blanks on them [m2]."""
        return sum(sheet.used_m2 for sheet in self.sheets)

    @property
    def waste(self) -> float:
        """Fraction of the sheet bought that is not blanks, 0 to 1; 0 without sheets."""
        return 1 - self.used_m2 / self.bought_m2 if self.sheets else 0.0


def fits(blank: Blank, size: SheetSize) -> bool:
    """Whether a blank goes on a sheet of this size, turned where it may be."""
    w, h = blank.width_m - FIT_M, blank.length_m - FIT_M
    straight = w <= size.width_m and h <= size.length_m
    return straight or (not blank.grain and h <= size.width_m and w <= size.length_m)


def alike(sheets: Iterable[CutSheet]) -> list[tuple[CutSheet, int]]:
    """The different layouts in their order, each with the number of sheets that are cut so."""
    counts: dict[CutSheet, int] = {}
    for sheet in sheets:
        counts[sheet] = counts.get(sheet, 0) + 1
    return list(counts.items())
