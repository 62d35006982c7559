"""Which columns of a table are shown: chosen from a list, and kept for the person who did."""

from typing import TYPE_CHECKING

from storage.errors import StoreError

if TYPE_CHECKING:
    from storage.store.builds import Store
    from storage.store.wanted_columns import Columns
    from tui.grids.grid_screen import GridScreen


def wanted(store: "Store | None") -> "Columns":
    """What the person at work has chosen, for every table; nothing where it cannot be read."""
    try:
        return store.wanted_columns() if store else {}
    except StoreError:
        return {}


def choose_columns(screen: "GridScreen") -> None:
    """Choose which columns of the table with the cursor are shown."""
    from tui.dialogs.ticks import Ticks

    if not screen.editing.confirm():
        return
    grid = screen.grid
    if not screen.view.table().has_columns or len(grid.whole.columns) < 2:
        screen.say("This is a form: it shows all of its fields")
        return
    first = grid.whole.columns[0]
    names = [(c.id, c.title.lstrip("·")) for c in grid.whole.columns if c is not first]
    shown = [column.id for column in grid.spec.columns]

    def chosen(ids: tuple[str, ...] | None) -> None:
        if ids is None:
            return
        grid.want(ids)
        if screen.store is not None:
            screen.store.keep_wanted_columns(grid.whole.id, ids)
        screen.show_cursor()
        hidden = grid.hidden
        more = f"{hidden} are not shown: alt+d brings them back" if hidden else "all are shown"
        screen.say(f"Columns of {grid.whole.name}: {more}")

    screen.app.push_screen(Ticks(f"Columns of {grid.whole.name}", names, shown), chosen)
