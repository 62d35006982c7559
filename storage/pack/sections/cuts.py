"""The cut list of wire and of sheet: every piece, and what it is cut from."""

from collections.abc import Iterator
from functools import partial

from domain.cable.cut_list import CutGroup
from domain.checks.cautions import CUTTING
from domain.fabrication.nesting.blanks import CutSheet, alike
from domain.topics.cut_list import PIECES, cutting, group_title
from domain.topics.cut_sheets import heading, how_cut, layout_title
from domain.units.show import format_taped
from storage.pack.fonts import width_mm
from storage.pack.ink import HOLE, THIN, Ink
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, SMALL, TICK, Column, Group, Paper, Row
from storage.pack.topic_tables import Wide, columns

_PICTURE = 62.0
"""Greatest height of the picture of a sheet [mm]."""

_MOST_SHEETS = 60
"""Most layouts of one material that are drawn."""

_WIDE = {
    "length": Wide(26, bold=True),
    "label": Wide(most=5),
    "near": Wide(46, most=4),
    "far": Wide(46, most=4),
}


def cuts(pack: Pack, paper: Paper) -> None:
    """Wire by kind and gauge, then sheet by material and thickness."""
    if pack.cuts.assumed:
        paper.words(
            f"STOP: measure first, these lengths are assumed: {pack.names(pack.cuts.assumed, 20)}.",
            bold=True,
        )
    rows = [row for group in pack.cuts.groups for row in _wire(pack, group)]
    paper.table((Column("Cut", 9), *columns(PIECES, _WIDE)), rows, PIECES.empty)
    _sheets(pack, paper)


def _wire(pack: Pack, group: CutGroup) -> Iterator[Row | Group]:
    subject = pack.subject
    yield Group(group_title(subject, group))
    for cells in PIECES.over(group.pieces).cells(subject, tuple(_WIDE)):
        yield Row((TICK, *cells))
    yield from (Row(below=said) for said in cutting(subject, group))


def _sheets(pack: Pack, paper: Paper) -> None:
    if pack.sheets:
        paper.words(CUTTING)
    for each in pack.sheets:
        layouts = alike(each.nest.sheets)
        high = max((_scale(paper, s) * s.size.width_m for s, _ in layouts[:1]), default=0.0)
        title = heading(pack.subject, each)
        paper.heading(title[:1].upper() + title[1:], high + 34)
        for number, (sheet, times) in enumerate(layouts[:_MOST_SHEETS], 1):
            _sheet(pack, paper, sheet, layout_title(number, len(layouts), sheet, times))
        if len(layouts) > _MOST_SHEETS:
            paper.words(f"{len(layouts) - _MOST_SHEETS} more layouts are in the tables and data.")
        for said in how_cut(pack.subject, each):
            paper.words(f"{said}.")


def _scale(paper: Paper, sheet: CutSheet) -> float:
    return min(paper.across / sheet.size.length_m, _PICTURE / sheet.size.width_m)


def _sheet(pack: Pack, paper: Paper, sheet: CutSheet, title: str) -> None:
    """A sheet as a picture and what is cut from it as a table."""
    high = sheet.size.width_m
    scale = _scale(paper, sheet)
    paper.need(high * scale + 24)
    paper.words(title, after=1.5)
    paper.picture(high * scale, partial(_picture, paper.ink, sheet, scale))
    paper.space(2.0)
    rows = []
    for id, number in _numbers(sheet).items():
        own = [blank for blank in sheet.blanks if blank.id == id]
        turned = own[0].turned
        length, width = own[0].length_m, own[0].width_m
        if turned:
            length, width = width, length
        size = format_taped((width, length), pack.build.header.units)
        rows.append(Row((TICK, str(number), f"{pack.name(id)} ({id})", size, str(len(own)))))
    paper.table(
        (
            Column("Cut", 9),
            Column("No.", 10, 1),
            Column("Part"),
            Column("Blank", 74, 1),
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
