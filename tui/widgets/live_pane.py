"""The live pane: the sheet beside every view, following every edit."""

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from domain.build.records import Build
from domain.sheet import Sheet
from tui.widgets.line_view import Line, LineView
from tui.widgets.pane_lines import pane_lines

_MARK_MOVES = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8, "home": -9999, "end": 9999}
"""Keys that move the mark, and by how many lines."""


class LivePane(LineView):
    """Shows a sheet; clicking a finding, run or amplifier posts ``Chosen`` with its target.

    In full it has a mark that keys move from line to line, for those without a mouse.
    """

    DEFAULT_CSS = """
    LivePane { height: 1fr; overflow: hidden auto; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lay_out: Callable[[int, range | None], list[Line]] | None = None
        self._laid_for: tuple[int, bool, range | None] | None = None
        """Width, fullness and lines in sight that the lines are laid out for."""
        self._typing = False
        """Whether the figures are those of a value that is being typed."""
        self._bare: Sequence[Line] = ()
        self._mark: int | None = None
        self._full = False

    def show_sheet(
        self,
        build: Build,
        sheet: Sheet,
        at_hand: int,
        before: Sheet | None,
        settled: Sheet | None = None,
        mending: str = "",
    ) -> None:
        """Show a sheet; see ``pane_lines`` for what each of the others does."""
        self._lay_out = lambda width, seen: pane_lines(
            build, sheet, width, at_hand, before, settled, mending, full=self._full, seen=seen
        )
        self._laid_for, self._typing = None, settled is not None
        self._show_laid_out()

    def on_resize(self) -> None:
        """Lay the lines out for the new width; only then is there one to begin to mark at."""
        self._show_laid_out()
        if self._full and self._mark is None:
            self._mark = self._next(-1, 1)
            self._show_marked()
        super().on_resize()

    def mark(self, on: bool) -> None:
        """Begin to mark a line, or stop it."""
        self._full, self._mark = on, None
        self._show_laid_out()
        self._mark = self._next(-1, 1) if on else None
        self.scroll_to(y=0, animate=False)
        self._show_marked()

    def take_key(self, key: str) -> bool:
        """Take a key that works while lines are marked; false where it means nothing here."""
        if key in _MARK_MOVES:
            self.move_mark(_MARK_MOVES[key])
            return True
        if key == "enter" and self.marked:
            self.post_message(self.Chosen(self, self.marked))
            return True
        return False

    def scroll_by(self, by: int) -> None:
        """Scroll down, or up; the last line never leaves the bottom."""
        last = max(0, len(self.lines) - self.size.height)
        y = min(max(self.scroll_offset.y + by, 0), last)
        self.scroll_to(y=y, animate=False)

    def move_mark(self, step: int) -> None:
        """Mark the next (1) or previous (-1) line that leads somewhere, or one much further on."""
        place = -1 if self._mark is None else self._mark
        for _ in range(abs(step)):
            found = self._next(place, 1 if step > 0 else -1)
            if found is None:
                break
            place = found
        if place >= 0:
            self._mark = place
            self._show_marked()
            top, height = self.scroll_offset.y, self.size.height
            if not top <= place < top + height:
                y = place - height + 2 if place >= top + height else max(place - 1, 0)
                self.scroll_to(y=min(y, max(0, len(self.lines) - height)), animate=False)

    @property
    def marked(self) -> str:
        """What the marked line leads to; empty: there is no mark."""
        if self._mark is None or self._mark >= len(self._bare):
            return ""
        return self._bare[self._mark].target

    def _next(self, place: int, step: int) -> int | None:
        """The next line with another target, the first of those that have the same."""
        here = self._bare[place].target if 0 <= place < len(self._bare) else ""
        found = place + step
        while 0 <= found < len(self._bare):
            target = self._bare[found].target
            if target and target != here:
                while step < 0 and found and self._bare[found - 1].target == target:
                    found -= 1
                return found
            found += step
        return None

    def _show_laid_out(self) -> None:
        top = self.scroll_offset.y
        seen = range(top, top + self.size.height) if self._typing else None
        wanted = (self.size.width, self._full, seen)
        if self._lay_out is not None and self.size.width and self._laid_for != wanted:
            self._laid_for = wanted
            self._bare = self._lay_out(self.size.width, seen)
            self._show_marked()

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """While a value is being typed, figures that come into sight follow it too."""
        super().watch_scroll_y(old_value, new_value)
        if self._typing:
            self._show_laid_out()

    def _show_marked(self) -> None:
        lines = list(self._bare)
        if self._mark is not None and self._mark < len(lines):
            line = lines[self._mark]
            spans = tuple(replace(s, style=f"{s.style} reverse".strip()) for s in line.spans)
            lines[self._mark] = replace(line, spans=spans)
        self.show(lines)
