"""Each custom part: what it is, how it is made, its drawing."""

from domain.fabrication.steps import steps
from domain.topics.parts import PARTS, holds, how_many, made_of
from storage.errors import TransferError
from storage.pack.drawing import draw_drawing
from storage.pack.pack_context import Pack
from storage.pack.pages import TICK, Column, Paper, Row
from storage.pack.pattern import patterns


def parts(pack: Pack, paper: Paper) -> None:
    """Part by part: steps to tick off, then the drawing."""
    if not pack.build.parts:
        paper.words(PARTS.empty)
    for part in pack.build.parts:
        paper.need(paper.height * 0.6)
        paper.heading(f"{part.name or 'Part'} ({part.id}), make {how_many(part)}", 40, mark=True)
        result = next((each for each in pack.sheet.parts if each.id == part.id), None)
        if result and result.area_m2:
            paper.words(_sentence(made_of(pack.subject, result)))
        if result and result.strength:
            paper.words(holds(pack.subject, result.strength))
        made = steps(pack.build, part)
        rows = []
        for step in made:
            told = [step.tool]
            told += [step.size] if step.size else []
            below = ". ".join(_sentence(text) for text in (", ".join(told), step.speed) if text)
            if step.caution:
                below += f". CAUTION: {step.caution}"
            rows.append(Row((TICK, str(step.order), _sentence(step.what) + "."), f"{below}."))
        paper.table(
            (Column("Done", 14), Column("Step", 13, 1), Column("What to do", most=12)),
            rows,
            "It cannot be laid out: see Findings.",
        )
        try:
            found = patterns(pack.build, part.id, pack.revision, pack.date)
        except TransferError as error:
            paper.words(f"No drawing: {error}.")
            continue
        for drawn in found:
            paper.end()
            paper.ink.bookmark(f"Drawing of {drawn.name}", 1)
            draw_drawing(paper.ink, drawn, pack.paper, numbered=True)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
