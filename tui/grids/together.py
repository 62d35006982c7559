"""What others do while one works: their edits on the screen at once, and who they are.

The cursor stays, and so does what is half-typed; what they changed is marked for a moment and
told with their names.
"""

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.timer import Timer

from storage.errors import StoreError
from tui.bench import by
from tui.widgets.cell_text import cut
from tui.widgets.grid import Grid
from tui.widgets.line_view import Line, Span

if TYPE_CHECKING:
    from storage.store.journal import FullLine
    from storage.store.presence import Present
    from tui.grids.grid_screen import GridScreen

MARKED_S = 4.0
"""For how long what others have changed is marked [s]."""

MOST_TOLD = 3
"""So many of their edits are told; of more, how many."""


class Together:
    """The others at work on what a screen shows."""

    def __init__(self, screen: "GridScreen") -> None:
        self._screen = screen
        self._marking: Timer | None = None
        self.others: tuple[Present, ...] = ()
        """Who else is at work on it."""

    @property
    def names(self) -> str:
        """Who else is here, each with the page: "Kim (Pack), Lee (Grounds)"; empty: nobody."""
        return ", ".join(dict.fromkeys(f"{each.person} ({each.page})" for each in self.others))

    def meet(self, others: "Sequence[Present]") -> None:
        """These others are at work on it now."""
        if tuple(others) != self.others:
            self.others = tuple(others)
            self._screen.show_header()

    def catch_up(self) -> None:
        """Show what others have done since, if anything."""
        screen = self._screen
        try:
            lines = screen.workbench.catch_up()
        except StoreError as error:
            screen.warn(f"What others have done cannot be shown: {error}")
            return
        if lines:
            self._show(lines)

    def _show(self, lines: "Sequence[FullLine]") -> None:
        from domain.build.changes import changes

        screen = self._screen
        touched = {
            change.id
            for each in lines
            if each.edit is not None and each.inverse is not None
            for change in changes(each.edit, each.inverse)
        }
        with screen.app.batch_update():
            screen.by_others = touched
            screen.show_all()
            screen.by_others = frozenset()
            whole = screen.editing.shown_anew()
        if whole and not screen.editing.refused:
            screen.tell(self.told(lines))
        if self._marking is not None:
            self._marking.stop()
        self._marking = screen.set_timer(MARKED_S, self._unmark)

    def _unmark(self) -> None:
        self._marking = None
        for grid in self._screen.query(Grid):
            grid.unmark()

    def told(self, lines: "Sequence[FullLine]") -> str:
        """The newest edits of others as a sentence: "Kim: Length of Feed 3 ft -> 4 ft"."""
        said = [self._sentence(each) for each in lines[:MOST_TOLD]]
        more = len(lines) - MOST_TOLD
        return "; ".join(said) + (f"; and {more} more" if more > 0 else "")

    def _sentence(self, full: "FullLine") -> str:
        from domain.build.changes import changes, show_change

        show = partial(show_change, self._screen.workbench.document)
        found = (
            []
            if full.edit is None or full.inverse is None
            else [show(each) for each in changes(full.edit, full.inverse)]
        )
        way = {"undo": "took back ", "redo": "made again "}.get(full.line.kind, "")
        if len(found) != 1 or (way and not found[0][1]):  # "took back ... removed" says it twice
            return f"{by(full)}: {way}{full.line.label}"
        about, before, after = found[0]
        values = f"{before} -> {after}" if before else after
        return f"{by(full)}: {way}{about} {values}"


def with_others(title: str, names: str, room: int) -> Line:
    """The title of a screen, and who else is at work on it, in so many cells."""
    if not names:
        return Line((Span(cut(f" {title}", room), "bold"),))
    also = cut(f"also here: {names}", max(room - min(cell_len(title) + 3, room // 2), 0))
    title = cut(f" {title}", room - cell_len(also) - 2)
    return Line((Span(f"{title}  ", "bold"), Span(also, "reverse")))
