"""What the build screen shows: header, tabs, views with their tables, pane, strip, status."""

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import ContentSwitcher, Rule

from domain.edits import Edit, EditRefused, apply
from domain.sheet import Sheet
from storage.errors import StoreError
from tui.bindings import SHORT_TITLES, VIEWS, shown_key
from tui.screens.dialogs import Pick
from tui.screens.editing import CellEditing
from tui.tables.spec import TableSpec
from tui.tables.specs import place_of, specs_of
from tui.widgets.cut import cut, right
from tui.widgets.editor import Editor
from tui.widgets.grid import Grid, cells_of
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import Line, LineView, Span, plain_line
from tui.widgets.live_pane import LivePane
from tui.widgets.pane_lines import strip_lines
from tui.widgets.picture_view import PictureView
from tui.workbench import Workbench


def tabs(current: str, wide: bool) -> list[tuple[str, str, str]]:
    """The tab line: where there is little room, only the present view has its whole title."""
    found = []
    for id, title, key in VIEWS:
        short = title if wide or id == current else SHORT_TITLES.get(id, title)
        found.append((shown_key(key), short, f"view_{id}"))
    return [*found, ("F10", "Builds", "home")]


WIDE_TABS = 100
"""Cells that the tab line needs with every title in full."""

SAVED_WIDTH = 26
"""Cells for the saved state, a line of its own so that the title is not sent with it."""


class BuildFrame(Screen[None]):
    """The frame of an open build. It shows the workbench; what keys do is added on top of it."""

    CSS_PATH = "build.tcss"
    AUTO_FOCUS = ""

    def __init__(self, workbench: Workbench) -> None:
        super().__init__()
        self.HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
        self.workbench = workbench
        self.view = ""
        """Id of the present view."""
        self.grid: Grid
        """The table that keys go to."""
        self.editing: CellEditing
        """The cell under the cursor and what is typed into it."""
        self.at_hand = 0
        """Place of the finding that stands on top of the pane."""
        self.said_at = ("", "", 0)
        """Where the cursor was when the status line was last written."""
        self.one_part = True
        """Whether panels and holes of one part only are shown."""
        self.mode = ""
        """The state whose readings are shown; empty: of all states."""
        self.visited: dict[str, Grid] = {}
        """The table with the cursor in each view that was visited."""

    def compose(self) -> ComposeResult:
        """Header, tabs, views with the pane, strip, status and key line."""
        with Horizontal(id="top"):
            yield LineView(id="title")
            yield LineView(id="saved")
        yield KeyLine(id="tabs")
        with Horizontal(id="work"):
            with Vertical(id="left"):
                yield ContentSwitcher(id="views")
                yield PictureView(id="picture")
            yield Rule("vertical", id="edge")
            yield LivePane(id="pane")
        yield LineView(id="more")
        yield LineView(id="strip")
        yield LineView(id="status")
        yield KeyLine(id="keys")
        yield Editor(id="editor")

    def on_resize(self) -> None:
        """Lines are cut for the new width."""
        self.show_header()
        self.show_tabs()
        self.show_figures()
        self.call_after_refresh(self.show_more)

    # What is shown

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
                self.set_class(view == "parts", "parts")
                self.view = view
                self.show_tabs()
                self.grid = self.visited.get(view) or self.grids()[0]
                self.show_grids()
            self.remove_class("full")
            self.query_one(LivePane).mark(False)
            self.focus_grid(self.grid)
        self.call_after_refresh(self.show_cursor)

    async def go_to(self, table: str, id: str, field: str) -> None:
        """Put the cursor on the cell where a field is edited."""
        place = place_of(self.workbench.build, table, id, field) if table else None
        if place is None:
            return
        spec, row, column = place
        await self.show_view(spec.view)
        grid = self.query_one(f"#grid-{spec.id}", Grid)
        grid.go(row, column)
        self.focus_grid(grid)

    def _view(self, view: str) -> VerticalScroll:
        parts: list[LineView | Grid] = []
        bench = self.workbench
        for spec in self.specs(view):
            caption = LineView(id=f"caption-{spec.id}")
            caption.add_class("caption", *([] if parts else ["-first"]))
            grid = Grid(spec)
            grid.load(cells_of(spec, bench.build, bench.sheet, ""))
            parts += [caption, grid]
        if view == "readings":
            parts.append(LineView(id="suspects"))
        return VerticalScroll(*parts, classes="view", can_focus=False)

    def specs(self, view: str) -> list[TableSpec]:
        """The tables of a view."""
        return specs_of(view)

    def show_tabs(self) -> None:
        """The tab line, as wide as the terminal allows."""
        wide = self.size.width >= WIDE_TABS
        keys = tabs(self.view, wide)
        self.query_one("#tabs", KeyLine).show_keys(keys, f"view_{self.view}")

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

    def show_all(self) -> None:
        """Show the build as it is now."""
        self.show_header()
        self.show_grids()
        self.show_figures()

    def show_header(self) -> None:
        """Title, vehicle and how it is saved."""
        header = self.workbench.build.header
        name = header.title + (f" · {header.vehicle}" if header.vehicle else "")
        room = max(self.size.width - SAVED_WIDTH, 20)
        self.query_one("#title", LineView).show([plain_line(cut(f" {name}", room), "bold")])
        saved = plain_line(right(f"{self.workbench.saved} ", SAVED_WIDTH))
        self.query_one("#saved", LineView).show([saved])

    def show_grids(self) -> None:
        """Fill the tables of the present view."""
        bench = self.workbench
        part = self.part_at_hand()
        for grid in self.grids():
            grid.load(cells_of(grid.spec, bench.build, bench.sheet, part))
        self.call_after_refresh(self.show_more)

    def show_figures(self, preview: Sheet | None = None) -> None:
        """Pane and strip, from the sheet as it is or as it would be."""
        bench = self.workbench
        sheet = preview or bench.sheet
        before = None if bench.before is bench.sheet else bench.before
        width = max(self.size.width, 20)
        mending = self.mending()
        lines = strip_lines(bench.build, sheet, width, self.at_hand, mending)
        self.query_one("#strip", LineView).show(lines)
        self.query_one(LivePane).show_sheet(
            bench.build, sheet, self.at_hand, before, bench.sheet if preview else None, mending
        )

    def show_preview(self, sheet: Sheet | None) -> None:
        """The figures while a value is being typed."""
        self.show_figures(sheet)

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

    def say(self, text: str, *, bad: bool = False) -> None:
        """One sentence in the status line. It stays until the cursor moves."""
        self.said_at = self.cell_at_hand()
        line = cut(f" {'! ' if bad else ''}{text}", max(self.size.width, 20))
        self.query_one("#status", LineView).show([plain_line(line, "bold" if bad else "")])

    def cell_at_hand(self) -> tuple[str, str, int]:
        """Table, row and column of the cursor."""
        return self.grid.spec.id, self.grid.row_id, self.grid.cursor_column

    def describe_cell(self) -> None:
        """What the cell under the cursor is and takes."""
        self.say(self._about_cell())

    def _about_cell(self) -> str:
        cell = self.editing.cell()
        if cell is None:
            spec = self.grid.spec
            return f"{spec.caption}: {spec.empty or 'none yet, ctrl+n adds one'}"
        return cell[0].described(self.workbench.build)

    # Edits

    def commit(self, edit: Edit) -> bool:
        """Make an edit and show what follows; the reason is told when it cannot be made."""
        try:
            self.workbench.do(edit)
        except EditRefused as error:
            self.say(f"Not taken: {error}", bad=True)
            return False
        except StoreError as error:
            self.say(f"Not saved: {error}", bad=True)
            return False
        self.show_all()
        if self.workbench.told:
            self.say(self.workbench.told)
        return True

    def changes(self, edit: Edit) -> bool:
        """Whether an edit changes anything; ``EditRefused`` when it cannot be made."""
        return apply(self.workbench.build, edit)[0] != self.workbench.build

    def _new(self, edit: Edit) -> bool:
        try:
            return self.changes(edit)
        except EditRefused:
            return True

    def pick(self, title: str, options: list[tuple[str, Edit]]) -> None:
        """Let the user choose one of the edits."""
        marked = next((i for i, (_, edit) in enumerate(options) if not self._new(edit)), 0)

        def chosen(place: int | None) -> None:
            if place is not None and self._new(options[place][1]):
                self.commit(options[place][1])

        self.app.push_screen(Pick(title, [name for name, _ in options], marked), chosen)

    def part_at_hand(self) -> str:
        """What the view is narrowed to: a part or a state; empty: everything."""
        if self.view == "readings":
            return self.mode
        if not self.one_part or self.view != "parts" or not self.grids():
            return ""
        return self.grids()[0].row_id

    def mending(self) -> str:
        """What the edit is called that mends the finding at hand; empty: there is none."""
        return ""


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
