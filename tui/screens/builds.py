"""Home: the shop's builds, newest first; typing filters them."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult, SystemCommand
from textual.events import Key
from textual.message import Message
from textual.screen import Screen

from domain.build.answers import Answers, begun
from domain.document.names import numbered
from storage.errors import StoreError
from storage.store.database import ALL
from tui.actions import LEADING_ON, bindings_of, commands_of, help_rows, key_line, start
from tui.dialogs.boxes import Help
from tui.dialogs.first_plan import first_plan_rows
from tui.grids.together import with_others
from tui.report.stops import LEGEND, shown_stops
from tui.screens.builds_actions import BUILDS
from tui.widgets.cell_text import cut, left
from tui.widgets.editor import Editor
from tui.widgets.key_line import KeyLine
from tui.widgets.line_view import Line, LineView, Span, plain_line
from tui.widgets.speech import AS_WRITTEN, speak

if TYPE_CHECKING:
    from storage.store.builds import Store
    from storage.store.presence import Present
    from storage.store.read import BuildSummary

_COLUMNS = (("Title", 30), ("Customer", 18), ("Vehicle", 20), ("Job status", 11), ("Stops", 6))


MOST_SHOWN = 200
"""So many builds are listed, the newest; whoever wants an older one types a part of its name."""

AHEAD = 10
"""So many lines are read beyond those that are seen: as far as a page key goes."""

NO_BUILDS = (
    "No builds yet: ctrl+n starts one; F1 shows a whole first plan in ten lines.",
    "alt+t: a tour of a demo build, left at any key; ctrl+p, then demo, adds all.",
)
"""What an empty store says."""

TITLE = Line((Span(" Builds", "bold"), Span("   F12 Shop", "", "shop")))
"""What the screen is, and the way to the shop."""


class BuildList(LineView, can_focus=True):
    """The list itself; the marked line has ``>`` before it."""

    DEFAULT_CSS = """
    BuildList { height: 1fr; overflow: hidden auto; }
    """

    class Scrolled(Message):
        """Other lines are seen."""

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """The wheel moves it too."""
        super().watch_scroll_y(old_value, new_value)
        self.post_message(self.Scrolled())


class BuildsScreen(Screen[None]):
    """Choose a build, or start one."""

    CSS_PATH = "builds.tcss"
    BINDINGS = bindings_of("builds", BUILDS)

    def __init__(self, store: "Store") -> None:
        super().__init__()
        self.store = store
        self.all: list[BuildSummary] = []
        self.shown: list[BuildSummary] = []
        self.read_to = 0
        """So many builds were asked for: there may be more where so many came."""
        self.marked = 0
        self.with_archived = False
        self.compared: int | None = None
        """Key of the build that another one will be compared with."""
        self.put_away: int | None = None
        """Key of the build that was put away last."""

    def compose(self) -> ComposeResult:
        """Heading, filter, list, status and key line."""
        yield LineView([self._title], id="title")
        yield Editor(id="filter")
        yield LineView(id="columns")
        yield BuildList(id="list")
        yield LineView(id="status")
        yield KeyLine(id="keys")

    def on_mount(self) -> None:
        """Show the builds of the store."""
        self.query_one("#keys", KeyLine).show_keys(key_line(BUILDS), staying=LEADING_ON)
        self.set_focus(self.query_one(BuildList))
        self.read()
        self._offer_left_off()

    def _offer_left_off(self) -> None:
        """Say what was half-typed when a terminal was lost, and mark the build that it is in."""
        try:
            left = next((each for each in self.store.left_off() if each.typed), None)
        except StoreError:
            return
        if left is None:
            return
        where, key = "the shop", "F12"
        self.read(MOST_SHOWN + 1)
        if left.build_key is not None:
            where, key = f"build {left.build_key}", "type a part of its title"
        for place, build in enumerate(self.shown):
            if build.key == left.build_key:
                self.marked, where, key = place, build.title, "enter"
                self.show_list()
        self.say(f"When the terminal was lost you were typing {left.typed!r} in {where}: {key}")

    def on_screen_resume(self) -> None:
        """Back from a build: it may have changed."""
        speak(self.app, AS_WRITTEN)
        if self.is_mounted:
            self.read()

    @property
    def place(self) -> tuple[int | None, str]:
        """Where others see one at work."""
        return None, "Builds"

    @property
    def _title(self) -> Line:
        """What the screen is, and that nothing is saved from it where that is so."""
        if not self.store.read_only:
            return TITLE
        return Line((TITLE.spans[0], Span("   read-only"), *TITLE.spans[1:]))

    def others_wrote(self, others: "Sequence[Present]") -> bool:
        """Others have written to the store, or came, or went."""
        if not self.query(KeyLine):
            return False
        titles = {build.key: build.title for build in self.all}
        names = dict.fromkeys(
            f"{each.person} ({titles.get(each.build_key or 0, each.page)})" for each in others
        )
        if names:
            line = with_others("Builds", ", ".join(names), max(self.size.width - 14, 20))
            shown = Line((*line.spans, *self._title.spans[1:]))
        else:
            shown = self._title
        self.query_one("#title", LineView).show([shown])
        self.read()
        return True

    def on_resize(self) -> None:
        """Lines are cut for the new width."""
        self.show_list()

    @property
    def _wanted(self) -> int:
        """How many builds are to be read: those that are seen and some more, all to filter."""
        if self.query_one(Editor).value:
            return ALL
        view = self.query_one(BuildList)
        seen = max(self.marked, view.scroll_offset.y) + max(view.size.height, self.size.height)
        return min(seen + AHEAD, MOST_SHOWN) + 1

    @on(BuildList.Scrolled)
    def _read_on(self) -> None:
        """Read more of a long list when its end comes near."""
        if len(self.all) == self.read_to < self._wanted:
            self.read()

    def read(self, least: int = 0) -> None:
        """Read the list from the store, as far as it is seen or further, and show it."""
        self.read_to = max(self._wanted, least)
        try:
            self.all = self.store.builds(archived=self.with_archived, limit=self.read_to)
        except StoreError as error:
            self.say(str(error), bad=True)
        self.show_list()

    def show_list(self) -> None:
        """The builds that fit the filter, with the marked one in view."""
        wanted = self.query_one(Editor).value.casefold().split()
        fitting = [
            build
            for build in self.all
            if all(
                word in f"{build.title} {build.customer} {build.vehicle} {build.state}".casefold()
                for word in wanted
            )
        ]
        self.shown = fitting[:MOST_SHOWN]
        self.marked = max(0, min(self.marked, len(self.shown) - 1))
        width = max(self.size.width, 40)
        lines = [self._line(place, build, width) for place, build in enumerate(self.shown)]
        if not lines:
            empty = ["No build fits this filter"] if self.all else NO_BUILDS
            lines = [plain_line(cut(f"  {line}", width)) for line in empty]
        if len(fitting) > MOST_SHOWN:
            more = "  Older ones are not listed: type a part of the title, customer or vehicle"
            lines.append(plain_line(cut(more, width)))
        view = self.query_one(BuildList)
        view.show(lines)
        top, height = view.scroll_offset.y, view.size.height
        told = len(fitting) > MOST_SHOWN and self.marked == MOST_SHOWN - 1  # the line below it
        if height and not top <= self.marked < top + height - told:
            view.scroll_to(y=max(0, self.marked - height // 2), animate=False)
        names = "".join(left(name, w) + " " for name, w in _columns(width))
        self.query_one("#columns", LineView).show([plain_line("  " + names, "bold underline")])

    def _line(self, place: int, build: "BuildSummary", width: int) -> Line:
        cells = (
            build.title,
            build.customer,
            build.vehicle,
            str(build.state),
            shown_stops(build),
            build.changed[: 10 if width < 110 else 16].replace("T", " "),
        )
        text = "".join(
            left(cell, w) + " "
            for cell, (name, w) in zip(cells, _all_columns(width), strict=True)
            if w
        )
        if build.archived:
            text += "archived"
        marked = place == self.marked
        style = "bold reverse" if marked else ""
        mark = (">" if marked else " ") + ("*" if build.key == self.compared else " ")
        return Line((Span(mark + text, style),), f"build:{place}")

    def say(self, text: str, *, bad: bool = False) -> None:
        """One sentence in the status line."""
        line = cut(f" {'! ' if bad else ''}{text}", max(self.size.width, 20))
        self.query_one("#status", LineView).show([plain_line(line)])

    def on_key(self, event: Key) -> None:
        """Letters filter, arrows mark."""
        moves = {"up": -1, "down": 1, "pageup": -10, "pagedown": 10}
        editor = self.query_one(Editor)
        filtered = bool(editor.value)
        if event.key in moves:
            self.marked = max(0, min(self.marked + moves[event.key], len(self.shown) - 1))
        elif event.key == "escape":
            editor.value = ""
        elif event.key == "space" and not editor.value:
            self.mark()
        elif event.key == "question_mark" or not editor.press(event.key, event.character):
            return
        event.stop()
        event.prevent_default()
        more = len(self.all) == self.read_to < self._wanted
        if more or filtered != bool(editor.value):
            self.read()
        else:
            self.show_list()

    def build_at_hand(self) -> "BuildSummary | None":
        """The marked build."""
        return self.shown[self.marked] if self.shown else None

    async def open_build(self, key: int) -> None:
        """Open a build on the work screens."""
        from tui.screens.build import BuildScreen
        from tui.workbench import Workbench

        try:
            opened = self.store.open(key)
        except StoreError as error:
            self.say(str(error), bad=True)
            return
        bench = Workbench(self.store, key, opened.document, opened.revision, later=True)
        await self.app.push_screen(BuildScreen(bench))

    async def open_marked(self) -> None:
        """Open the marked build."""
        build = self.build_at_hand()
        if build is not None:
            await self.open_build(build.key)

    async def start_new(self) -> None:
        """Ask what is known of a new build, and start it."""
        try:
            answers = Answers(units=self.store.units())
        except StoreError as error:
            self.say(str(error), bad=True)
            return
        await self._ask(answers)

    async def _ask(self, answers: Answers, refused: str = "") -> None:
        from tui.dialogs.new_build import NewBuild

        await self.app.push_screen(NewBuild(answers, self._begin, refused))

    async def _begin(self, answers: Answers) -> None:
        try:
            from tui.workbench import stops_of

            build = begun(answers)
            key = self.store.create(build, stops=stops_of(build))
        except (StoreError, ValueError) as error:
            await self._ask(answers, f"Not started: {error}")
            return
        await self.open_build(key)

    def duplicate(self) -> None:
        """Copy the marked build."""
        build = self.build_at_hand()
        if build is None:
            return
        try:
            title = numbered(build.title, (each.title for each in self.store.builds(archived=True)))
            self.store.duplicate(build.key, title)
        except StoreError as error:
            self.say(str(error), bad=True)
            return
        self.read()
        self.say(f"Copied {build.title}: {title}")

    def archive(self) -> None:
        """Put the marked build away, or bring it back."""
        build = self.build_at_hand()
        if build is None:
            return
        try:
            self.store.archive(build.key, not build.archived)
        except StoreError as error:
            self.say(str(error), bad=True)
            return
        self.put_away = None if build.archived else build.key
        self.read()
        self.say(
            f"{build.title} is back"
            if build.archived
            else f"Archived {build.title}: ctrl+z brings it back, alt+x shows archived builds"
        )

    def bring_back(self) -> None:
        """Bring back the build that was put away last."""
        if self.put_away is None:
            self.say("Nothing was put away here")
            return
        try:
            self.store.archive(self.put_away, False)
        except StoreError as error:
            self.say(str(error), bad=True)
            return
        self.put_away = None
        self.read()
        self.say("It is back")

    def show_archived(self) -> None:
        """Show archived builds too, or not."""
        self.with_archived = not self.with_archived
        self.read()
        self.say(
            "Archived builds are shown" if self.with_archived else "Archived builds are hidden"
        )

    def mark(self) -> None:
        """Mark the build at hand for a comparison, or take the mark away."""
        build = self.build_at_hand()
        if build is None:
            return
        self.compared = None if self.compared == build.key else build.key
        self.show_list()
        self.say(
            f"Marked {build.title} *: go to another build and press alt+y to compare"
            if self.compared is not None
            else "No build is marked"
        )

    def compare(self) -> None:
        """The marked build and the one at hand side by side."""
        from storage.store.shelf import ShopCatalogue
        from tui.pages.compare import ComparePage
        from tui.workbench import planned

        build = self.build_at_hand()
        if build is None:
            return
        if self.compared in (None, build.key):
            self.compared = None
            self.mark()
            return
        try:
            one, other = (self.store.open(key).document for key in (self.compared, build.key))
            items = ShopCatalogue(self.store).items()
        except StoreError as error:
            self.compared = None
            self.say(str(error), bad=True)
            return
        self.app.push_screen(ComparePage(planned(one), planned(other), items))

    def open_shop(self) -> None:
        """Open the shop."""
        from tui.screens.shop import ShopScreen

        try:
            screen = ShopScreen(self.store, self.store.units())
        except StoreError as error:
            said = f"The shop cannot be opened: {error}"
            self.say(said, bad=True)
            self.notify(said, markup=False, severity="error", timeout=15)
            return
        self.app.push_screen(screen)

    def load_demo(self) -> None:
        """Add the demo builds."""
        from demo_db.load import DEMO_STOPS, demo_builds

        try:
            for name, build in reversed(demo_builds()):
                self.store.create(build, stops=DEMO_STOPS[name])
        except StoreError as error:
            self.say(str(error), bad=True)
        self.read()

    def tour(self) -> None:
        """Round a demo build."""
        from tui.screens.tour import tour_screen

        self.app.push_screen(tour_screen())

    def show_help(self) -> None:
        """The keys of this screen."""
        about = "Typing filters the builds; arrows mark one; enter opens it. All is saved at once."
        plan = ("A whole first plan, key by key", first_plan_rows())
        self.app.push_screen(Help([about], [plan, ("Stops", LEGEND), ("Keys", help_rows(BUILDS))]))

    def commands(self) -> Iterator[SystemCommand]:
        """Every action, by name."""
        return commands_of(BUILDS, self.action_start)

    async def action_start(self, id: str) -> None:
        """Start an action by its id."""
        await start(next(action for action in BUILDS if action.id == id), self)

    @on(LineView.Chosen)
    async def _chosen(self, event: LineView.Chosen) -> None:
        kind, _, rest = event.target.partition(":")
        if kind != "build":
            await self.action_start(event.target)
            return
        if self.marked == int(rest):
            await self.open_marked()
        self.marked = int(rest)
        self.show_list()


def _all_columns(width: int) -> list[tuple[str, int]]:
    """Columns for this width; a narrow terminal does without customer or date."""
    if width < 80:
        return [("Title", 24), ("", 0), ("Vehicle", 15), ("Job status", 10), ("Stops", 5), ("", 0)]
    if width < 110:
        return [
            ("Title", 28),
            ("", 0),
            ("Vehicle", 18),
            ("Job status", 10),
            ("Stops", 5),
            ("Changed", 10),
        ]
    return [*_COLUMNS, ("Changed", 16)]


def _columns(width: int) -> list[tuple[str, int]]:
    return [(name, w) for name, w in _all_columns(width) if w]
