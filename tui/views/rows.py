"""What is done to whole rows of the table with the cursor: add, remove, copy, move, re-hang."""

from domain.build import actions
from domain.build.choices import PanelEdge
from domain.build.edits import Edit, EditRefused, MoveRecord
from domain.build.records import Build, CurvePoint, Hole, Mount, Panel, Run, Spot, Stud
from domain.document.records import find, label, records
from domain.sheet import Sheet
from tui.screens.build_frame import BuildFrame
from tui.tables.table import TableSpec
from tui.workbench import Workbench


class RowActions(BuildFrame):
    """Row actions of the build screen."""

    def action_add(self) -> None:
        """Add a row to the table with the cursor."""
        spec = self.grid.spec
        if spec.table == "header":
            self.say("This form has no rows to add")
            return
        if spec.table in ("", "readings"):
            self.say("These rows come by themselves: ctrl+n adds nothing here")
            return
        try:
            edit = _addition(self.workbench, spec, self.grid.row_id, self._part())
        except EditRefused as error:
            self.say(f"Not added: {error}", bad=True)
            return
        self._commit_row(edit, spec.first or spec.columns[0].id)

    def action_duplicate(self) -> None:
        """Add a copy of the row with the cursor."""
        id, spec = self.grid.row_id, self.grid.spec
        if not id or spec.table in ("header", "", "readings"):
            self.say("There is no row to duplicate here")
            return
        try:
            edit = _copy(self.workbench.build, spec.table, id)
        except EditRefused as error:
            self.say(f"Not duplicated: {error}", bad=True)
            return
        self._commit_row(edit, spec.columns[0].id)

    def _commit_row(self, edit: Edit, column: str) -> None:
        """Commit an edit that adds a row, and put the cursor on it."""
        table = self.grid.spec.table
        had = {record.id for record in records(self.workbench.build, table)}
        if not self.commit(edit):
            return
        shown = self.grid.row_ids
        new = next((id for id in shown if id not in had), "")
        if new:
            self.grid.go(new, column)
            self.describe_cell()

    def _part(self) -> str:
        return next((g.row_id for g in self.grids() if g.spec.id == "parts"), "")

    def action_remove(self) -> None:
        """Remove the row under the cursor and what makes no sense without it."""
        id, table = self.grid.row_id, self.grid.spec.table
        if table == "readings":
            self.editing.give_back()
            return
        if not id or table in ("header", ""):
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

    def action_move_up(self) -> None:
        """One place up."""
        self._move_row(-1)

    def action_move_down(self) -> None:
        """One place down."""
        self._move_row(1)

    def _move_row(self, step: int) -> None:
        id, table = self.grid.row_id, self.grid.spec.table
        if table in ("header", "runs", "", "readings"):
            rows = "Runs stand in the order of the tree: ctrl+r re-hangs one"
            self.say(rows if table == "runs" else "The rows of this form stay where they are")
            return
        shown = self.grid.row_ids
        if id not in shown or not 0 <= shown.index(id) + step < len(shown):
            self.say("This row is already at the end")
            return
        ids = [record.id for record in records(self.workbench.build, table)]
        beside = shown[shown.index(id) + step]
        self.commit(MoveRecord(table=table, id=id, index=ids.index(beside)))

    def action_rehang(self) -> None:
        """Choose the device that this run hangs on."""
        spec = self.grid.spec
        run = find(self.workbench.build, self.grid.row_id) if self.grid.row_id else None
        column = spec.column_for("source")
        if not isinstance(run, Run) or column is None:
            self.say("Only a run can be re-hung: go to Distribution (F4) or Grounds (F5)")
            return
        title = f"Hang {label(self.workbench.build, run.id)} on"
        self.pick(title, column.options(self.workbench.build, run))


def _copy(build: Build, table: str, id: str) -> Edit:
    """The edit that copies a row; a part with its panels, holes and mounts."""
    if table == "parts":
        from domain.fabrication.copying import copy_part

        return copy_part(build, id)
    return actions.duplicate(build, table, id)


def _addition(bench: Workbench, spec: TableSpec, here: str, part: str) -> Edit:
    """The edit that adds a row beside the one with the cursor."""
    build, sheet = bench.build, bench.sheet
    record = find(build, here) if here else None
    if spec.table == "runs":
        return _new_run(build, spec, record)
    if spec.table == "panels":
        return _new_panel(build, record, part)
    if spec.table == "holes":
        if not build.panels:
            raise EditRefused("a hole is in a panel: add a part first")
        return actions.add(build, "holes", panel=_panel_beside(build, record, part))
    if spec.table == "studs":
        if not build.footprints:
            raise EditRefused("a stud belongs to a footprint: add a footprint first")
        if isinstance(record, Stud) and record.footprint:
            return actions.add(build, "studs", footprint=record.footprint)
    if spec.table == "mounts":
        if not build.footprints or not build.panels:
            raise EditRefused("a mount puts a footprint on a panel: add a footprint and a part")
        return actions.add(build, "mounts", panel=_panel_beside(build, record, part))
    if spec.table == "spots":
        return _new_spot(build, record)
    if spec.table == "curves":
        return _new_point(build, sheet, record)
    return actions.add(build, spec.table)


def _new_panel(build: Build, record: object, part: str) -> Edit:
    """A panel at the first free edge of the one with the cursor, as wide as it."""
    if not part:
        raise EditRefused("a panel belongs to a part: add a part first")
    own = [panel for panel in build.panels if panel.part == part]
    beside = record if isinstance(record, Panel) and record.part == part else None
    beside = beside or next((panel for panel in own if not panel.joins), None)
    if beside is None:
        return actions.add(build, "panels", part=part)
    taken = {panel.edge for panel in own if panel.joins == beside.id}
    if beside.joins:
        taken.add(PanelEdge.NEAR)
    free = [edge for edge in PanelEdge if edge not in taken]
    if not free:
        raise EditRefused(
            f"{label(build, beside.id)} has a panel at each edge already: go to another panel, or "
            "add one and change where it joins"
        )
    along = beside.width_m if free[0] in (PanelEdge.FAR, PanelEdge.NEAR) else beside.length_m
    return actions.add(
        build,
        "panels",
        part=part,
        joins=beside.id,
        edge=free[0].value,
        width_m=along,
        bend_radius_m=beside.bend_radius_m,
    )


def _panel_beside(build: Build, record: object, part: str) -> str:
    """The panel of the row with the cursor, else the first of the part."""
    if isinstance(record, Hole | Mount) and record.panel:
        return record.panel
    return _panel_of(build, part)


def _new_spot(build: Build, record: object) -> Edit:
    """A spot for the same run as the one with the cursor, else for the first fused run."""
    fused = (run.id for run in build.runs if run.fused)
    run = record.run if isinstance(record, Spot) else next(fused, "")
    fuse = find(build, run) if run else None
    return actions.add(build, "spots", run=run, zone=fuse.zone if fuse is not None else "")


def _new_point(build: Build, sheet: Sheet, record: object) -> Edit:
    """A point further along the same curve, else the first of the first fuse that there is."""
    if isinstance(record, CurvePoint):
        ratio = min(record.current_ratio * 2, 1000.0)
        return actions.add(
            build,
            "curves",
            family=record.family.value,
            rating_a=record.rating_a,
            current_ratio=ratio,
        )
    for study in sheet.studies[:1]:
        return actions.add(build, "curves", family=study.family, rating_a=study.rating_a)
    return actions.add(build, "curves")


def _new_run(build: Build, spec: TableSpec, record: object) -> Edit:
    if isinstance(record, Run):
        return actions.add_run(build, record.source, record.target)
    ends = build.grounds if spec.id == "ground_runs" else build.blocks
    if not build.batteries or not ends:
        raise EditRefused("a run goes between two devices: add a battery and a block or ground")
    return actions.add_run(build, build.batteries[0].id, ends[0].id)


def _panel_of(build: Build, part: str) -> str:
    return next((p.id for p in build.panels if p.part == part), build.panels[-1].id)
