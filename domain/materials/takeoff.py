"""What a build needs, collected by (group, item, size, unit) until it is counted and rounded."""

from collections.abc import Iterable

from msgspec import Struct, field

from domain.build.record_kinds.extra_records import GROUPS
from domain.build.records import table_of
from domain.sheet import MaterialLine

__all__ = ["GROUPS", "ONE_FOR_ALL", "Takeoff", "TakeoffLine", "is_extra"]

ONE_FOR_ALL = "one for all: "
"""How the note begins of what is bought once, however many ask for it."""


class TakeoffLine(Struct):
    """One thing that is needed: how much, how it sorts, who asked for it."""

    needed: float = 0.0
    order: float = 0.0
    note: str = ""
    each_m2: float | None = None
    asked_by: dict[str, None] = field(default_factory=dict)


def is_extra(line: MaterialLine) -> bool:
    """Whether a line was put on the bill by hand, or with a kit, and the plan asks for none."""
    return bool(line.asked_by) and all(table_of(id) == "extras" for id in line.asked_by)


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
