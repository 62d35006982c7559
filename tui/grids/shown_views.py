"""Views on a screen, one of them in front: its tables, where the cursor is, what lies out of sight.

A view is made when it is first visited and then kept. What keys and clicks do is the screen's own.
"""

from collections.abc import Collection, Sequence
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any, TypeVar

from textual.containers import VerticalScroll
from textual.geometry import Size
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import ContentSwitcher

from domain.build.dialect import speech_of
from tui.bench import Bench
from tui.grids.columns_shown import wanted
from tui.grids.editing import CellEditing
from tui.grids.scrolling import out_of_sight, scroll_to_cursor
from tui.grids.status import Status
from tui.grids.view import View
from tui.widgets.cell_text import cut
from tui.widgets.grid import Grid, cells_of
from tui.widgets.key_line import Keys
from tui.widgets.line_view import LineView, plain_line
from tui.widgets.speech import speak

if TYPE_CHECKING:
    from storage.store.builds import Store
    from storage.store.wanted_columns import Columns

Kind = TypeVar("Kind", bound=View)

LAID_OUT_S = 0.05
"""A view that was turned to has its place after this time [s]."""


class ShownViews(Screen[None]):
    """Holds views over a bench and shows one of them."""

    views: Sequence[View] = ()
    view: View
    """The view that is shown."""
    grid: Grid
    """The table that keys go to."""
    editing: CellEditing
    """The cell under the cursor and what is typed into it."""

    def __init__(self, bench: Bench[Any]) -> None:
        super().__init__()
        self.workbench = bench
        self.status = Status(self, self.keys_here)
        self.by_others: Collection[str] = ()
        """Ids of what others have just changed, while it is shown for the first time."""
        self.visited: dict[View, Grid] = {}
        """The table with the cursor in each view that was visited."""
        self._pages: dict[View, tuple[VerticalScroll, list[Grid]]] = {}
        """What scrolls of each view that was made, and its tables from top to bottom."""
        self._more_asked = False
        """Whether it is told soon what lies above and below."""

    def hold(self, *views: View) -> None:
        """Hold these views; the first is shown first."""
        self.views = views
        self.view = views[0]

    # What the screens made of it say

    @property
    def store(self) -> "Store | None":
        """The store that it is kept in; ``None``: in memory only."""
        raise NotImplementedError

    def keys_here(self) -> Keys:
        """The key line of the view that is shown."""
        raise NotImplementedError

    def show_tabs(self) -> None:
        """The tab line."""
        raise NotImplementedError

    def say(self, text: str, *, bad: bool = False) -> None:
        """One sentence in the status line."""
        raise NotImplementedError

    def describe_cell(self) -> None:
        """What the cell under the cursor is and takes."""
        raise NotImplementedError

    # Views

    async def show_view(self, view: View) -> bool:
        """Go to a view; its tables are made when it is first visited.

        False where what is typed cannot be taken: the view stays, and so must whoever asked.
        """
        if not self.editing.confirm():
            return False
        view.before_shown()
        switcher = self.query_one(ContentSwitcher)
        # One picture at the end, not one for every step on the way.
        with self.app.batch_update():
            if view is not self.view or not self.visited:
                if view not in self.visited:
                    made = self._made(view)
                    await switcher.add_content(made, id=view.id)
                    self.watch(made, "scroll_y", self.show_more, init=False)
                    self.watch(made, "virtual_size", self._laid_out, init=False)
                switcher.current = view.id
                self.view = view
                self.grid = self.visited.get(view) or self.grids()[0]
                self.show_tabs()
                self.status.show_keys()
                self.show_grids()
            self.view_shown()
            self.focus_grid(self.grid)
        self.call_after_refresh(self.show_cursor)
        return True

    def view_shown(self) -> None:
        """The view is in front now."""

    async def visit(self, view: View) -> None:
        """Go to a view by its key; where it is shown already, on to its next table."""
        first = view not in self.visited
        if not self.editing.confirm():
            return
        if first:
            view.before_first_visit()
        put_away = view.called()
        if not view.shown or self.has_class("full"):
            await self.show_view(view)
        elif not put_away:
            grids = self.seen_grids()
            place = grids.index(self.grid) + 1 if self.grid in grids else 0
            if grids:
                self.focus_grid(grids[place % len(grids)])
        if first:
            view.after_first_visit()

    async def turn(self, step: int) -> None:
        """Go to the next (1) or previous (-1) view, round at the ends."""
        views = list(self.views)
        await self.visit(views[(views.index(self.view) + step) % len(views)])

    async def visit_named(self, id: str) -> None:
        """Go to the view of this id, as its key does."""
        await self.visit(self.view_named(id))

    def held(self, kind: type[Kind]) -> Kind:
        """The view of this kind."""
        return next(view for view in self.views if isinstance(view, kind))

    def view_named(self, id: str) -> View:
        """The view of this id."""
        return next(view for view in self.views if view.id == id)

    @cached_property
    def wanted_columns(self) -> "Columns":
        """The columns that the person at work has chosen, by table."""
        return wanted(self.store)

    def _made(self, view: View) -> VerticalScroll:
        parts: list[Widget] = []
        grids: list[Grid] = []
        bench = self.workbench
        for table in view.tables.values():
            classes = "caption" if parts else "caption -first"
            caption = LineView(id=f"caption-{table.spec.id}", classes=classes)
            grid = Grid(table.spec, self.wanted_columns.get(table.spec.id, ()))
            grid.load(cells_of(table.spec, bench.document, bench.sheet, ""))
            parts += [caption, grid]
            grids.append(grid)
        made = VerticalScroll(*parts, *view.below(), classes="view", can_focus=False)
        self._pages[view] = made, grids
        return made

    # Tables

    @property
    def narrowed(self) -> str:
        """What the tables of the view that is shown are narrowed to."""
        return self.view.narrowed_to()

    def grids(self) -> list[Grid]:
        """The tables of the view that is shown, from top to bottom; none once it is closed."""
        # Kept, not looked for: at each key it is asked for several times.
        _, grids = self._pages.get(self.view, (None, []))
        return [grid for grid in grids if grid.parent is not None]

    def seen_grids(self) -> list[Grid]:
        """Those of them that are not put away; a form is while it is of nothing."""
        return [grid for grid in self.grids() if grid.display]

    def grid_of(self, table: str) -> Grid:
        """A table by its id."""
        return self.query_one(f"#grid-{table}", Grid)

    def focus_grid(self, grid: Grid) -> None:
        """Keys now go to this table; not where the page that it stands on was left meanwhile."""
        if grid not in self.grids():
            return
        for other in self.grids():
            other.show_cursor = other is grid
        self.grid = self.visited[self.view] = grid
        self.show_captions()
        self.show_cursor()
        self.describe_cell()
        self.view.draw()

    def show_captions(self) -> None:
        """What stands over the tables, with a mark at the one that keys go to."""
        room = self.query_one(ContentSwitcher).size.width or self.size.width
        caution = self.view.caution()
        for id, table in self.view.tables.items():
            grid = table.grid
            said, caution = (f"{caution}. " if caution else ""), ""
            more = "  (more columns ->)" if grid.columns_width > room else ""
            if grid.hidden:  # arrows do not lead to these
                more = f"  ({'more ->, ' if more else ''}alt+d: {grid.hidden} more)"
            if len(said) > room - len(more):
                more = ""
            mark = ">" if grid is self.grid else " "
            text = cut(f"{mark}{said}{table.caption()}", room - len(more))
            caption = self.query_one(f"#caption-{id}", LineView)
            caption.show([plain_line(text + more, "bold")])

    def show_grids(self) -> None:
        """Fill the tables of the view that is shown."""
        bench = self.workbench
        speak(self.app, speech_of(bench.document))
        part = self.narrowed
        for grid in self.grids():
            grid.load(cells_of(grid.whole, bench.document, bench.sheet, part), self.by_others)
        self.more_soon()
        self.view.filled()

    def show_tables(self) -> None:
        """Fill the tables, and tell over them what they show."""
        self.show_grids()
        self.show_captions()

    def show_cursor(self) -> None:
        """Scroll the view so that the cell under the cursor can be seen."""
        scroll_to_cursor(self.query_one(f"#{self.view.id}", VerticalScroll), self.grid)
        self.more_soon()

    def _laid_out(self) -> None:
        """A table of the view has more or fewer rows now: the cursor may have gone out of sight."""
        self.call_after_refresh(self.show_cursor)

    def more_soon(self) -> None:
        """Tell what lies above and below once it is drawn; once, however often it is asked."""
        if not self._more_asked:
            self._more_asked = True
            self.call_after_refresh(self.show_more)

    def show_more(self, again: bool = True) -> None:
        """Which tables and rows lie above and below what can be seen.

        A view that was just turned to is laid out a moment later, and is then looked at again.
        """
        self._more_asked = False
        grids = self.grids()
        if again and not all(grid.virtual_region for grid in grids):
            self.set_timer(LAID_OUT_S, partial(self.show_more, False))
        more = self.query_one_optional("#more", LineView)
        if more is not None and self.view in self._pages:  # neither once the screen is closed
            view, _ = self._pages[self.view]
            more.show([out_of_sight(view, grids, self.size.width)])

    def leave_table(self, step: int) -> None:
        """Go on to the next (1) or previous (-1) table of the view."""
        grids = self.seen_grids()
        if self.grid not in grids:  # it was put away: a form that is of nothing now
            if grids:
                self.focus_grid(grids[0])
            return
        place = grids.index(self.grid) + step
        if 0 <= place < len(grids):
            grid = grids[place]
            if grid.row_count:
                row = 0 if step > 0 else grid.row_count - 1
                columns = grid.spec.columns
                first = next((i for i, column in enumerate(columns) if column.editable), 0)
                grid.move_cursor(row=row, column=max(grid.cursor_column, first))
            self.focus_grid(grid)
        elif step > 0:
            self.say("This is the last row: ctrl+n adds one")

    # How it is drawn

    def _screen_resized(self, size: Size) -> None:
        """As ever, but not for a dialog over it that has its place now: it has its own."""
        if size != self._compositor.size or self._layout_required:
            super()._screen_resized(size)

    def _compositor_refresh(self) -> None:
        """As ever, but what is not sent while updates are held back is not drawn either."""
        if self.app._batch_count and self.is_current:
            self.refresh()
        else:
            super()._compositor_refresh()
