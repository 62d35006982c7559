"""Where one was when the terminal was lost: kept then, and gone back to when it is opened again."""

from typing import TYPE_CHECKING

from storage.errors import StoreError
from storage.store.left_off import LeftOff

if TYPE_CHECKING:
    from tui.grids.grid_screen import GridScreen


def left_off(screen: "GridScreen") -> LeftOff | None:
    """Where one is on a screen, and what is half-typed there; ``None``: it only opens."""
    if not screen.visited:
        return None
    editing, grid = screen.editing, screen.grid
    if editing.open:
        where, typed = editing.place, editing.editor.value
    else:
        column = grid.spec.columns[max(grid.cursor_column, 0)].id
        where, typed = (grid.spec.id, grid.row_id, column), None
    return LeftOff(screen.place[0], screen.view.id, *where, typed)


async def go_on(screen: "GridScreen") -> None:
    """Go back to where one was cut off on what this screen shows, if one was."""
    store = screen.store
    if store is None:
        return
    try:
        left = store.take_left_off(screen.place[0])
    except StoreError:
        return
    if left is not None and not await _went(screen, left) and left.typed:
        screen.tell(f"When the terminal was lost you were typing {left.typed!r}; its row is gone")


async def _went(screen: "GridScreen", left: LeftOff) -> bool:
    view = next((each for each in screen.views if each.id == left.page), None)
    if view is None or left.grid not in view.tables or not await screen.show_view(view):
        return False
    if left.row:
        await view.before_going_to(left.row)
    grid = screen.grid_of(left.grid)
    if not grid.go(left.row, left.cell):
        return False
    screen.focus_grid(grid)
    screen.call_after_refresh(screen.show_cursor)
    if left.typed is not None:
        screen.editing.start(left.typed)
        screen.tell("Typed when the terminal was lost: enter takes it, esc drops it")
    return True
