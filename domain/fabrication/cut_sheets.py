"""What to cut from which sheets: the flat patterns of a build, nested by material and thickness."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from domain.choices import UnitHabit
from domain.fabrication.materials import material, stock_sheet
from domain.fabrication.nesting import Blank, Cancelled, Nest, Progress, nest
from domain.fabrication.stock import SAW_KERF_M, SheetSize, sheet_sizes
from domain.sheet import PartResult

GRAINED = ("birch plywood",)
"""Materials whose blanks keep their length along the sheet's."""


@dataclass(frozen=True, slots=True)
class CutList:
    """One material in one thickness. ``stock`` is the name of that thickness, ``None`` if odd."""

    material: str
    thickness_m: float
    stock: str | None
    nest: Nest


def cut_lists(
    parts: Iterable[PartResult],
    units: UnitHabit,
    kerf_m: float = SAW_KERF_M,
    straight_cuts: bool = True,
    sizes: Sequence[SheetSize] | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> tuple[CutList, ...]:
    """Every sheet to cut for these parts, by material and thickness, in the parts' order.

    ``sizes`` are the sheets at hand, else those sold for each material. Parts that have no flat
    pattern are left out; those of an unknown material, or larger than any sheet, are in their
    list's ``too_large``. ``progress`` and ``cancelled`` as in ``nest``. Never raises.
    """
    groups: dict[tuple[str, float], list[Blank]] = {}
    for part in parts:
        if part.flat_width_m > 0 and part.flat_length_m > 0:
            key = (part.material, round(part.thickness_m, 6))
            grain = part.material in GRAINED
            groups.setdefault(key, []).append(
                Blank(part.id, part.flat_width_m, part.flat_length_m, part.quantity, grain)
            )
    found = []
    for number, ((name, thickness_m), blanks) in enumerate(groups.items()):
        sheet = material(name)
        sold = sizes if sizes is not None else (sheet_sizes(sheet, units) if sheet else ())

        def report(done: int, total: int, number: int = number) -> None:
            if progress is not None:
                progress(number * 100 + done * 100 // total, len(groups) * 100)

        laid = nest(blanks, sold, kerf_m, straight_cuts, report, cancelled)
        stock = stock_sheet(sheet, thickness_m) if sheet else None
        found.append(CutList(name, thickness_m, stock, laid))
    return tuple(found)
