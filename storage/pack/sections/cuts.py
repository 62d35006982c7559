"""The cut list of wire and of sheet: every piece, and what it is cut from."""

from collections.abc import Iterator
from functools import partial

from domain.cable.cut_list import OFF_THE_ROLL, CutGroup, CutLength
from domain.cable.pieces import WireEnd
from domain.fabrication.nesting.blanks import CutSheet, alike
from domain.fabrication.nesting.cut_sheets import GRAINED, Layout
from storage.pack.fonts import width_mm
from storage.pack.ink import HOLE, THIN, Ink
from storage.pack.pack_context import Pack
from storage.pack.paper import LEFT, SMALL, TICK, Column, Group, Paper, Row

_PICTURE = 62.0
"""Greatest height of the picture of a sheet [mm]."""

_MOST_SHEETS = 60
"""Most layouts of one material that are drawn."""

_COLUMNS = (
    Column("Cut", 9),
    Column("Length", 26, 1, bold=True),
    Column("Label", most=5),
    Column("Near end", 46, most=4),
    Column("Far end", 46, most=4),
)


def cuts(pack: Pack, paper: Paper) -> None:
    """Wire by kind and gauge, then sheet by material and thickness."""
    if pack.cuts.assumed:
        paper.words(
            f"STOP: measure first, these lengths are assumed: {pack.names(pack.cuts.assumed, 20)}.",
            bold=True,
        )
    rows = [row for group in pack.cuts.groups for row in _wire(pack, group)]
    paper.table(_COLUMNS, rows, "No wire to cut.")
    _sheets(pack, paper)


def _wire(pack: Pack, group: CutGroup) -> Iterator[Row | Group]:
    show = pack.show
    yield Group(f"{group.item}, {group.size}: {show('length', group.needed_m)} together")
    for piece in group.pieces:
        length = show("length", piece.cut_m) + ("?" if piece.assumed else "")
        yield Row((TICK, length, piece.label, _end(piece.near), _end(piece.far)))
    # That one piece comes off the roll goes without saying.
    notes = [
        _length(pack, length)
        for length in group.lengths
        if length.name != OFF_THE_ROLL or len(length.pieces) > 1
    ]
    notes += [f"{p.label}: no length in the shop is long enough." for p in group.too_long]
    if not group.exact:
        share = show("share", group.least_share)
        notes.append(f"At least {share} of this cost is needed whatever the order of cutting.")
    yield from (Row(below=note) for note in notes)


def _length(pack: Pack, length: CutLength) -> str:
    cut = ", ".join(pack.show("length", piece.cut_m) for piece in length.pieces)
    whole = pack.show("length", length.length_m)
    left = pack.show("length", length.offcut_m)
    if length.name == OFF_THE_ROLL:
        return f"{whole} off the roll: cut {cut}; {left} is left."
    at_hand = ", at hand" if length.at_hand else ""
    return f"{length.name} of {whole}{at_hand}: cut {cut}; {left} is left."


def _end(end: WireEnd) -> str:
    on = end.termination.value if end.termination else "open"
    return f"{end.place}: {on}{f' {end.stud}' if end.stud and on == 'ring terminal' else ''}"


def _sheets(pack: Pack, paper: Paper) -> None:
    for each in pack.sheets:
        thick = pack.show("small_length", each.thickness_m)
        layouts = alike(each.nest.sheets)
        high = max((_scale(paper, s) * s.size.width_m for s, _ in layouts[:1]), default=0.0)
        title = f"{each.material}, {thick}: sheets"
        paper.heading(title[:1].upper() + title[1:], high + 34)
        for number, (sheet, times) in enumerate(layouts[:_MOST_SHEETS], 1):
            many = f", {times} sheets alike" if times > 1 else ""
            _sheet(pack, paper, sheet, f"Layout {number} of {len(layouts)}{many}")
        if len(layouts) > _MOST_SHEETS:
            paper.words(f"{len(layouts) - _MOST_SHEETS} more layouts are in the tables and data.")
        for blank in each.nest.too_large:
            sold = "at hand" if each.own else "that is sold"
            paper.words(f"{pack.name(blank.id)} goes on no sheet {sold}", indent=5, mark="!")
        for count in each.counts:
            if each.layout is Layout.BY_AREA:
                paper.words(
                    f"Not laid out, too many blanks: at least {count.count} sheets of "
                    f"{count.size.name}, by area."
                )
        if each.nest.sheets:
            kerf = pack.show("small_length", each.nest.kerf_m)
            tool = "saw, straight cuts right across" if each.straight_cuts else "router"
            waste = pack.show("share", each.nest.waste)
            paper.words(f"Cut by {tool}; {kerf} is left between blanks; {waste} is waste.")
            if each.material in GRAINED:
                paper.words("The grain runs across the page, along the sheet: turn no blank.")


def _scale(paper: Paper, sheet: CutSheet) -> float:
    return min(paper.across / sheet.size.length_m, _PICTURE / sheet.size.width_m)


def _sheet(pack: Pack, paper: Paper, sheet: CutSheet, title: str) -> None:
    """A sheet as a picture and what is cut from it as a table."""
    show = pack.show
    high = sheet.size.width_m
    scale = _scale(paper, sheet)
    paper.need(high * scale + 24)
    paper.words(f"{title}: {sheet.size.name}", after=1.5)
    paper.picture(high * scale, partial(_picture, paper.ink, sheet, scale))
    paper.space(2.0)
    rows = []
    for id, number in _numbers(sheet).items():
        own = [blank for blank in sheet.blanks if blank.id == id]
        turned = own[0].turned
        length, width = own[0].length_m, own[0].width_m
        if turned:
            length, width = width, length
        size = f"{show('small_length', width)} x {show('small_length', length)}"
        rows.append(Row((TICK, str(number), f"{pack.name(id)} ({id})", size, str(len(own)))))
    paper.table(
        (
            Column("Cut", 9),
            Column("No.", 10, 1),
            Column("Part"),
            Column("Blank", 44, 1),
            Column("How many", 20, 1),
        ),
        rows,
    )


def _numbers(sheet: CutSheet) -> dict[str, int]:
    """A number for each part on a sheet, in the order of its blanks."""
    return {id: i for i, id in enumerate(dict.fromkeys(b.id for b in sheet.blanks), 1)}


def _picture(ink: Ink, sheet: CutSheet, scale: float, low: float) -> None:
    """A sheet to scale, each blank with its part's number where there is room for it."""
    numbers = _numbers(sheet)
    wide, high = sheet.size.length_m, sheet.size.width_m
    ink.style(HOLE)
    ink.box(LEFT, low, wide * scale, high * scale)
    for blank in sheet.blanks:
        number = numbers[blank.id]
        # The sheet lies on its side: its length runs across the page.
        x, y = LEFT + blank.y_m * scale, low + blank.x_m * scale
        across, up = blank.length_m * scale, blank.width_m * scale
        ink.style(THIN)
        ink.bar(x, y, across, up, grey=0.92)
        ink.box(x, y, across, up)
        if up > 4 and across > width_mm(str(number), SMALL) + 1:
            ink.text(x + across / 2, y + up / 2 - 1.1, str(number), SMALL, align=0.5)
