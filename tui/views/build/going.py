"""To the cell where a field of a build is edited, wherever it stands."""

from tui.grids.grid_screen import GridScreen
from tui.workbench import Workbench


async def go_to(screen: GridScreen, bench: Workbench, table: str, id: str, field: str) -> bool:
    """Put the cursor on the cell where a field of a record is edited.

    False where there is none, or where what is typed cannot be taken: the cursor then stays.
    """
    from tui.tables.build_tables import place_of

    if not screen.editing.confirm():
        return False
    place = place_of(bench.build, table, id, field) if table else None
    if place is None:
        return False
    spec, row, column = place
    view = screen.view_named(spec.view)
    await view.before_going_to(row)
    if not await screen.show_view(view):
        return False
    grid = screen.grid_of(spec.id)
    grid.go(row, column)
    screen.focus_grid(grid)
    return True
