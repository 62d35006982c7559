"""Shorts that several sources share are looked at while the keys rest.

In a plan with a bank and wires side by side that takes seconds, at every length that is entered.
Until it is done the header says that the plan is being checked; what tells or prints the plan
waits for it.
"""

from contextlib import suppress
from typing import TYPE_CHECKING

from textual.timer import Timer

from storage.errors import StoreError
from tui.grids.grid_screen import GridScreen
from tui.workbench import Workbench, planned

if TYPE_CHECKING:
    from domain.plan import Plan

REST_S = 0.3
"""The keys rest once nothing was pressed for this long [s]."""


class Settling:
    """Brings the plan of an open build up to what is entered, beside the screen."""

    def __init__(self, screen: GridScreen, bench: Workbench) -> None:
        self._screen = screen
        self._bench = bench
        self._soon: Timer | None = None
        self._at_work = False
        bench.patient = True

    def soon(self) -> None:
        """Look once the keys rest; asked for at every key."""
        if self._soon is not None:
            self._soon.stop()
            self._soon = None
        if not self._bench.settled:
            self._soon = self._screen.set_timer(REST_S, self._look)

    def now(self) -> None:
        """Look at once: something is about to be told."""
        if not self._bench.settled:
            with suppress(StoreError):  # the count in the list of builds alone is missing then
                self._bench.settle()
            self._show()

    def _look(self) -> None:
        self._soon = None
        if self._at_work or self._bench.settled:
            return
        self._at_work = True
        build, screen = self._bench.build, self._screen

        def look() -> None:
            try:
                plan = planned(build, swept=True)
            finally:
                self._at_work = False
            screen.call_later(self._found, plan)

        screen.run_worker(look, thread=True, group="settling", exit_on_error=False)

    def _found(self, plan: "Plan") -> None:
        taken = False
        with suppress(StoreError):
            taken = self._bench.take(plan)
        if taken or self._bench.settled:
            self._show()
        else:  # others were entered meanwhile
            self.soon()

    def _show(self) -> None:
        screen = self._screen
        if not (screen.visited and screen.is_attached):  # not built yet, or closed meanwhile
            return
        with screen.app.batch_update():
            screen.show_all()
            screen.editing.shown_anew()
