"""The page of distribution: runs, blocks, the designs beside the chosen one, spots for fuses."""

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from msgspec.structs import replace

from domain.build.edits import EditRefused
from domain.build.records import Build, Run, Spot
from domain.document.records import find, label
from domain.routes.lengths import to_measure
from domain.sheet import Sheet
from tui.actions import Action
from tui.grids.grid_screen import GridScreen
from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables
from tui.tables.table_spec import TableSpec
from tui.views.build.build_view import BuildView
from tui.views.build.going import go_to
from tui.views.build.materials import Materials
from tui.views.build.run_tables import CurveTable, RunTable, SpotTable
from tui.views.build.shop_link import OpenShop
from tui.workbench import Workbench

if TYPE_CHECKING:
    from domain.shop.catalogue import CatalogueItem
    from domain.topics.designs import DesignRow

NO_SPOT = "Go to a fuse spot first: they stand below the runs (F4, and F4 again)"


class DistributionView(BuildView):
    """Runs from the battery outwards, with what protects them."""

    id = "distribution"
    title = "Distribution"
    key = "f4"
    short_title = "Dist"
    routes = True
    actions: ClassVar[tuple[Action["DistributionView"], ...]] = (
        Action(
            "why_safe",
            "Why is this wire safe?",
            "what protects the run under the cursor, piece by piece from the post",
            ("alt+w",),
            lambda view: view.why_safe(),
            tells=True,
        ),
        Action(
            "use_spot",
            "Put the fuse at this spot",
            "move the run's fuse to the fuse spot under the cursor",
            ("ctrl+u",),
            lambda view: view.use_spot(),
            elsewhere=NO_SPOT,
        ),
        Action(
            "spot_part",
            "Make a plate for this spot",
            "a custom part with the run's fuse holder on it, screwed to what is there",
            ("alt+p",),
            lambda view: view.part_for_spot(),
            elsewhere=NO_SPOT,
        ),
    )
    special_tables: ClassVar[SpecialTables] = {
        "runs": partial(RunTable, far_ends=lambda build: build.blocks),
        "designs": ShownTable,
        "spots": SpotTable,
        "curves": CurveTable,
    }

    def __init__(self, screen: GridScreen, bench: Workbench, open_shop: OpenShop) -> None:
        super().__init__(screen, bench, open_shop)
        self._materials = Materials(screen, bench, lambda: None)
        self._priced: tuple[Sheet, tuple[CatalogueItem, ...], list[DesignRow]] | None = None
        """For which results and items the wire options were priced last, and what came of it."""

    def specs(self) -> list[TableSpec]:
        """Those that are listed for it; wire options with what they cost in the shop."""
        return [
            replace(spec, rows=self._options) if spec.id == "designs" else spec
            for spec in super().specs()
        ]

    def _options(self, build: Build, sheet: Sheet, part: str) -> "list[DesignRow]":
        from domain.topics.designs import beside
        from domain.topics.tables import Subject

        items = self._materials.stock[0]
        if self._priced is None or self._priced[0] is not sheet or self._priced[1] is not items:
            self._priced = sheet, items, beside(Subject(build, sheet), items)
        return self._priced[2]

    def before_shown(self) -> None:
        """The prices are read anew, but for a step from place to place on the page itself."""
        if not self.shown:
            self._materials.read_stock()

    def returned(self) -> None:
        """Prices may have changed in the shop."""
        if self.shown:
            self._materials.read_stock()
            self.screen.show_tables()

    def after_first_visit(self) -> None:
        """To the first run whose length is still assumed."""
        grid = self.screen.grid
        untold = to_measure(self.bench.build)
        for id in grid.row_ids:
            if id in untold:
                grid.go(id, "length_m")
                return

    def look(self) -> None:
        """The fuse of the run with the cursor against its wire."""
        sheet, here = self.bench.sheet, self.screen.grid.row_id
        if not sheet.studies:
            self.screen.say(
                "There is no fuse to study yet: give a run a fuse (space on its Fuse cell)"
            )
            return
        record = find(self.bench.build, here) if here else None
        run = record.run if isinstance(record, Spot) else here
        found = sheet.study(run)
        if found is None and isinstance(record, Run):
            result = sheet.run(run)
            if result is None or not result.protected_a:
                name = label(self.bench.build, run)
                self.screen.say(f"{name} has no fuse of its own to study")
                return
            found = next((s for s in sheet.studies if run in s.guarded), None)
        from tui.pages.protection import ProtectionPage

        self.screen.app.push_screen(ProtectionPage(self.bench, (found or sheet.studies[0]).id))

    async def part_for_spot(self) -> None:
        """Make the part that goes to the fuse spot with the cursor, and show it."""
        from domain.fabrication.fixing_actions import part_for_spot

        try:
            edit, part = part_for_spot(self.bench.build, self.screen.grid.row_id)
        except EditRefused as error:
            self.screen.warn(f"Not done: {error}")
            return
        if self.screen.commit(edit):
            await go_to(self.screen, self.bench, "parts", part, "name")
            self.screen.tell(f"Done: {edit.label}. ctrl+z takes it back")

    def use_spot(self) -> None:
        """Put the fuse at the fuse spot with the cursor."""
        table = self.table()
        if isinstance(table, SpotTable) and self.screen.grid.row_id:
            table.use()
        else:
            self.screen.say(NO_SPOT)
