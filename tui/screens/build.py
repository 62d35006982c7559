"""One build on the screen: five views to enter what is known, and the live pane beside them."""

from textual import on

from domain.document.records import find
from tui.screens.dialogs import Help
from tui.screens.editing import CellEditing
from tui.views.build_actions import actions_of, bindings_of, help_rows, key_line
from tui.views.library import ShopActions
from tui.widgets.editor import Editor
from tui.widgets.grid import Grid
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import LineView
from tui.widgets.live_pane import LivePane
from tui.widgets.pane_lines import sorted_findings
from tui.workbench import Workbench

LEGEND = "~ chosen for you (= pins it, delete gives it back)   · computed   * changed, (before)"


class BuildScreen(ShopActions):
    """The open build. Shows the workbench and turns keys into edits."""

    BINDINGS = bindings_of("build")

    def __init__(self, workbench: Workbench) -> None:
        super().__init__(workbench)
        self._finding_here: int | None = None

    async def on_mount(self) -> None:
        """Open on the amplifiers."""
        self.editing = CellEditing(self, self.query_one(Editor))
        self.query_one("#keys", KeyLine).show_keys(key_line("build"))
        await self.show_view("amplifiers")
        self.show_all()

    # Actions

    async def action_view_amplifiers(self) -> None:
        """Amplifiers."""
        await self.go_view("amplifiers")

    async def action_view_battery(self) -> None:
        """Battery, alternator, drive, zones, job."""
        await self.go_view("battery")

    async def action_view_distribution(self) -> None:
        """Distribution."""
        first = "distribution" not in self.visited
        await self.go_view("distribution")
        if first:
            self._go_to_unmeasured()

    async def action_view_grounds(self) -> None:
        """Grounds."""
        await self.go_view("grounds")

    async def action_view_parts(self) -> None:
        """Custom parts."""
        await self.go_view("parts")

    async def action_view_readings(self) -> None:
        """Readings."""
        first = "readings" not in self.visited
        if first:
            self.mode = self.first_mode()
        await self.go_view("readings")
        if first and self.view == "readings":
            self.grid.go(self.grid.row_id, "value_v")
            self.describe_cell()

    def _go_to_unmeasured(self) -> None:
        """To the first run whose length is still assumed."""
        for id in self.grid.row_ids:
            run = find(self.workbench.build, id)
            if run is not None and run.length_m is None and not run.existing:
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

    async def go_to_finding(self, place: int) -> None:
        """Show a finding on top of the pane and put the cursor on its field."""
        findings = sorted_findings(self.workbench.sheet)
        if not 0 <= place < len(findings):
            return
        finding = findings[place]
        self.at_hand = self._finding_here = place
        await self.go_to(finding.table, finding.id, finding.field)
        self.show_figures()
        self.say(f"{finding.level.value}: {finding.what} Do: {finding.do}")

    def mended(self) -> None:
        """The finding at hand is gone: the one in its place is the next."""
        self._finding_here = self.at_hand - 1 if self.at_hand else None

    def action_pane(self) -> None:
        """The pane in full, and back."""
        self.toggle_class("full")
        self.show_figures()
        full = self.has_class("full")
        self.query_one(LivePane).mark(full)
        if full:
            self.say("Arrows mark a line, enter follows it: to its field, its workings, who asked")
        else:
            self.describe_cell()

    def action_pane_down(self) -> None:
        """Scroll the pane."""
        pane = self.query_one(LivePane)
        last = max(0, len(pane.lines) - pane.size.height)
        pane.scroll_to(y=min(pane.scroll_offset.y + 5, last), animate=False)

    def action_pane_up(self) -> None:
        """Scroll the pane."""
        self.query_one(LivePane).scroll_relative(y=-5, animate=False)

    def action_help(self) -> None:
        """Keys of this screen and the field under the cursor."""
        about = [self.about_cell(), LEGEND]
        sections = [
            ("In a table", help_rows(actions_of("cell"))),
            ("In this build", help_rows(actions_of("build"))),
        ]
        self.app.push_screen(Help(about, sections))

    # Messages

    def cursor_moved(self) -> None:
        """Tables and picture follow to the part with the cursor."""
        if self.grid.spec.id == "parts" and self.one_part:
            self.show_grids()
            self.show_captions()
        self.show_picture()

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
        elif kind == "asked":
            self.show_askers(int(rest))
        elif kind == "table":
            self.focus_grid(self.query_one(f"#grid-{rest}", Grid))
        elif kind == "figure":
            self.show_workings_of(rest)
        elif kind == "pane" or event.target in self._actions.values():
            await self.run(event.target)
