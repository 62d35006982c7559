"""A page of a build: what its tables show is looked at closer, and worked out step by step."""

from typing import TYPE_CHECKING, Any, ClassVar

from domain.checks.cautions import high_voltage
from domain.document.records import find, label
from tui.grids.grid_screen import GridScreen
from tui.grids.shown_table import ShownTable
from tui.grids.view import View
from tui.tables.columns import Column
from tui.tables.table_spec import TableSpec
from tui.views.build.record_table import RecordTable
from tui.views.build.shop_link import OpenShop
from tui.workbench import Workbench

if TYPE_CHECKING:
    from domain.plan import Plan


class BuildView(View):
    """A page of a build. Looking closer draws the drop from the posts to an amplifier."""

    plain_table: ClassVar[type[ShownTable]] = RecordTable
    routes: ClassVar[bool] = False
    """Whether it shows where wires go or holes are drilled into the vehicle."""

    def __init__(self, screen: GridScreen, bench: Workbench, open_shop: OpenShop) -> None:
        super().__init__(screen)
        self.bench = bench
        self.open_shop = open_shop
        """What opens the shop on an item, by its id."""

    def specs(self) -> list[TableSpec]:
        """Those that are listed for it."""
        from tui.tables.build_tables import specs_of

        return specs_of(self.id)

    def caution(self) -> str:
        """High voltage, where it is near."""
        return high_voltage(self.bench.build, short=True) if self.routes else ""

    def plan(self) -> "Plan":
        """The plan whose results its tables show."""
        return self.bench.plan

    def row_copied(self) -> None:
        """A row was added as a copy of another."""

    def look(self) -> None:
        """The picture that belongs to it: here the drop on the way to an amplifier."""
        sheet = self.bench.sheet
        amplifiers = [load.id for load in sheet.loads]
        if not amplifiers:
            self.screen.say("There is no amplifier yet, so no drop to draw")
            return
        here = self.screen.grid.row_id
        if here not in amplifiers:
            using = (load.id for load in sheet.loads if here in load.return_runs)
            through = next((g.amplifiers for g in sheet.grounds if g.id == here), ())
            here = next(iter((*using, *through, *amplifiers)))
        from tui.pages.drop import DropPage

        self.screen.app.push_screen(DropPage(self.bench, here))

    def why_safe(self) -> None:
        """What protects the run with the cursor, piece by piece."""
        runs = [run.id for run in self.bench.sheet.runs]
        here = self.screen.grid.row_id
        record = find(self.bench.build, here) if here else None
        id = here if here in runs else getattr(record, "run", "")
        if id not in runs:
            id = next((r.id for r in self.bench.sheet.runs if here in (r.source, r.target)), "")
        if not id:
            self.screen.say("Go to a run first: what protects it is shown piece by piece")
            return
        from tui.pages.safe_wire import SafeWirePage

        self.screen.app.push_screen(SafeWirePage(self.bench, id))

    def to_paper(self) -> None:
        """Write what belongs to it: here nothing."""
        self.screen.say("Go to a custom part for its template (F6), or to the pack (F8)")

    def show_workings(self) -> None:
        """Formula, inputs and source of the figure under the cursor."""
        from tui.pages.page import TextPage

        cell = self.screen.editing.cell()
        if cell is None:
            self.screen.describe_cell()
            return
        column, record = cell
        name, lines = self.workings(column, record)
        title = column.title.lstrip("·")
        if not lines:
            entered = "was entered: it follows from nothing else"
            self.screen.say(
                f"{title} {entered if column.editable else 'has no working of its own'}"
            )
            return
        self.screen.app.push_screen(TextPage(f"How it is calculated: {title}, {name}", lines))

    def workings(self, column: Column, record: Any) -> tuple[str, list[str]]:
        """What a figure belongs to, and how it came about; no lines: it has no working."""
        from tui.tables.workings import figures_behind, working_lines

        build = self.bench.build
        name = label(build, record.id) if hasattr(record, "id") else ""
        lines = working_lines(self.plan(), figures_behind(column, record))
        return name, self._why_size(column.field, record) + lines if lines else lines

    def _why_size(self, field: str, record: Any) -> list[str]:
        """Why the engine took this gauge, before the figures that it rests on."""
        run = self.bench.sheet.run(getattr(record, "id", ""))
        if field != "gauge" or run is None:
            return []
        return [
            f"Gauge {run.gauge}: {run.gauge_why}" if run.gauge_why else f"Gauge {run.gauge}",
            "",
        ]
