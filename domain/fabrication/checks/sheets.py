"""Blanks against the sheets that can be had: what fits on none, what is too many to lay out."""

from collections.abc import Iterator

from domain.build.records import Build
from domain.document.records import label
from domain.fabrication.nesting.blanks import Blank
from domain.fabrication.nesting.cut_sheets import MOST_BLANKS, SheetCutList, size_name
from domain.fabrication.part_layout import MOST_ALIKE
from domain.findings import Finding, Level


def sheet_findings(build: Build, lists: tuple[SheetCutList, ...]) -> tuple[Finding, ...]:
    """What is wrong with the sheets to cut."""
    return tuple(found for each in lists for found in _of_list(build, each))


def _of_list(build: Build, each: SheetCutList) -> Iterator[Finding]:
    # A material that is in no table has no known sizes: the part has a finding of its own.
    large = each.nest.too_large if each.sizes else ()
    for place, blank in enumerate(large[:MOST_ALIKE], 1):
        more = len(large) - place if place == MOST_ALIKE else 0
        yield _too_large(build, each, blank, more)
    if not each.can_be_laid:
        pieces = sum(blank.quantity for blank in each.blanks)
        yield Finding(
            Level.NOTE,
            "sheets-not-laid-out",
            f"{each.material}: too many blanks to lay out on sheets",
            f"{pieces} blanks of {len(each.blanks)} parts, at most {MOST_BLANKS} are laid out; "
            "the sheets are counted by area alone, which is the least that could be enough",
            "lower the quantities to what is cut at one time",
            "count",
            "parts",
            each.blanks[0].id,
            "quantity",
        )


def _too_large(build: Build, each: SheetCutList, blank: Blank, more: int) -> Finding:
    largest = each.sizes[-1]
    why = (
        f"the flat pattern is {size_name(blank.width_m, blank.length_m, build)}, the largest sheet "
        f"{largest.name}"
    )
    if blank.grain:
        why += ", both across by along the grain"
    if more:
        why += f"; so are {more} more parts"
    own = "in stock" if each.own else f"of {each.material}"
    mend = ", or add a larger size to the sheet sizes in stock" if each.own else ", or smaller"
    return Finding(
        Level.STOP,
        "part-larger-than-sheet",
        f"{label(build, blank.id)} is larger than any sheet {own}",
        why,
        f"make it of two pieces{mend}",
        "sheet sizes in stock, entered" if each.own else "stock sheet sizes, common practice",
        "parts",
        blank.id,
        "name",
    )
