"""Tables of a build's records: rows are added, copied, removed and moved as one edit each."""

from typing import TYPE_CHECKING, ClassVar

from domain.build import actions, removal
from domain.build.edits import Edit, EditRefused, MoveRecord
from domain.build.records import CARRIED_TABLES, Build, table_of
from domain.document.records import find, label, records
from tui.grids.shown_table import ShownTable

if TYPE_CHECKING:
    from tui.views.build.build_view import BuildView


class RecordTable(ShownTable):
    """The records of one kind, in the user's order."""

    view: "BuildView"

    @property
    def record(self) -> object:
        """The record with the cursor, or ``None``."""
        id = self.screen.grid.row_id
        return find(self.view.bench.build, id) if id else None

    @property
    def _on_name(self) -> bool:
        """Whether the cursor is on the name of a thing that has a form."""
        grid = self.grid
        column = grid.spec.columns[grid.cursor_column]
        return column.field == "name" and self.spec.table in CARRIED_TABLES and bool(grid.row_id)

    def kept(self) -> str:
        """A name is changed in the form: who types on it meant another cell."""
        if not self._on_name:
            return ""
        name = label(self.view.bench.build, self.grid.row_id)
        return f"{name} keeps its name: enter opens its fields, the name among them"

    def entered(self) -> bool:
        """On a name the enter key opens all fields of the thing."""
        if not self._on_name:
            return False
        self.screen.call_later(self.screen.follow, "thing", self.grid.row_id)
        return True

    def added(self, build: Build) -> Edit:
        """The edit that adds a row beside the one with the cursor; ``EditRefused`` if none may."""
        return actions.add(build, self.spec.table)

    def copied(self, build: Build, id: str) -> Edit:
        """The edit that adds a copy of a row, with all that belongs to it."""
        return actions.duplicate(build, self.spec.table, id)

    def add(self) -> None:
        """Add a row beside the one with the cursor."""
        try:
            edit = self.added(self.view.bench.build)
        except EditRefused as error:
            self.screen.warn(f"Not added: {error}")
            return
        self.commit_row(edit, self.spec.first or self.spec.columns[0].id)

    def duplicate(self) -> None:
        """Add a copy of the row with the cursor."""
        id = self.screen.grid.row_id
        if not id:
            super().duplicate()
            return
        try:
            edit = self.copied(self.view.bench.build, id)
        except EditRefused as error:
            self.screen.warn(f"Not duplicated: {error}")
            return
        self.commit_row(edit, self.spec.columns[0].id)
        self.view.row_copied()

    def commit_row(self, edit: Edit, column: str) -> None:
        """Commit an edit that adds a row, and put the cursor on it."""
        bench, grid = self.view.bench, self.screen.grid
        had = {record.id for record in records(bench.build, self.spec.table)}
        if not self.screen.commit(edit):
            return
        new = next((id for id in grid.row_ids if id not in had), "")
        if new:
            grid.go(new, column)
            self.screen.describe_cell()

    def remove(self) -> None:
        """Remove the row with the cursor and what makes no sense without it."""
        self.remove_record(self.screen.grid.row_id)

    def remove_record(self, id: str) -> None:
        """Remove a record, and say what goes with it."""
        from tui.dialogs.boxes import Pick

        build = self.view.bench.build
        if not id:
            super().remove()
            return
        try:
            ways = removal.ways(build, table_of(id), id)
        except EditRefused as error:
            self.screen.warn(f"Not removed: {error}")
            return
        if len(ways) == 1:
            self._removed(ways[0])
            return

        def chosen(place: int | None) -> None:
            if place is not None:
                self._removed(ways[place])

        names = [way.name for way in ways]
        self.screen.app.push_screen(Pick(f"Remove {label(build, id)}", names, 0), chosen)

    def _removed(self, way: removal.Removal) -> None:
        """Make a removal, and say what went with it."""
        if self.screen.commit(way.edit):
            self.screen.tell(f"Removed {way.said}: ctrl+z brings it back")

    def move(self, step: int) -> None:
        """Move the row with the cursor up (-1) or down (1)."""
        id, shown = self.screen.grid.row_id, self.screen.grid.row_ids
        if id not in shown or not 0 <= shown.index(id) + step < len(shown):
            self.screen.say("This row is already at the end")
            return
        table = self.spec.table
        ids = [record.id for record in records(self.view.bench.build, table)]
        beside = shown[shown.index(id) + step]
        self.screen.commit(MoveRecord(table=table, id=id, index=ids.index(beside)))


class HeaderTable(ShownTable):
    """The form of the header: its rows are fields."""

    has_columns: ClassVar[bool] = False

    def add(self) -> None:
        """A form has no rows to add."""
        self.screen.say("This form has no rows to add")
