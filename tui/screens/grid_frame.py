"""A screen of tables that can be edited: edits, undo, keys and clicks on top of what is shown."""

import inspect
from typing import Any

from textual import on
from textual.events import Key, Paste
from textual.widgets import DataTable

from domain.build.edits import Edit, EditRefused
from storage.errors import StoreError
from tui.screens.dialogs import Pick
from tui.screens.grid_view import GridView
from tui.views.build_actions import actions_of
from tui.widgets.grid import Grid
from tui.workbench import Bench


class GridFrame(GridView):
    """Turns keys into edits of the bench. Which actions there are is up to ``where``."""

    def __init__(self, bench: Bench[Any]) -> None:
        super().__init__(bench)
        self._actions = {
            key: action.id for action in actions_of(self.where) for key in action.keys if action.id
        }
        self._telling = False
        """Whether what was told stays although the cursor moves on."""

    def key_elsewhere(self, event: Key) -> bool:
        """Take a key that is for none of the tables; false where it is none of them."""
        return False

    def action_remove(self) -> None:
        """Remove the row under the cursor."""
        raise NotImplementedError

    # Edits

    def commit(self, edit: Edit) -> bool:
        """Make an edit and show what follows; the reason is told when it cannot be made."""
        try:
            self.workbench.do(edit)
        except EditRefused as error:
            self.warn(f"Not taken: {error}")
            return False
        except StoreError as error:
            self.warn(f"Not saved: {error}")
            return False
        self.show_all()
        self.tell()
        return True

    def tell(self) -> None:
        """What the user should be told about the last edit; it stays until the next key."""
        if self.workbench.told:
            self.say(self.workbench.told)
            self._telling = True

    def changes(self, edit: Edit) -> bool:
        """Whether an edit changes anything; ``EditRefused`` when it cannot be made."""
        return self.workbench.changes(edit)

    def _new(self, edit: Edit) -> bool:
        try:
            return self.changes(edit)
        except EditRefused:
            return True

    def pick(self, title: str, options: list[tuple[str, Edit]]) -> None:
        """Let the user choose one of the edits."""
        marked = next((i for i, (_, edit) in enumerate(options) if not self._new(edit)), 0)

        def chosen(place: int | None) -> None:
            if place is not None and self._new(options[place][1]):
                self.commit(options[place][1])

        self.app.push_screen(Pick(title, [name for name, _ in options], marked), chosen)

    def copy(self, text: str) -> None:
        """Put a text on the clipboard."""
        self.app.copy_to_clipboard(text)
        self.say(f"Copied {text}")

    def action_undo(self) -> None:
        """Take the last change back."""
        self._step_back("undo")

    def action_redo(self) -> None:
        """Make it again."""
        self._step_back("redo")

    def _step_back(self, way: str) -> None:
        try:
            done = self.workbench.undo() if way == "undo" else self.workbench.redo()
        except (StoreError, EditRefused) as error:
            self.say(f"Not done: {error}", bad=True)
            return
        if not done:
            self.say(f"Nothing to {way}")
            return
        self.show_all()
        self.say(self.workbench.told)

    def action_palette(self) -> None:
        """Every command by name."""
        self.app.action_command_palette()

    # Keys and clicks

    async def on_key(self, event: Key) -> None:
        """Every key, in the order typed: first the cell takes it, then the actions."""
        self._telling = False
        action = self._actions.get(event.key)
        if self.key_elsewhere(event) or self.editing.key(event):
            action = None
        elif action is None or action in ("palette", "quit"):
            return
        event.stop()
        event.prevent_default()
        if action is not None:
            await self.run(action)

    def on_paste(self, event: Paste) -> None:
        """Pasted text goes into the cell."""
        event.stop()
        self.editing.typed(event.text)

    async def run(self, action: str) -> None:
        """Start an action by its id."""
        done = getattr(self, f"action_{action}")()
        if inspect.isawaitable(done):
            await done

    @on(DataTable.CellHighlighted)
    def _highlighted(self, event: DataTable.CellHighlighted) -> None:
        if event.data_table is not self.grid or self.editing.open:
            return
        self.show_cursor()
        if self.said_at != self.cell_at_hand() and not self._telling:
            self.describe_cell()
        self.cursor_moved()

    @on(DataTable.CellSelected)
    def _cell_clicked_again(self, event: DataTable.CellSelected) -> None:
        if event.data_table is self.grid and not self.editing.open:
            self.editing.start()

    @on(Grid.Clicked)
    def _clicked(self, event: Grid.Clicked) -> None:
        if self.editing.confirm():
            self.focus_grid(event.grid)
            return
        event.grid.show_cursor = event.grid is self.grid
        self.editing.back_to_cell()
