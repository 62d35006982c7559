"""By what an isolator isolates: of an isolator alone, and its rating goes with it."""

from dataclasses import dataclass
from typing import Any

from domain.build.choices import BlockKind
from domain.build.edits import Edit, EditRefused, Scalar
from domain.build.house_side import isolated_by
from tui.tables.columns import Column


@dataclass(frozen=True, slots=True)
class IsolatorKind(Column):
    """The kind of an isolator. What is no isolator has none, and says what would make it one."""

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The edit; refused for a block that is no isolator."""
        edit = Column.typed(self, document, record, text)
        if record.kind is not BlockKind.ISOLATOR:
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
