"""The page of what the power comes from: batteries, alternators, the drive, zones, the job."""

from typing import ClassVar

from domain.checks.cautions import JOINING
from tui.actions import Action
from tui.grids.view import SpecialTables
from tui.views.build.build_view import BuildView
from tui.views.build.kits import KIT_ACTIONS
from tui.views.build.record_table import HeaderTable, RecordTable


def show_kick(view: BuildView) -> None:
    """What the bass drum does to headlamps and amplifiers."""
    from tui.pages.kick import KickPage

    view.screen.app.push_screen(KickPage(view.bench))


class BatteryTable(RecordTable):
    """The batteries; over more than one of them stands what to mind."""

    def caption(self) -> str:
        """What stands over the table."""
        many = len(self.view.bench.build.batteries) > 1
        return f"Batteries: {JOINING}" if many else super().caption()


class BatteryView(BuildView):
    """Batteries, alternators, legs of the drive, zones, and the header as a form."""

    id = "battery"
    title = "Battery"
    key = "f3"
    short_title = "Bat"
    actions: ClassVar[tuple[Action[BuildView], ...]] = (
        Action(
            "kick",
            "Kick drum",
            "do the headlamps dim with every hit of the bass, and what helps",
            ("alt+u",),
            show_kick,
        ),
        *KIT_ACTIONS,
    )
    special_tables: ClassVar[SpecialTables] = {"header": HeaderTable, "batteries": BatteryTable}

    def look(self) -> None:
        """Voltage and charge over the drive."""
        from tui.pages.drive import DrivePage

        self.screen.app.push_screen(DrivePage(self.bench))
