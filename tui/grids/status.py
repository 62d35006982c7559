"""The status line: one sentence, and the key line lent to it where a refusal needs more room."""

from collections.abc import Callable
from functools import partial

from rich.cells import cell_len
from textual.screen import Screen

from tui.actions import LEADING_ON
from tui.widgets.cell_text import cut, wrap
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.line_view import LineView, plain_line

WAYS_ON = "esc: the old value; or type anew"
"""What to do about a value that was not taken."""

WARN_S = 15
"""How long a long warning stands above the status line [s]."""


class Status:
    """Status and key line of a screen that has ``#status`` and ``#keys``."""

    def __init__(self, screen: Screen[None], keys: Callable[[], Keys]) -> None:
        self._screen = screen
        self._keys = keys
        self._lent = False
        """Whether the key line holds the rest of a refusal."""
        self._again: Callable[[], None] = lambda: None
        """Says again what stands there."""

    def show_keys(self) -> None:
        """The key line as it is when nothing was refused."""
        keys = self._screen.query_one("#keys", KeyLine)
        keys.show_keys(self._keys(), staying=LEADING_ON)

    def fit(self) -> None:
        """The screen has another width: what stands there is cut and parted for that."""
        self._again()

    def say(self, text: str, *, bad: bool = False) -> None:
        """One sentence."""
        self._again = partial(self.say, text, bad=bad)
        line = cut(f" {'! ' if bad else ''}{text}", self._width)
        self._screen.query_one("#status", LineView).show([plain_line(line, "bold" if bad else "")])
        if self._lent:
            self._lent = False
            self.show_keys()

    def say_at_once(self, text: str) -> None:
        """One sentence, on the screen before anything else is done; after that all is as before."""
        view = self._screen.query_one("#status", LineView)
        before, said = view.lines, (plain_line(cut(f" {text}", self._width), "bold"),)
        if before == said:
            return
        view.show(said)
        self._screen._compositor.update_widgets({view})
        self._screen._compositor_refresh()

        def as_before() -> None:
            if view.lines == said:
                view.show(before)

        self._screen.call_later(as_before)

    def tell(self, text: str) -> None:
        """A sentence in full, over the key line too where it is too long for one line."""
        first, *rest = wrap(text, self._width - 1) or [""]
        self.say(first)
        self._again = partial(self.tell, text)
        if rest:
            self._lend(" ".join(rest), "")

    def refuse(self, text: str) -> None:
        """Why a typed value cannot be taken, over status and key line, and the ways on."""
        first, *rest = wrap(f"! {text}", self._width - 1)
        self.say(first.removeprefix("! "), bad=True)
        self._again = partial(self.refuse, text)
        after = cut(" ".join(rest), max(self._width - cell_len(WAYS_ON) - 3, 0))
        self._lend(f"{after}{'. ' if after else ''}{WAYS_ON}", "bold")

    def _lend(self, text: str, style: str) -> None:
        """Let the key line hold the rest of what is said, until something else is said."""
        keys = self._screen.query_one("#keys", KeyLine)
        keys.lend(plain_line(cut(f" {text}", self._width), style))
        self._lent = True

    def warn(self, text: str, *, anew: bool = True) -> None:
        """Say what went wrong; over the key line too where it is too long for one line.

        Only what is longer than both stands above them in full, over what is there, until a key:
        once, if it is said ``anew``.
        """
        first, *rest = wrap(f"! {text}", self._width - 1)
        if len(rest) > 1:
            self.say(text, bad=True)
        else:
            self.say(first.removeprefix("! "), bad=True)
        self._again = partial(self.warn, text, anew=False)
        if len(rest) > 1 and anew:
            self._screen.notify(text, markup=False, severity="error", timeout=WARN_S)
        elif len(rest) == 1:
            self._lend(rest[0], "bold")

    @property
    def _width(self) -> int:
        return max(self._screen.size.width, 20)
