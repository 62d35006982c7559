"""What each record's share of the materials costs: a wire's of its metres, all else evenly."""

from collections.abc import Sequence
from decimal import Decimal

from domain.money.cents import exact
from domain.money.matching import MatchedLine
from domain.sheet import Sheet

WIRE = "Wire"
"""Group of the bill of materials whose lines are shared out by length."""


def shares(sheet: Sheet, lines: Sequence[MatchedLine]) -> dict[str, Decimal]:
    """The share of each record in the worth of the lines that it asks for, by id.

    Wire goes by the metres that each run takes, all else evenly among those who ask. The sum of
    all shares is the worth of all priced lines that somebody asks for, but for the last digits of
    the division.
    """
    found: dict[str, Decimal] = {}
    for line in lines:
        asked = line.line.asked_by
        if line.worth is None or not asked:
            continue
        parts = {id: Decimal(1) for id in asked}
        if line.line.group == WIRE:
            runs = {id: run for id in asked if (run := sheet.run(id)) is not None}
            metres = {id: exact(run.wire_m * run.count) for id, run in runs.items()}
            parts = metres if any(metres.values()) else parts
        whole = sum(parts.values(), Decimal(0))
        for id, part in parts.items():
            found[id] = found.get(id, Decimal(0)) + line.worth * part / whole
    return found
