"""What a build needs, collected by (group, item, size, unit) until it is counted and rounded."""

from collections.abc import Iterable
from dataclasses import dataclass, field

GROUPS = (
    "Wire",
    "Terminals",
    "Heat-shrink",
    "Fuses",
    "Holders",
    "Blocks",
    "Switching",
    "Audio cable",
    "Ground hardware",
    "Loom",
    "Grommets",
    "Clamps",
    "Fasteners",
    "Sheet",
    "Consumables",
)
"""Groups of the bill of materials, in its order."""


ONE_FOR_ALL = "one for all: "
"""How the note begins of what is bought once, however many ask for it."""


@dataclass(slots=True)
class TakeoffLine:
    """One thing that is needed: how much, how it sorts, who asked for it."""

    needed: float = 0.0
    order: float = 0.0
    note: str = ""
    each_m2: float | None = None
    asked_by: dict[str, None] = field(default_factory=dict)


class Takeoff:
    """What is needed, added up by (group, item, size, unit)."""

    def __init__(self) -> None:
        self.lines: dict[tuple[str, str, str, str], TakeoffLine] = {}

    def add(
        self,
        group: str,
        item: str,
        size: str,
        needed: float,
        asked_by: str,
        *,
        unit: str = "each",
        order: float = 0.0,
        note: str = "",
        also: Iterable[str] = (),
    ) -> None:
        """Add to a line; the first to ask for it sets its order and note, ``also`` ask with it."""
        key = group, item, size, unit
        line = self.lines.get(key)
        if line is None:
            line = self.lines[key] = TakeoffLine(order=order, note=note)
        line.needed += needed
        line.asked_by[asked_by] = None
        for id in also:
            line.asked_by[id] = None

    def one_for_all(self, group: str, item: str, asked_by: str, note: str) -> None:
        """Count one, however many ask for it."""
        self.add(group, item, "", 0, asked_by, note=ONE_FOR_ALL + note)
        self.lines[group, item, "", "each"].needed = 1
