"""The journal of a build on the screen: who changed what, from which value to which, and when.

One line is marked; the build as it was behind it can be looked at, compared with the present
one, and copied. What that means is for the screen that opened the page.
"""

from collections.abc import Callable, Sequence
from typing import ClassVar

from msgspec.structs import replace
from textual.events import Key

from tui.dialogs.boxes import Pick
from tui.pages.page import Body, Page
from tui.report.history import Told, Wanted, about, both_values, here, values
from tui.widgets.cell_text import cut, left
from tui.widgets.line_view import Line, Span, plain_line

ANY = "all"
"""The choice that filters nothing."""

MOVES = {"up": -1, "down": 1, "pageup": -12, "pagedown": 12, "home": -(10**9), "end": 10**9}
"""Keys that mark another line, and how far that is."""

MOST_STEPS = 12
"""Of a line with more changes only these are shown."""

Use = Callable[[Told], str]
"""Does something with the build as it was; what to say of it, or empty."""


class HistoryPage(Page):
    """Lines of a journal, newest first."""

    CSS_PATH = "page.tcss"
    filters: ClassVar[dict[str, str]] = {"p": "person", "g": "page", "d": "day"}
    """Keys that narrow the lines, and to what."""

    def __init__(self, title: str, told: Sequence[Told], uses: dict[str, Use]) -> None:
        """``uses``: what "look", "compare" and "copy" do."""
        super().__init__()
        self._title = title
        self._told = list(told)
        self._uses = uses
        self._wanted = Wanted()
        self._said = ""
        self.marked = 0
        """Place of the marked line among those shown."""

    @property
    def shown(self) -> list[Told]:
        """The lines that are asked for."""
        return [each for each in self._told if self._wanted.fits(each)]

    def heading(self) -> str:
        """Which lines these are, or what was just done."""
        if self._said:
            return self._said
        wanted = self._wanted
        asked = ", ".join(filter(None, (wanted.person, wanted.page, wanted.day)))
        edits = "1 edit" if len(self.shown) == 1 else f"{len(self.shown)} edits"
        return f"History of {self._title}: {edits}" + (f" ({asked})" * bool(asked))

    def keys_here(self) -> Sequence[tuple[str, str, str]]:
        """What can be done with the marked line, and what narrows them."""
        uses = (("enter", "as it was", "look"), ("c", "compare", "compare"), ("k", "copy", "copy"))
        return (
            *((key, word, key) for key, word, use in uses if use in self._uses),
            *((key, word, key) for key, word in self.filters.items()),
        )

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """A line for each edit; under the marked one every change of it."""
        lines: list[Line] = []
        names = min(max((len(each.person) for each in self._told), default=0), 16)
        for place, each in enumerate(self.shown):
            marked = place == self.marked
            head = f"{'>' if marked else ' '}{here(each.at)[:16]} {left(each.person, names)} "
            text = f"{head}{about(each)}  {values(each)}"
            style = "bold reverse" if marked else ""
            lines.append(Line((Span(cut(text, width), style),), f"line:{place}"))
            if marked and len(each.steps) > 1:
                for step in each.steps[:MOST_STEPS]:
                    text = f"      {step.about}  {both_values(step)}"
                    lines.append(plain_line(cut(text, width)))
                if len(each.steps) > MOST_STEPS:
                    lines.append(plain_line(f"      and {len(each.steps) - MOST_STEPS} more"))
        return lines or [plain_line("  No edits here: p, g and d ask for others")]

    async def on_key(self, event: Key) -> None:
        """Arrows mark another line; else as every page."""
        if event.key in MOVES:
            event.stop()
            event.prevent_default()
            self.mark(self.marked + MOVES[event.key])
        else:
            await super().on_key(event)

    def mark(self, place: int) -> None:
        """Mark another line, and scroll to it."""
        self.marked = max(0, min(place, len(self.shown) - 1))
        self._said = ""
        self.draw()
        body, height = self.query_one(Body), max(self.size.height - 2, 1)
        top = body.scroll_offset.y
        if not top <= self.marked < top + height:
            y = self.marked if self.marked < top else self.marked - height + 1
            body.scroll_to(y=max(y, 0), animate=False)

    def scroll(self, by: int) -> None:
        """A click on "more lines" marks another."""
        self.mark(self.marked + by)

    def pressed(self, key: str) -> None:
        """Use the marked line, or narrow the lines."""
        if key.startswith("line:"):
            self.mark(int(key.removeprefix("line:")))
        elif key in self.filters:
            self._narrow(self.filters[key])
        else:
            self._use({"enter": "look", "c": "compare", "k": "copy"}.get(key, ""))

    def _use(self, use: str) -> None:
        shown = self.shown
        if use in self._uses and shown:
            self._said = self._uses[use](shown[self.marked])
            self.draw()

    def _narrow(self, field: str) -> None:
        found: dict[str, None] = {}
        for each in self._told:
            given = {"person": (each.person,), "day": (each.day,), "page": each.pages}[field]
            found.update(dict.fromkeys(given))
        choices = [ANY, *(sorted(found) if field != "day" else found)]

        def chosen(place: int | None) -> None:
            if place is not None:
                value = choices[place] if place else ""
                self._wanted = replace(self._wanted, **{field: value})
                self.mark(0)

        now = str(getattr(self._wanted, field))
        marked = choices.index(now) if now in choices else 0
        self.app.push_screen(Pick(f"Edits: which {field}", choices, marked), chosen)
