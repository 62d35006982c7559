"""The live pane: the sheet beside every view, following every edit."""

from collections.abc import Callable

from domain.build import Build
from domain.sheet import Sheet
from tui.widgets.line_view import Line, LineView
from tui.widgets.pane_lines import pane_lines


class LivePane(LineView):
    """Shows a sheet; clicking a finding, run or amplifier posts ``Chosen`` with its target."""

    DEFAULT_CSS = """
    LivePane { height: 1fr; overflow: hidden auto; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lay_out: Callable[[int], list[Line]] | None = None

    def show_sheet(
        self,
        build: Build,
        sheet: Sheet,
        at_hand: int,
        before: Sheet | None,
        settled: Sheet | None = None,
    ) -> None:
        """Show a sheet; see ``pane_lines`` for what each of the others does."""
        self._lay_out = lambda width: pane_lines(build, sheet, width, at_hand, before, settled)
        if self.size.width:
            self.show(self._lay_out(self.size.width))

    def on_resize(self) -> None:
        """Lay the lines out for the new width."""
        if self._lay_out is not None:
            self.show(self._lay_out(self.size.width))
        super().on_resize()
