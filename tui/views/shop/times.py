"""The page of times: what each operation takes in this shop."""

from typing import ClassVar

from tui.grids.shown_table import ShownTable
from tui.tables.shop import times_spec
from tui.tables.table_spec import TableSpec
from tui.views.shop.shop_view import ShopView


class TimesTable(ShownTable):
    """The times: every operation has its row."""

    def add(self) -> None:
        """Operations are not added."""
        self.screen.say("The operations stay as they are: only their times are typed")

    def remove(self) -> None:
        """Operations are not removed."""
        self.screen.say("Delete on a time goes back to its default")

    def move(self, step: int) -> None:
        """Operations are not moved."""
        self.screen.say("The operations stay where they are")


class TimesView(ShopView):
    """Times of operations: the shop's own, or the defaults."""

    id = "times"
    title = "Times"
    key = "f3"
    file = "times"
    plain_table: ClassVar[type[ShownTable]] = TimesTable

    def specs(self) -> list[TableSpec]:
        """One table."""
        return [times_spec()]

    def after_first_visit(self) -> None:
        """To the first time."""
        grid = self.screen.grid
        grid.go(grid.row_id, "value")
        self.screen.describe_cell()
