"""Tables of custom parts, their panels and holes, and of footprints with their studs and mounts."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from domain.build import actions
from domain.build.choices import PanelEdge
from domain.build.edits import Edit, EditRefused
from domain.build.records import Build, Hole, Mount, Panel, Stud
from domain.document.records import label, records
from tui.tables.table_spec import TableSpec
from tui.views.build.record_table import RecordTable

if TYPE_CHECKING:
    from tui.views.build.parts import PartsView


class PartTable(RecordTable):
    """The custom parts. What the other tables of the view show follows the cursor."""

    view: "PartsView"

    def cursor_moved(self) -> None:
        """Panels and what is on them are those of the part with the cursor."""
        if self.view.one_part:
            self.screen.show_tables()

    def add(self) -> None:
        """Add a part in one of the usual shapes."""
        from tui.dialogs.boxes import Pick

        if not self.screen.editing.confirm():
            return
        from domain.fabrication.presets import PRESETS

        names = list(PRESETS)

        def chosen(place: int | None) -> None:
            if place is not None:
                self._add_shape(names[place])

        self.screen.app.push_screen(Pick("Add a part of this shape", names), chosen)

    def _add_shape(self, shape: str) -> None:
        from domain.fabrication.presets import preset

        build = self.view.bench.build
        zone = build.zones[-1].id if build.zones else ""
        try:
            edit = preset(build, shape, zone=zone)
        except EditRefused as error:
            self.screen.warn(f"Not added: {error}")
            return
        self.commit_row(edit, "name")
        self.screen.show_grids()
        self.screen.focus_grid(self.screen.grid)

    def copied(self, build: Build, id: str) -> Edit:
        """A part with its panels, holes and mounts."""
        from domain.fabrication.copying import copy_part

        return copy_part(build, id)


class PanelTable(RecordTable):
    """The panels of parts."""

    view: "PartsView"

    def caption(self) -> str:
        """With the part that it is narrowed to."""
        return self.view.narrowed_caption(self.spec)

    def added(self, build: Build) -> Edit:
        """A panel at the first free edge of the one with the cursor, as wide as it."""
        part, record = self.view.chosen_part(), self.record
        if not part:
            raise EditRefused("a flange belongs to a part: add a part first")
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
                f"{label(build, beside.id)} has a flange at each edge already: go to another "
                "flange, or add one and change where it joins"
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


class OnPanelTable(RecordTable):
    """What is on panels: holes, mounts. ``needed`` is what there must be before, and why."""

    view: "PartsView"

    def __init__(
        self, view: "PartsView", spec: TableSpec, *, needed: Sequence[str], why: str
    ) -> None:
        super().__init__(view, spec)
        self._needed = needed
        self._why = why

    def caption(self) -> str:
        """With the part that it is narrowed to."""
        return self.view.narrowed_caption(self.spec)

    def added(self, build: Build) -> Edit:
        """One on the panel of the row with the cursor, else on the first panel of the part."""
        if not all(records(build, table) for table in self._needed):
            raise EditRefused(self._why)
        record, part = self.record, self.view.chosen_part()
        panel = record.panel if isinstance(record, Hole | Mount) else ""
        first = next((p.id for p in build.panels if p.part == part), build.panels[-1].id)
        return actions.add(build, self.spec.table, panel=panel or first)


class FixingTable(RecordTable):
    """What the screws of parts go into."""

    view: "PartsView"

    def caption(self) -> str:
        """With the part that it is narrowed to."""
        return self.view.narrowed_caption(self.spec)

    def added(self, build: Build) -> Edit:
        """A fixing of the part that is chosen; its holes name it."""
        part = self.view.chosen_part()
        if not part:
            raise EditRefused("a fixing holds a part: add a part first")
        return actions.add(build, "fixings", part=part)


class StudTable(RecordTable):
    """Fixing points of footprints."""

    def added(self, build: Build) -> Edit:
        """A stud of the footprint whose stud has the cursor, else of the first."""
        if not build.footprints:
            raise EditRefused("a stud belongs to a hole pattern: add a hole pattern first")
        if isinstance(self.record, Stud) and self.record.footprint:
            return actions.add(build, "studs", footprint=self.record.footprint)
        return super().added(build)
