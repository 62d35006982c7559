"""What is done to whole rows of the shop: add, remove, copy, move; and to whole files of them."""

import asyncio
from collections.abc import Callable

from domain.build import actions
from domain.build.edits import Batch, Edit, EditRefused, MoveRecord, RemoveRecord
from domain.document.records import label, records
from domain.shop.shop import ITEMS, TIMES, Shop
from domain.shop.shop_actions import add_item, copy_item, free_name
from storage.errors import StoreError
from tui.screens.grid_frame import GridFrame
from tui.tables.item_list import ItemList
from tui.views.shop_files import ask_for_export, ask_for_import
from tui.workbench import Bench


class ShopRows(GridFrame):
    """Row and file actions of the shop screen."""

    workbench: Bench[Shop]
    shown: ItemList

    def footprint_here(self) -> str:
        """The footprint with the cursor in the library's first table; empty: there is none."""
        return next((g.row_id for g in self.grids() if g.spec.id == "footprints"), "")

    def footprint_name(self) -> str:
        """What it is called."""
        id = self.footprint_here()
        return label(self.workbench.document, id) if id else ""

    def show_added(self) -> None:
        """Whatever follows the cursor follows to a row that was added."""

    def action_add(self) -> None:
        """Add a row behind the one with the cursor."""
        table, here = self.grid.spec.table, self.grid.row_id
        if table == TIMES:
            self.say("The operations stay as they are: only their times are typed")
        elif table == ITEMS:
            self._make_row(lambda shop: add_item(shop, here))
        elif table == "footprints":
            self._make_row(_new_footprint)
        else:
            footprint = self.footprint_here()
            if not footprint:
                self.say("A stud belongs to a footprint: add a footprint first (in F4)", bad=True)
                return
            self._make_row(lambda shop: actions.add(shop.library, "studs", footprint=footprint))

    def action_duplicate(self) -> None:
        """Add a copy of the row with the cursor; a footprint's with its studs."""
        table, here = self.grid.spec.table, self.grid.row_id
        if not here or table == TIMES:
            self.say("There is no row to duplicate here")
        elif table == ITEMS:
            self._make_row(lambda shop: copy_item(shop, here))
        elif table == "footprints":
            self._make_row(lambda shop: _copy_of_footprint(shop, here))
        else:
            self._make_row(lambda shop: actions.duplicate(shop.library, "studs", here))

    def _make_row(self, make: Callable[[Shop], Edit]) -> None:
        """Make an edit that adds a row, and put the cursor on it."""
        if not self.editing.confirm():
            return
        spec = self.grid.spec
        had = {row.id for row in records(self.workbench.document, spec.table)}
        if not self.make(make):
            return
        new = next((id for id in self.grid.row_ids if id not in had), "")
        if new:
            self.grid.go(new, spec.first or spec.columns[0].id)
            self.show_added()
            if not self.workbench.told:
                self.describe_cell()

    def make(self, make: Callable[[Shop], Edit]) -> bool:
        """Make an edit for the shop as it is when it is saved; false when it was refused."""
        try:
            self.workbench.make(make)
        except (EditRefused, StoreError) as error:
            self._not_made(error)
            return False
        self._made()
        return True

    async def make_aside(self, work: Callable[[], None]) -> bool:
        """The same for what takes a while: away from the keys, which wait for it."""
        try:
            await asyncio.to_thread(work)
        except (EditRefused, StoreError) as error:
            self._not_made(error)
            return False
        self._made()
        return True

    def _made(self) -> None:
        self.show_all()
        self.tell()

    def _not_made(self, error: Exception) -> None:
        self.show_all()
        said = "Not saved" if isinstance(error, StoreError) else "Not taken"
        self.warn(f"{said}: {error}")

    def action_remove(self) -> None:
        """Remove the row with the cursor; a footprint with its studs."""
        table, here = self.grid.spec.table, self.grid.row_id
        if not here or table == TIMES:
            self.say(
                "Delete on a time goes back to its default" if here else "There is no row here"
            )
            return
        if not self.editing.confirm():
            return
        name = label(self.workbench.document, here)
        if table == "studs":
            name = f"a stud of {self.footprint_name()}"

        def gone(shop: Shop) -> Edit:
            if table == ITEMS:
                edits: tuple[Edit, ...] = (RemoveRecord(table=ITEMS, id=here),)
            else:
                edits = actions.remove(shop.library, table, here).edits
            return Batch(edits=edits, label=f"remove {name}")

        if self.make(gone) and not self.workbench.told:
            self.say(f"Removed {name}: ctrl+z brings it back")

    def action_move_up(self) -> None:
        """One place up."""
        self._move_row(-1)

    def action_move_down(self) -> None:
        """One place down."""
        self._move_row(1)

    def _move_row(self, step: int) -> None:
        table, here = self.grid.spec.table, self.grid.row_id
        if table == TIMES or not here:
            self.say("The operations stay where they are")
            return
        if table == ITEMS and not self.shown.plain:
            self.say("Items are moved where all are shown in the shop's order (escape, ctrl+r)")
            return
        seen, rows = self.grid.row_ids, [row.id for row in records(self.workbench.document, table)]
        place = seen.index(here) + step
        if not 0 <= place < len(seen):
            self.say("This row is already at the end")
            return
        if self.editing.confirm():
            self.commit(MoveRecord(table=table, id=here, index=rows.index(seen[place])))

    def action_to_file(self) -> None:
        """Write what this view shows as a CSV file."""
        if self.editing.confirm():
            ask_for_export(self, KINDS[self.view])

    def action_from_file(self) -> None:
        """Take what this view shows from a CSV file."""
        if self.editing.confirm():
            ask_for_import(self, KINDS[self.view])


KINDS = {"items": "items", "times": "times", "library": "footprints"}
"""The file that goes with each view, as in ``domain.shop.csv_files``."""


def _new_footprint(shop: Shop) -> Edit:
    name = free_name("New footprint", (each.name for each in shop.footprints))
    return actions.add(shop.library, "footprints", name=name)


def _copy_of_footprint(shop: Shop, id: str) -> Edit:
    from domain.fabrication.footprints.exchange import copy_of, footprint_name

    library = shop.library
    wanted = f"{footprint_name(library, id)} copy"[:490]
    name = free_name(wanted, (each.name for each in library.footprints))
    return Batch(edits=tuple(copy_of(library, id, library, name)), label=f"copy to {name}")
