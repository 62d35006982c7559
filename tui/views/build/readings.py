"""The page of readings: what the meter should show and does show, and which joints explain it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from textual.widget import Widget

from domain.build.records import Build
from domain.checks.cautions import FULL_POWER_SHORT
from domain.document.records import label
from tui.actions import Action
from tui.grids.shown_table import ShownTable
from tui.grids.view import SpecialTables
from tui.tables.columns import Column
from tui.views.build.build_view import BuildView
from tui.widgets.cell_text import cut, wrap
from tui.widgets.line_view import LineView, plain_line

if TYPE_CHECKING:
    from domain.plan import Plan

MOST_SUSPECT_LINES = 6
FEW_SUSPECT_LINES = 3
"""Lines above the caution; few on a narrow screen, where they take rows from the readings."""

Suspects = Sequence[tuple[str, str]]
"""Joints that may explain bad readings: what is wrong where, and what to do."""


class ReadingsTable(ShownTable):
    """Readings: there is a row wherever one can be taken."""

    view: "ReadingsView"

    def caption(self) -> str:
        """Of which state they are."""
        state = self.view.bench.sheet.state(self.view.mode)
        return f"Readings: {state.title if state else 'all conditions'} (alt+n: next condition)"

    def remove(self) -> None:
        """Forget what was read: the row stays."""
        self.screen.editing.give_back()


class ReadingsView(BuildView):
    """Readings of one state or of all, with what they say below them."""

    id = "readings"
    title = "Readings"
    key = "f7"
    short_title = "Read"
    actions: ClassVar[tuple[Action["ReadingsView"], ...]] = (
        Action(
            "one_state",
            "Readings of the next condition",
            "show the readings of the next condition of engine and music, or of all",
            ("alt+n",),
            lambda view: view.show_next_state(),
            elsewhere="This belongs to the readings (F7)",
        ),
    )
    special_tables: ClassVar[SpecialTables] = {"readings": ReadingsTable}
    mode = ""
    """The state whose readings are shown; empty: of all states."""
    verdict = ""
    """What the readings say, in a sentence."""
    suspects: Suspects = ()
    _diagnosed: Build | None = None

    def below(self) -> Sequence[Widget]:
        """The suspects."""
        return [LineView(id="suspects")]

    def narrowed_to(self) -> str:
        """The state."""
        return self.mode

    def before_first_visit(self) -> None:
        """The state of the last reading is shown first, else the first of all."""
        modes = self._modes()
        read = [reading.mode.value for reading in self.bench.build.readings]
        self.mode = next((mode for mode in (*read[::-1], *modes) if mode in modes), "")

    def after_first_visit(self) -> None:
        """To the first reading."""
        grid = self.screen.grid
        grid.go(grid.row_id, "value_v")
        self.screen.describe_cell()

    def show_next_state(self) -> None:
        """The readings of the next state, then those of all."""
        modes = ["", *self._modes()]
        place = modes.index(self.mode) if self.mode in modes else 0
        self.mode = modes[(place + 1) % len(modes)]
        self.screen.show_grids()
        self.screen.focus_grid(self.screen.grid)

    def _modes(self) -> list[str]:
        from tui.tables.readings import modes_of

        return [mode.value for mode in modes_of(self.bench.build, self.bench.sheet)]

    def workings(self, column: Column, record: Any) -> tuple[str, list[str]]:
        """How the predicted reading came about."""
        from tui.tables.workings import reading_lines

        build, sheet = self.bench.build, self.bench.sheet
        return label(build, record.at), reading_lines(build, sheet, record)

    # What they say

    def look(self) -> None:
        """Every suspect, and what to do about it."""
        from tui.pages.page import TextPage

        lines = [self.verdict or "Nothing that counts is read yet."]
        for place, (what, do) in enumerate(self.suspects, 1):
            lines += ["", f"{place}. {what}", f"   Do: {do}"]
        self.screen.app.push_screen(TextPage("What the readings say", lines))

    def filled(self) -> None:
        """What the readings say is found beside the event loop, once for each build."""
        from tui.tables.readings import reading_rows

        plan, build = self.bench.plan, self.bench.build
        if self._diagnosed is build:
            return
        self._diagnosed = build
        rows = reading_rows(build, plan.sheet)
        if not any(row.judged and row.judged.ok is not None for row in rows):
            self._show(build, "", [])
            return
        screen = self.screen
        screen.run_worker(
            lambda: screen.call_later(self._show, build, *diagnosed(plan)),
            thread=True,
            group="diagnosis",
            exit_on_error=False,
        )

    def _show(self, build: Build, verdict: str, suspects: Suspects) -> None:
        if build is self.bench.build:
            self.verdict, self.suspects = verdict, suspects
            self.show_suspects()

    def show_suspects(self) -> None:
        """The verdict with the likeliest joints, below the readings."""
        view = self.screen.query_one("#suspects", LineView)
        width = max(view.size.width or self.screen.size.width, 20)
        narrow = self.screen.has_class("-narrow")
        height = FEW_SUSPECT_LINES if narrow else MOST_SUSPECT_LINES
        text = self.verdict or "Type what the meter shows; alt+n: the next condition."
        texts = wrap(text, width)[:3]
        room = height - len(texts)
        if self.suspects:
            do = wrap(f"Do: {self.suspects[0][1]} (ctrl+t: all of it)", width)
            names = [f"{n}. {what}" for n, (what, _) in enumerate(self.suspects, 1)]
            names = names[: max(room - len(do), 1)]
            texts += names
            if room - len(names) < len(do):
                do = ["ctrl+t: every suspect, and what to do"]
            texts += do[: room - len(names)]
        texts += wrap(f"CAUTION: {FULL_POWER_SHORT}", width)
        view.styles.height = len(texts)
        bold = len(wrap(text, width)[:3])
        view.show(
            [plain_line(cut(t, width), "bold" if i < bold else "") for i, t in enumerate(texts)]
        )


def diagnosed(plan: "Plan") -> tuple[str, Suspects]:
    """What the readings say: verdict, and the joints that may be bad."""
    from domain.electrical.meter.diagnosis import suspects, verdict
    from domain.electrical.meter.readings import judged
    from domain.topics.readings import suspect_said
    from domain.topics.tables import Subject

    build = plan.build
    readings = judged(build, plan.sheet)
    found = suspects(plan.solved.wired, readings)
    subject = Subject(build, plan.sheet)
    likely = [(suspect_said(subject, each), each.what_to_do) for each in found]
    return verdict(build, readings, found), likely
