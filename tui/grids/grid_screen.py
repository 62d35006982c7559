"""A screen of views with tables: keys, clicks and edits, and what is said of them.

It shows a bench: an open build, or the shop. The views that it holds say which tables there
are and what is done to them; what is said goes to its status line, what is typed to its
editing.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.app import SystemCommand
from textual.events import Key, Paste, ScreenResume
from textual.widgets import DataTable

from domain.build.dialect import speech_of
from domain.build.edits import Edit, EditRefused
from domain.document.records import find
from domain.sheet import Sheet
from storage.errors import StoreError
from tui.actions import CELL_KEYS, Action, commands_of, help_rows, key_line, start
from tui.bench import Bench
from tui.grids import going_on
from tui.grids.cell_help import in_one_line
from tui.grids.editing import CellEditing
from tui.grids.edits import pick_edit
from tui.grids.pasting import is_rows, paste_rows
from tui.grids.places import places
from tui.grids.shown_views import ShownViews
from tui.grids.together import Together
from tui.tables.columns import Column
from tui.widgets.closing import ClosesOnce
from tui.widgets.grid import Grid
from tui.widgets.key_line import Keys
from tui.widgets.line_view import LineView
from tui.widgets.picture_view import PictureView
from tui.widgets.speech import speak

if TYPE_CHECKING:
    from storage.store.presence import Present


class GridScreen(ShownViews, ClosesOnce[None]):
    """Holds views over a bench, shows one of them, and turns keys into edits of the bench."""

    AUTO_FOCUS = ""
    actions: ClassVar[Sequence[Action[Any]]] = ()
    """What can be done on it, those of its views among them, in the order of the help page."""
    legend: ClassVar[str] = ""
    """What the help page says of the screen as a whole."""
    signs: ClassVar[Sequence[tuple[str, str]]] = ()
    """Signs in its tables, and what they mean."""
    keys_title: ClassVar[str] = ""
    """What stands over its actions on the help page."""

    def __init__(self, bench: Bench[Any]) -> None:
        super().__init__(bench)
        self.together = Together(self)
        self._said_at = ("", "", 0)
        """Where the cursor was when the status line was last written."""
        self._keep_notice = False
        """Whether what was said stays although the cursor moves on."""
        self.preview: Sheet | None = None
        """What would follow from what is typed; ``None``: what is shown follows from what is."""
        self._by_id = {action.id: action for action in self.actions}
        self._by_key = {key: action for action in self.actions for key in action.keys}

    async def on_mount(self) -> None:
        """Show the first view."""
        self.editing = CellEditing(self)
        self.status.show_keys()
        self.view.before_first_visit()
        await self.show_view(self.view)
        self.show_all()
        self.view.after_first_visit()
        self.opened()
        await going_on.go_on(self)

    def on_screen_resume(self, event: ScreenResume) -> None:
        """Another screen was shown in between, in its own words, and others may have gone on."""
        speak(self.app, speech_of(self.workbench.document))
        event.refresh_styles = False  # each widget was styled when it was mounted
        if self.visited:
            self.together.catch_up()

    # What the screens made of it say

    @property
    def place(self) -> tuple[int | None, str]:
        """Where others see one at work: the build by its key, if it is one, and the page."""
        raise NotImplementedError

    def others_wrote(self, others: "Sequence[Present]") -> bool:
        """Others have written to the store, or came, or went: show what concerns this screen."""
        if not self.visited:
            return False
        self.together.meet([each for each in others if self.shares(each)])
        self.together.catch_up()
        return True

    def shares(self, other: "Present") -> bool:
        """Whether somebody else is at work on what this shows."""
        return other.build_key == self.place[0]

    def opened(self) -> None:
        """It was opened, and all is shown."""

    def show_header(self) -> None:
        """What stands above the views."""

    def show_figures(self) -> None:
        """What stands beside the views; from the sheet as it is, or as it would be."""

    def take_key(self, event: Key) -> bool:
        """Take a key before the cell does; false where it means nothing special here."""
        return not self.editing.open and self.view.take_key(event)

    async def follow(self, kind: str, rest: str) -> None:
        """Go where a click on something else than a table or an action leads."""

    # Views

    def keys_here(self) -> Keys:
        """The key line: what this view alone can do, then what can be done on all of them."""
        own = [action for action in self.actions if action in self.view.actions]
        shared = [a for a in self.actions if not any(a in view.actions for view in self.views)]
        return key_line((*own, *shared))

    def commands(self) -> Iterator[SystemCommand]:
        """Every action, then every table and column, to be gone to by name."""
        yield from commands_of(self.actions, self.action_start)
        for title, about, go in places(self):
            # Found by name only: unasked they would bury the commands.
            yield SystemCommand(title, about, go, discover=False)

    def show_all(self) -> None:
        """Show everything as it is now."""
        self.preview = None
        self.show_header()
        self.show_grids()
        self.show_figures()
        self.view.draw()

    def show_preview(self, sheet: Sheet | None) -> None:
        """What follows from a value that is being typed; ``None``: from what is there."""
        before, self.preview = self.preview, sheet
        if (before is None) is not (sheet is None):
            self.show_header()
        self.show_figures()
        self._draw_beside()

    def _draw_beside(self) -> None:
        self.view.draw(typing=self.preview is not None)

    def once_painted(self, follow: Callable[[], None]) -> None:
        """Call this when what was drawn stands on the screen."""
        self.grid.call_after_refresh(follow)

    def returned(self, _: None = None) -> None:
        """Another screen was shown in between, and what it shows may have changed."""
        for view in self.views:
            view.returned()

    # Status

    def say(self, text: str, *, bad: bool = False) -> None:
        """One sentence in the status line. It stays until the cursor moves."""
        self._said_at = self._cell_at_cursor()
        self.status.say(text, bad=bad)

    def refuse(self, text: str) -> None:
        """Why a typed value cannot be taken, and the ways on."""
        self._said_at = self._cell_at_cursor()
        self.status.refuse(text)

    def warn(self, text: str) -> None:
        """What went wrong, in full."""
        self._said_at = self._cell_at_cursor()
        self.status.warn(text)

    def notice(self) -> str:
        """What the user should know about the last edit; empty: nothing."""
        return self.workbench.notice

    def show_notice(self) -> None:
        """The notice of the last edit, until the next key; where there is none, the cell.

        What was said of the edit before would be taken for what is said of this one.
        """
        if said := self.notice():
            self.tell(said)
        else:
            self.describe_cell()
            self.view.table().tell_more()

    def tell(self, text: str) -> None:
        """Say in full what should not be missed; it stays until the next key."""
        self._said_at = self._cell_at_cursor()
        self.status.tell(text)
        self._keep_notice = True

    def tell_of_cell(self, text: str) -> None:
        """Say in full what there is to say of the cell; it stays until the cursor moves."""
        self._said_at = self._cell_at_cursor()
        self.status.tell(text)

    @property
    def keeps_notice(self) -> bool:
        """Whether what was said stays although the cursor moves on."""
        return self._keep_notice

    def describe_cell(self) -> None:
        """What the cell under the cursor is and takes, in one line."""
        self.say(in_one_line(self.about_cell(), max(self.size.width, 20) - 1))

    def about_cell(self) -> str:
        """What the cell under the cursor is and takes, as a sentence."""
        cell = self.editing.cell()
        if cell is None:
            spec = self.grid.spec
            return f"{spec.name}: {spec.empty or 'none yet, ctrl+n adds one'}"
        told, row = cell[0].described(self.workbench.document), self._row_without_a_name()
        return f"{row}. {told}" if row else told

    def _row_without_a_name(self) -> str:
        """What findings call the row with the cursor, where no cell of it says so; else empty."""
        document = self.workbench.document
        record = find(document, self.grid.row_id)
        if type(record) not in document.NAMELESS:
            return ""
        called: str = document.name_of(record)
        return called[:1].upper() + called[1:]

    def _cell_at_cursor(self) -> tuple[str, str, int]:
        return self.grid.spec.id, self.grid.row_id, self.grid.cursor_column

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
        self.show_notice()
        return True

    def pick(self, title: str, column: Column, options: list[tuple[str, Edit]]) -> None:
        """Let the user choose one of the edits of a column."""
        pick_edit(self, title, column, options)

    def kept(self) -> str:
        """Why typing does not replace what stands in the cell under the cursor; empty: it does."""
        return self.view.table().kept()

    def remove_row(self) -> None:
        """Remove the row under the cursor."""
        self.view.table().remove()

    def copy(self, text: str) -> None:
        """Put a text on the clipboard."""
        self.app.copy_to_clipboard(text)
        self.say(f"Copied {text}")

    # Actions

    async def action_start(self, id: str) -> None:
        """Start an action by its id, on the view that has it, or on the screen."""
        action = self._by_id[id]
        if not self.editing.let_go(action.keys):
            return
        owner = next((view for view in self.views if action in view.actions), None)
        if action.elsewhere and owner is not self.view:
            self.say(action.elsewhere)
        else:
            if action.tells:
                self.before_telling()
            await start(action, owner or self)

    def before_telling(self) -> None:
        """Something is about to be told, printed or kept of what follows."""

    def show_help(self) -> None:
        """Keys of this screen and the field under the cursor."""
        from tui.dialogs.boxes import Help

        about = [text for text in (self.about_cell(), self.legend) if text]
        self.app.push_screen(Help(about, self.help_sections()))

    def help_sections(self) -> list[tuple[str, list[tuple[str, str]]]]:
        """The help page: keys in a table, and those of this screen."""
        return [
            *([("Signs", list(self.signs))] if self.signs else []),
            ("In a table", help_rows(CELL_KEYS)),
            (self.keys_title, help_rows(self.actions)),
        ]

    def go_back(self) -> None:
        """Leave the screen, to where it was opened from."""
        if self.editing.confirm():
            self.dismiss(None)

    # Keys and clicks

    async def on_key(self, event: Key) -> None:
        """Every key, in the order typed: first the cell takes it, then the actions."""
        self._keep_notice = False
        action = self._by_key.get(event.key)
        if self.take_key(event) or self.editing.key(event):
            action = None
        elif action is None or action.id in ("palette", "quit"):
            return
        event.stop()
        event.prevent_default()
        if action is not None:
            await self.action_start(action.id)

    def on_paste(self, event: Paste) -> None:
        """Pasted text goes into the cell, unless the view has another place for it."""
        event.stop()
        if self.view.take_text(event.text):
            return
        if is_rows(event.text) and not self.editing.open:
            paste_rows(self, event.text)
        else:
            self.editing.typed(event.text)

    @on(DataTable.CellHighlighted)
    def _highlighted(self, event: DataTable.CellHighlighted) -> None:
        if event.data_table is not self.grid or self.editing.open:
            return
        self.show_cursor()
        if self._said_at != self._cell_at_cursor() and not self._keep_notice:
            self.describe_cell()
        self.view.table().cursor_moved()
        self.view.draw()

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

    @on(Grid.Refitted)
    def _refitted(self, event: Grid.Refitted) -> None:
        if event.grid in self.grids():
            self.show_captions()

    @on(LineView.Chosen)
    async def _chosen(self, event: LineView.Chosen) -> None:
        kind, _, rest = event.target.partition(":")
        if not self.editing.confirm():
            return
        if kind == "table":
            self.focus_grid(self.grid_of(rest))
        elif event.target in self._by_id:
            await self.action_start(event.target)
        else:
            await self.follow(kind, rest)

    @on(PictureView.Sized)
    def _picture_sized(self) -> None:
        self._draw_beside()
