"""The live pane: the sheet beside every view, following every edit."""

from domain.build import Build
from domain.sheet import Sheet
from tui.widgets.line_view import LineView
from tui.widgets.pane_lines import pane_lines


class LivePane(LineView):
    """Shows a sheet; clicking a finding, run or amplifier posts ``Chosen`` with its target."""

    DEFAULT_CSS = """
    LivePane { height: 1fr; overflow: hidden auto; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._shown: tuple[Build, Sheet, Sheet | None, int] | None = None

    def show_sheet(
        self, build: Build, sheet: Sheet, before: Sheet | None, at_hand: int, typing: bool = False
    ) -> None:
        """Show a sheet, and with ``before`` what changed; ``at_hand`` is the finding on top."""
        self._shown = (build, sheet, before, at_hand)
        if self.size.width:
            self.show(pane_lines(build, sheet, before, self.size.width, at_hand, typing))

    def on_resize(self) -> None:
        """Lay the lines out for the new width."""
        if self._shown is not None:
            build, sheet, before, at_hand = self._shown
            self.show(pane_lines(build, sheet, before, self.size.width, at_hand))
        super().on_resize()
