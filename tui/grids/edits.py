"""Edits that are chosen from a list, taken back and made again."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from domain.build.edits import Edit, EditRefused
from storage.errors import StoreError
from tui.tables.columns import Column

if TYPE_CHECKING:
    from tui.grids.grid_screen import GridScreen


def pick_edit(
    screen: "GridScreen", title: str, column: Column, options: Sequence[tuple[str, Edit]]
) -> None:
    """Let the user choose one of the edits of a column; the present one is marked."""
    from tui.dialogs.boxes import Pick

    def new(edit: Edit) -> bool:
        try:
            return column.changes(screen.workbench, edit)
        except EditRefused:
            return True

    def chosen(place: int | None) -> None:
        if place is not None and new(options[place][1]):
            column.commit(screen, options[place][1])

    marked = next((i for i, (_, edit) in enumerate(options) if not new(edit)), 0)
    screen.app.push_screen(Pick(title, [name for name, _ in options], marked), chosen)


def undo(screen: "GridScreen") -> None:
    """Take the last change back."""
    _step(screen, "undo", screen.workbench.undo)


def redo(screen: "GridScreen") -> None:
    """Make the change again that was taken back."""
    _step(screen, "redo", screen.workbench.redo)


def _step(screen: "GridScreen", way: str, step: Callable[[], bool]) -> None:
    try:
        done = step()
    except (StoreError, EditRefused) as error:
        with suppress(StoreError):
            if screen.workbench.reload():
                screen.show_all()
        screen.warn(f"Not done: {error}")
        return
    if not done:
        screen.say(f"Nothing to {way}")
        return
    screen.show_all()
    screen.say(screen.workbench.notice)
