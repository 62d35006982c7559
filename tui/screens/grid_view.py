"""A screen of views with tables: what is shown, where the cursor is, and the status line.

It shows a bench: an open build, or the shop. Which views and tables there are, and what else
is on the screen, is up to the screens that are made of it.
"""

from collections.abc import Awaitable, Callable, Iterator, Sequence
from functools import partial
from typing import Any, ClassVar

from rich.cells import cell_len
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import ContentSwitcher

from domain.sheet import Sheet
from tui.screens.editing import CellEditing
from tui.tables.table import TableSpec
from tui.views.build_actions import key_line
from tui.widgets.cell_text import cut, wrap
from tui.widgets.grid import Grid, cells_of
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import Line, LineView, Span, plain_line
from tui.workbench import Bench

WAYS_ON = "esc: the old value; or type anew"
"""What to do about a value that was not taken."""

WARN_S = 15
"""How long a long warning stands above the status line [s]."""


class GridView(Screen[None]):
    """Tables over a bench. What keys do is added on top of it."""

    AUTO_FOCUS = ""
    where: ClassVar[str] = ""
    """Which actions of ``tui.views.build_actions`` it has."""

    def __init__(self, bench: Bench[Any]) -> None:
        super().__init__()
        self.workbench = bench
        self.view = ""
        """Id of the present view."""
        self.grid: Grid
        """The table that keys go to."""
        self.editing: CellEditing
        """The cell under the cursor and what is typed into it."""
        self.said_at = ("", "", 0)
        """Where the cursor was when the status line was last written."""
        self._keys_lent = False
        """Whether the key line holds the rest of a refusal."""
        self.visited: dict[str, Grid] = {}
        """The table with the cursor in each view that was visited."""

    # What the screens made of it say

    def specs(self, view: str) -> list[TableSpec]:
        """The tables of a view."""
        raise NotImplementedError

    def views(self) -> Sequence[tuple[str, str]]:
        """The views as (id, title)."""
        raise NotImplementedError

    def below(self, view: str) -> Sequence[Widget]:
        """What stands below the tables of a view."""
        return ()

    def show_tabs(self) -> None:
        """The tab line."""
        raise NotImplementedError

    def show_all(self) -> None:
        """Show everything as it is now."""
        raise NotImplementedError

    def show_preview(self, sheet: Sheet | None) -> None:
        """What follows from a value that is being typed; ``None``: from what is there."""

    def view_shown(self, view: str) -> None:
        """A view is now in front."""

    def cursor_moved(self) -> None:
        """The cursor is on another cell."""

    def part_at_hand(self) -> str:
        """What the view is narrowed to; empty: everything."""
        return ""

    # Views and tables

    async def show_view(self, view: str) -> None:
        """Go to a view; it is made when it is first visited."""
        if not self.editing.confirm():
            return
        switcher = self.query_one(ContentSwitcher)
        # One picture at the end, not one for every step on the way.
        with self.app.batch_update():
            if self.view != view:
                if not switcher.query(f"#{view}"):
                    made = self._view(view)
                    await switcher.add_content(made, id=view)
                    self.watch(made, "scroll_y", self.show_more, init=False)
                switcher.current = view
                self.view = view
                self.show_tabs()
                self.grid = self.visited.get(view) or self.grids()[0]
                self.show_grids()
            self.view_shown(view)
            self.focus_grid(self.grid)
        self.call_after_refresh(self.show_cursor)

    async def go_view(self, view: str) -> None:
        """Go to a view; where it is shown already, on to its next table."""
        if view != self.view or self.has_class("full"):
            await self.show_view(view)
        elif self.editing.confirm():
            grids = self.grids()
            self.focus_grid(grids[(grids.index(self.grid) + 1) % len(grids)])

    def places(self) -> Iterator[tuple[str, str, Callable[[], Awaitable[None]]]]:
        """Every table and every column that can be edited, to be gone to by name.

        As (title, where it is, what goes there). The rows of a form stand for columns.
        """
        bench = self.workbench
        for view, view_title in self.views():
            for spec in self.specs(view):
                table = spec.caption.split(":")[0].split(" (")[0]
                about = f"go to a table of {view_title}"
                if table != view_title:
                    yield table, about, partial(self.go_place, view, spec.id, "", "")
                for row in spec.rows(bench.document, bench.sheet, ""):
                    own = getattr(row, "column", None)
                    if own is not None:
                        about = f"go to a field of {table}, in {view_title}"
                        yield own.title, about, partial(self.go_place, view, spec.id, row.id, "")
                if spec.table == "header":
                    continue
                for column in spec.columns:
                    if column.editable:
                        about = f"go to a column of {table}, in {view_title}"
                        to = partial(self.go_place, view, spec.id, "", column.id)
                        yield column.title, about, to

    async def go_place(self, view: str, table: str, row: str, column: str) -> None:
        """Put the cursor on a table of a view; on this row and column, where they are given."""
        await self.show_view(view)
        grid = next((each for each in self.grids() if each.spec.id == table), None)
        if grid is None or self.editing.open:
            return
        columns = grid.spec.columns
        first = next((each.id for each in columns if each.editable), columns[0].id)
        grid.go(row or grid.row_id, column or first)
        self.focus_grid(grid)
        self.call_after_refresh(self.show_cursor)

    def _view(self, view: str) -> VerticalScroll:
        parts: list[Widget] = []
        bench = self.workbench
        for spec in self.specs(view):
            caption = LineView(id=f"caption-{spec.id}")
            caption.add_class("caption", *([] if parts else ["-first"]))
            grid = Grid(spec)
            grid.load(cells_of(spec, bench.document, bench.sheet, ""))
            parts += [caption, grid]
        return VerticalScroll(*parts, *self.below(view), classes="view", can_focus=False)

    def grids(self) -> list[Grid]:
        """The tables of the present view, from top to bottom."""
        return list(self.query(f"#{self.view} Grid").results(Grid))

    def focus_grid(self, grid: Grid) -> None:
        """Keys now go to this table."""
        for other in self.grids():
            other.show_cursor = other is grid
        self.grid = self.visited[self.view] = grid
        self.show_captions()
        self.show_cursor()
        self.describe_cell()

    def show_captions(self) -> None:
        """What stands over the tables, with a mark at the one that keys go to."""
        for other in self.grids():
            here = other is self.grid
            caption = self.query_one(f"#caption-{other.spec.id}", LineView)
            room = self.query_one(ContentSwitcher).size.width or self.size.width
            more = "  (more columns ->)" if other.columns_width > room else ""
            text = cut(f"{'>' if here else ' '}{self.caption(other)}", room - len(more))
            caption.show([plain_line(text + more, "bold")])

    def caption(self, grid: Grid) -> str:
        """What stands over a table."""
        return grid.spec.caption

    def show_grids(self) -> None:
        """Fill the tables of the present view."""
        bench = self.workbench
        part = self.part_at_hand()
        for grid in self.grids():
            grid.load(cells_of(grid.spec, bench.document, bench.sheet, part))
        self.call_after_refresh(self.show_more)

    def show_cursor(self) -> None:
        """Scroll the view so that the cell under the cursor can be seen."""
        view = self.query_one(f"#{self.view}", VerticalScroll)
        if not view.region or not self.grid.virtual_region:
            return
        row = self.grid.cursor_row
        # Places within the view as it is laid out, whatever it is scrolled to at the moment.
        y = self.grid.virtual_region.y + self.grid.cell_region().y - self.grid.content_region.y
        top, height = view.scroll_offset.y, view.size.height
        first = y - 2 if row == 0 else y
        if y >= top + height:
            # A table that one comes to is shown from its caption on.
            view.scroll_to(y=first if row == 0 else y - height + 1, animate=False)
        elif first < top:
            view.scroll_to(y=max(first, 0), animate=False)
        self.call_after_refresh(self.show_more)

    def show_more(self) -> None:
        """Which tables and rows lie above and below what can be seen; a click goes there."""
        found = self.query(f"#{self.view}").results(VerticalScroll) if self.view else iter(())
        view = next(found, None)
        if view is None:
            return
        spans = [Span(" ")]
        above = [(g, n) for g in self.grids() if (n := hidden_rows(g, view)[0])]
        below = [(g, n) for g in self.grids() if (n := hidden_rows(g, view)[1])]
        for mark, hidden in (("▲ above: ", above), ("▼ more below: ", below)):
            for place, (grid, count) in enumerate(hidden):
                name = grid.spec.caption.split(":")[0].split(" (")[0]
                spans.append(Span(", " if place else mark, "bold"))
                rows = f" {min(count, grid.row_count)}" if grid.row_count else ""
                spans.append(Span(f"{name}{rows}", "", f"table:{grid.spec.id}"))
            if hidden:
                spans.append(Span("   "))
        self.query_one("#more", LineView).show([fitted(spans, self.size.width)])

    def leave_table(self, step: int) -> None:
        """Go on to the next (1) or previous (-1) table of the view."""
        grids = self.grids()
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

    # Status

    def say(self, text: str, *, bad: bool = False) -> None:
        """One sentence in the status line. It stays until the cursor moves."""
        self.said_at = self.cell_at_hand()
        line = cut(f" {'! ' if bad else ''}{text}", max(self.size.width, 20))
        self.query_one("#status", LineView).show([plain_line(line, "bold" if bad else "")])
        if self._keys_lent:
            self._keys_lent = False
            self.query_one("#keys", KeyLine).show_keys(key_line(self.where))

    def refuse(self, text: str) -> None:
        """Why a typed value cannot be taken, over status and key line, and the ways on."""
        width = max(self.size.width, 20)
        first, *rest = wrap(f"! {text}", width - 1)
        self.say(first.removeprefix("! "), bad=True)
        after = cut(" ".join(rest), max(width - cell_len(WAYS_ON) - 3, 0))
        line = f" {after}{'. ' if after else ''}{WAYS_ON}"
        self.query_one("#keys", KeyLine).show([plain_line(cut(line, width), "bold")])
        self._keys_lent = True

    def warn(self, text: str) -> None:
        """Say what went wrong; where the status line is too short for it, above it as well."""
        self.say(text, bad=True)
        if cell_len(text) + 3 > self.size.width:
            self.notify(text, markup=False, severity="error", timeout=WARN_S)

    def cell_at_hand(self) -> tuple[str, str, int]:
        """Table, row and column of the cursor."""
        return self.grid.spec.id, self.grid.row_id, self.grid.cursor_column

    def describe_cell(self) -> None:
        """What the cell under the cursor is and takes."""
        self.say(self.about_cell())

    def about_cell(self) -> str:
        """What the cell under the cursor is and takes, as a sentence."""
        cell = self.editing.cell()
        if cell is None:
            spec = self.grid.spec
            return f"{spec.caption}: {spec.empty or 'none yet, ctrl+n adds one'}"
        return cell[0].described(self.workbench.document)


def hidden_rows(grid: Grid, view: VerticalScroll) -> tuple[int, int]:
    """How many rows of a table, its head with them, lie above and below what can be seen."""
    top, bottom = view.scroll_offset.y, view.scroll_offset.y + view.size.height
    place, lines = grid.virtual_region, grid.row_count + 1
    first = place.y - grid.scroll_offset.y
    above = max(top, place.y) - first if place.bottom > top else lines
    below = first + lines - min(bottom, place.bottom) if place.y < bottom else lines
    return min(max(above, 0), lines), min(max(below, 0), lines)


def fitted(spans: list[Span], width: int) -> Line:
    """A line of as many spans as fit."""
    kept: list[Span] = []
    room = width
    for span in spans:
        if cell_len(span.text) > room:
            kept.append(Span(cut(span.text, room), span.style, span.target))
            break
        kept.append(span)
        room -= cell_len(span.text)
    return Line(tuple(kept))
