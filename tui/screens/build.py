"""One build on the screen: five views to enter what is known, and the live pane beside them."""

import inspect

from domain import actions
from domain.build import Build, find, label, records
from domain.edits import Edit, EditRefused, MoveRecord
from domain.sheet import Sheet
from storage.errors import StoreError
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widgets import ContentSwitcher, DataTable

from tui.bindings import VIEWS, actions_of, bindings_of, help_rows, key_line, shown_key
from tui.screens.dialogs import Help, Pick
from tui.screens.editing import CellEditing
from tui.tables.specs import TableSpec, place_of, specs_of
from tui.widgets.cut import cut, left
from tui.widgets.editor import Editor
from tui.widgets.grid import Grid, cells_of
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import LineView, plain_line
from tui.widgets.live_pane import LivePane
from tui.widgets.pane_lines import sorted_findings, strip_lines
from tui.workbench import Workbench

LEGEND = "~ chosen for you (= pins it, delete gives it back)   · computed   * changed, (before)"
_TABS = [*((shown_key(key), title, f"view_{id}") for id, title, key in VIEWS), ("F7", "Builds", "home")]


class BuildScreen(Screen[None]):
    """The open build. Shows the workbench and turns keys into edits."""

    CSS_PATH = "build.tcss"
    BINDINGS = bindings_of("build")
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]

    def __init__(self, workbench: Workbench) -> None:
        super().__init__()
        self.workbench = workbench
        self.view = ""
        self.grid: Grid
        self.editing: CellEditing
        self.at_hand = 0
        self.one_part = False
        self._actions = {
            key: action.id for action in actions_of("build") for key in action.keys if action.id
        }
        self._last: dict[str, Grid] = {}

    def compose(self) -> ComposeResult:
        """Header, tabs, views with the pane, strip, status and key line."""
        yield LineView(id="title")
        yield KeyLine(id="tabs")
        with Horizontal(id="work"):
            yield ContentSwitcher(id="views")
            yield LivePane(id="pane")
        yield LineView(id="strip")
        yield LineView(id="status")
        yield KeyLine(id="keys")
        yield Editor(id="editor")

    async def on_mount(self) -> None:
        """Open on the amplifiers."""
        self.editing = CellEditing(self, self.query_one(Editor))
        self.query_one("#keys", KeyLine).show_keys(key_line("build"))
        await self.show_view("amplifiers")
        self.show_all()

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
        if self.view != view:
            if not switcher.query(f"#{view}"):
                await switcher.add_content(self._view(view), id=view)
            switcher.current = view
            self.view = view
            self.query_one("#tabs", KeyLine).show_keys(_TABS, f"view_{view}")
            self.grid = self._last.get(view) or self.grids()[0]
            self.show_grids()
        self.focus_grid(self.grid)

    def _view(self, view: str) -> VerticalScroll:
        parts: list[LineView | Grid] = []
        bench = self.workbench
        for spec in specs_of(view):
            caption = LineView([plain_line(spec.caption)])
            caption.add_class("caption", *([] if parts else ["-first"]))
            grid = Grid(spec, self.handle_key)
            grid.load(cells_of(spec, bench.build, bench.sheet, ""))
            parts += [caption, grid]
        return VerticalScroll(*parts, classes="view", can_focus=False)

    def grids(self) -> list[Grid]:
        """The tables of the present view, from top to bottom."""
        return list(self.query(f"#{self.view} Grid").results(Grid))

    def focus_grid(self, grid: Grid) -> None:
        """Keys now go to this table."""
        self.grid = self._last[self.view] = grid
        self.set_focus(grid, scroll_visible=False)
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
        width = max(self.size.width, 20)
        saved = self.workbench.saved
        name = header.title + (f" · {header.vehicle}" if header.vehicle else "")
        line = left(f" {name}", width - len(saved) - 2) + f" {saved} "
        self.query_one("#title", LineView).show([plain_line(line)])

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
        before = bench.sheet if preview else bench.before
        if before is sheet:
            before = None
        if self.has_class("-narrow"):
            width = max(self.size.width, 20)
            self.query_one("#strip", LineView).show(
                strip_lines(bench.build, sheet, width, self.at_hand)
            )
        self.query_one(LivePane).show_sheet(
            bench.build, sheet, before, self.at_hand, typing=preview is not None
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
        """One sentence in the status line."""
        line = cut(f" {'! ' if bad else ''}{text}", max(self.size.width, 20))
        self.query_one("#status", LineView).show([plain_line(line, "bold" if bad else "")])

    def describe_cell(self) -> None:
        """What the cell under the cursor is and takes."""
        self.say(self._about_cell())

    def _about_cell(self) -> str:
        from domain.fields import describe_field

        cell = self.editing.cell()
        if cell is None:
            return "ctrl+n adds a row"
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

    async def handle_key(self, event: Key) -> bool:
        """Every key that a table gets comes here first, in the order typed."""
        if self.editing.key(event):
            return True
        action = self._actions.get(event.key)
        if action is None or action in ("help", "palette", "quit"):
            return False
        await self.run(action)
        return True

    async def run(self, action: str) -> None:
        """Start an action by its id."""
        done = getattr(self, f"action_{action}")()
        if inspect.isawaitable(done):
            await done

    # Actions

    async def action_view_amplifiers(self) -> None:
        """Amplifiers."""
        await self.show_view("amplifiers")

    async def action_view_battery(self) -> None:
        """Battery, alternator, zones, job."""
        await self.show_view("battery")

    async def action_view_distribution(self) -> None:
        """Distribution."""
        first = "distribution" not in self._last
        await self.show_view("distribution")
        if first:
            self._go_to_unmeasured()

    async def action_view_grounds(self) -> None:
        """Grounds."""
        await self.show_view("grounds")

    async def action_view_parts(self) -> None:
        """Custom parts."""
        await self.show_view("parts")

    def _go_to_unmeasured(self) -> None:
        """To the first run whose length is still assumed."""
        for id in self.grid.row_ids:
            run = find(self.workbench.build, id)
            if run is not None and run.length_m is None:
                self.grid.go(id, "length_m")
                return

    def action_home(self) -> None:
        """Back to the list of builds."""
        if self.editing.confirm():
            self.dismiss(None)

    async def action_next_finding(self) -> None:
        """Go to the field that mends the next finding."""
        findings = sorted_findings(self.workbench.sheet)
        if not findings:
            self.say("No findings")
            return
        here = self._finding_here
        await self.go_to_finding(0 if here is None else (here + 1) % len(findings))

    _finding_here: int | None = None

    async def go_to_finding(self, place: int) -> None:
        """Show a finding on top of the pane and put the cursor on its field."""
        findings = sorted_findings(self.workbench.sheet)
        if not 0 <= place < len(findings):
            return
        finding = findings[place]
        self.at_hand = self._finding_here = place
        self.remove_class("full")
        await self.go_to(finding.table, finding.id, finding.field)
        self.show_figures()
        self.say(f"{finding.level.value}: {finding.what} Do: {finding.do}")

    async def go_to(self, table: str, id: str, field: str) -> None:
        """Put the cursor on the cell where a field is edited."""
        place = place_of(self.workbench.build, table, id, field) if table else None
        if place is None:
            return
        spec, row, column = place
        self.one_part = False
        await self.show_view(spec.view)
        grid = self.query_one(f"#grid-{spec.id}", Grid)
        grid.go(row, column)
        self.focus_grid(grid)

    def action_pane(self) -> None:
        """The pane in full, and back."""
        self.toggle_class("full")
        self.show_figures()

    def action_pane_down(self) -> None:
        """Scroll the pane."""
        self.query_one(LivePane).scroll_relative(y=5, animate=False)

    def action_pane_up(self) -> None:
        """Scroll the pane."""
        self.query_one(LivePane).scroll_relative(y=-5, animate=False)

    def action_add(self) -> None:
        """Add a row to the table with the cursor."""
        spec = self.grid.spec
        if spec.table == "header":
            self.say("This form has no rows to add")
            return
        build = self.workbench.build
        had = {record.id for record in records(build, spec.table)}
        try:
            edit = self._addition(build, spec)
        except EditRefused as error:
            self.say(f"Not added: {error}", bad=True)
            return
        if not self.commit(edit):
            return
        new = next((r.id for r in records(self.workbench.build, spec.table) if r.id not in had), "")
        self.grid.go(new, spec.first or spec.columns[0].id)
        self.describe_cell()

    def _addition(self, build: Build, spec: TableSpec) -> Edit:
        here = find(build, self.grid.row_id) if self.grid.row_id else None
        if spec.table == "runs":
            if here is not None:
                return actions.add_run(build, here.source, here.target)
            if spec.id == "ground_runs" and build.grounds and build.batteries:
                return actions.add_run(build, build.batteries[0].id, build.grounds[0].id)
            if build.batteries and build.blocks:
                return actions.add_run(build, build.batteries[0].id, build.blocks[0].id)
            raise EditRefused("a run goes between two devices: add a battery and a block first")
        if spec.table == "panels":
            part = self.grids()[0].row_id
            return actions.add(build, "panels", **({"part": part} if part else {}))
        if spec.table == "holes" and here is not None:
            return actions.add(build, "holes", panel=here.panel)
        return actions.add(build, spec.table)

    def action_remove(self) -> None:
        """Remove the row with the cursor."""
        self.remove_row()

    def remove_row(self) -> None:
        """Remove the row under the cursor and what makes no sense without it."""
        id, table = self.grid.row_id, self.grid.spec.table
        if not id or table == "header":
            self.say("There is no row to remove here")
            return
        name = label(self.workbench.build, id)
        try:
            edit = actions.remove(self.workbench.build, table, id)
        except EditRefused as error:
            self.say(f"Not removed: {error}", bad=True)
            return
        if self.commit(edit):
            self.say(f"Removed {name}: ctrl+z brings it back")

    def action_duplicate(self) -> None:
        """Add a copy of the row with the cursor."""
        id, table = self.grid.row_id, self.grid.spec.table
        if not id or table == "header":
            self.say("There is no row to duplicate here")
            return
        had = {record.id for record in records(self.workbench.build, table)}
        try:
            edit = actions.duplicate(self.workbench.build, table, id)
        except EditRefused as error:
            self.say(f"Not duplicated: {error}", bad=True)
            return
        if self.commit(edit):
            rows = records(self.workbench.build, table)
            new = next((r.id for r in rows if r.id not in had), id)
            self.grid.go(new, self.grid.spec.columns[0].id)

    def action_move_up(self) -> None:
        """One place up."""
        self._move_row(-1)

    def action_move_down(self) -> None:
        """One place down."""
        self._move_row(1)

    def _move_row(self, step: int) -> None:
        id, table = self.grid.row_id, self.grid.spec.table
        if table in ("header", "runs"):
            self.say("Runs stand in the order of the tree" if table == "runs" else "Not movable")
            return
        ids = [record.id for record in records(self.workbench.build, table)]
        shown = self.grid.row_ids
        if id not in shown or not 0 <= shown.index(id) + step < len(shown):
            return
        beside = shown[shown.index(id) + step]
        self.commit(MoveRecord(table=table, id=id, index=ids.index(beside)))

    def action_rehang(self) -> None:
        """Choose the device that this run hangs on."""
        spec = self.grid.spec
        run = find(self.workbench.build, self.grid.row_id) if self.grid.row_id else None
        if spec.table != "runs" or run is None:
            self.say("Only a run can be re-hung: go to Distribution (F4) or Grounds (F5)")
            return
        column = spec.column_for("source")
        if column is not None:
            title = f"Hang {label(self.workbench.build, run.id)} on"
            self.pick(title, column.options(self.workbench.build, run))

    def action_undo(self) -> None:
        """Take the last change back."""
        self._step_back("undo")

    def action_redo(self) -> None:
        """Make it again."""
        self._step_back("redo")

    def _step_back(self, way: str) -> None:
        try:
            done = self.workbench.undo() if way == "undo" else self.workbench.redo()
        except (StoreError, EditRefused) as error:
            self.say(f"Not done: {error}", bad=True)
            return
        if not done:
            self.say(f"Nothing to {way}")
            return
        self.show_all()
        self.say(self.workbench.told)

    def action_all_parts(self) -> None:
        """Panels and holes of the part with the cursor only, or of all."""
        self.one_part = not self.one_part
        self.show_grids()
        self.say("Panels and holes of this part" if self.one_part else "Panels and holes of all parts")

    def action_help(self) -> None:
        """Keys of this screen and the field under the cursor."""
        about = f"{self._about_cell()}\n{LEGEND}"
        sections = [
            ("In a table", help_rows(actions_of("cell"))),
            ("In this build", help_rows(actions_of("build"))),
        ]
        self.app.push_screen(Help("Help", about, sections))

    def action_palette(self) -> None:
        """Every command by name."""
        self.app.action_command_palette()

    def copy(self, text: str) -> None:
        """Put a text on the clipboard."""
        self.app.copy_to_clipboard(text)
        self.say(f"Copied {text}")

    # Messages

    @on(DataTable.CellHighlighted)
    def _cursor_moved(self, event: DataTable.CellHighlighted) -> None:
        if event.data_table is not self.grid or self.editing.open:
            return
        self.show_cursor()
        self.describe_cell()
        if self.grid.spec.id == "parts" and self.one_part:
            self.show_grids()

    @on(DataTable.CellSelected)
    def _cell_clicked(self, event: DataTable.CellSelected) -> None:
        if isinstance(event.data_table, Grid) and self.editing.confirm():
            self.focus_grid(event.data_table)
            self.editing.start()

    @on(Grid.Edge)
    def _left_table(self, event: Grid.Edge) -> None:
        grids = self.grids()
        if event.grid not in grids:
            return
        place = grids.index(event.grid) + event.step
        if 0 <= place < len(grids):
            grid = grids[place]
            if grid.row_count:
                row = 0 if event.step > 0 else grid.row_count - 1
                grid.move_cursor(row=row, column=grid.cursor_column)
            self.focus_grid(grid)
        elif event.step > 0:
            self.say("This is the last row: ctrl+n adds one")

    @on(Grid.Pasted)
    def _pasted(self, event: Grid.Pasted) -> None:
        self.editing.typed(event.text)

    def on_descendant_focus(self) -> None:
        """A click may have moved the focus to another table."""
        focused = self.focused
        if isinstance(focused, Grid) and focused is not self.grid:
            if self.editing.confirm():
                self.focus_grid(focused)
            else:
                self.set_focus(self.grid, scroll_visible=False)

    @on(LineView.Chosen)
    async def _chosen(self, event: LineView.Chosen) -> None:
        kind, _, rest = event.target.partition(":")
        if not self.editing.confirm():
            return
        if kind == "finding":
            await self.go_to_finding(int(rest))
        elif kind == "run":
            await self.go_to("runs", rest, "gauge")
        elif kind == "amp":
            await self.go_to("amplifiers", rest, "name")
        elif kind == "pane" or event.target in self._actions.values():
            await self.run(event.target)


def _same(build: Build, edit: Edit) -> bool:
    """Whether an edit changes nothing."""
    from domain.edits import apply

    try:
        return apply(build, edit)[0] == build
    except EditRefused:
        return False
