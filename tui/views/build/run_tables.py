"""Tables of runs, and of what belongs to a run: fuse spots, points of a fuse's curve."""

from collections.abc import Callable, Sequence
from typing import Any

from domain.build import actions
from domain.build.edits import Edit, EditRefused
from domain.build.records import Block, Build, CurvePoint, GroundPoint, Run, Spot
from domain.document.records import find, label
from tui.grids.grid_screen import GridScreen
from tui.tables.build_tables import SPECS
from tui.tables.table_spec import TableSpec
from tui.views.build.record_table import RecordTable
from tui.workbench import Workbench

FarEnds = Callable[[Build], Sequence[Block | GroundPoint]]
"""The devices of a build that a run from the battery may lead to."""


class RunTable(RecordTable):
    """Runs of one polarity, in the order of the tree."""

    def __init__(self, view: Any, spec: TableSpec, far_ends: FarEnds) -> None:
        super().__init__(view, spec)
        self._far_ends = far_ends

    def added(self, build: Build) -> Edit:
        """A run beside the one with the cursor, else from the first battery."""
        if isinstance(self.record, Run):
            return actions.add_run(build, self.record.source, self.record.target)
        ends = self._far_ends(build)
        if not build.batteries or not ends:
            raise EditRefused("a run goes between two devices: add a battery and a block or ground")
        return actions.add_run(build, build.batteries[0].id, ends[0].id)

    def move(self, step: int) -> None:
        """Runs stand where the tree puts them."""
        self.screen.say("Runs stand in the order of the tree: ctrl+r moves one")


class SpotTable(RecordTable):
    """Spots where the fuse of a run could be mounted."""

    def added(self, build: Build) -> Edit:
        """A spot for the same run as the one with the cursor, else for the first fused run."""
        fused = (run.id for run in build.runs if run.fused)
        run = self.record.run if isinstance(self.record, Spot) else next(fused, "")
        fuse = find(build, run) if run else None
        return actions.add(build, "spots", run=run, zone=fuse.zone if fuse is not None else "")

    def use(self) -> None:
        """Put the fuse at the spot with the cursor."""
        try:
            edit = actions.choose_spot(self.view.bench.build, self.screen.grid.row_id)
        except EditRefused as error:
            self.screen.say(f"Not done: {error}", bad=True)
            return
        if self.screen.commit(edit):
            self.screen.say(f"Done: {edit.label}. ctrl+z takes it back")


class CurveTable(RecordTable):
    """Points of fuses' curves."""

    def added(self, build: Build) -> Edit:
        """A point further along the same curve, else the first of the first fuse that there is."""
        record = self.record
        if isinstance(record, CurvePoint):
            ratio = min(record.current_ratio * 2, 1000.0)
            return actions.add(
                build,
                "curves",
                family=record.family.value,
                rating_a=record.rating_a,
                current_ratio=ratio,
            )
        for study in self.view.bench.sheet.studies[:1]:
            return actions.add(build, "curves", family=study.family, rating_a=study.rating_a)
        return actions.add(build, "curves")


def rehang(screen: GridScreen, bench: Workbench) -> None:
    """Choose the device that the run with the cursor hangs on."""
    build, grid = bench.build, screen.grid
    run = find(build, grid.row_id.partition(".")[0]) if grid.row_id else None
    column = next(spec.column_for("source") for spec in SPECS if spec.id == "runs")
    if not isinstance(run, Run) or column is None:
        screen.say("Only a run can be fed from elsewhere: in the drawing, or on Distribution (F4)")
        return
    title = f"Feed {label(build, run.id)} from"
    screen.pick(title, column, column.options(build, run))
