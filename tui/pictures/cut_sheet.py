"""A sheet with its blanks, to scale, on its side: its length runs across the screen."""

from rich.cells import cell_len

from domain.build.records import Build
from domain.document.records import label
from domain.fabrication.nesting.blanks import CutSheet, Placed
from domain.units.show import format_quantity
from domain.visible_text import visible
from tui.pictures.raster import Point, Raster
from tui.widgets.cell_text import cut

LEAST_WIDTH, LEAST_HEIGHT = 20, 4
"""The smallest size at which a sheet can be read."""


def numbers(sheet: CutSheet) -> dict[str, int]:
    """The number of each part on a sheet, in the order in which they are laid."""
    found: dict[str, int] = {}
    for blank in sheet.blanks:
        found.setdefault(blank.id, len(found) + 1)
    return found


def sheet_picture(build: Build, sheet: CutSheet, width: int, height: int) -> list[str]:
    """The sheet in at most ``height`` lines of ``width`` cells, with its length and width.

    Waste is dotted and every blank outlined, with number, name and size if there is room.
    """
    size, units = sheet.size, build.header.units
    long, wide = (
        format_quantity("small_length", side, units) for side in (size.length_m, size.width_m)
    )
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        return [cut(f"{size.name}: no room to draw it", width)]
    raster = Raster(
        (0.0, 0.0, size.length_m, size.width_m), max(width - len(wide) - 2, 4), height - 1
    )
    raster.shade((0.0, 0.0, size.length_m, size.width_m))
    _box(raster, 0.0, 0.0, size.length_m, size.width_m)
    known = numbers(sheet)
    for blank in sheet.blanks:
        x, y = blank.y_m, blank.x_m
        raster.erase(_corners(x, y, x + blank.length_m, y + blank.width_m))
    for blank in sheet.blanks:
        _box(raster, blank.y_m, blank.x_m, blank.y_m + blank.length_m, blank.x_m + blank.width_m)
    for blank in sheet.blanks:
        _name(raster, build, blank, known[blank.id])
    lines = raster.text()
    middle = raster.rows // 2
    lines[middle] = f"{lines[middle]:<{raster.columns}} {wide}"
    return [*lines, cut(f"{long:^{raster.columns}}".rstrip() + "   dots: waste", width)]


def blank_lines(build: Build, sheet: CutSheet, width: int) -> list[str]:
    """One line for each part on the sheet: number, how many, size, name."""
    units = build.header.units
    lines = []
    for id, number in numbers(sheet).items():
        own = [blank for blank in sheet.blanks if blank.id == id]
        turned = sum(blank.turned for blank in own)
        side = (own[0].length_m, own[0].width_m)
        sides = side if own[0].turned else side[::-1]
        size = " x ".join(format_quantity("small_length", s, units) for s in sides)
        way = "" if not turned else ", turned" if turned == len(own) else f", {turned} turned"
        text = f" {number:>2}  {len(own)} x {visible(label(build, id))}: {size}{way}"
        lines.append(cut(text, width))
    return lines


def _box(raster: Raster, x0: float, y0: float, x1: float, y1: float) -> None:
    raster.lines(_corners(x0, y0, x1, y1), closed=True)


def _corners(x0: float, y0: float, x1: float, y1: float) -> list[Point]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _name(raster: Raster, build: Build, blank: Placed, number: int) -> None:
    """The longest of name, number and nothing that fits in the blank, with its size below."""
    left, low = raster.place((blank.y_m, blank.x_m))
    right, high = raster.place((blank.y_m + blank.length_m, blank.x_m + blank.width_m))
    columns, rows = (right - left) // 2 - 2, (high - low) // 4 - 1
    if rows < 1:
        return
    x, y = blank.y_m + blank.length_m / 2, blank.x_m + blank.width_m / 2
    name = visible(label(build, blank.id))
    units = build.header.units
    sides = (blank.length_m, blank.width_m) if blank.turned else (blank.width_m, blank.length_m)
    size = " x ".join(format_quantity("small_length", side, units) for side in sides)
    two = rows >= 2 and len(size) <= columns
    step = 2 / raster.per_unit if two else 0.0
    for text in (f"{number} {name}", str(number)):
        if cell_len(text) <= columns and cell_len(text) == len(text):
            raster.word((x, y + step), text, middle=True)
            if two:
                raster.word((x, y - step), size, middle=True)
            return
