"""What the build screen shows: header, tabs, views with their tables, pane, strip, status."""

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import ContentSwitcher, Rule

from domain.sheet import Sheet
from tui.screens.grid_frame import GridFrame
from tui.tables.build_tables import place_of, specs_of
from tui.tables.table import TableSpec
from tui.views.build_actions import SHORT_TITLES, VIEWS, shown_key
from tui.widgets.cell_text import cut, right
from tui.widgets.editor import Editor
from tui.widgets.grid import Grid
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import Line, LineView, Span, plain_line
from tui.widgets.live_pane import LivePane
from tui.widgets.pane_lines import strip_lines
from tui.widgets.picture_view import PictureView
from tui.workbench import Workbench


def tabs(current: str, wide: bool) -> list[tuple[str, str, str]]:
    """The tab line: where there is little room, only the present view has its whole title."""
    found = []
    for id, title, key in VIEWS:
        short = title if wide or id == current else SHORT_TITLES.get(id, title)
        found.append((shown_key(key), short, f"view_{id}"))
    return [*found, ("F10", "Builds", "home")]


WIDE_TABS = 100
"""Cells that the tab line needs with every title in full."""

SAVED_WIDTH = 26
"""Cells for the saved state, a line of its own so that the title is not sent with it."""


TO_SHOP = Line((Span("F12", "bold", "shop"), Span(" Shop", "", "shop")))
"""The way to the shop: a line of its own, which is never sent again."""


class BuildFrame(GridFrame):
    """The frame of an open build. It shows the workbench; what keys do is added on top of it."""

    CSS_PATH = "build.tcss"
    where: ClassVar[str] = "build"
    workbench: Workbench

    def __init__(self, workbench: Workbench) -> None:
        super().__init__(workbench)
        self.HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
        self.at_hand = 0
        """Place of the finding that stands on top of the pane."""
        self.one_part = True
        """Whether panels and holes of one part only are shown."""
        self.mode = ""
        """The state whose readings are shown; empty: of all states."""

    def compose(self) -> ComposeResult:
        """Header, tabs, views with the pane, strip, status and key line."""
        with Horizontal(id="top"):
            yield LineView(id="title")
            yield LineView([TO_SHOP], id="to_shop")
            yield LineView(id="saved")
        yield KeyLine(id="tabs")
        with Horizontal(id="work"):
            with Vertical(id="left"):
                yield ContentSwitcher(id="views")
                yield PictureView(id="picture")
            yield Rule("vertical", id="edge")
            yield LivePane(id="pane")
        yield LineView(id="more")
        yield LineView(id="strip")
        yield LineView(id="status")
        yield KeyLine(id="keys")
        yield Editor(id="editor")

    def on_resize(self) -> None:
        """Lines are cut for the new width."""
        self.show_header()
        self.show_tabs()
        self.show_figures()
        self.call_after_refresh(self.show_more)

    # What is shown

    async def go_to(self, table: str, id: str, field: str) -> None:
        """Put the cursor on the cell where a field is edited."""
        place = place_of(self.workbench.build, table, id, field) if table else None
        if place is None:
            return
        spec, row, column = place
        await self.show_view(spec.view)
        grid = self.query_one(f"#grid-{spec.id}", Grid)
        grid.go(row, column)
        self.focus_grid(grid)

    def below(self, view: str) -> Sequence[Widget]:
        """Below the readings stand the suspects."""
        return [LineView(id="suspects")] if view == "readings" else []

    def view_shown(self, view: str) -> None:
        """A view is now in front, and not the pane in full."""
        self.set_class(view == "parts", "parts")
        self.remove_class("full")
        self.query_one(LivePane).mark(False)

    def views(self) -> Sequence[tuple[str, str]]:
        """The views of a build."""
        return [(id, title) for id, title, _ in VIEWS]

    def specs(self, view: str) -> list[TableSpec]:
        """The tables of a view."""
        return specs_of(view)

    def show_tabs(self) -> None:
        """The tab line, as wide as the terminal allows."""
        wide = self.size.width >= WIDE_TABS
        keys = tabs(self.view, wide)
        self.query_one("#tabs", KeyLine).show_keys(keys, f"view_{self.view}")

    def show_all(self) -> None:
        """Show the build as it is now."""
        self.show_header()
        self.show_grids()
        self.show_figures()

    def show_header(self) -> None:
        """Title, vehicle and how it is saved."""
        header = self.workbench.build.header
        name = header.title + (f" · {header.vehicle}" if header.vehicle else "")
        room = max(self.size.width - SAVED_WIDTH - len(TO_SHOP.plain), 20)
        self.query_one("#title", LineView).show([plain_line(cut(f" {name}", room - 1), "bold")])
        saved = plain_line(right(f"{self.workbench.saved} ", SAVED_WIDTH))
        self.query_one("#saved", LineView).show([saved])

    def show_figures(self, preview: Sheet | None = None) -> None:
        """Pane and strip, from the sheet as it is or as it would be."""
        bench = self.workbench
        sheet = preview or bench.sheet
        before = None if bench.before is bench.sheet else bench.before
        width = max(self.size.width, 20)
        mending = self.mending()
        lines = strip_lines(bench.build, sheet, width, self.at_hand, mending)
        self.query_one("#strip", LineView).show(lines)
        self.query_one(LivePane).show_sheet(
            bench.build, sheet, self.at_hand, before, bench.sheet if preview else None, mending
        )

    def show_preview(self, sheet: Sheet | None) -> None:
        """The figures while a value is being typed."""
        self.show_figures(sheet)

    def part_at_hand(self) -> str:
        """What the view is narrowed to: a part or a state; empty: everything."""
        if self.view == "readings":
            return self.mode
        if not self.one_part or self.view != "parts" or not self.grids():
            return ""
        return self.grids()[0].row_id

    def mending(self) -> str:
        """What the edit is called that mends the finding at hand; empty: there is none."""
        return ""
