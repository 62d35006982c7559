"""The page of the ways through the vehicle: its places, the sections between them, what stands."""

from typing import ClassVar

from domain.build.edits import EditRefused
from tui.actions import Action
from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables
from tui.views.build.build_view import BuildView
from tui.views.build.record_table import RecordTable

_ONE = "One place"

_BEGIN = {
    "The usual places of a car": "car",
    "The usual places of a van": "van",
}


class PlaceTable(RecordTable):
    """The places. While there is none, adding offers the usual ones."""

    def add(self) -> None:
        """Add a place, or all that are usual."""
        from tui.dialogs.boxes import Pick

        if self.view.bench.build.places:
            super().add()
            return
        names = [*_BEGIN, _ONE]

        def chosen(place: int | None) -> None:
            if place is None:
                return
            if names[place] == _ONE:
                RecordTable.add(self)
            else:
                begin(self.view, _BEGIN[names[place]])

        self.screen.app.push_screen(Pick("Add", names, 0), chosen)


def begin(view: BuildView, vehicle: str) -> None:
    """Make the usual places, and go to the first length that is to be measured."""
    from domain.electrical.sections.starter_places import Vehicle, starter_places

    build = view.bench.build
    try:
        edit = starter_places(build, Vehicle(vehicle))
    except EditRefused as error:
        view.screen.warn(f"Not added: {error}")
        return
    if view.screen.commit(edit) and view.shown:
        grid = view.screen.grid_of("sections")
        grid.go(view.bench.build.sections[0].id, "length_m")
        view.screen.focus_grid(grid)
        view.screen.tell(
            "Places and sections are there, devices at the likely ones: measure each section"
        )


class WaysView(BuildView):
    """Places, sections and what stands where: runs go the shortest way between them."""

    id = "ways"
    title = "Ways"
    key = "alt+j"
    routes = True
    actions: ClassVar[tuple[Action[BuildView], ...]] = (
        Action(
            "places_of_a_car",
            "Add: the places of a car",
            "usual places and the sections between them, every device at one of them",
            (),
            lambda view: begin(view, "car"),
        ),
        Action(
            "places_of_a_van",
            "Add: the places of a van",
            "the same for a van: eight places, seven sections",
            (),
            lambda view: begin(view, "van"),
        ),
    )
    special_tables: ClassVar[SpecialTables] = {"places": PlaceTable, "standing": ShownTable}

    def after_first_visit(self) -> None:
        """To the first section that is not measured."""
        for section in self.bench.build.sections:
            if section.length_m is None:
                grid = self.screen.grid_of("sections")
                grid.go(section.id, "length_m")
                self.screen.focus_grid(grid)
                return
