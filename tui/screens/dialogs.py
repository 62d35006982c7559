"""Small modal screens: a list to pick from, and the help page."""

from collections.abc import Sequence

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from tui.widgets.cut import cut


class Pick(ModalScreen[int | None]):
    """Choose one of a list with arrows, its first letters, or a click; escape leaves all as is."""

    CSS_PATH = "dialogs.tcss"
    BINDINGS = [Binding("escape", "leave", "Leave it", show=False)]

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

    def on_key(self, event: object) -> None:
        """Letters go to the first name that begins with them."""
        character = getattr(event, "character", None)
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
    """The keys of a screen and what the field under the cursor takes. Any key closes it."""

    CSS_PATH = "dialogs.tcss"
    BINDINGS = [
        Binding("escape,enter,f1,question_mark,q", "leave", "Close", show=False),
    ]

    def __init__(self, title: str, about: str, sections: Sequence[tuple[str, Sequence[tuple[str, str]]]]) -> None:
        super().__init__()
        self._title = title
        self._about = about
        self._sections = sections

    def compose(self) -> ComposeResult:
        """One page of plain text."""
        text = Text()
        if self._about:
            text.append(self._about + "\n\n")
        for heading, rows in self._sections:
            text.append(heading + "\n", "bold")
            for keys, what in rows:
                text.append(f"  {keys:<22}{what}\n")
            text.append("\n")
        with Vertical(id="page"):
            yield Static(Text(f"{self._title}   (escape closes)"), id="heading")
            with VerticalScroll():
                yield Static(text)

    def on_mount(self) -> None:
        """Arrows scroll the page."""
        self.query_one(VerticalScroll).focus()

    def action_leave(self) -> None:
        """Close the page."""
        self.dismiss(None)
