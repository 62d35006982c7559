"""What to cut from which sheets: the flat patterns of a build, nested by material and thickness.

The one source of every sheet that is counted, drawn or bought. A quick layout follows every edit;
the full one, which never buys more, is made for the cut list, the shop and the pack.
"""

from collections.abc import Iterable, Sequence
from enum import StrEnum
from math import ceil

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import Cutting
from domain.build.records import Build
from domain.fabrication.materials.sheet_materials import (
    STOCK_TOLERANCE,
    Material,
    material,
    stock_sheet,
)
from domain.fabrication.materials.stock import (
    ROUGH_CUT_M,
    ROUTER_KERF_M,
    SAW_KERF_M,
    SheetSize,
    sheet_sizes,
)
from domain.fabrication.nesting.blanks import Blank, Nest, fits
from domain.fabrication.nesting.sheet_layout import Cancelled, Progress, nest
from domain.sheet import PartResult
from domain.units.show import format_quantity

MOST_QUICK = 150
"""With more blanks than this, a quick layout would not be quick: sheets are counted by area."""

MOST_BLANKS = 5000
"""More blanks of one sheet material are not laid out at all."""

_MOST_WORK = 5e7
"""Nor more than this many blanks times different ones."""

_MOST_KEPT = 64


class Layout(StrEnum):
    """How sheets were come by."""

    QUICK = "quick"
    FULL = "full"
    BY_AREA = "by area"


class SheetCount(Struct, frozen=True):
    """The sheets of one size, and their parts; ``waste`` is the fraction that is not blanks."""

    size: SheetSize
    count: int
    parts: tuple[str, ...]
    waste: float


class SheetCutList(Struct, frozen=True):
    """One material in one thickness. ``stock`` is the name of that thickness, ``None`` if odd.

    ``sizes`` are the sheets that were to be had, ``own`` those of the build. ``nest`` has no sheets
    where ``layout`` is by area: there were too many blanks to lay out.
    """

    material: str
    thickness_m: float
    stock: str | None
    blanks: tuple[Blank, ...]
    sizes: tuple[SheetSize, ...]
    own: bool
    straight_cuts: bool
    layout: Layout
    nest: Nest

    @property
    def grain_name(self) -> str:
        """What the direction is called that blanks may not be turned against; "" where none is."""
        sheet = material(self.material)
        if sheet is None or not any(blank.grain for blank in self.blanks):
            return ""
        return "rolling direction" if sheet.kind == "metal" else "grain"

    @property
    def can_be_laid(self) -> bool:
        """Whether so many blanks are laid out at all."""
        pieces = sum(blank.quantity for blank in self.blanks)
        return pieces <= MOST_BLANKS and pieces * len(self.blanks) <= _MOST_WORK

    @property
    def counts(self) -> tuple[SheetCount, ...]:
        """Sheets by size, smallest first; by area the least that could do, of the largest size."""
        if self.layout is Layout.BY_AREA:
            return self._by_area()
        found = []
        for size in self.sizes:
            sheets = [sheet for sheet in self.nest.sheets if sheet.size == size]
            if sheets:
                on = {placed.id for sheet in set(sheets) for placed in sheet.blanks}
                parts = tuple(blank.id for blank in self.blanks if blank.id in on)
                used = sum(sheet.used_m2 for sheet in sheets)
                waste = 1 - used / (len(sheets) * size.area_m2)
                found.append(SheetCount(size, len(sheets), parts, waste))
        return tuple(found)

    def _by_area(self) -> tuple[SheetCount, ...]:
        wanted = [blank for blank in self.blanks if blank not in self.nest.too_large]
        if not wanted:
            return ()
        area, size = sum(blank.area_m2 for blank in wanted), self.sizes[-1]
        count = ceil(area / size.area_m2 - 1e-9)
        parts = tuple(blank.id for blank in wanted)
        return (SheetCount(size, count, parts, 1 - area / (count * size.area_m2)),)


def cut_lists(
    build: Build,
    parts: Iterable[PartResult],
    *,
    quick: bool = False,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> tuple[SheetCutList, ...]:
    """Every sheet to cut for these parts, by material and thickness, in the parts' order.

    Sheets are those of ``build.stock`` that fit, else those sold for each material. Parts that
    have no flat pattern are left out; those of an unknown material, or larger than any sheet, are
    in their list's ``too_large``. ``progress`` and ``cancelled`` as in ``nest``. Never raises.
    """
    groups: dict[tuple[str, float], list[Blank]] = {}
    for part in parts:
        if part.flat_width_m > 0 and part.flat_length_m > 0:
            key = (part.material, round(part.thickness_m, 6))
            groups.setdefault(key, []).append(blank_of(build, part))
    header = build.header
    found = []
    for number, ((name, thickness_m), blanks) in enumerate(groups.items()):

        def report(done: int, total: int, number: int = number) -> None:
            if progress is not None:
                progress(number * 100 + done * 100 // total, len(groups) * 100)

        sheet = material(name)
        own = _own_sizes(build, name, sheet, thickness_m)
        sizes = own or (sheet_sizes(sheet, header.units) if sheet else ())
        kerf_m = kerf(build, [blank.id for blank in blanks])
        stock = stock_sheet(sheet, thickness_m) if sheet else None
        bare = SheetCutList(
            *(name, thickness_m, stock, tuple(blanks), sizes, bool(own)),
            *(header.cutting is Cutting.SAW, Layout.BY_AREA),
            Nest((), tuple(b for b in blanks if not any(fits(b, s) for s in sizes)), kerf_m),
        )
        found.append(_laid(bare, quick, report if progress else None, cancelled))
        report(1, 1)
    return tuple(found)


def blank_of(build: Build, part: PartResult) -> Blank:
    """What is cut out of the sheet for a part: its flat pattern and what a rough cut leaves.

    The steps, the layout, the cut list and the bill all go by it. Where the grain must lie across
    the pattern, the blank stands on its side.
    """
    more = 2 * rough_cut_m(build)
    width, length = part.flat_width_m + more, part.flat_length_m + more
    if part.grain == "width":
        width, length = length, width
    return Blank(part.id, width, length, part.quantity, bool(part.grain))


def rough_cut_m(build: Build) -> float:
    """What stands outside the line when a blank is cut out [m]: a router cuts on the line."""
    return ROUGH_CUT_M if build.header.cutting is Cutting.SAW else 0.0


def kerf(build: Build, parts: Sequence[str] = ()) -> float:
    """What is lost between two blanks [m]: as entered, else the saw's, or the widest router bit."""
    header = build.header
    if header.kerf_m is not None:
        return header.kerf_m
    if header.cutting is Cutting.SAW:
        return SAW_KERF_M
    bits = [p.cutter_m for p in build.parts if p.cutter_m is not None and p.id in parts]
    return max(bits, default=ROUTER_KERF_M)


def size_name(width_m: float, length_m: float, build: Build) -> str:
    """A size as the trade writes it: "24 x 48 in"."""
    units = build.header.units
    width = format_quantity("small_length", width_m, units)
    number, _, unit = width.partition(" ")
    length = format_quantity("small_length", length_m, units)
    return f"{number if length.endswith(unit) else width} x {length}"


def _own_sizes(
    build: Build, name: str, sheet: Material | None, thickness_m: float
) -> tuple[SheetSize, ...]:
    found = {}
    for own in build.stock:
        known = material(own.material)
        called = known.name if known else own.material.strip()
        if called and called.casefold() != (sheet.name if sheet else name).strip().casefold():
            continue
        if own.thickness_m and abs(own.thickness_m / thickness_m - 1) > STOCK_TOLERANCE:
            continue
        called = size_name(own.width_m, own.length_m, build)
        found[called] = SheetSize(called, own.width_m, own.length_m)
    return tuple(sorted(found.values(), key=lambda size: size.area_m2))


_Key = tuple[tuple[Blank, ...], tuple[SheetSize, ...], float, bool, bool]
_kept: dict[_Key, Nest] = {}
"""The last layouts, finished ones only: from edit to edit most blanks stay as they are."""


def _laid(
    bare: SheetCutList, quick: bool, progress: Progress | None, cancelled: Cancelled | None
) -> SheetCutList:
    """A list by area, with its layout where one can be made."""
    if not bare.can_be_laid or (quick and sum(b.quantity for b in bare.blanks) > MOST_QUICK):
        return bare
    asked = (bare.blanks, bare.sizes, bare.nest.kerf_m, bare.straight_cuts)
    key = (*asked, quick)
    laid = _kept.get(key)
    if laid is None:
        laid = nest(*asked, progress, cancelled, quick)
        if laid.finished:
            while len(_kept) >= _MOST_KEPT:
                _kept.pop(next(iter(_kept), key), None)
            _kept[key] = laid
        elif not laid.sheets:
            return bare
    return replace(bare, layout=Layout.QUICK if quick else Layout.FULL, nest=laid)
