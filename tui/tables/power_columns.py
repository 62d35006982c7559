"""Cells of the power side that take or show more than a value: a run's length, its type of fuse,
whether it is there already, an isolator's kind.

A length is typed down the column, and in feet where inches make no sense. What a bare number was
taken as is said: 2 for two feet would be two inches without a word. With the kind of an isolator
goes its rating.
"""

from typing import Any

from domain.build.choices import BlockKind, UnitHabit
from domain.build.edits import Batch, Edit, EditRefused, Scalar
from domain.build.grounding import as_new_wire
from domain.build.house_side import isolated_by
from domain.build.records import Build, Run
from domain.units.show import NOTHING
from tui.tables.columns import AUTO, Column


class RunLength(Column, frozen=True):
    """How far a run goes; enter leads to the next one to be measured."""

    @property
    def after_enter(self) -> str:
        """Lengths are filled in down the column."""
        return "down"

    @property
    def _chosen_later(self) -> bool:
        """What was not measured is assumed, as soon as anything is worked out."""
        return True

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
            bare = "bare: inches, between locations feet"
            return f"{self.title}: 3 ft 6 in; 2x16: two wires; {bare}"
        return f"{Column.described(self, document)}; 2x4m: two wires"


class FuseType(Column, frozen=True):
    """The type of a run's fuses, where it has any."""

    def shown(self, document: Any, sheet: Any, record: Any) -> str:
        """The type; nothing of a run without a fuse."""
        if record.fuse_family is None and not (record.fused or record.far_fused):
            return NOTHING
        return Column.shown(self, document, sheet, record)


class InVehicle(Column, frozen=True):
    """Whether a run is in the vehicle already. One that no longer is stays no size it had there."""

    def _set(self, record: Any, value: Scalar) -> Edit:
        if value is False and record.existing:
            name = record.name or record.id
            return Batch(edits=as_new_wire(record), label=f"lay {name} anew: sized, and bought")
        return Column._set(self, record, value)


class IsolatorKind(Column, frozen=True):
    """The kind of an isolator. What is no isolator has none, and says what would make it one."""

    def shown(self, document: Any, sheet: Any, record: Any) -> str:
        """The kind, that of an isolator as it counts where none was said; else nothing."""
        if record.kind is not BlockKind.ISOLATOR and record.isolates is None:
            return NOTHING
        return Column.shown(self, document, sheet, record)

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The edit; refused where it gives a kind to a block that is no isolator."""
        edit = Column.typed(self, document, record, text)
        as_it_is = self._set(record, getattr(record, self.field))
        if record.kind is not BlockKind.ISOLATOR and edit != as_it_is:
            raise EditRefused(
                f"{record.name or 'this block'} is no isolator: choose isolator under Kind first"
            )
        return edit

    def options(self, document: Any, record: Any) -> list[tuple[str, Edit]]:
        """The kinds; none for a block that is no isolator."""
        isolator = record.kind is BlockKind.ISOLATOR
        return Column.options(self, document, record) if isolator else []

    def _set(self, record: Any, value: Scalar) -> Edit:
        return isolated_by(record, value)
