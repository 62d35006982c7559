"""Choose several of a list: each is ticked or not."""

from collections.abc import Collection, Sequence

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import Key
from textual.widgets import Static
from textual.widgets.option_list import Option

from tui.dialogs.boxes import LIST_MOVES, mark_another
from tui.widgets.cell_text import cut
from tui.widgets.choice_list import ChoiceList
from tui.widgets.closing import Dialog
from tui.widgets.speech import speech_of_app

WIDTH = 60

KEYS = "space: show or hide   a: all   d: as at first   enter: done   esc: as it was"


class Ticks(Dialog[tuple[str, ...] | None]):
    """Gives the ids that are ticked, none of them: as at first; ``None``: all stays as it is."""

    CSS_PATH = "boxes.tcss"

    def __init__(
        self, title: str, names: Sequence[tuple[str, str]], ticked: Collection[str]
    ) -> None:
        super().__init__()
        self._title = title
        self._names = list(names)
        """Id and name of each."""
        self._ticked = set(ticked)

    def compose(self) -> ComposeResult:
        """Title, keys and list."""
        said = speech_of_app(self.app)
        self._names = [(id, said(name)) for id, name in self._names]
        with Vertical(id="box"):
            yield Static(Text(cut(said(self._title), WIDTH)), id="heading")
            yield Static(Text(KEYS, "dim"), id="about")
            yield ChoiceList(*(Option(self._line(id, name)) for id, name in self._names))

    def _line(self, id: str, name: str) -> Text:
        return Text(cut(f"[{'x' if id in self._ticked else ' '}] {name}", WIDTH))

    def on_mount(self) -> None:
        """Start at the first."""
        options = self.query_one(ChoiceList)
        options.can_focus = False
        options.highlighted = 0

    def on_key(self, event: Key) -> None:
        """Arrows mark, space ticks, enter takes."""
        options = self.query_one(ChoiceList)
        if event.key in LIST_MOVES:
            mark_another(options, LIST_MOVES[event.key])
        elif event.key == "space":
            self._tick(options.highlighted or 0)
        elif event.key == "a":
            self._ticked = {id for id, _ in self._names}
            self._show()
        elif event.key == "d":
            self.dismiss(())
        elif event.key == "enter":
            self.dismiss(tuple(id for id, _ in self._names if id in self._ticked))
        elif event.key == "escape":
            self.dismiss(None)
        else:
            return
        event.stop()
        event.prevent_default()

    def _tick(self, place: int) -> None:
        self._ticked ^= {self._names[place][0]}
        self._show()

    def _show(self) -> None:
        options = self.query_one(ChoiceList)
        for place, (id, name) in enumerate(self._names):
            options.replace_option_prompt_at_index(place, self._line(id, name))

    def on_option_list_option_selected(self, event: ChoiceList.OptionSelected) -> None:
        """A click ticks."""
        self._tick(event.option_index)
