"""The sheets to cut as lines of text: every blank with its place, size and way."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from domain.build.records import Build, label
from domain.topics.shower import Show
from tui.report.plain import Column, table, wrap

if TYPE_CHECKING:
    from domain.fabrication.nesting.cut_sheets import SheetCutList

_COLUMNS = (
    Column("Layout", 6, True),
    Column("Blank", 30),
    Column("x", 9, True),
    Column("y", 9, True),
    Column("Width", 9, True),
    Column("Length", 9, True),
    Column("Turned", 6),
)


def sheets_lines(build: Build, lists: "Sequence[SheetCutList]", show: Show) -> list[str]:
    """Every material with its sheets and a table of blanks; x runs across the sheet, y along it.

    Sheets that are cut alike stand once.
    """
    lines: list[str] = []
    for number, each in enumerate(lists):
        lines += [""] * (number > 0)
        lines += [line for text in sheet_words(build, each, show) for line in wrap(text, "", "  ")]
        lines += _layouts(build, each, show)
    return lines


def sheet_words(build: Build, each: "SheetCutList", show: Show) -> list[str]:
    """What the sheets of one material come to, in sentences."""
    from domain.fabrication.nesting.cut_sheets import GRAINED, Layout

    thick = each.stock or show("small_length", each.thickness_m)
    counts = ", ".join(f"{n.count} of {n.size.name}" for n in each.counts) or "no sheet"
    told = [f"{each.material}, {thick}: {counts}"]
    if each.layout is Layout.BY_AREA and each.counts:
        pieces = sum(blank.quantity for blank in each.blanks)
        told = [f"{told[0]} at least, by area: {pieces} blanks are not laid out"]
    if each.nest.sheets:
        way = "saw, straight cuts right across" if each.straight_cuts else "router"
        kerf = show("small_length", each.nest.kerf_m)
        told.append(f"{show('share', each.nest.waste)} waste; {way}, kerf {kerf}")
    if each.material in GRAINED:
        told.append("the grain runs along the sheet's length: no blank is turned")
    for blank in each.nest.too_large:
        size = f"{show('small_length', blank.width_m)} x {show('small_length', blank.length_m)}"
        on = "no sheet size of this material is known"
        if each.sizes:
            on = f"goes on no sheet {'at hand' if each.own else 'that is sold'}"
        told.append(f"TOO LARGE: {label(build, blank.id)}, {size}: {on}")
    return told


def _layouts(build: Build, each: "SheetCutList", show: Show) -> list[str]:
    from domain.fabrication.nesting.blanks import alike

    layouts = alike(each.nest.sheets)
    rows = []
    lines = []
    for number, (sheet, times) in enumerate(layouts, 1):
        same = f", {times} sheets" if times > 1 else ""
        waste = f"{show('share', sheet.waste)} waste"
        lines += wrap(f"Layout {number}: {sheet.size.name}{same}, {waste}", "  ")
        rows += [
            (
                str(number),
                label(build, blank.id),
                *(show("small_length", value) for value in (blank.x_m, blank.y_m)),
                *(show("small_length", value) for value in (blank.width_m, blank.length_m)),
                "yes" if blank.turned else "no",
            )
            for blank in sheet.blanks
        ]
    return lines + [f"  {line}" for line in table(_COLUMNS, rows)] if rows else lines
