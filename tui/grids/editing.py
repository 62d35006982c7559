"""Editing in the table cell: what each key does to the cell under the cursor.

The typed text lives in the editor until it is confirmed; a value that cannot be taken stays in
the open editor with a sentence about it, and the old value stays in the build. What is typed
next then takes its place, as it does in a cell; other keys go on with the text.
"""

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol

from textual.events import Key

from domain.build.edits import Edit, EditRefused
from domain.sheet import Sheet
from tui.bench import Bench
from tui.tables.columns import Column, Fuse
from tui.widgets.cell_text import typed
from tui.widgets.grid import Grid, resolved

if TYPE_CHECKING:
    from domain.build.lengths import TakenAs
    from tui.widgets.editor import UnseenEditor

PASSED_ON = frozenset(
    ("f1", "f9", "ctrl+q", "ctrl+p", "shift+up", "shift+down", "shift+pageup", "shift+pagedown")
)
"""Keys that leave the open editor as it is."""

DROPPING = frozenset(("escape", "ctrl+z"))
"""Keys that drop what was typed."""


MOVES: dict[str, Callable[[Grid], None]] = {
    "up": Grid.action_cursor_up,
    "down": Grid.action_cursor_down,
    "left": Grid.action_cursor_left,
    "right": Grid.action_cursor_right,
    "home": Grid.action_scroll_home,
    "end": Grid.action_scroll_end,
    "ctrl+home": Grid.action_scroll_top,
    "ctrl+end": Grid.action_scroll_bottom,
    "pageup": Grid.action_page_up,
    "pagedown": Grid.action_page_down,
}
"""Keys that move the cursor."""


class Host(Protocol):
    """What editing needs of its screen."""

    grid: Grid

    @property
    def workbench(self) -> Bench[Any]:
        """What is shown and edited."""

    @property
    def narrowed(self) -> str:
        """What the tables shown are narrowed to."""

    def say(self, text: str, *, bad: bool = False) -> None:
        """Show a sentence in the status line."""

    def tell(self, text: str) -> None:
        """Say what should not be missed; it stays until the next key."""

    def refuse(self, text: str) -> None:
        """Say why a typed value cannot be taken, in full, and how to get out of it."""

    def describe_cell(self) -> None:
        """Show in the status line what the cell under the cursor is."""

    def show_preview(self, sheet: Sheet | None) -> None:
        """Show the figures as they would be, or (None) as they are."""

    def once_painted(self, follow: Callable[[], None]) -> None:
        """Call this when what was drawn stands on the screen."""

    def commit(self, edit: Edit) -> bool:
        """Make an edit; false when it was refused, with the reason in the status line."""

    def show_grids(self) -> None:
        """Fill the tables anew."""

    def pick(self, title: str, column: Column, options: list[tuple[str, Edit]]) -> None:
        """Let the user choose one of the edits of a column from a list."""

    def kept(self) -> str:
        """Why typing does not replace the cell under the cursor; empty: it does."""

    def remove_row(self) -> None:
        """Remove the row under the cursor."""

    def leave_table(self, step: int) -> None:
        """Go on to the next (1) or previous (-1) table."""

    def copy(self, text: str) -> None:
        """Put a text on the clipboard."""


class CellEditing:
    """The cell under the cursor and the text that is typed into it."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self._known: set[str] = set()
        """Rules by which bare numbers are taken that were told already."""
        self.open = False
        self._grid: Grid = None  # type: ignore[assignment]
        self._row = ""
        self._column: Column = None  # type: ignore[assignment]
        self._opened = ""
        self._over_chosen = False
        """Whether something is typed over what was chosen: the same is then set by hand."""
        self._place = ""
        self._previewed = ""
        self._refused = False

    @cached_property
    def editor(self) -> "UnseenEditor":
        """Holds what is typed; made for the first cell that is opened."""
        from tui.widgets.editor import UnseenEditor

        return UnseenEditor()

    def cell(self) -> tuple[Column, Any] | None:
        """Column and record under the cursor; ``None`` in an empty table."""
        grid, record = self.host.grid, self._record()
        if record is None:
            return None
        column = grid.spec.columns[grid.cursor_column]
        return resolved(column, self.host.workbench.document, record)

    def _record(self) -> Any:
        """What the row with the cursor is of; ``None`` in an empty table."""
        grid, bench = self.host.grid, self.host.workbench
        rows = grid.spec.rows(bench.document, bench.sheet, self.host.narrowed)
        return next((record for record in rows if record.id == grid.row_id), None)

    def key(self, event: Key) -> bool:
        """Take a key; false when it means nothing here."""
        return self._key_while_open(event) if self.open else self._key_on_cell(event)

    def start(self, text: str | None = None) -> None:
        """Open the cell under the cursor, with this text or with its own."""
        cell = self.cell()
        if cell is None:
            self.host.describe_cell()
            return
        column, record = cell
        bench = self.host.workbench
        if not column.editable:
            self.host.say(column.why_fixed)
            return
        self._grid, self._row, self._column = self.host.grid, self.host.grid.row_id, column
        self._opened = column.opened(bench.document, bench.sheet, record)
        may_keep = text is not None and column.optional
        kept = column.pinned(bench.document, bench.sheet, record) if may_keep else None
        self._over_chosen = kept is not None
        self._place = self._grid.spec.columns[self._grid.cursor_column].id
        self.editor.value = self._opened if text is None else text
        self.editor.cursor_position = len(self.editor.value)
        self.open = True
        bench.begun = bench.revision
        self._draw()
        if text is not None:
            self.host.once_painted(self._preview_last)

    def _begin(self, text: str) -> None:
        """Open the cell with what is typed or pasted over it, where that may replace it."""
        kept = self.host.kept()
        if kept:
            self.host.say(kept)
        else:
            self._to_own_cell()
            self.start(text)

    def _to_own_cell(self) -> None:
        """A row that brings a column of its own is typed into there, wherever on it one is."""
        grid, own = self.host.grid, getattr(self._record(), "column", None)
        if own is not None and own.id != grid.spec.columns[grid.cursor_column].id:
            grid.go(grid.row_id, own.id)

    @property
    def refused(self) -> bool:
        """Whether what stands in the open cell was not taken."""
        return self._refused

    @property
    def place(self) -> tuple[str, str, str]:
        """Table, row and column of the open cell."""
        return self._grid.spec.id, self._row, self._place

    def shown_anew(self) -> bool:
        """What follows from the document is shown under the open cell: its figures again.

        False where its row is gone: what was typed cannot be taken, it is told and dropped.
        """
        if not self.open:
            return True
        if self._row in self._grid.row_ids:
            if self.editor.value != self._opened and not self._refused:
                self._preview()
            return True
        text = self.editor.value
        self._close()
        self.host.show_preview(None)
        self.host.say(f"The row is gone that {text!r} was typed into: it was not taken", bad=True)
        return False

    def drop(self) -> None:
        """Close the editor; the old value stays."""
        if self.open:
            self._close()
            self.host.show_preview(None)
            self.host.describe_cell()

    def confirm(self) -> bool:
        """Commit what was typed; false (and still open) when it cannot be taken."""
        if not self.open:
            return True
        text = self.editor.value
        if text == self._opened and not self._over_chosen:
            self.drop()
            return True
        try:
            edit, taken = self._edit(text)
            changes = self._column.changes(self.host.workbench, edit)
        except ValueError as error:
            # A part of it may have been a value: the figures are those of the plan again.
            self.host.show_preview(None)
            self.host.refuse(f"Not taken: {error}")
            self._refused = True
            self._draw()
            return False
        if not changes:
            self.drop()
            return True
        if not self._column.commit(self.host, edit):
            return False
        self._close()
        if taken and not self.host.workbench.notice and taken.rule not in self._known:
            self.host.tell(taken.said)
            self._known |= {taken.rule} - {""}
        return True

    def let_go(self, keys: Sequence[str]) -> bool:
        """Leave the cell for an action that has these keys, as a press of one of them does.

        False where what is typed cannot be taken, or was dropped: nothing else is done then.
        """
        if not self.open or not PASSED_ON.isdisjoint(keys):
            return True
        if not DROPPING.isdisjoint(keys):
            self.drop()
            return False
        return self.confirm()

    def typed(self, text: str) -> None:
        """Take pasted text."""
        lines = text.splitlines()
        if len(lines) > 1:
            self.host.say("Only one line can be pasted into a cell: nothing was taken", bad=True)
            return
        if lines and not self.open:
            self._begin("")
        if lines and self.open:
            self._anew()
            self.editor.insert_text_at_cursor(lines[0])
            self._draw()
            self._preview()

    def back_to_cell(self) -> None:
        """Put the cursor back on the cell that is open."""
        self._grid.go(self._row, self._place)

    def move(self, step: int) -> None:
        """Go to the next (1) or previous (-1) cell that can be edited, over row ends."""
        grid = self.host.grid
        row, column = grid.cursor_coordinate
        columns = grid.spec.columns
        while True:
            column += step
            if not 0 <= column < len(columns):
                row += step
                column = 0 if step > 0 else len(columns) - 1
            if not 0 <= row < grid.row_count:
                self.host.leave_table(step)
                return
            if columns[column].editable:
                grid.move_cursor(row=row, column=column)
                return

    def _key_while_open(self, event: Key) -> bool:
        key = event.key
        if key in DROPPING:
            self.drop()
        elif key == "enter":
            after = self._column.after_enter
            if self.confirm():
                self._go_on(after)
        elif key in ("tab", "shift+tab"):
            if self.confirm():
                self.move(1 if key == "tab" else -1)
        elif key in ("up", "down"):
            if self.confirm():
                self._go(key)
        elif self._press(key, event.character):
            self._draw()
            self.host.once_painted(self._preview_last)
        elif key in PASSED_ON:
            return False
        else:
            return not self.confirm()
        return True

    def _press(self, key: str, character: str | None) -> bool:
        """Take a key that works inside the text."""
        if typed(key, character):
            self._anew()
        taken = self.editor.press(key, character)
        if taken:
            self._refused = False
        return taken

    def _anew(self) -> None:
        """After a refusal the text is as if selected: what comes next takes its place."""
        if self._refused:
            self.editor.value = ""
            self._refused = False

    def _key_on_cell(self, event: Key) -> bool:
        key = event.key
        if key in MOVES:
            self._go(key)
        elif key == "enter":
            self._enter()
        elif key in ("tab", "shift+tab"):
            self.move(1 if key == "tab" else -1)
        elif key == "delete" and self.host.grid.cursor_column == 0 and self._removable():
            self.host.remove_row()
        elif key in ("delete", "backspace"):
            self.give_back()
        elif key == "space":
            self._step()
        elif key == "ctrl+c":
            self._copy()
        elif key == "equals_sign" and self._pin():
            pass
        elif event.character and typed(key, event.character) and key != "question_mark":
            self._begin(event.character)
        else:
            return False
        return True

    def _go(self, key: str) -> None:
        """Move the cursor, over the table's edge too."""
        grid = self.host.grid
        step = {"up": -1, "down": 1}.get(key, 0)
        if step and not 0 <= grid.cursor_row + step < grid.row_count:
            self.host.leave_table(step)
        else:
            MOVES[key](grid)

    def _go_on(self, after: str) -> None:
        """Where enter leads once a value was taken."""
        if after == "down":
            self.down()
        elif after == "right":
            self.move(1)

    def down(self) -> None:
        """Go down the column to the next cell to be filled in; where there is none, stay."""
        grid, bench = self.host.grid, self.host.workbench
        row, place = grid.cursor_coordinate
        rows = grid.spec.rows(bench.document, bench.sheet, self.host.narrowed)
        for below in range(row + 1, len(rows)):
            column, record = resolved(grid.spec.columns[place], bench.document, rows[below])
            if column.editable and column.fills(record):
                grid.move_cursor(row=below, column=place)
                return
        self.host.describe_cell()

    def _enter(self) -> None:
        cell = self.cell()
        if cell is None:
            self.start()
            return
        column, record = cell
        options = column.options(self.host.workbench.document, record)
        if options:
            self.host.pick(column.title, column, options)
        else:
            self.start()

    def _removable(self) -> bool:
        return self.host.grid.spec.of_records and bool(self.host.grid.row_id)

    def give_back(self) -> None:
        """Leave the cell under the cursor to be chosen again; forget a reading."""
        cell = self.cell()
        if cell is None:
            return
        column, record = cell
        edit = column.given_back(record)
        if edit is not None:
            column.commit(self.host, edit)
        elif column.editable:
            self.host.say(f"{column.title} cannot be left to be chosen; type a value instead")

    def _step(self) -> None:
        cell = self.cell()
        if cell is None:
            return
        column, record = cell
        edit = column.stepped(self.host.workbench.document, record)
        if edit is not None:
            column.commit(self.host, edit)
        elif kept := self.host.kept():
            self.host.say(kept)  # a space in what is typed there opens it no more than a letter
        else:
            self.start()

    def _pin(self) -> bool:
        cell = self.cell()
        if cell is None or not cell[0].editable:
            return False
        column, record = cell
        if not column.optional and not isinstance(column, Fuse):
            return False
        bench = self.host.workbench
        edit = column.pinned(bench.document, bench.sheet, record)
        if edit is None:
            self.host.say(f"{column.title} has nothing to pin here")
        else:
            column.commit(self.host, edit)
        return True

    def _copy(self) -> None:
        cell = self.cell()
        if cell is not None:
            bench = self.host.workbench
            self.host.copy(cell[0].shown(bench.document, bench.sheet, cell[1]))

    def _edit(self, text: str) -> tuple[Edit, "TakenAs | None"]:
        """The edit that a text asks for, and what is to be said of how it was taken."""
        bench = self.host.workbench
        rows = self._grid.spec.rows(bench.document, bench.sheet, self.host.narrowed)
        record = next((r for r in rows if r.id == self._row), None)
        if record is None:
            raise EditRefused("this row is gone")
        column, record = resolved(self._column, bench.document, record)
        edit: Edit = column.typed(bench.document, record, text)
        return edit, column.taken(bench.document, record, text)

    def _draw(self) -> None:
        editor = self.editor
        self._grid.draw_edit(
            self._row, self._place, editor.value, editor.cursor_position, marked=self._refused
        )

    def _preview_last(self) -> None:
        """Figures for what is typed by now, if they are not shown yet."""
        if self.open and self.editor.value != self._previewed and not self._refused:
            self._preview()

    def _preview(self) -> None:
        """Figures for what is typed so far; half-typed values leave the last ones standing."""
        self._previewed = self.editor.value
        try:
            edit, _ = self._edit(self._previewed)
            sheet = self._column.preview(self.host.workbench, edit)
        except ValueError:
            return
        self.host.show_preview(sheet)

    def _close(self) -> None:
        self.open = False
        self.host.workbench.begun = None
        self._refused = False
        self._previewed = ""
        self._grid.draw_edit(self._row, self._place, "", -1)
