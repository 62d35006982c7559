"""Lines of text that send only what changed to the terminal.

The widget keeps the lines it shows; new lines are compared with them and only the part of a
line that differs is drawn again. Over a slow link that is the difference between typing and
waiting.
"""

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len
from rich.text import Text
from textual.events import Click
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.widgets.cell_text import cut
from tui.widgets.speech import AS_WRITTEN, Speech, speech_of_app

LINES_AT_ONCE = 1000
"""Step in which the scroll range grows."""


class Span(Struct, frozen=True):
    """A clickable or styled part of a line."""

    text: str
    style: str = ""
    target: str = ""


class Line(Struct, frozen=True):
    """One line: its spans, and what a click anywhere on it means."""

    spans: tuple[Span, ...]
    target: str = ""

    @property
    def plain(self) -> str:
        """The line's text without styles."""
        return "".join(span.text for span in self.spans)

    def said(self, said: Speech) -> "Line":
        """The same in other words."""
        spans = tuple(replace(span, text=said(span.text)) for span in self.spans)
        return Line(spans, self.target)

    def within(self, width: int) -> "Line":
        """The same, cut short with a sign where other words have made it too wide."""
        if width <= 0 or cell_len(self.plain) <= width:
            return self
        spans, left = [], width
        for span in self.spans:
            text = cut(span.text, left) if cell_len(span.text) >= left else span.text
            spans.append(replace(span, text=text))
            left -= cell_len(text)
            if left <= 0:
                break
        return Line(tuple(spans), self.target)


def plain_line(text: str, style: str = "", target: str = "") -> Line:
    """A line of one style."""
    return Line((Span(text, style),), target)


class LineView(ScrollView, can_focus=False):
    """Shows lines; posts ``Chosen`` when a line or span with a target is clicked."""

    DEFAULT_CSS = """
    LineView { height: 1; scrollbar-size: 0 0; overflow: hidden hidden; }
    """

    class Chosen(Message):
        """A line or span with a target was clicked."""

        def __init__(self, view: "LineView", target: str) -> None:
            super().__init__()
            self.view = view
            self.target = target

        @property
        def control(self) -> "LineView":
            """The view that was clicked."""
            return self.view

    def __init__(
        self, lines: Sequence[Line] = (), *, id: str | None = None, classes: str | None = None
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.lines: tuple[Line, ...] = tuple(lines)
        self._given: Sequence[Line] = ()
        """The lines as they were given to be shown, where their words made them others."""
        self._said_for = 0
        """The width that those were cut for."""

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines in the words of the open build; only what differs is drawn."""
        said = speech_of_app(self.app)
        self._given, self._said_for = (), self.size.width
        if said is not AS_WRITTEN:
            self._given = lines
            lines = [line.said(said).within(self.size.width) for line in lines]
        old, self.lines = self.lines, tuple(lines)
        self._set_virtual_size()
        dirty = []
        top = self.scroll_offset.y
        for y in range(top, top + self.size.height):
            before = old[y] if y < len(old) else None
            after = self.lines[y] if y < len(self.lines) else None
            if before != after:
                dirty.append(Region(0, y - top, last_changed(before, after), 1))
        if dirty:
            self.refresh(*dirty)

    def on_resize(self) -> None:
        """Keep the scroll range in step with the lines, and what was cut with the width."""
        self._set_virtual_size()
        if self._given and self.size.width != self._said_for:
            self.show(self._given)

    @property
    def max_scroll_y(self) -> int:
        """The last line never leaves the bottom: the scroll range's spare lines do not count."""
        return max(0, len(self.lines) - self.size.height)

    def _set_virtual_size(self) -> None:
        """Grow in steps: every new size means a new layout, and the whole view sent again.

        Nothing is scrolled sideways: its width is none that a view's first place would change.
        """
        height = -(-len(self.lines) // LINES_AT_ONCE) * LINES_AT_ONCE
        if height != self.virtual_size.height:
            self.virtual_size = Size(1, height)

    def render_line(self, y: int) -> Strip:
        """One row of the view."""
        width = self.size.width
        row = y + self.scroll_offset.y
        if row >= len(self.lines):
            return Strip.blank(width)
        text = Text(no_wrap=True, end="")
        for span in self.lines[row].spans:
            text.append(span.text, span.style or None)
        strip = Strip(text.render(self.app.console))
        # The terminal's own colours, without a word about them on every line.
        return strip.adjust_cell_length(width)

    def on_click(self, event: Click) -> None:
        """Tell what was clicked."""
        row = event.y + self.scroll_offset.y
        if not 0 <= row < len(self.lines):
            return
        line = self.lines[row]
        target = line.target
        x = 0
        for span in line.spans:
            width = cell_len(span.text)
            if x <= event.x < x + width and span.target:
                target = span.target
            x += width
        if target:
            event.stop()
            self.post_message(self.Chosen(self, target))


def last_changed(before: Line | None, after: Line | None) -> int:
    """How many cells of a line must be drawn: up to the last one that differs.

    A part of a line is sent from the widget's left edge, wherever the change begins.
    """
    first, second = _cells(before), _cells(after)
    length = max(len(first), len(second))
    first += [_BLANK] * (length - len(first))
    second += [_BLANK] * (length - len(second))
    return max((i + 1 for i in range(length) if first[i] != second[i]), default=0)


_BLANK = (" ", "")


def _cells(line: Line | None) -> list[tuple[str, str]]:
    """Every cell of a line; a wide character fills two, so that they change together."""
    return [
        (char, span.style)
        for span in (line.spans if line else ())
        for char in span.text
        for _ in range(cell_len(char))
    ]
