"""The terminal program: opens the store, shows the builds, ends cleanly whatever happens."""

import asyncio
import gc
import signal
import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from functools import partial
from time import monotonic
from typing import TYPE_CHECKING, Protocol, cast, runtime_checkable

from rich.console import RenderableType
from textual._compositor import ChopsUpdate, LayoutUpdate
from textual.app import SystemCommand
from textual.await_complete import AwaitComplete
from textual.driver import Driver
from textual.screen import Screen

from storage.errors import StoreAway, StoreError
from storage.store.presence import HEARD_EVERY_S
from tui.actions import QUIT, HasCommands
from tui.keys_in_turn import KeysInTurn
from tui.terminal_kind import erases, prepare_colours
from tui.widgets.kept_sheet import KeptSheet
from tui.widgets.lean_strips import make_caches_late
from tui.widgets.plain_cells import prepare_terminal
from tui.widgets.sent_cells import SentCells
from tui.widgets.speech import AS_WRITTEN, Speech

if TYPE_CHECKING:
    from storage.store.builds import Store
    from storage.store.location import Place
    from storage.store.presence import Present

HUNG_UP = 129
"""Exit code where the terminal was closed, as the shells have it (128 and SIGHUP)."""

AWAY = (
    "The server of the store cannot be reached. What is saved is safe; what you type stays in its "
    "cell until enter can save it"
)
WAITING = "Waiting for the server of the store ..."
BACK = "The server of the store is back: enter saves what is typed"

LIST_OF_BUILDS = "list of builds"
"""The mode of the screen below the build that one began in."""

LOOK_EVERY_S = 0.25
"""How often it is looked whether others have written to the store [s]."""


@runtime_checkable
class SeesOthers(Protocol):
    """A screen that shows what others do."""

    @property
    def place(self) -> tuple[int | None, str]:
        """Where others see one at work: the build by its key, if it is one, and the page."""

    def others_wrote(self, others: Sequence["Present"]) -> bool:
        """Others have written to the store, or came, or went; false: it is not ready to show it."""


@runtime_checkable
class GoesOn(Protocol):
    """A screen that goes on once it was drawn."""

    def drawn(self) -> None:
        """What there was to draw was sent to the terminal."""


class MainrunApp(KeysInTurn):
    """Mainrun over one store. Raises ``StoreError`` when the store cannot be opened."""

    CSS_PATH = "app.tcss"
    DEFAULT_MODE = "begun"
    TITLE = "Mainrun"
    COMMAND_PALETTE_BINDING = "ctrl+p"
    ENABLE_COMMAND_PALETTE = True
    ALLOW_SELECT = False

    def __init__(
        self,
        place: "Place",
        build_key: int | None = None,
        person: str | None = None,
        store: "Store | None" = None,
    ) -> None:
        """Over the store at a place; ``store``: where that is open already."""
        from storage.store.builds import Store

        self.store: Store = store or Store(place, person=person)
        self.speech: Speech = AS_WRITTEN
        """In whose words the widgets speak: those of the build that is shown."""
        make_caches_late()
        self._build_key = build_key
        self._not_opened = ""
        """Why that build is not there."""
        self.fault: Exception | None = None
        """What nobody has caught."""
        self._said: tuple[float, tuple[int | None, str]] = (float("-inf"), (None, ""))
        """When it was last said where one is, and where that was."""
        self._is_away = False
        """Whether the server of the store could not be reached when it was last looked at."""
        self._may_wait = self.store.database.on_waiting(self._waits)
        """Whether it is another machine that answers."""
        self._asking = False
        """Whether a thread asks it who else is here."""
        self._unseen = False
        """Whether others have done what no screen has shown yet."""
        self._sent = SentCells(erases=erases())
        """What the terminal shows."""
        # The terminal's own 16 colours: right on dark and light ones and with NO_COLOR, and half
        # the bytes of 24-bit colours. It must be known before the app's own __init__.
        super().__init__(ansi_color=True)
        self.add_mode(self.DEFAULT_MODE, self._first_screen)
        self.theme = "ansi-dark"
        self.stylesheet = KeptSheet(variables=self.get_css_variables())
        self.animation_level = "none"

    def get_driver_class(self) -> type[Driver]:
        """Textual's driver; on a terminal with a parser that keeps what is pasted together."""
        found = super().get_driver_class()
        if found.__name__ != "LinuxDriver":
            return found
        from tui.paste import TerminalDriver

        return TerminalDriver

    def refresh_css(self, animate: bool = True) -> None:
        """Nothing is styled anew: the theme is set once, before there is anything to style."""

    # What is sent to the terminal

    def _display(self, screen: Screen[object], renderable: RenderableType | None) -> None:
        """Everything that is drawn comes here; only cells that differ are sent."""
        if isinstance(renderable, LayoutUpdate | ChopsUpdate):
            super()._display(screen, cast(RenderableType, self._sent.only_new(renderable)))
        else:
            super()._display(screen, renderable)
        if isinstance(screen, GoesOn) and not self._batch_count:
            screen.drawn()

    def on_resize(self) -> None:
        """Nobody knows what a terminal shows after its size has changed."""
        self.forget_terminal()

    def forget_terminal(self) -> None:
        """What the terminal shows is not known any more: all is sent when it is next drawn."""
        self._sent.forget()

    def on_mount(self) -> None:
        """Show the builds; end on hang-up and termination as on quit: all is saved already."""
        loop = asyncio.get_running_loop()
        for name, code in (("SIGHUP", HUNG_UP), ("SIGTERM", 0)):
            number = getattr(signal, name, None)
            with suppress(NotImplementedError, RuntimeError, ValueError):
                if number is not None:
                    loop.add_signal_handler(number, self.cut_off, code)
        if self.store.notice:
            self.notify(self.store.notice, markup=False, timeout=30)
        if self._not_opened:
            self.notify(self._not_opened, markup=False, severity="error")
        self.call_after_refresh(self._warm)
        self.set_interval(LOOK_EVERY_S, self.look)

    # Where it begins, and what lies below that

    def _first_screen(self) -> Screen[None]:
        """The build that was asked for; the list of builds where none was, or it is not there."""
        if self._build_key is None:
            return self._list_of_builds()
        from tui.screens.build import BuildScreen
        from tui.workbench import Workbench

        try:
            opened = self.store.open(self._build_key)
        except StoreError as error:
            self._not_opened = str(error)
            return self._list_of_builds()
        key = self._build_key
        return BuildScreen(Workbench(self.store, key, opened.document, opened.revision, later=True))

    def _list_of_builds(self) -> Screen[None]:
        from tui.screens.builds import BuildsScreen

        return BuildsScreen(self.store)

    def pop_screen(self) -> AwaitComplete:
        """Leave a screen; the list of builds lies below the build that it began in."""
        if len(self.screen_stack) > 1:
            return super().pop_screen()
        left = self.current_mode
        self.add_mode(LIST_OF_BUILDS, self._list_of_builds)
        self.switch_mode(LIST_OF_BUILDS)
        return self.remove_mode(left)

    def _warm(self) -> None:
        """Load what the first edit needs while the user reads the first screen."""
        self.run_worker(self._load, thread=True, exit_on_error=False)

    def _load(self) -> None:
        from domain import evaluate
        from domain.build import fields
        from tui.dialogs import boxes
        from tui.tables import thing
        from tui.widgets import editor

        _ = evaluate, fields, boxes, thing, editor
        # All of this stays until the end: the collector need never look at it again.
        gc.freeze()
        gc.enable()

    # Others at work in the store

    def look(self) -> None:
        """Look whether others have done anything, and let the screen show it.

        It costs nothing on the line while they have not.
        """
        if not self.screen_stack:
            return  # the program is ending, and this tick was on its way
        with suppress(StoreError):
            self._be_here()
            if self._moved():
                self._unseen = True
            if self._unseen and not self._may_wait:
                self._show_others(self.store.others())
            elif self._unseen and not self._asking:
                self._asking = True
                self.run_worker(self._ask, thread=True)

    def _ask(self) -> None:
        """Ask who else is here, in a thread: the screen never waits for a server that hangs.

        What is read after that is asked of a server that has just answered.
        """
        others = None
        with suppress(StoreError):
            others = self.store.others()
        self.call_later(self._answered, others)

    def _answered(self, others: "Sequence[Present] | None") -> None:
        self._asking = False
        if others is not None and self.screen_stack:
            with suppress(StoreError):
                self._show_others(others)

    def _show_others(self, others: "Sequence[Present]") -> None:
        screen = self.screen
        # A screen that is being closed has no display any more.
        if screen.display and isinstance(screen, SeesOthers):
            self._unseen = not screen.others_wrote(others)

    def _waits(self) -> None:
        """The screen stands still until the server answers: say so, before it goes on."""
        from tui.grids.grid_screen import GridScreen

        if threading.current_thread() is not threading.main_thread() or not self.screen_stack:
            return
        if isinstance(self.screen, GridScreen) and self.screen.is_mounted:
            self.screen.status.say_at_once(WAITING)

    def _moved(self) -> bool:
        """Whether others have written; that the server is away, and back, is told once."""
        try:
            moved = self.store.moved()
        except StoreAway:
            if not self._is_away:
                self._is_away = True
                self.notify(AWAY, markup=False, severity="warning", timeout=15)
            raise
        if self._is_away:
            self._is_away = False
            self.notify(BACK, markup=False)
        return moved

    def _be_here(self) -> None:
        """Say where one is, when that is new, and again before one would be forgotten."""
        places = [each.place for each in self.screen_stack if isinstance(each, SeesOthers)]
        at, said = self._said
        if places and (places[-1] != said or monotonic() > at + HEARD_EVERY_S):
            self._said = monotonic(), places[-1]
            self._unseen = True  # somebody may have been forgotten since
            self.run_worker(partial(self.store.be_here, *places[-1]), thread=True)

    # How it ends

    def on_closed(self) -> None:
        """The terminal was closed: it ends as when it is hung up."""
        self.cut_off(HUNG_UP)

    def cut_off(self, code: int) -> None:
        """End at once, as when the terminal is lost: where one was is kept, to go on from there."""
        self._keep_place()
        self.exit(code, code)

    def _keep_place(self) -> None:
        from tui.grids.going_on import left_off
        from tui.grids.grid_screen import GridScreen

        for screen in reversed(self.screen_stack):
            if isinstance(screen, GridScreen) and screen.store is not None:
                left = left_off(screen)
                if left is not None:
                    self.store.keep_left_off(left)
                return

    def _handle_exception(self, error: Exception) -> None:
        """Everything that nobody has caught comes here: the program ends, and ``run`` raises it.

        What was typed and not confirmed goes with it.
        """
        if self.fault is None:
            self.fault = error
            for text in self._half_typed():
                error.add_note(f"typed and not confirmed: {text}")
            with suppress(Exception):  # it must not hide the fault itself
                self._keep_place()
        super()._handle_exception(error)
        self._exit_renderables.clear()  # a trace on the terminal helps nobody who has a van to wire

    def _half_typed(self) -> Iterator[str]:
        from tui.grids.grid_screen import GridScreen

        for screen in self.screen_stack:
            if isinstance(screen, GridScreen) and screen.is_mounted and screen.editing.open:
                yield screen.editing.editor.value

    # Commands

    def action_command_palette(self) -> None:
        """Find a command of this screen by name, and start it there, in its turn."""
        from tui.dialogs.palette import Palette

        screen = self.screen
        if screen.is_modal:
            return
        commands = list(self.get_system_commands(screen))

        def chosen(place: int | None) -> None:
            if place is not None:
                screen.call_later(commands[place].callback)

        self.push_screen(Palette(commands), chosen)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The command palette: every action of the screen, then its tables, columns and rows."""
        if isinstance(screen, HasCommands):
            yield from screen.commands()
        else:
            yield SystemCommand(QUIT.title, QUIT.help, self.exit)


def run(
    place: "Place",
    build_key: int | None = None,
    *,
    mouse: bool = True,
    store: "Store | None" = None,
) -> int:
    """Run the program until the user leaves; the exit code. A ``store`` that is open it closes.

    ``StoreError`` if it cannot start; what nobody has caught, with the terminal as it was before.
    """
    prepare_colours()
    app = MainrunApp(place, build_key, store=store)
    prepare_terminal()
    try:
        app.run(mouse=mouse)
    finally:
        app.store.close()
    if app.fault is not None:
        raise app.fault
    return app.return_code or 0
