"""Does the fuse save the wire? Verdict, figures and chart of one fuse after the other."""

from collections.abc import Sequence
from typing import ClassVar

from domain.build.choices import FuseFamily
from domain.build.records import label
from domain.sheet import FuseStudy
from domain.topics.shower import shower
from domain.units.show import format_quantity
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
    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (("^W", "workings", "ctrl+w"),)

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
            figures = [Figure("fuse_study", study.id, field) for field in STUDY]
            lines = working_lines(self.bench.plan, figures)
            self.app.push_screen(TextPage(f"Workings of the {self.heading()}", lines))

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Verdict, figures, chart."""
        study = self.study()
        lines: list[str | Line] = [
            plain_line(text, "bold") for text in wrap(verdict(self.bench, study), width - 1)
        ]
        lines += figure_lines(self.bench, study, width)
        return [*lines, *self._chart(study, width, max(height - len(lines), LEAST_CHART))]

    def _chart(self, study: FuseStudy, width: int, height: int) -> list[str]:
        from domain.electrical.protection import coordination

        build = self.bench.build
        sized, items = self.bench.plan.solved.sized, self.bench.plan.solved.items
        points, _ = coordination.window_of(build, FuseFamily(study.family), study.rating_a)
        wires = {id: coordination.wire(items[id], sized.gauge[id]) for id in study.guarded}
        return protection_chart(study, points, wires, width - 1, height)


def verdict(bench: Workbench, study: FuseStudy) -> str:
    """What the study says, in a sentence that begins with the answer."""
    wire, show = label(bench.build, study.weakest), shower(bench.build)
    if study.must_open_a is None:
        return "NOT KNOWN: the points entered for this fuse give no current at which it must open."
    if not study.opens:
        return (
            f"DOES NOT OPEN: a short at the far end gives {show('current', study.fault_far_a)}, "
            f"and it "
            f"must open only from {show('current', study.must_open_a)}."
        )
    if not study.protects:
        return (
            f"DOES NOT PROTECT: at {show('current', study.margin_at_a)} the wire of {wire} is "
            f"hurt before "
            "the fuse must have opened."
        )
    if not study.breaks:
        return (
            "PROTECTS THE WIRE, BUT MAY NOT BREAK THE FAULT: a short right behind it gives "
            f"{show('current', study.fault_near_a)}, it breaks {show('current', study.breaking_a)}."
        )
    return "PROTECTS: at every fault it opens before any wire that it guards is hurt."


def figure_lines(bench: Workbench, study: FuseStudy, width: int) -> list[str]:
    """The study's figures, two on a line."""
    build, show = bench.build, shower(bench.build)
    margin = "wire is never hurt" if study.margin is None else f"{show('margin', study.margin)} x"
    if study.margin is not None:
        margin += f" at {show('current', study.margin_at_a)}"
    selective = "no fuse ahead of it"
    if study.upstream:
        ahead = label(build, study.upstream)
        selective = f"{'opens before' if study.selective else 'may open together with'} {ahead}"
    shown = [
        ("fault at far end", show("current", study.fault_far_a)),
        ("fault right behind it", show("current", study.fault_near_a)),
        ("must open from", show("current", study.must_open_a)),
        ("breaking capacity", _breaking(bench, study)),
        ("opens within", f"{_time(bench, study.opens_far_s)} at far fault"),
        ("wire stands", f"{_time(bench, study.stands_far_s)} at far fault"),
        ("least margin", margin),
        ("weakest wire", label(build, study.weakest)),
    ]
    half = (width - 2) // 2
    cells = [left(f"{name}: {value}", half) for name, value in shown]
    lines = [f"{a} {b}".rstrip() for a, b in zip(cells[::2], cells[1::2], strict=True)]
    return [*lines, f"selective: {selective}", f"curve used: {study.curve}"]


def _time(bench: Workbench, time_s: float | None) -> str:
    return format_quantity("duration", time_s, bench.build.header.units, "never")


def _breaking(bench: Workbench, study: FuseStudy) -> str:
    show = shower(bench.build)
    return f"{show('current', study.breaking_a)} {'is enough' if study.breaks else 'IS TOO LITTLE'}"
