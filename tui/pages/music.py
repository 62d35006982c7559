"""A customer's music on the build: read off the event loop, judged, and taken as its average."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from domain.build.edits import EditRefused
from domain.topics.kick.song import PREMISES, level_edit, noted, percent
from domain.topics.tables import Subject
from storage.errors import StoreError, TransferError
from tui.dialogs.boxes import Ask
from tui.pages.long_work import LongWork, Progress, Stopped
from tui.widgets.cell_text import wrap
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench

if TYPE_CHECKING:
    from textual.app import App

    from storage.music import JudgedMusic


class MusicPage(LongWork["JudgedMusic"]):
    """How loud a piece of music is on average, and what its hardest second does."""

    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (
        ("a", "plan with its average", "a"),
        ("m", "another piece", "m"),
    )

    def __init__(self, bench: Workbench, path: Path) -> None:
        super().__init__()
        self.bench = bench
        self.path = path
        self.notice = ""

    def work(self, progress: Progress) -> "JudgedMusic":
        """Read it and follow it through the build as it stands."""
        from storage import music

        try:
            return music.judged_music(self.path, self.bench.plan, progress=progress)
        except music.Stopped as error:
            raise Stopped from error

    def failed(self, error: Exception) -> str:
        """Why there is nothing to show."""
        if isinstance(error, TransferError):
            return str(error)
        return f"The music cannot be judged: {error}"

    def pressed(self, key: str) -> None:
        """Take its average, choose another piece, or read it again."""
        if key == "m" and not self.running:
            ask_for_music(self.app, self.bench, self._another)
        elif key == "a" and self.found is not None:
            self._take(self.found)
        elif key in ("ctrl+z", "ctrl+y") and not self.running:
            self._turn(key == "ctrl+z")
        elif key == "enter" and not self.running:
            self.start()

    def _another(self, path: Path) -> None:
        self.path, self.notice = path, ""
        self.start()

    def _take(self, music: "JudgedMusic") -> None:
        """Plan the build with the average of the music, as one edit."""
        try:
            subject = Subject(self.bench.build, self.bench.sheet)
            self.bench.do(level_edit(music.study, noted(subject, music.study, music.file)))
        except (EditRefused, StoreError, ValueError) as error:
            self.notice = f"! Not taken: {error}"
        else:
            level = percent(subject, round(music.study.average, 3))
            self.notice = f"The build is planned with {level} on average now. ^Z takes it back."
        self.draw()

    def _turn(self, back: bool) -> None:
        try:
            done = self.bench.undo() if back else self.bench.redo()
        except (EditRefused, StoreError) as error:
            self.notice = f"! Not done: {error}"
        else:
            self.notice = ("Undone." if back else "Done again.") if done else "There is no more."
        self.draw()

    def heading(self) -> str:
        """Which piece."""
        return f"Music: {self.path.name}"

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Progress, or what was found of the piece."""
        from tui.report.music import tables, told

        if self.running:
            return self.bar(width, f"{self.doing or 'Reading'}. Escape stops it.")
        if self.found is None:
            why = f"{self.why}. Enter tries again, m takes another piece; nothing was changed."
            return ["", *wrap(why, width - 2, " ", " ")]
        subject = Subject(self.bench.build, self.bench.sheet)
        lines: list[str | Line] = []
        if self.notice:
            lines += [plain_line(line, "bold") for line in wrap(self.notice, width - 1)]
            lines.append("")
        lines += told(subject, self.found, width - 1)
        lines += ["", *tables(subject, self.found, width - 1), ""]
        for said in PREMISES:
            lines += wrap(said, width - 1)
        return lines


def ask_for_music(
    app: "App[object]", bench: Workbench, then: Callable[[Path], None] | None = None
) -> None:
    """Ask for a file of music, and show what it does; ``then`` takes its path instead."""

    def typed(text: str | None) -> None:
        if text is None or not text.strip():
            return
        path = Path(text.strip()).expanduser()
        if then is not None:
            then(path)
        else:
            app.push_screen(MusicPage(bench, path))

    app.push_screen(Ask("Music to judge: a WAV or FLAC file", f"{Path.cwd()}/"), typed)
