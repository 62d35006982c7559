"""The sheets to cut, in words: what each material comes to, where every blank lies."""

from msgspec import Struct

from domain.fabrication.nesting.blanks import CutSheet, Placed, alike
from domain.fabrication.nesting.cut_sheets import Layout, SheetCutList, rough_cut_m
from domain.topics.tables import TEXT, Column, Subject, Table
from domain.units.show import format_size


def heading(subject: Subject, each: SheetCutList) -> str:
    """The material, and which sheets of it."""
    thick = each.stock or subject.show("small_length", each.thickness_m)
    counts = ", ".join(f"{n.count} of {n.size.name}" for n in each.counts) or "no sheet"
    if each.layout is Layout.BY_AREA and each.counts:
        pieces = sum(blank.quantity for blank in each.blanks)
        counts += f" at least, by area: {pieces} blanks are not laid out"
    return f"{each.material}, {thick}: {counts}"


def how_cut(subject: Subject, each: SheetCutList) -> list[str]:
    """How the sheets of one material are cut, and what goes on none of them, in phrases."""
    told = []
    if each.nest.sheets:
        way = "saw, straight cuts right across" if each.straight_cuts else "router"
        kerf = subject.show("small_length", each.nest.kerf_m)
        waste = subject.show("share", each.nest.waste)
        told.append(f"Cut by {way}, kerf {kerf}; {waste} is waste")
    if each.grain_name:
        told.append(f"The {each.grain_name} runs along the sheet's length: turn no blank")
    rough_m = rough_cut_m(subject.build)
    if rough_m and each.nest.sheets:
        left = subject.show("small_length", rough_m)
        told.append(f"Blanks are {left} larger all round than their parts, for the rough cut")
    units = subject.build.header.units
    for blank in each.nest.too_large:
        size = format_size("small_length", (blank.width_m, blank.length_m), units)
        on = "no sheet size of this material is known"
        if each.sizes:
            on = f"goes on no sheet {'in stock' if each.own else 'that is sold'}"
        told.append(f"TOO LARGE: {subject.name(blank.id)}, {size}: {on}")
    return told


def layout_title(number: int, of: int, sheet: CutSheet, times: int) -> str:
    """Which layout it is, and how many sheets are cut so."""
    many = f", {times} sheets alike" if times > 1 else ""
    return f"Layout {number} of {of}: {sheet.size.name}{many}"


class BlankRow(Struct, frozen=True):
    """A blank on the layout of this number; x runs across the sheet, y along it."""

    layout: int
    blank: Placed


def blank_rows(each: SheetCutList) -> list[BlankRow]:
    """Every blank on every layout; sheets that are cut alike stand once."""
    return [
        BlankRow(number, blank)
        for number, (sheet, _) in enumerate(alike(each.nest.sheets), 1)
        for blank in sheet.blanks
    ]


BLANKS: Table[BlankRow] = Table(
    rows=lambda s: (),
    columns=(
        Column("layout", "Layout", "count", lambda s, r: r.layout),
        Column("name", "Blank", TEXT, lambda s, r: s.name(r.blank.id)),
        Column("x", "x", "small_length", lambda s, r: r.blank.x_m),
        Column("y", "y", "small_length", lambda s, r: r.blank.y_m),
        Column("width", "Width", "small_length", lambda s, r: r.blank.width_m),
        Column("length", "Length", "small_length", lambda s, r: r.blank.length_m),
        Column("turned", "Turned", TEXT, lambda s, r: "yes" if r.blank.turned else "no"),
    ),
)
