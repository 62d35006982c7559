"""What is looked at more closely: pictures, workings, mounting spots, readings and suspects."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual import on
from textual.message import Message

from domain.build import actions
from domain.build.edits import EditRefused
from domain.build.records import Build, Part, Run, Spot
from domain.document.records import find, label
from tui.pages.page import Page, TextPage
from tui.tables.readings import ReadingRow, modes_of, reading_rows
from tui.tables.workings import (
    STRENGTH,
    SUPPLY,
    figures_behind,
    reading_lines,
    strength_lines,
    working_lines,
)
from tui.views.rows import RowActions
from tui.widgets.cell_text import cut, wrap
from tui.widgets.grid import Grid
from tui.widgets.line_view import LineView, plain_line

if TYPE_CHECKING:
    from domain.plan import Plan

MOST_SUSPECT_LINES = 7


class StudyActions(RowActions):
    """The closer looks of the build screen."""

    class Diagnosed(Message):
        """What the readings of a build say, found off the event loop."""

        def __init__(self, build: Build, verdict: str, suspects: Sequence[tuple[str, str]]) -> None:
            super().__init__()
            self.build = build
            self.verdict = verdict
            self.suspects = suspects

    verdict = ""
    """What the readings say, in a sentence."""
    suspects: Sequence[tuple[str, str]] = ()
    """Joints that may explain bad readings: what is wrong where, and what to do."""
    _diagnosed: Build | None = None

    # Pictures

    def action_look(self) -> None:
        """The picture that belongs to the table with the cursor."""
        if self.view == "parts":
            self.look_at_part()
        elif self.view == "battery":
            from tui.pages.drive import DrivePage

            self.app.push_screen(DrivePage(self.workbench))
        elif self.view == "distribution":
            self._look_at_fuse()
        elif self.view == "readings":
            self._look_at_suspects()
        else:
            self._look_at_drop()

    def look_at_part(self) -> None:
        """The picture of a custom part."""

    def _look_at_fuse(self) -> None:
        sheet = self.workbench.sheet
        if not sheet.studies:
            self.say("There is no fuse to study yet: give a run a fuse (space on its Fuse cell)")
            return
        record = find(self.workbench.build, self.grid.row_id) if self.grid.row_id else None
        run = record.run if isinstance(record, Spot) else self.grid.row_id
        found = sheet.study(run)
        if found is None and isinstance(record, Run):
            result = sheet.run(run)
            if result is None or not result.protected_a:
                self.say(f"{label(self.workbench.build, run)} has no fuse of its own to study")
                return
            found = next((s for s in sheet.studies if run in s.guarded), None)
        from tui.pages.protection import ProtectionPage

        self.app.push_screen(ProtectionPage(self.workbench, (found or sheet.studies[0]).id))

    def _look_at_drop(self) -> None:
        sheet = self.workbench.sheet
        amplifiers = [load.id for load in sheet.amplifiers]
        if not amplifiers:
            self.say("There is no amplifier yet, so no drop to draw")
            return
        here = self.grid.row_id
        if here not in amplifiers:
            using = (load.id for load in sheet.amplifiers if here in load.return_runs)
            through = next((g.amplifiers for g in sheet.grounds if g.id == here), ())
            here = next(iter((*using, *through, *amplifiers)))
        from tui.pages.drop import DropPage

        self.app.push_screen(DropPage(self.workbench, here))

    def _look_at_suspects(self) -> None:
        lines = [self.verdict or "Nothing that counts is read yet."]
        for place, (what, do) in enumerate(self.suspects, 1):
            lines += ["", f"{place}. {what}", f"   Do: {do}"]
        self.app.push_screen(TextPage("What the readings say", lines))

    # Workings

    def action_workings(self) -> None:
        """Workings of the figure under the cursor, or of the pane where it is in full."""
        if self.has_class("full"):
            self.show_workings_of(" ".join(SUPPLY))
            return
        cell = self.editing.cell()
        if cell is None:
            self.describe_cell()
            return
        column, record = cell
        bench = self.workbench
        if isinstance(record, ReadingRow):
            name, lines = label(bench.build, record.at), self._reading_workings(record)
        elif isinstance(record, Part) and column.field in STRENGTH:
            name, lines = (
                label(bench.build, record.id),
                strength_lines(bench.build, bench.sheet, record),
            )
        else:
            name = label(bench.build, record.id) if hasattr(record, "id") else ""
            lines = working_lines(self.plan_shown(), figures_behind(column, record))
            lines = self._why_size(column.field, record) + lines if lines else lines
        title = column.title.lstrip("·")
        if not lines:
            entered = "was entered: it follows from nothing else"
            self.say(f"{title} {entered if column.editable else 'has no working of its own'}")
            return
        self._open(TextPage(f"Workings of {title}: {name}", lines))

    def plan_shown(self) -> "Plan":
        """The plan whose results the tables show."""
        return self.workbench.plan

    def _reading_workings(self, row: ReadingRow) -> list[str]:
        return reading_lines(self.workbench.build, self.workbench.sheet, row)

    def _why_size(self, field: str, record: object) -> list[str]:
        """Why the engine took this gauge, before the figures that it rests on."""
        run = self.workbench.sheet.run(getattr(record, "id", ""))
        if field != "gauge" or run is None:
            return []
        return [
            f"Gauge {run.gauge}: {run.gauge_why}" if run.gauge_why else f"Gauge {run.gauge}",
            "",
        ]

    def show_workings_of(self, fields: str) -> None:
        """The workings of supply figures, named by their fields."""
        from domain.workings.working import Figure

        bench = self.workbench
        figures = [Figure("supply", "", field) for field in fields.split()]
        lines = working_lines(bench.plan, figures)
        if lines:
            self._open(TextPage("Workings of the supply", lines))

    def _open(self, page: Page) -> None:
        self.app.push_screen(page)

    # Mounting spots

    def action_use_spot(self) -> None:
        """Put the fuse at the spot under the cursor."""
        id = self.grid.row_id
        if self.grid.spec.table != "spots" or not id:
            self.say("Go to a mounting spot first: they stand below the runs (F4, and F4 again)")
            return
        try:
            edit = actions.choose_spot(self.workbench.build, id)
        except EditRefused as error:
            self.say(f"Not done: {error}", bad=True)
            return
        if self.commit(edit):
            self.say(f"Done: {edit.label}. ctrl+z takes it back")

    # Readings

    def action_one_state(self) -> None:
        """The readings of the next state, then those of all."""
        if self.view != "readings":
            self.say("This belongs to the readings (F7)")
            return
        bench = self.workbench
        modes = ["", *(mode.value for mode in modes_of(bench.build, bench.sheet))]
        place = modes.index(self.mode) if self.mode in modes else 0
        self.mode = modes[(place + 1) % len(modes)]
        self.show_grids()
        self.focus_grid(self.grid)

    def first_mode(self) -> str:
        """The state whose readings are shown first: that of the last reading, else the first."""
        bench = self.workbench
        modes = [mode.value for mode in modes_of(bench.build, bench.sheet)]
        read = [reading.mode.value for reading in bench.build.readings]
        return next((mode for mode in (*read[::-1], *modes) if mode in modes), "")

    def caption(self, grid: Grid) -> str:
        """The readings say of which state they are."""
        if grid.spec.id != "readings":
            return grid.spec.caption
        state = self.workbench.sheet.state(self.mode)
        return f"Readings: {state.title if state else 'all states'} (ctrl+f: next state)"

    def show_grids(self) -> None:
        """Fill the tables; what the readings say follows."""
        super().show_grids()
        if self.view == "readings":
            self._diagnose()

    def _diagnose(self) -> None:
        bench = self.workbench
        if self._diagnosed is bench.build:
            return
        self._diagnosed = build = bench.build
        plan = bench.plan
        rows = reading_rows(build, plan.sheet)
        if not any(row.judged and row.judged.ok is not None for row in rows):
            self._told(self.Diagnosed(build, "", []))
            return
        self.run_worker(
            lambda: self.post_message(diagnosed(plan)),
            thread=True,
            group="diagnosis",
            exit_on_error=False,
        )

    @on(Diagnosed)
    def _told(self, event: Diagnosed) -> None:
        if event.build is not self.workbench.build:
            return
        self.verdict, self.suspects = event.verdict, event.suspects
        self.show_suspects()

    def show_suspects(self) -> None:
        """The verdict with the likeliest joints, below the readings."""
        view = self.query_one("#suspects", LineView)
        width = max(view.size.width or self.size.width, 20)
        height = view.size.height or MOST_SUSPECT_LINES
        text = self.verdict or "Type what the meter shows; ctrl+f goes on to the next state."
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
        bold = len(wrap(text, width)[:3])
        view.show(
            [plain_line(cut(t, width), "bold" if i < bold else "") for i, t in enumerate(texts)]
        )


def diagnosed(plan: "Plan") -> StudyActions.Diagnosed:
    """What the readings say: verdict, and the joints that may be bad."""
    from domain.electrical.meter.diagnosis import suspects, verdict
    from domain.electrical.meter.readings import judged
    from domain.topics.readings import suspect_said
    from domain.topics.tables import Subject

    build = plan.build
    readings = judged(build, plan.sheet)
    found = suspects(plan.solved.wired, readings)
    subject = Subject(build, plan.sheet)
    told = [(suspect_said(subject, each), each.what_to_do) for each in found]
    return StudyActions.Diagnosed(build, verdict(build, readings, found), told)
