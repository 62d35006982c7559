"""A page that does long work off the event loop, with progress and a stop, and then shows it."""

from abc import abstractmethod
from collections.abc import Callable
from threading import Event
from typing import Generic, TypeVar

from textual import on
from textual.message import Message

from tui.pages.page import Page
from tui.widgets.cell_text import cut

SHARE = 0.04
"""Progress is told each time it has grown by this much."""

Progress = Callable[[float, str], bool]
"""Takes the share that is done and what is being done; false where the work must stop."""

Found = TypeVar("Found")


class Stopped(Exception):
    """The work was stopped; it left nothing behind."""


class LongWork(Page, Generic[Found]):
    """Starts at once. Escape stops the work; once more goes back. Enter does it again."""

    class Went(Message):
        """The work is so far."""

        def __init__(self, share: float, doing: str) -> None:
            super().__init__()
            self.share = share
            self.doing = doing

    class Ended(Message):
        """The work has ended: with what came of it, or with why nothing did."""

        def __init__(self, found: object, why: str) -> None:
            super().__init__()
            self.found = found
            self.why = why

    def __init__(self) -> None:
        super().__init__()
        self.found: Found | None = None
        self.why = ""
        self.share = 0.0
        self.doing = ""
        self.running = False
        self._stop = Event()

    @abstractmethod
    def work(self, progress: Progress) -> Found:
        """The work, away from the event loop; raises ``Stopped``, or what ``failed`` explains."""

    def failed(self, error: Exception) -> str:
        """Why it ended without a result, in one sentence without its full stop."""
        return str(error)

    def stopped(self) -> str:
        """What is said once it was stopped."""
        return "Stopped"

    def on_mount(self) -> None:
        """Start."""
        self.start()

    def on_unmount(self) -> None:
        """Work that nobody waits for stops."""
        self._stop.set()

    def start(self) -> None:
        """Do the work from the beginning."""
        self.found, self.why, self.share, self.doing = None, "", 0.0, ""
        self.running = True
        self._stop = Event()
        self.draw()
        stop = self._stop
        self.run_worker(lambda: self._run(stop), thread=True, exclusive=True, exit_on_error=False)

    def _run(self, stop: Event) -> None:
        told = 0.0

        def progress(share: float, doing: str = "") -> bool:
            nonlocal told
            if share >= told + SHARE:
                told = share
                self.post_message(self.Went(share, doing))
            return not stop.is_set()

        try:
            found = self.work(progress)
        except Exception as error:
            why = self.stopped() if stop.is_set() else self.failed(error)
            self.post_message(self.Ended(None, why))
            return
        self.post_message(self.Ended(found, ""))

    @on(Went)
    def _went(self, event: Went) -> None:
        if self.running:
            self.share, self.doing = event.share, event.doing
            self.draw()

    @on(Ended)
    def _ended(self, event: Ended) -> None:
        self.running = False
        self.found, self.why = event.found, event.why  # type: ignore[assignment]
        self.draw()

    def leave(self) -> None:
        """Escape stops the work first; once more goes back."""
        if self.running:
            self._stop.set()
        else:
            self.dismiss(None)

    def bar(self, width: int, *said: str) -> list[str]:
        """How far it is, with words below."""
        room = max(width - 24, 10)
        done = round(room * self.share)
        bar = f" {'█' * done}{'·' * (room - done)} {self.share * 100:.0f} %"
        return ["", bar, "", *(cut(f" {line}", width) if line else "" for line in said)]
