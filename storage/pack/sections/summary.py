"""The first page: what the job is, its main figures, what is in the pack."""

from collections.abc import Sequence

from domain.findings import Level
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
    drops = [a.drop_v for a in sheet.amplifiers if a.drop_v is not None]
    fused = [run for run in sheet.runs if run.fuse_a is not None]
    largest = max(fused, key=lambda run: run.fuse_a or 0.0, default=None)
    rows = [
        ("Amplifiers, rated together", show("power", sum(a.rated_w for a in sheet.amplifiers))),
        ("Full tone draws", show("current", sheet.supply.design_a)),
        (f"Programme ({header.programme.value}) draws", show("current", sheet.supply.programme_a)),
        (
            "Worst drop to an amplifier and back, full tone",
            f"{show('voltage', max(drops, default=None))}, limit "
            f"{show('voltage', header.drop_limit_v)}",
        ),
        ("Batteries", show("capacity", sheet.supply.capacity_ah)),
        (
            "Largest fuse",
            f"{pack.fuse(largest)}, {pack.name(largest.id)}" if largest else "none",
        ),
        ("New wire, slack in it", show("length", sum(run.wire_m for run in new))),
        ("Conductor in it", show("mass", sum(run.conductor_kg for run in new))),
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
    paper.table(
        (
            Column("Amplifier"),
            Column("Rated", 20, 1),
            Column("Full tone", 20, 1),
            Column("Programme", 23, 1),
            Column("Drop", 17, 1),
            Column("Way out", 18, 1),
            Column("Way back", 19, 1),
        ),
        [
            (
                a.name,
                show("power", a.rated_w),
                show("current", a.design_a),
                show("current", a.programme_a),
                show("voltage", a.drop_v),
                show("voltage", a.drop_feed_v),
                show("voltage", a.drop_return_v),
            )
            for a in sheet.amplifiers
        ],
    )


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
