"""The bill of materials, with a box to tick for what is at hand."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from domain.materials.takeoff import ONE_FOR_ALL
from domain.sheet import MaterialLine
from domain.topics.materials import MATERIALS, SCOPE
from storage.pack.pack_context import Pack
from storage.pack.pages import TICK, Column, Group, Paper, Row
from storage.pack.topic_tables import Wide, columns

_WIDE = {
    "item": Wide(most=6),
    "size": Wide(64, most=6),
    "buy": Wide(18, bold=True),
    "asked": Wide(38),
}


def materials(pack: Pack, paper: Paper) -> None:
    """What to buy, by group, and what asked for it."""
    paper.words(f"{SCOPE} The last column has the names of the run schedule and the maps.")
    rows: list[Row | Group] = []
    for group, lines in groupby(pack.sheet.materials, key=lambda line: line.group):
        rows += _group(pack, group, list(lines))
    paper.table((Column("Got", 11), *columns(MATERIALS, _WIDE)), rows, MATERIALS.empty)


def _group(pack: Pack, group: str, lines: Sequence[MaterialLine]) -> Iterator[Row | Group]:
    """A group's lines; a note that they all share stands in its heading, once."""
    subject, shown = pack.subject, MATERIALS.pick(tuple(_WIDE))
    shared = lines[0].note if len({line.note for line in lines}) == 1 else ""
    yield Group(f"{group}: {shared}" if shared else group)
    for line in lines:
        note = "" if shared else line.note.removeprefix(ONE_FOR_ALL)
        item, size, buy, asked = (column.cell(subject, line) for column in shown)
        yield Row((TICK, item, ", ".join(filter(None, (size, note))) or "-", buy, asked))
