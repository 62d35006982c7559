"""What asked for a line of materials: a list to choose from, and the way there."""

from domain.build.records import Build, Run, table_of
from domain.document.records import find, label
from domain.sheet import MaterialLine, Sheet
from domain.units.show import format_amount, format_quantity
from tui.grids.grid_screen import GridScreen
from tui.views.build.going import go_to
from tui.workbench import Workbench

MOST_ASKERS = 300

_FIELDS = {"runs": "length_m", "holes": "thread"}
"""The field to go to of a record that asked for something; of all others its name."""


def show_askers(screen: GridScreen, bench: Workbench, line: MaterialLine) -> None:
    """What asked for a line of materials; choosing one of them goes there."""
    from tui.dialogs.boxes import Pick

    build, sheet = bench.build, bench.sheet
    askers = [id for id in line.asked_by if find(build, id) is not None][:MOST_ASKERS]
    if not askers:
        screen.tell(f"{line.item} {line.size}: {line.note or 'asked for by the build as a whole'}")
        return

    async def chosen(picked: int | None) -> None:
        if picked is not None:
            id = askers[picked]
            table = table_of(id)
            await go_to(screen, bench, table, id, _FIELDS.get(table, "name"))

    names = [asker_text(build, sheet, id) for id in askers]
    screen.app.push_screen(Pick(_title(build, line), names), chosen)


def _title(build: Build, line: MaterialLine) -> str:
    much = format_amount(line.quantity, line.unit, build.header.units)
    return f"{much} {line.item} {line.size}: asked for by"


def asker_text(build: Build, sheet: Sheet, id: str) -> str:
    """A record that asked for something, with what tells it from others."""
    kind = table_of(id).removesuffix("s")
    run = sheet.run(id)
    if isinstance(find(build, id), Run) and run is not None:
        length = format_quantity("length", run.wire_m, build.header.units)
        return f"run {label(build, id)}: {length}, {run.gauge}"
    kind = {"batterie": "battery", "ground": "ground point"}.get(kind, kind)
    return f"{kind} {label(build, id)}"
