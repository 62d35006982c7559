"""One build on the screen: views to enter what is known, and the live pane beside them."""

from collections.abc import Callable, Sequence
from typing import Protocol

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.geometry import Size
from textual.widgets import ContentSwitcher

from domain.build.records import CARRIED_TABLES, table_of
from storage.errors import StoreError
from storage.store.builds import Store
from storage.store.presence import Present
from tui.actions import bindings_of, shown_key
from tui.grids.grid_screen import GridScreen
from tui.grids.together import with_others
from tui.grids.view import View
from tui.screens.build_actions import BUILD, BUILD_VIEWS
from tui.screens.mending import Mending
from tui.screens.settling import Settling
from tui.views.build.askers import show_askers
from tui.views.build.build_view import BuildView
from tui.views.build.going import go_to
from tui.views.build.pack import PackView
from tui.views.build.run_tables import rehang
from tui.views.build.shop_link import NO_STORE
from tui.views.build.wiring import WiringView
from tui.widgets.cell_text import right
from tui.widgets.key_line import KeyLine, Keys
from tui.widgets.line_view import Line, LineView, Span, plain_line
from tui.widgets.live_pane import LivePane
from tui.widgets.pane_lines import strip_lines
from tui.widgets.picture_view import PictureView
from tui.workbench import Workbench

NOT_TAKEN = "preview, not taken"
"""What stands in the place of the revision while figures follow from what is not entered yet."""

SAVED_WIDTH = 26
"""Cells for the saved state, a line of its own so that the title is not sent with it."""

WIDTHS = [(0, "-narrow"), (100, "-bare"), (120, "-wide")]
"""From which width on, in cells, the screen has a class."""

LEADS_ON = "on"
"""What stands for the way on in the key line of a guide."""

TO_SHOP = Line((Span("F12", "bold", "shop"), Span(" Shop", "", "shop")))
"""The way to the shop: a line of its own, which is never sent again."""


class Guide(Protocol):
    """What leads round a build that is only shown."""

    def keys(self) -> Keys:
        """The key line while it leads."""

    def take_key(self, key: str) -> None:
        """Every key is its own."""

    async def show(self) -> None:
        """Show what is to be seen first."""


class BuildScreen(GridScreen):
    """The open build: its views, header, tabs, pane and strip."""

    CSS_PATH = "build.tcss"
    BINDINGS = bindings_of("build", BUILD)
    actions = BUILD
    keys_title = "In this build"
    signs = (
        ("~", "chosen for you: = keeps it, delete leaves it to be chosen again"),
        ("·", "computed: ctrl+w shows how"),
        ("* (1.2 V)", "changed by the last edit, and what it was before"),
        (NOT_TAKEN, "figures as they will be with what is typed: enter takes it, esc drops it"),
    )
    workbench: Workbench
    view: BuildView

    def __init__(
        self, workbench: Workbench, led_by: "Callable[[BuildScreen], Guide] | None" = None
    ) -> None:
        super().__init__(workbench)
        self.guide = led_by(self) if led_by else None
        self.HORIZONTAL_BREAKPOINTS = WIDTHS
        self.mending: Mending = Mending(self, workbench)
        self.settling: Settling = Settling(self, workbench)
        self._awaits = workbench.awaits
        """Whether the records are shown without what follows from them."""
        self._laid_for = Size(0, 0)
        """The size that lines were cut for."""
        self._shop_revision = 0
        """Revision of the shop that the prices are of, once others have written anything."""
        self._shop_left: tuple[str, Sequence[str]] = ("", ())
        """Where in the shop one was last: the item, and which alone were seen."""
        self.hold(*(kind(self, workbench, self.open_shop) for kind in BUILD_VIEWS))

    def compose(self) -> ComposeResult:
        """Header, tabs, views with the pane, strip, status and key line."""
        # What the first resizing would set: known now, nothing is styled a second time for it.
        self.add_class(*self._get_breakpoint_classes(self.app.size.width, WIDTHS), update=False)
        with Horizontal(id="top"):
            yield LineView(id="title")
            yield LineView([TO_SHOP], id="to_shop")
            yield LineView(id="saved")
        yield KeyLine(id="tabs")
        with Horizontal(id="work"):
            with Vertical(id="left"):
                yield ContentSwitcher(id="views")
                yield PictureView(id="picture")
            yield LivePane(id="pane")
        yield LineView(id="more")
        yield LineView(id="strip")
        yield LineView(id="status")
        yield KeyLine(id="keys")

    def on_resize(self) -> None:
        """Lines are cut for the new width."""
        if self.size == self._laid_for:
            return
        self._laid_for = self.size
        self.show_header()
        self.show_tabs()
        self.show_figures()
        self.status.fit()
        self.more_soon()
        if self.visited:
            self.call_after_refresh(self.show_captions)  # once the tables have their new width

    # Others

    @property
    def store(self) -> Store | None:
        """The store of the build; ``None`` for one as it was."""
        return self.workbench.store

    @property
    def place(self) -> tuple[int | None, str]:
        """The build with its page; one as it was is none that others could be in."""
        bench = self.workbench
        return (bench.key, self.view.title) if bench.store else (None, "History")

    def others_wrote(self, others: Sequence[Present]) -> bool:
        """Show their edits, and prices that changed in the shop."""
        if not super().others_wrote(others):
            return False
        store = self.workbench.store
        revision = store.shop().revision() if store else 0
        if revision != self._shop_revision:
            self._shop_revision = revision
            self.returned()
        return True

    # What is shown

    async def show_view(self, view: View) -> bool:
        """Show a view; what is printed is the whole plan."""
        if isinstance(view, PackView):
            self.before_telling()
        return await super().show_view(view)

    def view_shown(self) -> None:
        """A view is in front now, and not the pane in full."""
        self.set_class(self.view.with_picture, "pictured")
        self.remove_class("full")
        self.pane.mark(False)

    def show_tabs(self) -> None:
        """The tab line: every page with its word, in the longest form that there is room for.

        Where there is little, only the present page has its whole title; where there is less, keys
        lose what is the same in all of them (alt+1, 2, 3 ... j), but for that of the present page,
        which shows what is meant; then the present title is short, then its key too. On the
        narrowest words go, the last first.
        """
        present = f"view_{self.view.id}"
        home = ("F10", "Builds", "home")
        tabs: list[tuple[str, str, str]] = []
        for few_keys, few_words in ((0, 0), (0, 1), (1, 1), (1, 2), (2, 2)):
            tabs = [
                (
                    _brief(v.key) if few_keys > (f"view_{v.id}" == present) else shown_key(v.key),
                    v.short_title or v.title
                    if few_words > (f"view_{v.id}" == present)
                    else v.title,
                    f"view_{v.id}",
                )
                for v in self.views
            ] + [home]
            if _cells(tabs) <= self.size.width:
                break
        for place in (*range(len(tabs) - 2, -1, -1), len(tabs) - 1):
            key, _, id = tabs[place]
            if _cells(tabs) > self.size.width and id != present:
                tabs[place] = (key, "", id)
        self.query_one("#tabs", KeyLine).show_keys(tabs, present)

    def show_header(self) -> None:
        """Title, vehicle and how it is saved."""
        header = self.workbench.build.header
        name = header.title + (f" · {header.vehicle}" if header.vehicle else "")
        room = max(self.size.width - SAVED_WIDTH - len(TO_SHOP.plain), 20)
        self.query_one("#title", LineView).show([with_others(name, self.together.names, room - 1)])
        saved = NOT_TAKEN if self.preview else self.workbench.saved
        line = plain_line(right(f"{saved} ", SAVED_WIDTH))
        self.query_one("#saved", LineView).show([line])

    def show_figures(self) -> None:
        """Pane and strip, from the sheet as it is or as it would be."""
        self.settling.soon()
        bench, preview = self.workbench, self.preview
        sheet = preview or bench.sheet
        before = None if bench.before is bench.sheet else bench.before
        width = max(self.size.width, 20)
        if bench.awaits:
            return
        self.mending.follow()
        mending, place = self.mending.title(), self.mending.place
        lines = strip_lines(bench.build, sheet, width, place, mending)
        self.query_one("#strip", LineView).show(lines)
        self.pane.show_sheet(
            bench.build, sheet, place, before, bench.sheet if preview else None, mending
        )

    def notice(self) -> str:
        """What should be known of the last edit; else why a wire is so much thicker or thinner."""
        from domain.topics.runs import jumped

        bench = self.workbench
        return bench.notice or jumped(bench.before, bench.sheet)

    def drawn(self) -> None:
        """What follows from the records comes once they are seen."""
        if self._awaits and self.visited and self.grid.size.height:
            self._awaits = False
            self.call_after_refresh(self._work_out)

    def _work_out(self) -> None:
        _ = self.workbench.plan
        if self.is_attached:
            with self.app.batch_update():
                self.show_all()
                self.show_captions()
                self.editing.shown_anew()

    # Findings

    async def go_to_next_finding(self) -> None:
        """Go to the field that mends the next finding."""
        place = self.mending.next_place()
        if place is None:
            self.say("No findings")
        else:
            await self.go_to_finding(place)

    async def go_to_finding(self, place: int) -> None:
        """Show a finding on top of the pane and put the cursor on its field."""
        if not self.editing.confirm():
            return
        finding = self.mending.go(place)
        if finding is None:
            return
        await self.go_to_thing(finding.table, finding.id, finding.field)
        self.show_figures()
        self.tell(f"{finding.level.name} {finding.with_do}")

    async def go_to_thing(self, table: str, id: str, field: str) -> bool:
        """Show a wire or a device of the power side in the drawing; all else where it is edited."""
        drawn = table in CARRIED_TABLES and id
        if drawn and await self.held(WiringView).show_thing(id, field):
            return True
        return await self.go_to(table, id, field)

    async def go_to(self, table: str, id: str, field: str) -> bool:
        """Put the cursor on the cell where a field of a record is edited; false: it stays."""
        return await go_to(self, self.workbench, table, id, field)

    # The pane

    @property
    def pane(self) -> LivePane:
        """The live pane."""
        return self.query_one(LivePane)

    def opened(self) -> None:
        """A guide begins."""
        if self.guide:
            self.call_later(self.guide.show)

    def keys_here(self) -> Keys:
        """The key line: of the guide, where one leads."""
        return self.guide.keys() if self.guide else super().keys_here()

    def take_key(self, event: Key) -> bool:
        """Keys of the guide, of the pane while it is in full, else of the view."""
        if self.guide:
            self.guide.take_key(event.key)
            return True
        if self.editing.open or not self.has_class("full"):
            return super().take_key(event)
        if self.pane.take_key(event.key):
            return True
        if event.key == "escape":
            self.toggle_pane()
        elif event.is_printable and event.key not in self._by_key:
            self.say("The table is put away: escape leads back to it")
        else:
            return False
        return True

    def toggle_pane(self) -> None:
        """The pane in full, and back."""
        self.toggle_class("full")
        self.show_figures()
        full = self.has_class("full")
        self.pane.mark(full)
        if full:
            self.say("Arrows mark a line, enter follows it; esc or F9: back to the table")
        else:
            self.describe_cell()

    async def follow(self, kind: str, rest: str) -> None:
        """Where a line of the pane, or the way on of a guide, leads."""
        bench = self.workbench
        if kind == "finding":
            await self.go_to_finding(int(rest))
        elif kind == "run":
            await self.go_to_thing("runs", rest, "gauge")
        elif kind == "thing":
            await self.held(WiringView).show_thing(rest, "name", back=self.view)
        elif kind == "amp":
            await self.go_to_thing(table_of(rest), rest, "")
        elif kind == "asked" and int(rest) < len(bench.sheet.materials):
            show_askers(self, bench, bench.sheet.materials[int(rest)])
        elif kind == "figure":
            self._show_supply_workings(rest)
        elif kind == LEADS_ON and self.guide:
            self.guide.take_key("enter")

    # Actions

    def before_telling(self) -> None:
        """What tells of the plan does so of the whole one."""
        if self.editing.confirm():
            self.settling.now()

    def show_workings(self) -> None:
        """Workings of the figure under the cursor, or of the pane where it is in full."""
        from tui.tables.workings import SUPPLY

        if self.has_class("full"):
            self._show_supply_workings(" ".join(SUPPLY))
        else:
            self.view.show_workings()

    def _show_supply_workings(self, fields: str) -> None:
        from domain.workings.working import Figure
        from tui.pages.page import TextPage
        from tui.tables.workings import working_lines

        figures = [Figure("supply", "", field) for field in fields.split()]
        lines = working_lines(self.workbench.plan, figures)
        if lines:
            self.app.push_screen(TextPage("How it is calculated: supply", lines))

    def rehang(self) -> None:
        """Choose another device for the run with the cursor to hang on."""
        rehang(self, self.workbench)

    def show_history(self) -> None:
        """Who changed what."""
        from tui.screens.past import show_history

        show_history(self, self.workbench)

    def go_back(self) -> None:
        """Leave it for where it was opened from: the list of builds shows its count of stops."""
        self.workbench.note_stops()
        super().go_back()

    def go_to_shop(self) -> None:
        """Open the shop."""
        if self.editing.confirm():
            self.open_shop()

    def open_shop(self, item: str = "", to_price: Sequence[str] = ()) -> None:
        """Open the shop, on an item or on those to price, else where it was left.

        Back from it, prices are read anew.
        """
        item, to_price = (item, to_price) if item or to_price else self._shop_left
        store = self.workbench.store
        if store is None:
            self.say(NO_STORE)
            return
        from tui.screens.shop import ShopScreen

        try:
            screen = ShopScreen(store, self.workbench.build.header.units, item, to_price)
        except StoreError as error:
            self.warn(f"The shop cannot be opened: {error}")
            return

        def back(_: None) -> None:
            self._shop_left = screen.left_at()
            self.returned()

        self.app.push_screen(screen, back)


def _brief(key: str) -> str:
    """A key to a page in a row of them: the first with alt, the others by what differs."""
    return key if key == "alt+1" else key.removeprefix("alt+").removeprefix("f")


def _cells(tabs: Sequence[tuple[str, str, str]]) -> int:
    """Cells that a line of tabs takes, with the brackets of the present one."""
    return 1 + sum(1 + cell_len(" ".join(filter(None, (key, word)))) for key, word, _ in tabs)
