"""The bill of materials, with a box to tick for what is at hand."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from domain.materials.takeoff import ONE_FOR_ALL
from domain.sheet import MaterialLine
from storage.pack.pack_context import Pack
from storage.pack.paper import TICK, Column, Group, Paper, Row


def materials(pack: Pack, paper: Paper) -> None:
    """What to buy, by group, and what asked for it."""
    paper.words(
        "For power and custom parts alone: signal, remote and loudspeaker leads, amplifiers and "
        "batteries are not in it. Wire, loom and heat-shrink are rounded up to how they are sold; "
        "spare fuses are in it. The last column has the names of the run schedule and the maps."
    )
    rows: list[Row | Group] = []
    for group, lines in groupby(pack.sheet.materials, key=lambda line: line.group):
        rows += _group(pack, group, list(lines))
    paper.table(
        (
            Column("Got", 11),
            Column("Item", most=6),
            Column("Size", 58),
            Column("Buy", 24, 1, bold=True),
            Column("For", 38),
        ),
        rows,
        "Nothing to buy.",
    )


def _group(pack: Pack, group: str, lines: Sequence[MaterialLine]) -> Iterator[Row | Group]:
    """A group's lines; a note that they all share stands in its heading, once."""
    shared = lines[0].note if len({line.note for line in lines}) == 1 else ""
    yield Group(f"{group}: {shared}" if shared else group)
    for line in lines:
        asked = ", ".join(line.asked_by[:14])
        asked += f" and {len(line.asked_by) - 14} more" if len(line.asked_by) > 14 else ""
        note = "" if shared else line.note.removeprefix(ONE_FOR_ALL)
        asked = "all" if line.note.startswith(ONE_FOR_ALL) else asked
        # Where there is no size, its room says what it is for.
        size, below = (line.size, note) if line.size else (note or "-", "")
        cells = (TICK, line.item, size, pack.amount(line, line.quantity), asked)
        yield Row(cells, f"{below[:1].upper()}{below[1:]}." if below else "")
