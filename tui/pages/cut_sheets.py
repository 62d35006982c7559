"""The sheets to cut: laid out off the event loop, drawn to scale, one at a time or all of them."""

from collections.abc import Callable, Sequence
from threading import Event
from typing import TYPE_CHECKING

from msgspec import Struct
from textual import on
from textual.message import Message

from domain.build.choices import Cutting
from domain.build.edits import Edit, EditRefused, SetField
from domain.build.records import Build
from domain.checks.cautions import CUTTING
from domain.topics.tables import Subject
from domain.units.show import format_quantity
from storage.errors import StoreError
from tui.dialogs.boxes import Ask
from tui.pages.long_work import SHARE
from tui.pages.page import Page, wrapped
from tui.pictures.cut_sheet import blank_lines, sheet_picture
from tui.report.cut_sheets import sheet_words
from tui.widgets.cell_text import cut
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench

if TYPE_CHECKING:
    from domain.fabrication.nesting.blanks import CutSheet
    from domain.fabrication.nesting.cut_sheets import SheetCutList

MOST_DRAWN = 100
"""Most layouts that are drawn, one under the other."""

_LEAST_PICTURE = 8
"""Lines of the picture of a sheet; where fewer are left, the page scrolls."""


class Layout(Struct, frozen=True):
    """One layout and how many sheets are cut so."""

    of: "SheetCutList"
    sheet: "CutSheet"
    times: int


class SheetsPage(Page):
    """The sheets of the whole build. They are laid out anew whenever the build changes.

    Unlike other long work it shows what it has meanwhile, and keeps it when it is stopped.
    """

    steps = "sheet"

    class Went(Message):
        """The layout is so far."""

        def __init__(self, build: Build, share: float) -> None:
            super().__init__()
            self.build = build
            self.share = share

    class Ended(Message):
        """The layout has ended."""

        def __init__(self, build: Build, lists: "tuple[SheetCutList, ...]", stopped: bool) -> None:
            super().__init__()
            self.build = build
            self.lists = lists
            self.stopped = stopped

    def __init__(
        self, bench: Workbench, changed: Callable[[], None], to_sizes: Callable[[], None]
    ) -> None:
        super().__init__()
        self.bench = bench
        self._changed = changed
        self._to_sizes = to_sizes
        self._build = bench.build
        self.lists: tuple[SheetCutList, ...] = ()
        self.place = 0
        self.all = False
        self.running = False
        self.share = 0.0
        self.notice = ""
        self._stop = Event()

    def on_mount(self) -> None:
        """Lay out."""
        self.start()

    def on_unmount(self) -> None:
        """A layout that nobody waits for stops."""
        self._stop.set()

    def start(self, notice: str = "") -> None:
        """Show the quick layout and begin the full one."""
        from domain.fabrication.nesting.cut_sheets import cut_lists

        self._stop.set()
        self._stop = stop = Event()
        self._build, parts = self.bench.build, self.bench.sheet.parts
        build = self._build
        self.lists = cut_lists(build, parts, quick=True)
        self.running, self.share, self.notice = True, 0.0, notice
        self.draw()
        said = 0.0

        def progress(done: int, total: int) -> None:
            nonlocal said
            if done / total >= said + SHARE:
                said = done / total
                self.post_message(self.Went(build, said))

        def work() -> None:
            lists = cut_lists(build, parts, progress=progress, cancelled=stop.is_set)
            self.post_message(self.Ended(build, lists, stop.is_set()))

        self.run_worker(work, thread=True, group="sheets", exit_on_error=False)

    @on(Went)
    def _went(self, event: Went) -> None:
        if self.running and event.build is self._build:
            self.share = event.share
            self.draw()

    @on(Ended)
    def _ended(self, event: Ended) -> None:
        if event.build is not self._build or not self.running:
            return
        self.running = False
        if event.stopped:
            self.notice = "Stopped: this is the best so far. Enter looks further"
        if not event.stopped or any(each.nest.sheets for each in event.lists):
            self.lists = event.lists
        self.draw()

    # What is shown

    def layouts(self) -> list[Layout]:
        """Every different layout, material by material."""
        from domain.fabrication.nesting.blanks import alike

        return [
            Layout(each, sheet, times)
            for each in self.lists
            for sheet, times in alike(each.nest.sheets)
        ]

    def heading(self) -> str:
        """How many sheets, and how they are cut."""
        from domain.fabrication.nesting.cut_sheets import kerf

        count = sum(n.count for each in self.lists for n in each.counts)
        build = self._build
        ids = [blank.id for each in self.lists for blank in each.blanks]
        lost = format_quantity("small_length", kerf(build, ids), build.header.units)
        what = "1 sheet" if count == 1 else f"{count} sheets"
        return f"Sheets to cut: {what}; {build.header.cutting.value}, kerf {lost}"

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Progress, the sheet at hand or all of them, and what they come to."""
        found = self.layouts()
        self.place = min(self.place, max(len(found) - 1, 0))
        lines: list[str | Line] = [self._state(width)]
        told = [part for text in self._words() for part in wrapped(text, width - 1)]
        if found:
            lines += wrapped(CUTTING, width - 1)
        if not found:
            nothing = "There is no sheet to cut: no part has a flat pattern that fits a sheet."
            return [*lines, *([] if told else [nothing]), *told]
        if self.all:
            each_high = max((height - 1) // 2 - 1, _LEAST_PICTURE)
            for number, layout in enumerate(found[:MOST_DRAWN], 1):
                lines += [*self._picture(layout, number, len(found), width, each_high), ""]
            if len(found) > MOST_DRAWN:
                lines.append(f"{len(found) - MOST_DRAWN} more are not drawn here")
            return [*lines, *told]
        layout = found[self.place]
        below = blank_lines(self._build, layout.sheet, width - 1)
        room = max(height - 1 - len(lines) - min(len(below), height // 4), _LEAST_PICTURE)
        lines += self._picture(layout, self.place + 1, len(found), width, room)
        return [*lines, *below, "", *told]

    def _state(self, width: int) -> Line:
        """The progress of the layout, or what was said last."""
        if self.running:
            bar = max(min(width - 52, 30), 8)
            done = round(bar * self.share)
            shown = f"{'█' * done}{'·' * (bar - done)} {self.share * 100:.0f} %"
            return plain_line(cut(f" {shown}  quick layout; looking for less. Esc stops", width))
        return plain_line(cut(f" {self.notice or 'No layout that takes less was found'}", width))

    def _picture(self, layout: Layout, number: int, of: int, width: int, room: int) -> list[Line]:
        build, each, sheet = self._build, layout.of, layout.sheet
        thick = each.stock or format_quantity("small_length", each.thickness_m, build.header.units)
        same = f", {layout.times} sheets alike" if layout.times > 1 else ""
        grain = _grain(each)
        waste = format_quantity("share", sheet.waste, build.header.units)
        title = (
            f" {number} of {of}: {each.material} {thick}, {sheet.size.name}{same}, "
            f"{waste} waste{grain}"
        )
        picture = sheet_picture(build, sheet, width - 2, room - 1)
        return [
            plain_line(cut(title, width), "bold"),
            *(plain_line(f" {line}") for line in picture),
        ]

    def _words(self) -> list[str]:
        """What all sheets come to, material by material, what is too large first."""
        subject = Subject(self._build, self.bench.sheet)
        words = [sheet_words(subject, each) for each in self.lists]
        large = [text for told in words for text in told if text.startswith("TOO LARGE")]
        rest = [text for told in words for text in told if text not in large]
        return [f" {text}" for text in (*large, *rest)]

    # Keys

    def keys_here(self) -> Sequence[tuple[str, str, str]]:
        """What may be chosen."""
        other = "router" if self._build.header.cutting is Cutting.SAW else "saw"
        return [
            ("A", "one" if self.all else "all", "a"),
            ("S", other, "s"),
            ("K", "kerf", "k"),
            ("Z", "sizes", "z"),
            ("^Z", "undo", "ctrl+z"),
        ]

    def step(self, by: int) -> None:
        """The next sheet."""
        count = len(self.layouts())
        if count:
            self.all = False
            self.place = (self.place + by) % count
            self.scroll(-9999)
            self.draw()

    def leave(self) -> None:
        """Escape stops the layout first; once more goes back."""
        if self.running:
            self._stop.set()
        else:
            self.dismiss(None)

    def pressed(self, key: str) -> None:
        """One or all, saw or router, kerf, sizes; undo and redo; enter looks again."""
        if key == "a":
            self.all = not self.all
            self.scroll(-9999)
            self.draw()
        elif key == "s":
            saw = self._build.header.cutting is Cutting.SAW
            self._set("cutting", (Cutting.ROUTER if saw else Cutting.SAW).value)
        elif key == "k":
            self._ask_kerf()
        elif key == "z":
            self._stop.set()
            self.dismiss(None)
            self._to_sizes()
        elif key in ("ctrl+z", "ctrl+y"):
            self._make(self.bench.undo if key == "ctrl+z" else self.bench.redo)
        elif key == "enter" and not self.running:
            self.start()

    def _ask_kerf(self) -> None:
        from domain.build.fields import parse_field, show_field
        from domain.units.parse import UnitError

        build = self.bench.build
        now = show_field(build, "header", build.header, "kerf_m")

        def wrong(text: str) -> str:
            try:
                parse_field(build, "header", "kerf_m", text)
            except UnitError as error:
                return str(error)
            return ""

        def typed(text: str | None) -> None:
            if text is not None:
                self._set("kerf_m", parse_field(build, "header", "kerf_m", text))

        asked = "Kerf between two blanks; auto: as wide as the tool"
        self.app.push_screen(Ask(asked, now, wrong), typed)

    def _set(self, field: str, value: str | float | None) -> None:
        if getattr(self.bench.build.header, field) == value:
            return
        edit: Edit = SetField(table="header", field=field, value=value)

        def make() -> bool:
            self.bench.do(edit)
            return True

        self._make(make)

    def _make(self, change: Callable[[], bool]) -> None:
        try:
            done = change()
        except (EditRefused, StoreError) as error:
            self.notice = f"! Not done: {error}"
            self.draw()
            return
        if done:
            self._changed()
            self.start()


def _grain(each: "SheetCutList") -> str:
    return f", {each.grain_name} ->" if each.grain_name else ""
