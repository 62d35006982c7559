"""The first page: what the job is, its main figures, what is in the pack."""

from collections.abc import Sequence

from domain.findings import Level
from domain.topics.loads import AMPLIFIERS, conductor_kg, worst_drop_v
from storage.pack.layout import Wide, lay
from storage.pack.pack_context import Pack
from storage.pack.paper import LEFT, RIGHT, SMALL, Column, Paper


def summary(pack: Pack, paper: Paper) -> None:
    """Who and what it is for, and the figures that everybody asks for."""
    header, sheet, show = pack.build.header, pack.sheet, pack.show
    for name, said in (
        ("Customer", header.customer),
        ("Vehicle", header.vehicle),
        ("State", header.state.value),
        ("Revision", pack.revision),
        ("Date", pack.date),
        ("Notes", header.notes),
    ):
        if said:
            paper.words(f"{name}: {said}")
    paper.heading("Main figures")
    new = [run for run in sheet.runs if not run.existing]
    fused = [run for run in sheet.runs if run.fuse_a is not None]
    largest = max(fused, key=lambda run: run.fuse_a or 0.0, default=None)
    rows = [
        ("Amplifiers, rated together", show("power", sum(a.rated_w for a in sheet.amplifiers))),
        ("Full tone draws", show("current", sheet.supply.design_a)),
        (f"Programme ({header.programme.value}) draws", show("current", sheet.supply.programme_a)),
        (
            "Worst drop to an amplifier and back, full tone",
            f"{show('voltage', worst_drop_v(sheet))}, limit {show('voltage', header.drop_limit_v)}",
        ),
        ("Batteries", show("capacity", sheet.supply.capacity_ah)),
        (
            "Largest fuse",
            f"{pack.fuse(largest)}, {pack.name(largest.id)}" if largest else "none",
        ),
        ("New wire, slack in it", show("length", sum(run.wire_m for run in new))),
        ("Conductor in it", show("mass", conductor_kg(sheet))),
        ("Custom parts", str(sum(part.quantity for part in sheet.parts))),
        ("Findings", ", ".join(f"{sheet.count(level)} {level}" for level in Level)),
    ]
    paper.table((Column("", 82), Column("", bold=True, most=4)), rows)
    stops = sheet.count(Level.STOP)
    if stops:
        points = "point" if stops == 1 else "points"
        paper.words(
            f"STOP: {stops} {points} to settle before work begins, see Findings.", bold=True
        )
    paper.heading("Amplifiers")
    wide = {
        "name": Wide(),
        "rated": Wide(20),
        "full": Wide(20),
        "programme": Wide(23),
        "drop": Wide(17),
        "out": Wide(18),
        "back": Wide(19),
    }
    lay(pack.subject, paper, AMPLIFIERS, wide)


def contents(paper: Paper, titles: Sequence[str]) -> None:
    """What is in the pack and on which page; the pages are filled in at the end."""
    if not titles:
        return
    paper.heading("In this pack", keep=min(5.0 * len(titles), 120.0))
    right = paper.width - RIGHT
    for title in titles:

        def line(low: float, title: str = title) -> None:
            def number(total: int) -> None:
                page = paper.starts.get(title)
                paper.ink.text(right, low + 1.2, str(page) if page else "-", SMALL, align=1)

            paper.ink.text(LEFT, low + 1.2, title, SMALL)
            paper.ink.later(number)

        paper.picture(5.0, line)
