"""To the cell where a field of a build is edited, wherever it stands."""

from domain.build.records import Build
from tui.grids.grid_screen import GridScreen
from tui.tables.build_tables import place_of


async def go_to(screen: GridScreen, build: Build, table: str, id: str, field: str) -> None:
    """Put the cursor on the cell where a field of a record is edited."""
    place = place_of(build, table, id, field) if table else None
    if place is None:
        return
    spec, row, column = place
    view = screen.view_named(spec.view)
    await view.before_going_to(row)
    await screen.show_view(view)
    if view.shown:
        grid = screen.grid_of(spec.id)
        grid.go(row, column)
        screen.focus_grid(grid)
