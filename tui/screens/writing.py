"""Files being written: off the event loop, with progress and a stop, and then where they are."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from threading import Event

from textual import on
from textual.message import Message

from domain.build import visible
from tui.remote import fetch_line
from tui.screens.page import Page, wrapped
from tui.widgets.cut import cut, wrap
from tui.widgets.line_view import Line, plain_line

SHARE = 0.04
"""Progress is told each time it has grown by this much."""

Progress = Callable[[float, str], bool]
"""Takes the share that is done and what is being done; false where the work must stop."""

Work = Callable[[Progress], Sequence[Path]]
"""Writes files and gives their paths."""


class Stopped(Exception):
    """The work was stopped before anything was written."""


class WritingPage(Page):
    """Does a piece of work that ends in files, and says where they are."""

    class Went(Message):
        """The work is so far."""

        def __init__(self, share: float, doing: str) -> None:
            super().__init__()
            self.share = share
            self.doing = doing

    class Ended(Message):
        """The work has ended: with files, or with why there are none."""

        def __init__(self, paths: Sequence[Path], why: str) -> None:
            super().__init__()
            self.paths = paths
            self.why = why

    def __init__(self, heading: str, work: Work) -> None:
        super().__init__()
        self._heading = heading
        self._work = work
        self.paths: Sequence[Path] = ()
        self.why = ""
        self.share = 0.0
        self.doing = ""
        self.running = False
        self._copied = False
        self._stop = Event()

    def on_mount(self) -> None:
        """Start."""
        self.start()

    def on_unmount(self) -> None:
        """Work that nobody waits for stops."""
        self._stop.set()

    def start(self) -> None:
        """Do the work from the beginning."""
        self.paths, self.why, self.share, self.doing = (), "", 0.0, ""
        self.running = True
        self._stop = Event()
        self.draw()
        stop = self._stop
        self.run_worker(lambda: self._write(stop), thread=True, exclusive=True, exit_on_error=False)

    def _write(self, stop: Event) -> None:
        told = 0.0

        def progress(share: float, doing: str) -> bool:
            nonlocal told
            if share >= told + SHARE:
                told = share
                self.post_message(self.Went(share, doing))
            return not stop.is_set()

        try:
            paths = self._work(progress)
        except Exception as error:
            why = "Stopped: nothing was written" if stop.is_set() else _sentence(error)
            self.post_message(self.Ended((), why))
            return
        self.post_message(self.Ended(paths, ""))

    @on(Went)
    def _went(self, event: Went) -> None:
        if self.running:
            self.share, self.doing = event.share, event.doing
            self.draw()

    @on(Ended)
    def _ended(self, event: Ended) -> None:
        self.running = False
        self.paths, self.why = event.paths, event.why
        self.draw()

    def leave(self) -> None:
        """Escape stops the work first; once more goes back."""
        if self.running:
            self._stop.set()
        else:
            self.dismiss(None)

    def pressed(self, key: str) -> None:
        """Enter tries again where it failed; c copies the line that fetches the files."""
        line = fetch_line(self.paths, os.environ)
        if key == "enter" and not self.running:
            if self.why:
                self.start()
            else:
                self.leave()
        elif key == "c" and line:
            self.app.copy_to_clipboard(line)
            self._copied = True
            self.draw()

    def keys_here(self) -> Sequence[tuple[str, str, str]]:
        """The key that copies, where there is something to copy."""
        fetches = fetch_line(self.paths, os.environ)
        return [("C", "copy the scp line", "c")] if fetches else []

    def heading(self) -> str:
        """As given."""
        return self._heading

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Progress, or the files, or why there are none."""
        if self.running:
            bar = max(width - 24, 10)
            done = round(bar * self.share)
            return [
                "",
                f" {'█' * done}{'·' * (bar - done)} {self.share * 100:.0f} %",
                "",
                cut(f" {self.doing or 'Writing'}", width),
                "",
                " Escape stops it. Earlier files stay as they are until the end.",
            ]
        if self.why:
            said = wrap(f"{self.why}. Enter tries again.", max(width - 2, 10))
            return ["", *(plain_line(f" {line}", "bold") for line in said)]
        many = f"{len(self.paths)} files" if len(self.paths) != 1 else "1 file"
        lines: list[str | Line] = ["", plain_line(f" Written: {many}", "bold"), ""]
        folder = None
        for path in sorted(self.paths, key=lambda path: str(path.parent)):
            if path.parent != folder:
                folder = path.parent
                lines += wrapped(f" in {visible(str(folder.absolute()))}", width)
            lines += wrapped(f"   {visible(path.name)}", width)
        fetch = fetch_line(self.paths, os.environ)
        if fetch:
            how = "copied" if self._copied else "C copies the line"
            lines += ["", cut(f" On your own machine, to fetch them ({how}):", width)]
            lines += wrapped(f"  {visible(fetch)}", width)
        return lines


def _sentence(error: Exception) -> str:
    """What went wrong, in one sentence."""
    from storage.errors import StoreError, TransferError

    if isinstance(error, OSError):
        place = f"{error.filename}: " if error.filename else ""
        return visible(f"Not written: {place}{error.strerror or error}")
    if isinstance(error, StoreError | TransferError | ValueError | ArithmeticError | LookupError):
        return visible(f"Not written: {error}".rstrip("."))
    return visible(f"Not written, a fault in Mainrun ({type(error).__name__}: {str(error)[:200]})")
