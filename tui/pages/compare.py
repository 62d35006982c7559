"""Two builds side by side: copper, drop, fuses, sizes, supply and the kick drum."""

from collections.abc import Sequence
from threading import Event
from typing import TYPE_CHECKING

from textual import on
from textual.message import Message

from domain.build.dialect import speech_of
from domain.plan import Plan
from domain.shop.catalogue import CatalogueItem
from domain.topics.compare import differing_runs, figures
from domain.topics.kick.beside import kick_facts
from domain.topics.tables import Subject
from tui.pages.page import Page
from tui.widgets.cell_text import cut, left
from tui.widgets.line_view import Line, plain_line

if TYPE_CHECKING:
    from domain.electrical.transient.results import KickStudy

FOLLOWING = "..."
"""Stands for a figure of the kick drum until it is worked out."""


class ComparePage(Page):
    """Compares two builds; figures that differ carry a mark.

    The kick drum of both is worked out beside the event loop, as it takes a second for each.
    """

    class Kicked(Message):
        """The kick drum of both builds is worked out."""

        def __init__(self, kicks: "tuple[KickStudy | None, ...]") -> None:
            super().__init__()
            self.kicks = kicks

    def __init__(self, one: Plan, other: Plan, items: Sequence[CatalogueItem] = ()) -> None:
        super().__init__()
        self.items = items
        """The shop's, for what the wire costs."""
        self.one = one
        self.other = other
        self.kicks: tuple[KickStudy | None, ...] | None = None
        self._stop = Event()

    def on_mount(self) -> None:
        """Show what is there, and work out the kick drum."""
        super().on_mount()
        self.run_worker(self._follow, thread=True, exit_on_error=False)

    def on_unmount(self) -> None:
        """What nobody waits for is not begun."""
        self._stop.set()

    def _follow(self) -> None:
        from domain.full_results import kick_drum

        found = []
        for plan in (self.one, self.other):
            if self._stop.is_set():
                return
            found.append(kick_drum(plan))
        self.post_message(self.Kicked(tuple(found)))

    @on(Kicked)
    def _kicked(self, event: Kicked) -> None:
        self.kicks = event.kicks
        self.draw()

    def heading(self) -> str:
        """What is compared."""
        return "Compared: ! marks what differs"

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Figures, the kick drum, then the runs whose size or fuse differs."""
        name_width = min(26, width // 3)
        half = (width - name_width - 4) // 2

        # Each build in its own words; what stands before both in those of the one at hand.
        mine, theirs = speech_of(self.one.build), speech_of(self.other.build)

        def row(name: str, a: str, b: str, style: str = "") -> Line:
            mark = "!" if a != b and not style else " "
            name, a, b = theirs(name), mine(a), theirs(b)
            text = f"{mark} {left(name, name_width)} {left(a, half)} {left(b, half)}"
            return plain_line(cut(text, width).rstrip(), style)

        one, other = (Subject(plan.build, plan.sheet) for plan in (self.one, self.other))
        lines = [row("", one.build.header.title, other.build.header.title, "bold underline")]
        for this, that in zip(figures(one, self.items), figures(other, self.items), strict=True):
            shown = one.show(this.kind, this.value), one.show(that.kind, that.value)
            lines.append(row(this.title, *shown))
        kicks = self.kicks or (None, None)
        beside = zip(kick_facts(one, kicks[0]), kick_facts(other, kicks[1]), strict=True)
        for this, that in beside:
            shown = one.show(this.kind, this.value), one.show(that.kind, that.value)
            lines.append(row(this.title, *(shown if self.kicks else (FOLLOWING, FOLLOWING))))
        lines += [plain_line(""), plain_line("  Runs that differ", "bold")]
        differing = [
            row(each.name, *(", ".join(both) for both in zip(each.wires, each.fuses, strict=True)))
            for each in differing_runs(one, other)
        ]
        return lines + (differing or [plain_line("  none")])
