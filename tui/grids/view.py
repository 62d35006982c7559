"""A page of a screen: its tables and actions, and what is said and shown over and beside them."""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from textual.events import Key
from textual.widget import Widget

from tui.actions import Action
from tui.grids.shown_table import ShownTable
from tui.tables.table_spec import TableSpec

if TYPE_CHECKING:
    from tui.grids.grid_screen import GridScreen


SpecialTables = Mapping[str, Callable[[Any, TableSpec], ShownTable]]
"""What makes tables, by their id: of the view that has them, their columns and rows."""


class View:
    """One page. The screen holds it, shows it and passes on what concerns it."""

    id: ClassVar[str]
    title: ClassVar[str]
    key: ClassVar[str]
    """The key that goes to it."""
    again: ClassVar[str] = "its next table"
    """What its key leads to where it is shown already."""
    short_title: ClassVar[str | None] = None
    """Title in the tab line of a narrow terminal beside another view; ``None``: the same."""
    with_picture: ClassVar[bool] = False
    """Whether a picture stands below its tables."""
    actions: ClassVar[Sequence[Action[Any]]] = ()
    """What can be done here only, or is done by this view wherever it is asked for."""
    plain_table: ClassVar[type[ShownTable]] = ShownTable
    """What its tables are, but for ``special_tables``."""
    special_tables: ClassVar[SpecialTables] = {}
    """What some of its tables are."""

    def __init__(self, screen: "GridScreen") -> None:
        self.screen = screen

    # Its tables

    def specs(self) -> Sequence[TableSpec]:
        """Its tables from top to bottom."""
        raise NotImplementedError

    @cached_property
    def tables(self) -> dict[str, ShownTable]:
        """Its tables by id, from top to bottom."""
        return {
            spec.id: self.special_tables.get(spec.id, self.plain_table)(self, spec)
            for spec in self.specs()
        }

    def caution(self) -> str:
        """What is minded on the whole page, over its first table; empty: nothing."""
        return ""

    def below(self) -> Sequence[Widget]:
        """What stands below its tables."""
        return ()

    def narrowed_to(self) -> str:
        """What its tables are narrowed to: a part, a state; empty: everything."""
        return ""

    def table(self) -> ShownTable:
        """The table with the cursor."""
        return self.tables[self.screen.grid.spec.id]

    @property
    def shown(self) -> bool:
        """Whether it is the view that is shown."""
        return self.screen.view is self

    # What happens

    def before_first_visit(self) -> None:
        """Its key was pressed for the first time; it is shown next."""

    def after_first_visit(self) -> None:
        """Its key was pressed for the first time; it is shown: put the cursor where work begins."""

    def before_shown(self) -> None:
        """It is shown next."""

    def called(self) -> bool:
        """Its key was pressed: put away what hides its tables; true where there was any."""
        return False

    async def before_going_to(self, id: str) -> None:
        """The cursor is put on a record next: see that its row is among those shown."""

    def filled(self) -> None:
        """Its tables were filled."""

    def draw(self, *, typing: bool = False) -> None:
        """Draw what stands beside its tables; ``typing``: as it would be, not as it is."""

    def returned(self) -> None:
        """Another screen was shown in between, and what it shows may have changed."""

    def take_key(self, event: Key) -> bool:
        """Take a key before the cell does; false where it means nothing special here."""
        return event.key == "enter" and self.table().entered()

    def take_text(self, text: str) -> bool:
        """Take pasted text before the cell does; false where it is for the cell."""
        return False
