"""Tables of runs, and of what belongs to a run: fuse spots, points of a fuse's curve."""

from collections.abc import Callable, Sequence
from typing import Any

from domain.build import actions, run_ends
from domain.build.choices import Polarity
from domain.build.edits import Batch, Edit, EditRefused, SetField
from domain.build.records import Block, Build, CurvePoint, GroundPoint, Run, Spot, table_of
from domain.document.records import find, label
from tui.grids.grid_screen import GridScreen
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
        """A run beside the one with the cursor, fused as that is; else from the first battery.

        Among the grounds first that of a device which has none.
        """
        from domain.build.grounding import ground_of_device, ungrounded

        if self.spec.id == "ground_runs":
            for device in ungrounded(build):
                if edits := ground_of_device(build, device):
                    return Batch(edits=edits, label=f"add a ground wire for {label(build, device)}")
        beside = self.record
        if isinstance(beside, Run):
            fuse = {"fused": beside.fused, "fuse_distance_m": beside.fuse_distance_m}
            return run_ends.add_run(build, beside.source, beside.target, **fuse)
        ends = self._far_ends(build)
        if not build.batteries or not ends:
            raise EditRefused("a run goes between two devices: add a battery and a block or ground")
        return run_ends.add_run(build, build.batteries[0].id, ends[0].id)

    def commit_row(self, edit: Edit, column: str) -> None:
        """Say of a run that goes where one goes already what that means."""
        super().commit_row(edit, column)
        record = self.record
        if isinstance(record, Run) and (beside := _alike(self.view.bench.build, record)):
            self.screen.tell(BESIDE.format(beside))

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
            edit = run_ends.choose_spot(self.view.bench.build, self.screen.grid.row_id)
        except EditRefused as error:
            self.screen.warn(f"Not done: {error}")
            return
        if self.screen.commit(edit):
            self.screen.tell(f"Done: {edit.label}. ctrl+z takes it back")


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


BESIDE = (
    "A second wire between the devices of {}: they share the current. ctrl+z takes it out, "
    "ctrl+r leads it elsewhere"
)
"""What to say of a run that was added where one goes already."""

NO_RUN = "Go to a wire first: ctrl+r feeds it from elsewhere, and leads a ground wire elsewhere"
"""What to say where no wire is meant, or more than one."""

GROUNDS_TO = ("grounds", "blocks", "batteries")
"""Tables of what a ground wire leads to."""


def rehang(screen: GridScreen, bench: Workbench) -> None:
    """Choose the device that the run with the cursor is fed from; of a ground run, its ground."""
    from tui.tables.build_tables import SPECS

    build, grid = bench.build, screen.grid
    run = _run_at(build, grid.row_id.partition(".")[0], grounded=grid.spec.id == "returns")
    if run is None:
        screen.say(NO_RUN)
        return
    grounded = run.polarity is Polarity.GROUND
    field = "target" if grounded else "source"
    columns = next(spec.columns for spec in SPECS if spec.id == "runs")
    column = next(each for each in columns if each.field == field)
    options = column.options(build, run)
    if grounded:
        options = [each for each in options if _led_to(each[1]) in GROUNDS_TO]
    name = label(build, run.id)
    screen.pick(f"Lead {name} to" if grounded else f"Feed {name} from", column, options)


def _alike(build: Build, run: Run) -> str:
    """The name of another run between the ends of this one; empty: there is none."""
    ends = (run.source, run.target, run.polarity)
    for other in build.runs:
        if other.id != run.id and (other.source, other.target, other.polarity) == ends:
            return label(build, other.id)
    return ""


def _run_at(build: Build, id: str, *, grounded: bool) -> Run | None:
    """The run with this id, or the only one that feeds this device, or grounds it."""
    record = find(build, id) if id else None
    if isinstance(record, Run):
        return record
    if grounded:
        runs = [r for r in build.runs if r.source == id and r.polarity is Polarity.GROUND]
    else:
        runs = [r for r in build.runs if r.target == id and r.polarity is Polarity.POSITIVE]
    return runs[0] if record is not None and len(runs) == 1 else None


def _led_to(edit: Edit) -> str:
    """The table of what this edit leads a run to."""
    first = edit.edits[0] if isinstance(edit, Batch) else edit
    return table_of(str(first.value)) if isinstance(first, SetField) and first.value else ""
