"""Small modal screens: a list to pick from, a line to type, and the help page."""

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from tui.widgets.cell_text import cut, left, wrap
from tui.widgets.editor import MOST_TYPED

Section = tuple[str, Sequence[tuple[str, str]]]
"""A heading with its rows of (keys, what they do)."""

KEYS_WIDTH = 21
"""Cells for the keys on the help page."""


class Pick(ModalScreen[int | None]):
    """Choose one of a list with arrows, its first letters, or a click; escape leaves all as is."""

    CSS_PATH = "boxes.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave it", show=False)]

    def __init__(self, title: str, names: Sequence[str], marked: int = 0) -> None:
        super().__init__()
        self._title = title
        self._names = list(names)
        self._marked = marked
        self._typed = ""

    def compose(self) -> ComposeResult:
        """Title and list."""
        with Vertical(id="box"):
            yield Static(Text(cut(self._title, 60)), id="heading")
            yield OptionList(*(Option(Text(cut(name, 60))) for name in self._names))

    def on_mount(self) -> None:
        """Start at the present value."""
        options = self.query_one(OptionList)
        options.highlighted = self._marked if self._names else None
        options.focus()

    def on_key(self, event: Key) -> None:
        """Letters go to the first name that begins with them."""
        character = event.character
        if not character or not character.isprintable():
            return
        for typed in (self._typed + character, character):
            for place, name in enumerate(self._names):
                if name.lower().startswith(typed.lower()):
                    self._typed = typed
                    self.query_one(OptionList).highlighted = place
                    return

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the chosen one."""
        self.dismiss(event.option_index)

    def action_leave(self) -> None:
        """Close without choosing."""
        self.dismiss(None)


class Help(ModalScreen[None]):
    """The keys of a screen and what the field under the cursor takes."""

    CSS_PATH = "boxes.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,f1,question_mark,q", "leave", "Close", show=False),
    ]

    def __init__(self, about: Sequence[str], sections: Sequence[Section]) -> None:
        super().__init__()
        self._about = about
        self._sections = sections

    def compose(self) -> ComposeResult:
        """One page of plain text."""
        with Vertical(id="page"):
            yield Static(Text("Help: arrows scroll, escape closes"), id="heading")
            with VerticalScroll():
                yield Static(self._page(max(self.app.size.width - 10, 40)))

    def _page(self, width: int) -> Text:
        text = Text(no_wrap=True)
        for paragraph in self._about:
            text.append("\n".join([*wrap(paragraph, width), "", ""]))
        for heading, rows in self._sections:
            text.append(heading + "\n", "bold")
            for keys, what in rows:
                first, *rest = wrap(what, width - KEYS_WIDTH) or [""]
                text.append(f"  {left(keys, KEYS_WIDTH - 3)} {first}\n")
                for line in rest:
                    text.append(" " * KEYS_WIDTH + line + "\n")
            text.append("\n")
        return text

    def on_mount(self) -> None:
        """Arrows scroll the page."""
        self.query_one(VerticalScroll).focus()

    def action_leave(self) -> None:
        """Close the page."""
        self.dismiss(None)


class Ask(ModalScreen[str | None]):
    """Ask for one line of text; enter takes it, escape leaves all as is."""

    CSS_PATH = "boxes.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave it", show=False)]

    def __init__(self, title: str, text: str) -> None:
        super().__init__()
        self._title = title
        self._text = text

    def compose(self) -> ComposeResult:
        """Title and field."""
        with Vertical(id="box"):
            yield Static(Text(cut(self._title, 60)), id="heading")
            field = Input(self._text, compact=True, select_on_focus=False, max_length=MOST_TYPED)
            field.cursor_blink = False
            yield field

    def on_mount(self) -> None:
        """Type at once."""
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take what was typed."""
        self.dismiss(event.value)

    def action_leave(self) -> None:
        """Close without an answer."""
        self.dismiss(None)
