"""Choose one of a long list: typing narrows it, arrows mark, enter takes."""

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.events import Key, Paste
from textual.widgets import Static
from textual.widgets.option_list import Option

from tui.dialogs.boxes import LIST_MOVES, mark_another
from tui.widgets.cell_text import cut
from tui.widgets.choice_list import ChoiceList
from tui.widgets.closing import Dialog
from tui.widgets.editor import Editor
from tui.widgets.speech import speech_of_app

WIDTH = 60


class Find(Dialog[int | None]):
    """Gives the place of the chosen name; escape leaves all as is."""

    CSS_PATH = "boxes.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "app.quit", "Quit", show=False, priority=True)
    ]

    def __init__(self, title: str, names: Sequence[str]) -> None:
        super().__init__()
        self._title = title
        self._names = list(names)
        self._shown = list(range(len(self._names)))

    def compose(self) -> ComposeResult:
        """Title, what is typed, list."""
        with Vertical(id="box"):
            yield Static(Text(cut(self._title, WIDTH)), id="heading")
            yield Editor(id="wanted")
            yield ChoiceList()

    def fitting(self, typed: str) -> list[int]:
        """The places of the names that have every typed word."""
        words = typed.casefold().split()
        return [
            place
            for place, name in enumerate(self._names)
            if all(word in name.casefold() for word in words)
        ]

    def option(self, place: int) -> Option:
        """How the name at this place is shown."""
        return Option(Text(cut(self._names[place], WIDTH)), id=str(place))

    def on_mount(self) -> None:
        """Show all, in the words of the open build."""
        said = speech_of_app(self.app)
        self._title, self._names = said(self._title), [said(name) for name in self._names]
        options = self.query_one(ChoiceList)
        options.can_focus = False
        self._show()

    def _show(self) -> None:
        self._shown = self.fitting(self.query_one(Editor).value)
        options = self.query_one(ChoiceList)
        options.clear_options()
        options.add_options(self.option(at) for at in self._shown)
        options.highlighted = 0 if self._shown else None
        left_out = len(self._names) - len(self._shown)
        more = f" ({left_out} others hidden)" if left_out else ""
        if not self.query_one(Editor).value:
            more = f": type to find one of {len(self._names)}"
        elif not self._shown:
            more = ": nothing fits"
        self.query_one("#heading", Static).update(Text(cut(f"{self._title}{more}", WIDTH)))

    def on_key(self, event: Key) -> None:
        """Letters narrow, arrows mark, enter takes."""
        editor = self.query_one(Editor)
        options = self.query_one(ChoiceList)
        if event.key in LIST_MOVES:
            mark_another(options, LIST_MOVES[event.key])
        elif event.key == "enter":
            if options.highlighted is not None:
                self.dismiss(self._shown[options.highlighted])
        elif event.key == "escape":
            self.dismiss(None)
        elif editor.press(event.key, event.character):
            self._show()
        else:
            return
        event.stop()
        event.prevent_default()

    def on_paste(self, event: Paste) -> None:
        """Pasted text narrows too."""
        event.stop()
        self.query_one(Editor).insert_text_at_cursor(" ".join(event.text.split()))
        self._show()

    def on_option_list_option_selected(self, event: ChoiceList.OptionSelected) -> None:
        """A click takes what was clicked, whatever has been typed since."""
        self.dismiss(int(event.option.id or 0))
