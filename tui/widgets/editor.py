"""The text that is typed into a cell or a filter, with its cursor.

It never takes the focus: the table keeps it and passes the keys on, and the table draws the
text in its cell. Moving the focus, or laying a field over the table, would send the whole
screen again at each edit.
"""

from collections.abc import Callable

from textual.message import Message
from textual.widgets import Input

from tui.widgets.cell_text import typed

MOVES: dict[str, Callable[[Input], None]] = {
    "left": Input.action_cursor_left,
    "right": Input.action_cursor_right,
    "ctrl+left": Input.action_cursor_left_word,
    "ctrl+right": Input.action_cursor_right_word,
    "home": Input.action_home,
    "end": Input.action_end,
    "ctrl+e": Input.action_end,
    "backspace": Input.action_delete_left,
    "delete": Input.action_delete_right,
    "ctrl+w": Input.action_delete_left_word,
    "ctrl+u": Input.action_delete_left_all,
    "ctrl+k": Input.action_delete_right_all,
}
"""Keys that work inside the text."""

MOST_TYPED = 500
"""No cell takes a longer text."""


class Editor(Input, can_focus=False):
    """A compact input without focus of its own."""

    DEFAULT_CSS = """
    Editor { display: none; height: 1; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(compact=True, select_on_focus=False, max_length=MOST_TYPED, id=id)
        self.cursor_blink = False

    def on_mount(self) -> None:
        """Draw the cursor although the focus is elsewhere."""
        self.set_reactive(Input.has_focus, True)

    def press(self, key: str, character: str | None) -> bool:
        """Take a key; false when it is none that works inside a text."""
        if key in MOVES:
            MOVES[key](self)
            return True
        if character and typed(key, character):
            self.insert_text_at_cursor(character)
            return True
        return False


class UnseenEditor(Editor, can_focus=False):
    """One that is on no screen: what it holds is drawn by something else."""

    def post_message(self, message: Message) -> bool:
        """Nobody takes its messages: none is kept."""
        return False
