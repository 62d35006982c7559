"""The length of a run as it is typed: down the column, and in feet where inches make no sense.

What a bare number was taken as is said: 2 for two feet would be two inches without a word.
"""

from typing import Any

from domain.build.choices import UnitHabit
from domain.build.edits import Edit
from domain.build.records import Build, Run
from tui.tables.columns import AUTO, Column


class RunLength(Column, frozen=True):
    """How far a run goes; enter leads to the next one to be measured."""

    @property
    def after_enter(self) -> str:
        """Lengths are filled in down the column."""
        return "down"

    def fills(self, record: Any) -> bool:
        """Whether it is one to be filled in: what the vehicle has already need not be."""
        return isinstance(record, Run) and not record.existing

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The length; a bare number is feet for a wire from zone to zone, "2x" two wires."""
        from domain.build.lengths import measured

        return measured(document, record, text.strip().removeprefix(AUTO))

    def described(self, document: Any) -> str:
        """What it is and takes."""
        if isinstance(document, Build) and document.header.units is UnitHabit.INCH:
            bare = "a bare number is inches, between locations feet"
            return f"{self.title}: 3 ft 6 in, 1.5 m; {bare}; 2x16: two wires"
        return f"{Column.described(self, document)}; 2x4m: two wires"
