"""A table of a view: what stands over it, and what is done to whole rows of it."""

from typing import TYPE_CHECKING, ClassVar

from tui.tables.table_spec import TableSpec
from tui.widgets.grid import Grid

if TYPE_CHECKING:
    from tui.grids.grid_screen import GridScreen
    from tui.grids.view import View


class ShownTable:
    """A table whose rows come by themselves: nothing is added to it or taken out of it."""

    has_columns: ClassVar[bool] = True
    """Whether its columns can be gone to by name; those of a form stand for nothing."""

    def __init__(self, view: "View", spec: TableSpec) -> None:
        self.view = view
        self.spec = spec

    @property
    def screen(self) -> "GridScreen":
        """The screen that the view is on."""
        return self.view.screen

    @property
    def grid(self) -> Grid:
        """The table on the screen."""
        return self.screen.grid_of(self.spec.id)

    def caption(self) -> str:
        """What stands over the table."""
        return self.spec.caption

    def cursor_moved(self) -> None:
        """The cursor is on another cell of it."""

    def tell_more(self) -> None:
        """Say of the cell with the cursor what is more than one line about it."""

    def kept(self) -> str:
        """Why typing does not replace what stands in the cell under the cursor; empty: it does."""
        return ""

    def entered(self) -> bool:
        """Take the enter key on a row; false: it opens the cell."""
        return False

    def add(self) -> None:
        """Add a row beside the one with the cursor."""
        self.screen.say("These rows come by themselves: ctrl+n adds nothing here")

    def duplicate(self) -> None:
        """Add a copy of the row with the cursor."""
        self.screen.say("There is no row to duplicate here")

    def remove(self) -> None:
        """Remove the row with the cursor and what makes no sense without it."""
        self.screen.say("There is no row to remove here")

    def move(self, step: int) -> None:
        """Move the row with the cursor up (-1) or down (1)."""
        self.screen.say("The rows of this form stay where they are")
