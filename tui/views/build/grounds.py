"""The page of the way back: ground points and the runs to them."""

from functools import partial
from typing import ClassVar

from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables
from tui.views.build.build_view import BuildView
from tui.views.build.run_tables import RunTable


class GroundsView(BuildView):
    """Ground points, ground runs, and how the returns share them."""

    id = "grounds"
    title = "Grounds"
    key = "f5"
    short_title = "Gnd"
    special_tables: ClassVar[SpecialTables] = {
        "ground_runs": partial(RunTable, far_ends=lambda build: build.grounds),
        "returns": ShownTable,
    }
