"""Each custom part: what it is, how it is made, its drawing."""

from domain.fabrication.checks.strength import weakest_place
from domain.fabrication.steps import steps
from storage.errors import TransferError
from storage.pack.drawing import draw_drawing
from storage.pack.pack_context import Pack
from storage.pack.paper import TICK, Column, Paper, Row
from storage.pack.pattern import pattern


def parts(pack: Pack, paper: Paper) -> None:
    """Part by part: steps to tick off, then the drawing."""
    if not pack.build.parts:
        paper.words("This build has no custom parts.")
    for part in pack.build.parts:
        paper.need(paper.height * 0.6)
        paper.heading(f"{part.name or 'Part'} ({part.id}), make {part.quantity}", 40, mark=True)
        _figures(pack, paper, part.id)
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
            drawn = pattern(pack.build, part.id, pack.revision, pack.date)
        except TransferError as error:
            paper.words(f"No drawing: {error}.")
            continue
        paper.end()
        paper.ink.bookmark(f"Drawing of {drawn.name}", 1)
        draw_drawing(paper.ink, drawn, pack.paper, numbered=True)


def _figures(pack: Pack, paper: Paper, id: str) -> None:
    show = pack.show
    result = next((each for each in pack.sheet.parts if each.id == id), None)
    if result and result.area_m2:
        flat = " x ".join(
            show("small_length", side) for side in (result.flat_width_m, result.flat_length_m)
        )
        folded = " x ".join(show("small_length", side) for side in result.envelope_m)
        paper.words(
            f"{result.material}, {show('small_length', result.thickness_m)} thick; flat {flat}, "
            f"folded {folded}; {show('mass', result.mass_kg)} each; "
            f"{_count(result.bends, 'bend')}, {_count(len(result.holes), 'hole')}."
        )
    strong = result.strength if result else None
    if strong:
        times = (
            ""
            if strong.margin is None
            else f"{show('margin', strong.margin)} times what that asks, "
        )
        paper.words(
            f"Under {show('mass', strong.load_kg)} at {strong.shock_ratio:g} times gravity it "
            f"gives {show('small_length', strong.deflection_m)}; its strength is "
            f"{times}{show('margin', strong.shaking_margin)} times what the shaking asks, weakest "
            f"{weakest_place(pack.build, strong)}; it rings at "
            f"{show('frequency', strong.natural_hz)}."
        )


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
