"""The kick drum: do the lamps dim, and what helps; worked out off the event loop, then drawn."""

from collections.abc import Sequence
from typing import ClassVar

from domain.electrical.transient.results import Condition, KickStudy
from domain.topics.kick.answer import ENGINES, PREMISES
from domain.topics.kick.tried import TRIED
from domain.topics.tables import Subject
from tui.pages.long_work import LongWork, Progress, Stopped
from tui.pages.page import TextPage
from tui.pictures.charts import kick_chart
from tui.report.kick import told, tried
from tui.widgets.cell_text import wrap
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench

LEAST_CHART = 22
"""Lines for the chart; where fewer are left, the page scrolls."""


class KickPage(LongWork[KickStudy]):
    """What the bass drum does to headlamps and amplifiers, with the engine in each condition."""

    steps = "condition"
    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (
        ("^W", "how", "ctrl+w"),
        ("m", "your own music", "m"),
    )

    def __init__(self, bench: Workbench) -> None:
        super().__init__()
        self.bench = bench
        self.place = 0

    def work(self, progress: Progress) -> KickStudy:
        """The study of the build as it stands."""
        from domain.electrical.transient.integrate import Cancelled
        from domain.electrical.transient.study import kick_study

        try:
            found = kick_study(self.bench.plan.solved, lambda share: progress(share, ""))
        except Cancelled as error:
            raise Stopped from error
        if found is None:
            raise LookupError("no battery feeds an amplifier yet")
        return found

    def failed(self, error: Exception) -> str:
        """Why there is nothing to show."""
        return f"The kick drum cannot be followed: {error}"

    def pressed(self, key: str) -> None:
        """Enter does it again; m judges a piece of music; ctrl+w shows how the dip comes about."""
        if key == "enter" and not self.running:
            self.start()
        elif key == "m" and not self.running:
            from tui.pages.music import ask_for_music

            ask_for_music(self.app, self.bench)
        elif key == "ctrl+w" and self.found is not None and self.found.conditions:
            from domain.workings.electrical.kick import first_moment, on_the_edge
            from domain.workings.registry import text

            condition = self._condition(self.found)
            solved = self.bench.plan.solved
            lines = [
                *text(first_moment(solved, condition.engine)),
                "",
                *text(on_the_edge(solved, self.found.amplifier)),
            ]
            self.app.push_screen(TextPage("How it is calculated: kick drum", lines))

    def step(self, by: int) -> None:
        """The next condition of the engine."""
        if self.found is not None and self.found.conditions:
            self.place = (self.place + by) % len(self.found.conditions)
            self.draw()

    def _condition(self, study: KickStudy) -> Condition:
        return study.conditions[self.place % len(study.conditions)]

    def heading(self) -> str:
        """Which amplifiers play, and the condition that is drawn."""
        if self.found is None or not self.found.conditions:
            return "Kick drum"
        subject, study = self._subject, self.found
        condition = self._condition(study)
        at = f"{self.place % len(study.conditions) + 1} of {len(study.conditions)}"
        names = subject.names(study.amplifiers)
        return f"Kick drum: {names}, {subject.show('power', study.hit_w)} drawn in a hit, " + (
            f"{ENGINES[condition.engine]} ({at})"
        )

    @property
    def _subject(self) -> Subject:
        return Subject(self.bench.build, self.bench.sheet)

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Progress, or the answer, what was tried, the picture and what is taken for granted."""
        if self.running:
            return self.bar(width, "Following the kick drum. Escape stops it.")
        if self.found is None:
            return ["", *wrap(f"{self.why}. Enter tries again.", width - 2, " ", " ")]
        subject, study = self._subject, self.found
        if not study.conditions:
            return [plain_line(line, "bold") for line in told(subject, study, width - 1)]
        condition = self._condition(study)
        said = told(subject, study.only(condition), width - 1)
        lines: list[str | Line] = [plain_line(line, "bold") for line in said]
        lines += ["", *tried(subject, condition, width - 1), ""]
        lines += kick_chart(condition, width - 1, max(height - len(lines), LEAST_CHART))
        lines.append("")
        for premise in (*PREMISES, TRIED.legend):
            lines += wrap(premise, width - 1)
        return lines
