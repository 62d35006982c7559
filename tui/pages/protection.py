"""Does the fuse save the wire? Verdict, figures and chart of one fuse after the other."""

from collections.abc import Sequence
from typing import ClassVar

from domain.build.choices import FuseFamily
from domain.document.records import label
from domain.sheet import FuseStudy
from domain.topics.fuse_study import figures, verdict
from domain.topics.shower import shower
from domain.topics.tables import Subject
from tui.pages.page import Page, TextPage
from tui.pictures.charts import protection_chart
from tui.tables.workings import STUDY, working_lines
from tui.widgets.cell_text import left, wrap
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench

LEAST_CHART = 14
"""Lines for the chart; where fewer are left, the page scrolls."""


class ProtectionPage(Page):
    """The protection study of the fuses of a build."""

    steps = "fuse"
    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (("^W", "how", "ctrl+w"),)

    def __init__(self, bench: Workbench, run: str) -> None:
        super().__init__()
        self.bench = bench
        self.run_id = run

    def heading(self) -> str:
        """Which fuse, and how many there are."""
        studies = self.bench.sheet.studies
        study = self.study()
        place = studies.index(study) + 1
        name = label(self.bench.build, study.id)
        rating = shower(self.bench.build)("current", study.rating_a)
        return f"Protection: {name}, {rating} {study.family} ({place} of {len(studies)})"

    def study(self) -> FuseStudy:
        """The study at hand."""
        found = self.bench.sheet.study(self.run_id)
        return found if found is not None else self.bench.sheet.studies[0]

    def step(self, by: int) -> None:
        """The next fuse."""
        studies = self.bench.sheet.studies
        place = (studies.index(self.study()) + by) % len(studies)
        self.run_id = studies[place].id
        self.draw()

    def pressed(self, key: str) -> None:
        """Workings of the study's figures."""
        if key == "ctrl+w":
            from domain.workings.working import Figure

            study = self.study()
            named = [Figure("fuse_study", study.id, field) for field in STUDY]
            lines = working_lines(self.bench.plan, named)
            self.app.push_screen(TextPage(f"How it is calculated: {self.heading()}", lines))

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Verdict, figures, chart."""
        study = self.study()
        subject = Subject(self.bench.build, self.bench.sheet)
        lines: list[str | Line] = [
            plain_line(text, "bold") for text in wrap(verdict(subject, study), width - 1)
        ]
        lines += figure_lines(subject, study, width)
        return [*lines, *self._chart(study, width, max(height - len(lines), LEAST_CHART))]

    def _chart(self, study: FuseStudy, width: int, height: int) -> list[str]:
        from domain.electrical.protection import coordination

        build = self.bench.build
        sized, items = self.bench.plan.solved.sized, self.bench.plan.solved.items
        points, _ = coordination.window_of(build, FuseFamily(study.family), study.rating_a)
        wires = {id: coordination.wire(items[id], sized.gauge[id]) for id in study.guarded}
        return protection_chart(study, points, wires, width - 1, height)


def figure_lines(subject: Subject, study: FuseStudy, width: int) -> list[str]:
    """The study's figures, two on a line; the words at their end have a line each."""
    said = [
        f"{fact.title}: {subject.show(fact.kind, fact.value)} {fact.note}".rstrip()
        for fact in figures(subject, study)
    ]
    half = (width - 2) // 2
    pairs = [left(text, half) for text in said[:-2]]
    lines = [f"{a} {b}".rstrip() for a, b in zip(pairs[::2], pairs[1::2], strict=True)]
    return [*lines, *said[-2:]]
