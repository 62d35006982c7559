"""Files being written: off the event loop, with progress and a stop, and then where they are."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path

from domain.visible_text import visible
from tui.pages.long_work import LongWork, Progress
from tui.pages.page import wrapped
from tui.pages.remote import fetch_line
from tui.widgets.cell_text import cut, wrap
from tui.widgets.line_view import Line, plain_line

Work = Callable[[Progress], Sequence[Path]]
"""Writes files and gives their paths; raises ``Stopped`` where nothing was written."""


class WritingPage(LongWork[Sequence[Path]]):
    """Does a piece of work that ends in files, and says where they are."""

    def __init__(self, heading: str, work: Work) -> None:
        super().__init__()
        self._heading = heading
        self._work = work
        self._copied = False

    @property
    def paths(self) -> Sequence[Path]:
        """What was written."""
        return self.found or ()

    def work(self, progress: Progress) -> Sequence[Path]:
        """As given."""
        return self._work(progress)

    def failed(self, error: Exception) -> str:
        """What went wrong."""
        return _sentence(error)

    def stopped(self) -> str:
        """That nothing was written."""
        return "Stopped: nothing was written"

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
            earlier = "Escape stops it. Earlier files stay as they are until the end."
            return self.bar(width, self.doing or "Writing", "", earlier)
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
    if isinstance(error, ImportError):
        # Loaded only now, from files that do not fit what has been running since before.
        return visible(f"Not written: Mainrun was changed while it ran; start it anew ({error})")
    return visible(f"Not written, a fault in Mainrun ({type(error).__name__}: {str(error)[:200]})")
