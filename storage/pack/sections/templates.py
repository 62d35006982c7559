"""Full-size templates of the custom parts, sheet by sheet; each says how it is to be printed."""

from storage.errors import TransferError
from storage.pack.contents import PAGES
from storage.pack.pack_context import Pack
from storage.pack.pages import Paper
from storage.pack.pattern import Pattern, patterns
from storage.pack.template_pdf import draw_template
from storage.pack.tiles import lay_tiles

MOST_SHEETS = 60
"""A part that needs more is not printed among others."""


def templates(pack: Pack, paper: Paper) -> None:
    """Which parts have none, if any; then every sheet of the others."""
    found: list[Pattern] = []
    said = []
    for part in pack.build.parts:
        try:
            found += patterns(pack.build, part.id, pack.revision, pack.date)
        except TransferError as error:
            said.append(str(error))
    for drawn in tuple(found):
        sheets = lay_tiles(drawn.width, drawn.height, pack.paper).sheets
        if sheets > MOST_SHEETS:
            found.remove(drawn)
            said.append(f"{drawn.name} needs {sheets} sheets: print it by itself.")
    if said or not found:
        paper.section(PAGES["templates"])
        for text in said or ["This build has no custom parts."]:
            paper.words(text, indent=5, mark="-")
    else:
        paper.named(PAGES["templates"])
    for drawn in found:
        paper.end()
        paper.ink.bookmark(f"Template of {drawn.name}", 1)
        draw_template(paper.ink, drawn, pack.paper, numbered=True)
