"""The looms, stretch by stretch: how thick each is, its tube, and what lies in it."""

from dataclasses import dataclass

from domain.sheet import Loom, LoomStretch
from domain.topics.tables import TEXT, Column, Subject, Table


@dataclass(frozen=True, slots=True)
class StretchRow:
    """A stretch with the loom that it is of."""

    loom: Loom
    stretch: LoomStretch


def _rows(subject: Subject) -> list[StretchRow]:
    return [StretchRow(loom, each) for loom in subject.sheet.looms for each in loom.stretches]


def _tube(subject: Subject, row: StretchRow) -> str:
    return row.stretch.tube or ("too large" if row.loom.sleeved else "bare")


LOOMS: Table[StretchRow] = Table(
    rows=_rows,
    columns=(
        Column("loom", "Loom", TEXT, lambda s, r: r.loom.name),
        Column("from", "From", "length", lambda s, r: r.stretch.start_m or "its start"),
        Column("to", "to", "length", lambda s, r: r.stretch.end_m),
        Column("bundle", "Bundle", "small_length", lambda s, r: r.stretch.bundle_m),
        Column("tube", "Tube", TEXT, _tube),
        Column("runs", "Runs", TEXT, lambda s, r: ", ".join(r.stretch.runs)),
    ),
)
