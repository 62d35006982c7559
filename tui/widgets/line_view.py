"""Lines of text that send only what changed to the terminal.

The widget keeps the lines it shows; new lines are compared with them and only the part of a
line that differs is drawn again. Over a slow link that is the difference between typing and
waiting.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.text import Text
from textual.events import Click
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip


@dataclass(frozen=True, slots=True)
class Span:
    """A clickable or styled part of a line."""

    text: str
    style: str = ""
    target: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its spans, and what a click anywhere on it means."""

    spans: tuple[Span, ...]
    target: str = ""

    @property
    def plain(self) -> str:
        """The line's text without styles."""
        return "".join(span.text for span in self.spans)


def plain_line(text: str, style: str = "", target: str = "") -> Line:
    """A line of one style."""
    return Line((Span(text, style),), target)


class LineView(ScrollView, can_focus=False):
    """Shows lines; posts ``Chosen`` when a line or span with a target is clicked."""

    DEFAULT_CSS = """
    LineView { height: auto; scrollbar-size: 0 0; }
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

    def __init__(self, lines: Sequence[Line] = (), *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.lines: tuple[Line, ...] = tuple(lines)

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines; only what differs is drawn."""
        old, self.lines = self.lines, tuple(lines)
        grown = len(old) != len(self.lines)
        if grown:
            self.virtual_size = Size(self.size.width, len(self.lines))
            if self.styles.height is not None and self.styles.height.is_auto:
                self.refresh(layout=True)
        dirty = []
        top = self.scroll_offset.y
        for y in range(top, top + self.size.height):
            before = old[y] if y < len(old) else None
            after = self.lines[y] if y < len(self.lines) else None
            if before != after:
                start, end = changed_cells(before, after)
                dirty.append(Region(start, y - top, max(end - start, 1), 1))
        if dirty:
            self.refresh(*dirty)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as there are lines."""
        return max(1, len(self.lines))

    def on_resize(self) -> None:
        """Keep the scroll range in step with the lines."""
        self.virtual_size = Size(self.size.width, len(self.lines))

    def render_line(self, y: int) -> Strip:
        """One row of the view."""
        width = self.size.width
        row = y + self.scroll_offset.y
        style = self.rich_style
        if row >= len(self.lines):
            return Strip.blank(width, style)
        text = Text(no_wrap=True, end="")
        for span in self.lines[row].spans:
            text.append(span.text, span.style or None)
        strip = Strip(text.render(self.app.console))
        return strip.adjust_cell_length(width).apply_style(style)

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


def changed_cells(before: Line | None, after: Line | None) -> tuple[int, int]:
    """Where two lines differ, as first and last cell (exclusive)."""
    if before is None or after is None:
        return 0, max((cell_len(line.plain) for line in (before, after) if line), default=0)
    first, second = _cells(before), _cells(after)
    length = max(len(first), len(second))
    blank = (" ", "")
    first += [blank] * (length - len(first))
    second += [blank] * (length - len(second))
    different = [i for i in range(length) if first[i] != second[i]]
    if not different:
        return 0, 0
    # A wide character covers two cells: take one more on both sides.
    return max(0, different[0] - 1), different[-1] + 2


def _cells(line: Line) -> list[tuple[str, str]]:
    cells: list[tuple[str, str]] = []
    for span in line.spans:
        for char in span.text:
            width = cell_len(char)
            cells += [(char, span.style)] * width
    return cells
