"""The page of the way back: ground points and the runs to them."""

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual.widget import Widget

from domain.checks.cautions import GROUND_POINTS
from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables
from tui.views.build.build_view import BuildView
from tui.views.build.run_tables import RunTable
from tui.widgets.line_view import LineView, plain_line


class GroundsView(BuildView):
    """Ground points, ground runs, and how the returns share them."""

    id = "grounds"
    title = "Grounds"
    key = "f5"
    short_title = "Gnd"
    routes = True
    special_tables: ClassVar[SpecialTables] = {
        "ground_runs": partial(RunTable, far_ends=lambda build: build.grounds),
        "returns": ShownTable,
    }

    def below(self) -> Sequence[Widget]:
        """What is minded wherever a ground point is made."""
        return [LineView(id="caution")]

    def filled(self) -> None:
        """Say it."""
        said = plain_line(f" CAUTION: {GROUND_POINTS}", "bold")
        self.screen.query_one("#caution", LineView).show([said])
