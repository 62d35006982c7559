"""The sheets to cut as lines of text: every blank with its place, size and way."""

from collections.abc import Sequence

from domain.fabrication.nesting.blanks import alike
from domain.fabrication.nesting.cut_sheets import SheetCutList
from domain.topics.cut_sheets import BLANKS, blank_rows, heading, how_cut, layout_title
from domain.topics.tables import Subject
from tui.report.plain import wrap
from tui.report.text_layout import lay

_MOST = {"layout": 6, "name": 30, "x": 9, "y": 9, "width": 9, "length": 9, "turned": 6}


def sheets_lines(subject: Subject, lists: Sequence[SheetCutList]) -> list[str]:
    """Every material with its sheets and a table of blanks; x runs across the sheet, y along it.

    Sheets that are cut alike stand once.
    """
    lines: list[str] = []
    for place, each in enumerate(lists):
        lines += [""] * (place > 0)
        for said in sheet_words(subject, each):
            lines += wrap(said, "", "  ")
        layouts = alike(each.nest.sheets)
        for number, (sheet, times) in enumerate(layouts, 1):
            title = layout_title(number, len(layouts), sheet, times)
            lines += wrap(f"{title}, {subject.show('share', sheet.waste)} waste", "  ")
        lines += [f"  {line}" for line in lay(subject, BLANKS.over(blank_rows(each)), _MOST)]
    return lines


def sheet_words(subject: Subject, each: SheetCutList) -> list[str]:
    """What the sheets of one material come to, in sentences."""
    return [heading(subject, each), *how_cut(subject, each)]
