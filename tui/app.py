"""The terminal program: opens the store, shows the builds, ends cleanly whatever happens."""

import asyncio
import gc
import signal
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from textual.app import App, SystemCommand
from textual.screen import Screen

from tui.actions import QUIT, HasCommands


class MainrunApp(App[int]):
    """Mainrun over one store. Raises ``StoreError`` when the store cannot be opened."""

    CSS_PATH = "app.tcss"
    TITLE = "Mainrun"
    COMMAND_PALETTE_BINDING = "ctrl+p"
    ENABLE_COMMAND_PALETTE = True
    ALLOW_SELECT = False

    def __init__(self, store_path: Path, build_key: int | None = None) -> None:
        from storage.store.builds import Store

        self.store: Store = Store(store_path)
        self._build_key = build_key
        # The terminal's own 16 colours: right on dark and light ones and with NO_COLOR, and half
        # the bytes of 24-bit colours. It must be known before the app's own __init__.
        super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.animation_level = "none"

    def on_mount(self) -> None:
        """Show the builds; end on hang-up and termination as on quit: all is saved already."""
        loop = asyncio.get_running_loop()
        for each in (signal.SIGHUP, signal.SIGTERM):
            with suppress(NotImplementedError, RuntimeError, ValueError):
                loop.add_signal_handler(each, self.exit, 0)
        if self.store.notice:
            self.notify(self.store.notice, markup=False, timeout=30)
        if self._build_key is None or not self._open(self._build_key):
            self.show_builds()
        self.call_after_refresh(self._warm)

    def show_builds(self, _: None = None) -> None:
        """Show the list of builds."""
        from tui.screens.builds import BuildsScreen

        self.push_screen(BuildsScreen(self.store))

    def _open(self, key: int) -> bool:
        """Start in a build, with the list of builds behind it; false when it is not there."""
        from storage.errors import StoreError
        from tui.screens.build import BuildScreen
        from tui.workbench import Workbench

        try:
            opened = self.store.open(key)
        except StoreError as error:
            self.notify(str(error), markup=False, severity="error")
            return False
        bench = Workbench(self.store, key, opened.document, opened.revision)
        self.push_screen(BuildScreen(bench), self.show_builds)
        return True

    def _warm(self) -> None:
        """Load what the first edit needs while the user reads the first screen."""
        self.run_worker(self._load, thread=True, exit_on_error=False)

    def _load(self) -> None:
        from domain import evaluate
        from domain.build import fields

        _ = evaluate, fields
        self.store.warm()
        # All of this stays until the end: the collector need never look at it again.
        gc.freeze()
        gc.enable()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The command palette: every action of the screen, then its tables, columns and rows."""
        if isinstance(screen, HasCommands):
            yield from screen.commands()
        else:
            yield SystemCommand(QUIT.title, QUIT.help, self.exit)


def run(store_path: Path | str, build_key: int | None = None, *, mouse: bool = True) -> int:
    """Run the program until the user leaves; the exit code. ``StoreError`` if it cannot start."""
    app = MainrunApp(Path(store_path), build_key)
    try:
        app.run(mouse=mouse)
    finally:
        app.store.close()
    return app.return_code or 0
