"""Which way the grain or the rolling direction of the sheet runs in a flat pattern."""

from domain.fabrication.materials.sheet_materials import Material
from domain.fabrication.shape.flat_pattern import BendLine, Flat

ALONG, ACROSS = "length", "width"
"""Along the flat pattern's length, or along its width."""


def grain_of(sheet: Material | None, flat: Flat) -> str:
    """``ALONG``, ``ACROSS``, or "" where the blank may be turned.

    Plywood: the face grain along the longer side, which is stiffer and is what is marked out.
    Metal: across the bends, because a bend along the rolling direction cracks sooner; where a part
    bends both ways, across the greater length of bend. Common practice.
    """
    if sheet is None:
        return ""
    if sheet.stock == "plywood":
        return ALONG if flat.height_m >= flat.width_m else ACROSS
    if sheet.kind != "metal" or not flat.bends:
        return ""
    lying = sum(_length(bend) for bend in flat.bends if _lies(bend))
    standing = sum(_length(bend) for bend in flat.bends if not _lies(bend))
    return ALONG if lying >= standing else ACROSS


def bends_both_ways(flat: Flat) -> bool:
    """Whether a pattern has bends along and across, so that some must lie along the rolling."""
    return len({_lies(bend) for bend in flat.bends}) > 1


def _lies(bend: BendLine) -> bool:
    """Whether a bend line runs across the pattern, along its width."""
    return abs(bend.x1 - bend.x0) >= abs(bend.y1 - bend.y0)


def _length(bend: BendLine) -> float:
    return abs(bend.x1 - bend.x0) + abs(bend.y1 - bend.y0)
