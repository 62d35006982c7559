"""A full screen of lines over the build: a picture, a working, a comparison. Escape goes back."""

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual import on
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding, BindingType
from textual.events import Key
from textual.screen import Screen

from tui.widgets.cell_text import cut, wrap
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import Line, LineView, plain_line

_SCROLLS = {"up": -1, "down": 1, "pageup": -12, "pagedown": 12, "home": -9999, "end": 9999}


class Body(LineView):
    """The lines; they scroll where there are more than fit."""

    DEFAULT_CSS = """
    Body { height: 1fr; overflow: hidden auto; }
    """


class Page(Screen[None]):
    """Shows ``heading`` and ``body``; both are asked again whenever something changed."""

    CSS_PATH = "page.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "app.quit", "Quit", show=False, priority=True)
    ]
    steps: ClassVar[str] = ""
    """What left and right go through; empty: nothing."""
    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = ()
    """Further keys for the key line: (key, word, action)."""

    def compose(self) -> ComposeResult:
        """Heading, body and keys."""
        yield LineView(id="title")
        yield Body(id="body")
        yield KeyLine(id="keys")

    def heading(self) -> str:
        """The first line."""
        raise NotImplementedError

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """The lines below the heading; ``height`` of them fit on the screen."""
        raise NotImplementedError

    def step(self, by: int) -> None:
        """Go to the next (1) or previous (-1)."""

    def on_mount(self) -> None:
        """Show it."""
        self.draw()

    def on_resize(self) -> None:
        """Lines are made for the new width."""
        self.draw()

    def draw(self) -> None:
        """Show heading, body and keys as they are now."""
        width, height = self.size.width, self.size.height - 2
        if width <= 0:
            return
        self.query_one("#title", LineView).show(
            [plain_line(cut(f" {self.heading()}", width), "bold reverse")]
        )
        lines = [
            each if isinstance(each, Line) else plain_line(cut(each, width))
            for each in self.body(width, height)
        ]
        self.query_one(Body).show(lines)
        self._show_keys()

    def keys_here(self) -> Sequence[tuple[str, str, str]]:
        """Further keys that mean something now."""
        return self.more_keys

    def _show_keys(self) -> None:
        body = self.query_one(Body)
        height = self.size.height - 2
        keys = [("esc", "back", "leave")]
        if self.steps:
            keys += [("<-", "previous", "previous"), ("->", f"next {self.steps}", "next")]
        keys += self.keys_here()
        below = len(body.lines) - height - body.scroll_offset.y
        if below > 0:
            keys.append(("pgdn", f"{below} more lines below", "down"))
        elif len(body.lines) > height:
            keys.append(("pgup", "end, more above", "up"))
        self.query_one("#keys", KeyLine).show_keys(keys)

    async def on_key(self, event: Key) -> None:
        """Scroll, step, or go back."""
        if event.key in ("ctrl+q", "ctrl+p"):
            return
        event.stop()
        event.prevent_default()
        if event.key in _SCROLLS:
            self.scroll(_SCROLLS[event.key])
        elif event.key in ("left", "right"):
            self.step(1 if event.key == "right" else -1)
        elif event.key in ("escape", "q"):
            self.leave()
        else:
            self.pressed(event.key)

    def pressed(self, key: str) -> None:
        """Any other key."""

    def scroll(self, by: int) -> None:
        """Scroll the body."""
        body = self.query_one(Body)
        last = max(0, len(body.lines) - (self.size.height - 2))
        body.scroll_to(y=min(max(body.scroll_offset.y + by, 0), last), animate=False)
        self.call_after_refresh(self._show_keys)

    def dismiss(self, result: None = None) -> AwaitComplete:
        """Close it, if it is on top: a second click closes nothing beneath."""
        return super().dismiss(result) if self.app.screen is self else AwaitComplete()

    def leave(self) -> None:
        """Go back to where the page was opened."""
        self.dismiss(None)

    @on(LineView.Chosen)
    def _chosen(self, event: LineView.Chosen) -> None:
        target = event.target
        if target == "leave":
            self.leave()
        elif target in ("previous", "next"):
            self.step(1 if target == "next" else -1)
        elif target in ("down", "up"):
            self.scroll(_SCROLLS["pagedown" if target == "down" else "pageup"])
        else:
            self.pressed(target)


class TextPage(Page):
    """A page of given lines, wrapped to the width."""

    def __init__(self, heading: str, lines: Sequence[str]) -> None:
        super().__init__()
        self._heading = heading
        self._lines = list(lines)

    def heading(self) -> str:
        """As given."""
        return self._heading

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """The lines; what a line continues with is indented like its beginning."""
        return [part for line in self._lines for part in wrapped(line, width)]


def wrapped(text: str, width: int) -> list[str]:
    """A line in lines of this width, each indented as the first; an empty one stays."""
    indent = " " * (len(text) - len(text.lstrip()))
    if cell_len(text) <= width:
        return [text]
    first, *rest = wrap(text, max(width - len(indent) - 2, 10)) or [""]
    return [indent + first, *(f"{indent}  {line}" for line in rest)]
