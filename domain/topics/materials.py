"""The bill of materials in words: what to buy, how much of it, and what asked for it."""

from domain.materials.takeoff import ONE_FOR_ALL
from domain.sheet import MaterialLine
from domain.topics.tables import TEXT, Column, Subject, Table
from domain.units.show import format_amount

MOST_ASKERS = 14

SCOPE = (
    "For power and custom parts alone: signal, remote and speaker leads, amplifiers and "
    "batteries are not in it. Wire, tube and heat-shrink are rounded up to how they are sold; "
    "spare fuses are in it."
)
"""What is in a bill of materials and what is not."""


def amount(subject: Subject, line: MaterialLine, quantity: float) -> str:
    """A quantity in the unit of the line."""
    return format_amount(quantity, line.unit, subject.build.header.units)


def asked_by(subject: Subject, line: MaterialLine) -> str:
    """The ids of what asked for it; "all" where one serves all."""
    if line.note.startswith(ONE_FOR_ALL):
        return "all"
    more = len(line.asked_by) - MOST_ASKERS
    return ", ".join(line.asked_by[:MOST_ASKERS]) + (f" and {more} more" if more > 0 else "")


MATERIALS: Table[MaterialLine] = Table(
    rows=lambda s: s.sheet.materials,
    columns=(
        Column("item", "Item", TEXT, lambda s, m: m.item),
        Column("size", "Size", TEXT, lambda s, m: m.size),
        Column("buy", "Buy", "count", lambda s, m: amount(s, m, m.quantity)),
        Column("asked", "For", TEXT, asked_by),
        Column("note", "Note", TEXT, lambda s, m: m.note),
    ),
    empty="Nothing to buy.",
)
