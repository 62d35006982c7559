"""A page of the shop: its rows change by edits made on the shop as it is when they are saved."""

from collections.abc import Callable
from typing import ClassVar

from domain.build.edits import Batch, Edit, MoveRecord
from domain.document.records import label, records
from domain.shop.shop import Shop
from tui.bench import Bench
from tui.grids.grid_screen import GridScreen
from tui.grids.shown_table import ShownTable
from tui.grids.view import View
from tui.views.shop.shop_files import ask_for_export, ask_for_import
from tui.views.shop.shop_making import make


class ShopTable(ShownTable):
    """What the shop keeps of one kind."""

    view: "ShopView"

    def added(self, shop: Shop, here: str) -> Edit:
        """The edit that adds a row behind this one."""
        raise NotImplementedError

    def copied(self, shop: Shop, here: str) -> Edit:
        """The edit that adds a copy of a row, with all that belongs to it."""
        raise NotImplementedError

    def removed(self, shop: Shop, here: str) -> tuple[Edit, ...]:
        """The edits that remove a row and what belongs to it."""
        raise NotImplementedError

    def row_name(self, here: str) -> str:
        """What a row is called."""
        return label(self.view.bench.document, here)

    def add(self) -> None:
        """Add a row behind the one with the cursor."""
        here = self.screen.grid.row_id
        self.make_row(lambda shop: self.added(shop, here))

    def duplicate(self) -> None:
        """Add a copy of the row with the cursor."""
        here = self.screen.grid.row_id
        if not here:
            super().duplicate()
        else:
            self.make_row(lambda shop: self.copied(shop, here))

    def make_row(self, edit: Callable[[Shop], Edit]) -> None:
        """Make an edit that adds a row, and put the cursor on it."""
        screen, bench, grid = self.screen, self.view.bench, self.screen.grid
        if not screen.editing.confirm():
            return
        had = {row.id for row in records(bench.document, self.spec.table)}
        if not make(screen, bench, edit):
            return
        new = next((id for id in grid.row_ids if id not in had), "")
        if new:
            grid.go(new, self.spec.first or self.spec.columns[0].id)
            self.cursor_moved()
            if not bench.notice:
                screen.describe_cell()

    def remove(self) -> None:
        """Remove the row with the cursor and what belongs to it."""
        here, screen = self.screen.grid.row_id, self.screen
        if not here:
            screen.say("There is no row here")
            return
        if not screen.editing.confirm():
            return
        name = self.row_name(here)

        def gone(shop: Shop) -> Edit:
            return Batch(edits=self.removed(shop, here), label=f"remove {name}")

        if make(screen, self.view.bench, gone) and not self.view.bench.notice:
            screen.say(f"Removed {name}: ctrl+z brings it back")

    def move(self, step: int) -> None:
        """Move the row with the cursor up (-1) or down (1)."""
        screen, here = self.screen, self.screen.grid.row_id
        if not here:
            screen.say("The operations stay where they are")
            return
        seen = screen.grid.row_ids
        rows = [row.id for row in records(self.view.bench.document, self.spec.table)]
        place = seen.index(here) + step
        if not 0 <= place < len(seen):
            screen.say("This row is already at the end")
            return
        if screen.editing.confirm():
            index = rows.index(seen[place])
            screen.commit(MoveRecord(table=self.spec.table, id=here, index=index))


class ShopView(View):
    """A page of the shop, which can be written as a file and taken from one."""

    plain_table: ClassVar[type[ShownTable]] = ShopTable
    file: ClassVar[str] = ""
    """The file that goes with it, as in ``domain.shop.csv_files``."""

    def __init__(self, screen: GridScreen, bench: Bench[Shop]) -> None:
        super().__init__(screen)
        self.bench = bench

    def to_file(self) -> None:
        """Write what it shows as a CSV file."""
        if self.screen.editing.confirm():
            ask_for_export(self.screen, self.bench, self.file)

    def from_file(self) -> None:
        """Take what it shows from a CSV file."""
        if self.screen.editing.confirm():
            ask_for_import(self.screen, self.bench, self.file)
