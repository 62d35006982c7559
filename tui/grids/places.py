"""Places to go to by name: every table of a screen and every column that can be edited."""

from collections.abc import Awaitable, Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.grids.grid_screen import GridScreen
    from tui.grids.view import View

Place = tuple[str, str, Callable[[], Awaitable[None]]]
"""Title, where it is, what goes there."""


def places(screen: "GridScreen") -> Iterator[Place]:
    """Every table and every column that can be edited. The rows of a form stand for columns."""
    bench = screen.workbench
    for view in screen.views:
        for table in view.tables.values():
            spec = table.spec
            go = partial(go_to_place, screen, view, spec.id)
            if spec.name != view.title:
                yield spec.name, f"go to a table of {view.title}", partial(go, "", "")
            for row in spec.rows(bench.document, bench.sheet, ""):
                own = getattr(row, "column", None)
                if own is not None:
                    about = f"go to a field of {spec.name}, in {view.title}"
                    yield own.title, about, partial(go, row.id, "")
            for column in spec.columns:
                if column.editable and table.has_columns:
                    about = f"go to a column of {spec.name}, in {view.title}"
                    yield column.title, about, partial(go, "", column.id)


async def go_to_place(
    screen: "GridScreen", view: "View", table: str, row: str, column: str
) -> None:
    """Put the cursor on a table of a view; on this row and column, where they are given."""
    if not await screen.show_view(view):
        return
    grid = screen.grid_of(table)
    columns = grid.spec.columns
    first = next((each.id for each in columns if each.editable), columns[0].id)
    grid.go(row or grid.row_id, column or first)
    screen.focus_grid(grid)
    screen.call_after_refresh(screen.show_cursor)
