"""Small modal screens: a list to pick from, a line to type, and the help page."""

from collections.abc import Callable, Sequence
from contextlib import suppress

from rich.text import Text
from textual.actions import SkipAction
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import Key, Paste
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from tui.widgets.cell_text import cut, left, typed, wrap
from tui.widgets.choice_list import ChoiceList
from tui.widgets.closing import Dialog
from tui.widgets.editor import Editor
from tui.widgets.line_view import Line, LineView, plain_line
from tui.widgets.speech import speech_of_app

Section = tuple[str, Sequence[tuple[str, str]]]
"""A heading with its rows of (keys, what they do)."""

BOX_WIDTH = 64
"""Cells of a question, with its border (boxes.tcss)."""

KEYS_WIDTH = 21
"""Cells for the keys on the help page."""

_SCROLLS: dict[str, Callable[[ScrollView], None]] = {
    "up": ScrollView.action_scroll_up,
    "down": ScrollView.action_scroll_down,
    "pageup": ScrollView.action_page_up,
    "pagedown": ScrollView.action_page_down,
    "home": ScrollView.action_scroll_home,
    "end": ScrollView.action_scroll_end,
}


LIST_MOVES = {"up": -1, "down": 1, "pageup": -10, "pagedown": 10}
"""Keys that mark another one of a list, and how far that is."""


def mark_another(options: OptionList, step: int) -> None:
    """Mark the one so far on; single steps go round. The list need not be laid out yet."""
    if options.option_count:
        last, marked = options.option_count - 1, options.highlighted
        place = (0 if step > 0 else last) if marked is None else marked + step
        if abs(step) == 1:
            place %= last + 1
        options.highlighted = max(0, min(place, last))


def spelt(names: Sequence[str], before: str, character: str) -> tuple[int, str] | None:
    """Which name a letter leads to, and the letters that lead there; ``None``: none does.

    It goes on with those before it where a name has them all, else it begins anew. They begin a
    name or, where none begins with them, a word in it: "a capacitor" is found by its c.
    """
    lower = [f" {name.lower()}" for name in names]
    for begun in (before + character, character):
        wanted = f" {begun.lower()}"
        for fits in (str.startswith, str.__contains__):
            place = next((n for n, name in enumerate(lower) if fits(name, wanted)), None)
            if place is not None:
                return place, begun
    return None


class Pick(Dialog[int | None]):
    """Choose one of a list with arrows, the first letters of a name or of a word in it, or a click.

    Escape leaves all as is.
    """

    CSS_PATH = "boxes.tcss"

    def __init__(self, title: str, names: Sequence[str], marked: int = 0) -> None:
        super().__init__()
        self._title = title
        self._names = list(names)
        self._marked = marked
        self._typed = ""

    def compose(self) -> ComposeResult:
        """Title and list."""
        with Vertical(id="box"):
            said = speech_of_app(self.app)
            self._names = [said(name) for name in self._names]
            yield Static(Text(cut(said(self._title), 60)), id="heading")
            yield ChoiceList(*(Option(Text(cut(name, 60))) for name in self._names))

    def on_mount(self) -> None:
        """Start at the present value."""
        options = self.query_one(ChoiceList)
        options.can_focus = False
        options.highlighted = self._marked if self._names else None

    def on_key(self, event: Key) -> None:
        """Arrows mark, enter takes; letters go to the first name that fits."""
        options = self.query_one(ChoiceList)
        if event.key in LIST_MOVES:
            mark_another(options, LIST_MOVES[event.key])
        elif event.key == "enter":
            if options.highlighted is not None:
                self.dismiss(options.highlighted)
        elif event.key == "escape":
            self.dismiss(None)
        elif typed(event.key, event.character):
            self._go_to(str(event.character))
        else:
            return
        event.stop()
        event.prevent_default()

    def _go_to(self, character: str) -> None:
        if found := spelt(self._names, self._typed, character):
            self.query_one(ChoiceList).highlighted, self._typed = found

    def on_option_list_option_selected(self, event: ChoiceList.OptionSelected) -> None:
        """A click takes."""
        self.dismiss(event.option_index)


class HelpLines(LineView):
    """The lines of the help page, as long as they are: its bar shows how much of them is seen."""

    DEFAULT_CSS = """
    HelpLines { height: 1fr; padding: 0 1; overflow: hidden auto; scrollbar-size-vertical: 1; }
    """

    def __init__(self, laid_out: Callable[[int], Sequence[Line]], width: int) -> None:
        super().__init__()
        self._laid_out = laid_out
        self._fill(width)

    def _fill(self, width: int) -> None:
        self._width = width
        self.lines = tuple(self._laid_out(width))

    def on_mount(self) -> None:
        """All of its lines are there from the beginning."""
        self._set_virtual_size()

    def on_resize(self) -> None:
        """Wrap them anew for another width; the bar has its place whether it shows or not."""
        width = min(wanted_width(self.app.size.width), self.outer_size.width - 3)
        if width != self._width:
            self._fill(width)
            self._set_virtual_size()
            self.refresh()

    def _set_virtual_size(self) -> None:
        self.virtual_size = Size(1, len(self.lines))


def wanted_width(screen: int) -> int:
    """Cells of a line of the help page, where there is room for them."""
    return max(screen - 10, 40)


class Help(Dialog[None]):
    """The keys of a screen and what the field under the cursor takes.

    Only the lines in sight are drawn: as one text of a widget all of them are kept as drawn,
    which is 4 MB of a page that is seldom open.
    """

    CSS_PATH = "boxes.tcss"

    def __init__(self, about: Sequence[str], sections: Sequence[Section]) -> None:
        super().__init__()
        self._about = about
        self._sections = sections

    def compose(self) -> ComposeResult:
        """One page of plain text."""
        with Vertical(id="page"):
            yield Static(Text("Help: arrows scroll, escape closes"), id="heading")
            yield HelpLines(self._page, wanted_width(self.app.size.width))

    def _page(self, width: int) -> list[Line]:
        lines: list[Line] = []
        said = speech_of_app(self.app)

        def write(*texts: str, style: str = "") -> None:
            lines.extend(plain_line(text, style) for text in texts)

        for paragraph in self._about:
            write(*wrap(said(paragraph), width), "")
        for heading, rows in self._sections:
            write(*wrap(said(heading), width), style="bold")
            for keys, what in rows:
                first, *rest = wrap(said(what), width - KEYS_WIDTH) or [""]
                write(f"  {left(keys, KEYS_WIDTH - 3)} {first}")
                write(*(" " * KEYS_WIDTH + line for line in rest))
            write("")
        write("")
        return lines

    def on_key(self, event: Key) -> None:
        """Arrows scroll the page."""
        if event.key in _SCROLLS:
            with suppress(SkipAction):  # all of it is seen: there is nothing to scroll
                _SCROLLS[event.key](self.query_one(HelpLines))
        elif event.key in ("escape", "enter", "f1", "question_mark", "q"):
            self.dismiss(None)
        else:
            return
        event.stop()
        event.prevent_default()


class Ask(Dialog[str | None]):
    """Ask for one line of text; enter takes it, escape leaves all as is.

    ``wrong`` says what is wrong with a text, or "": while it says anything, the question stays.
    """

    CSS_PATH = "boxes.tcss"

    def __init__(self, title: str, text: str, wrong: Callable[[str], str] | None = None) -> None:
        super().__init__()
        self._title = title
        self._text = text
        self._wrong = wrong or (lambda _: "")

    def compose(self) -> ComposeResult:
        """Title and field."""
        with Vertical(id="box"):
            yield Static(self._lines(speech_of_app(self.app)(self._title)), id="heading")
            yield Editor(id="wanted")
            yield Static(id="refused")

    def _lines(self, text: str) -> Text:
        return Text("\n".join(wrap(text, min(self.app.size.width, BOX_WIDTH) - 4)))

    def on_mount(self) -> None:
        """Type at the end of what is there."""
        field = self.query_one(Editor)
        field.value = self._text
        field.cursor_position = len(self._text)

    def on_key(self, event: Key) -> None:
        """Enter takes what was typed."""
        field = self.query_one(Editor)
        if event.key == "enter":
            if refused := self._wrong(field.value):
                self.query_one("#refused", Static).update(self._lines(f"! {refused}"))
            else:
                self.dismiss(field.value)
        elif event.key == "escape":
            self.dismiss(None)
        elif event.key == "ctrl+a":
            field.action_home()
        elif not field.press(event.key, event.character):
            return
        event.stop()
        event.prevent_default()

    def on_paste(self, event: Paste) -> None:
        """Pasted text is typed."""
        event.stop()
        self.query_one(Editor).insert_text_at_cursor(" ".join(event.text.splitlines()))
