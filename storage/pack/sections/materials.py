"""The bill of materials, with a box to tick for what is at hand."""

from storage.pack.packed import Pack
from storage.pack.paper import TICK, Column, Group, Paper, Row


def materials(pack: Pack, paper: Paper) -> None:
    """What to buy, by group, and what asked for it."""
    paper.words(
        "Wire, loom and heat-shrink are rounded up to how they are sold; spares are in it. A note "
        "holds for the lines below it too, until the next one."
    )
    rows: list[Row | Group] = []
    group = last = ""
    for line in pack.sheet.materials:
        if line.group != group:
            group, last = line.group, ""
            rows.append(Group(group))
        asked = ", ".join(line.asked_by[:14])
        asked += f" and {len(line.asked_by) - 14} more" if len(line.asked_by) > 14 else ""
        note = line.note if line.note != last else ""
        last = line.note
        bought = pack.amount(line, line.quantity)
        cells = (TICK, line.item, line.size or "-", bought, asked)
        rows.append(Row(cells, f"{note[:1].upper()}{note[1:]}." if note else ""))
    paper.table(
        (
            Column("Got", 11),
            Column("Item", most=6),
            Column("Size", 43),
            Column("Buy", 25, 1, bold=True),
            Column("For", 50),
        ),
        rows,
        "Nothing to buy.",
    )
