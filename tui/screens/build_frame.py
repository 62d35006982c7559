"""What the build screen shows: header, tabs, views with their tables, pane, strip, status."""

from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import ContentSwitcher, Rule

from domain.build import Build
from domain.edits import Edit, EditRefused, apply
from domain.sheet import Sheet
from storage.errors import StoreError
from tui.bindings import VIEWS, shown_key
from tui.screens.dialogs import Pick
from tui.screens.editing import CellEditing
from tui.tables.specs import specs_of
from tui.widgets.cut import cut, right
from tui.widgets.editor import Editor
from tui.widgets.grid import Grid, cells_of
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import LineView, plain_line
from tui.widgets.live_pane import LivePane
from tui.widgets.pane_lines import strip_lines
from tui.workbench import Workbench

_TABS = [
    *((shown_key(key), title, f"view_{id}") for id, title, key in VIEWS),
    ("F7", "Builds", "home"),
]


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
        self.one_part = False
        """Whether panels and holes of one part only are shown."""
        self.visited: dict[str, Grid] = {}
        """The table with the cursor in each view that was visited."""

    def compose(self) -> ComposeResult:
        """Header, tabs, views with the pane, strip, status and key line."""
        with Horizontal(id="top"):
            yield LineView(id="title")
            yield LineView(id="saved")
        yield KeyLine(id="tabs")
        with Horizontal(id="work"):
            yield ContentSwitcher(id="views")
            yield Rule("vertical", id="edge")
            yield LivePane(id="pane")
        yield LineView(id="strip")
        yield LineView(id="status")
        yield KeyLine(id="keys")
        yield Editor(id="editor")

    def on_resize(self) -> None:
        """Lines are cut for the new width."""
        self.show_header()
        self.show_figures()

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
                    await switcher.add_content(self._view(view), id=view)
                switcher.current = view
                self.view = view
                self.query_one("#tabs", KeyLine).show_keys(_TABS, f"view_{view}")
                self.grid = self.visited.get(view) or self.grids()[0]
                self.show_grids()
            self.remove_class("full")
            self.focus_grid(self.grid)
        self.call_after_refresh(self.show_cursor)

    def _view(self, view: str) -> VerticalScroll:
        parts: list[LineView | Grid] = []
        bench = self.workbench
        for spec in specs_of(view):
            caption = LineView(id=f"caption-{spec.id}")
            caption.add_class("caption", *([] if parts else ["-first"]))
            grid = Grid(spec)
            grid.load(cells_of(spec, bench.build, bench.sheet, ""))
            parts += [caption, grid]
        return VerticalScroll(*parts, classes="view", can_focus=False)

    def grids(self) -> list[Grid]:
        """The tables of the present view, from top to bottom."""
        return list(self.query(f"#{self.view} Grid").results(Grid))

    def focus_grid(self, grid: Grid) -> None:
        """Keys now go to this table."""
        for other in self.grids():
            here = other is grid
            other.show_cursor = here
            caption = self.query_one(f"#caption-{other.spec.id}", LineView)
            text = f"{'>' if here else ' '}{other.spec.caption}"
            if other.columns_width > self.query_one(ContentSwitcher).size.width > 0:
                text += "  (more columns to the right)"
            caption.show([plain_line(text, "bold")])
        self.grid = self.visited[self.view] = grid
        self.show_cursor()
        self.describe_cell()

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

    def show_figures(self, preview: Sheet | None = None) -> None:
        """Pane and strip, from the sheet as it is or as it would be."""
        bench = self.workbench
        sheet = preview or bench.sheet
        before = None if bench.before is bench.sheet else bench.before
        width = max(self.size.width, 20)
        lines = strip_lines(bench.build, sheet, width, self.at_hand)
        self.query_one("#strip", LineView).show(lines)
        self.query_one(LivePane).show_sheet(
            bench.build, sheet, self.at_hand, before, bench.sheet if preview else None
        )

    def show_preview(self, sheet: Sheet | None) -> None:
        """The figures while a value is being typed."""
        self.show_figures(sheet)

    def show_cursor(self) -> None:
        """Scroll the view so that the cell under the cursor can be seen."""
        view = self.query_one(f"#{self.view}", VerticalScroll)
        cell = self.grid.cell_region()
        over = cell.y - view.region.bottom + 1
        under = view.region.y - (cell.y - 2 if self.grid.cursor_row == 0 else cell.y)
        if over > 0:
            view.scroll_relative(y=over, animate=False)
        elif under > 0:
            view.scroll_relative(y=-under, animate=False)

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
        from domain.fields import describe_field

        cell = self.editing.cell()
        if cell is None:
            return f"{self.grid.spec.caption}: none yet, ctrl+n adds one"
        column, _ = cell
        if not column.editable:
            return f"{column.title.lstrip('·')}: computed"
        if column.field == "power":
            return "Power: rated, in watts: 500, 4x75, or 4x75+1x300 with a bass channel"
        return describe_field(self.workbench.build, column.table, column.field)

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

    def pick(self, title: str, options: list[tuple[str, Edit]]) -> None:
        """Let the user choose one of the edits."""
        build = self.workbench.build
        marked = next((i for i, (_, e) in enumerate(options) if _same(build, e)), 0)

        def chosen(place: int | None) -> None:
            if place is not None and not _same(self.workbench.build, options[place][1]):
                self.commit(options[place][1])

        self.app.push_screen(Pick(title, [name for name, _ in options], marked), chosen)

    def part_at_hand(self) -> str:
        """The part whose panels and holes are shown; empty: of all parts."""
        if not self.one_part or self.view != "parts":
            return ""
        return self.grids()[0].row_id


def _same(build: Build, edit: Edit) -> bool:
    """Whether an edit changes nothing."""
    try:
        return apply(build, edit)[0] == build
    except EditRefused:
        return False
