"""The drive profile, driven: simulated off the event loop, with progress, and then drawn."""

from collections.abc import Sequence
from typing import ClassVar

from domain.sheet import DriveResult
from domain.topics.drive import BALANCES, balances, lowest, should_stop, switched_off
from domain.topics.tables import Subject
from tui.pages.long_work import LongWork, Progress, Stopped
from tui.pages.page import TextPage
from tui.pictures.charts import drive_chart
from tui.widgets.cell_text import cut
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench


class DrivePage(LongWork[DriveResult]):
    """Simulates the build's drive profile and shows what becomes of voltage and charge."""

    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (("^W", "how", "ctrl+w"),)

    def __init__(self, bench: Workbench) -> None:
        super().__init__()
        self.bench = bench

    def work(self, progress: Progress) -> DriveResult:
        """Simulate from the beginning."""
        from domain.electrical.drive import Cancelled, simulate

        try:
            return simulate(self.bench.plan.solved.wired, lambda share: progress(share, ""))
        except Cancelled as error:
            raise Stopped from error

    def failed(self, error: Exception) -> str:
        """Why it cannot be driven."""
        return f"It cannot be driven: {error}"

    def pressed(self, key: str) -> None:
        """Enter drives again; ctrl+w shows where post voltage and charge at the end are from."""
        if key == "enter" and not self.running:
            self.start()
        elif key == "ctrl+w" and self.found is not None and self.found.points:
            self.app.push_screen(TextPage("How it is calculated: trip", self._workings(self.found)))

    def _workings(self, result: DriveResult) -> list[str]:
        from domain.workings.electrical.drive import charge, voltage
        from domain.workings.registry import text

        build, last = self.bench.build, len(result.points) - 1
        lowest = min(range(last + 1), key=lambda i: result.points[i].post_v)
        if not build.batteries:
            return ["The build has no battery."]
        return [
            *text(voltage(build, result, lowest)),
            "",
            *text(charge(build, result, last)),
        ]

    @property
    def _subject(self) -> Subject:
        return Subject(self.bench.build, self.bench.sheet)

    def heading(self) -> str:
        """How long the drive is."""
        build = self.bench.build
        whole = self._subject.show("duration", sum(leg.duration_s for leg in build.legs))
        return f"Trip: {len(build.legs)} stages, {whole}"

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Progress, or the picture with its balance."""
        if not self.bench.build.legs:
            return ["", " The trip has no stages: ctrl+n in its table adds one."]
        if self.running:
            return self.bar(width, "Driving. Escape stops it.")
        if self.found is None:
            return ["", f" {self.why} at {self.share * 100:.0f} %. Enter drives it again."]
        lines: list[str | Line] = [
            plain_line(cut(line, width), "bold" if place == 0 else "")
            for place, line in enumerate(balance(self._subject, self.found))
        ]
        chart = drive_chart(self.found, self.bench.build, width - 1, max(height - len(lines), 16))
        return [*lines, *chart]


def balance(subject: Subject, result: DriveResult) -> list[str]:
    """What the drive comes to: lowest voltages, who switches off, and the charge account."""
    if not result.points:
        return ["Nothing was driven."]
    off = [f"! {said}" for said in switched_off(subject, result)]
    lines = [*lowest(subject, result), *(off or ["No amplifier switches off"])]
    lines += [f"! {said}" for said in should_stop(subject, result)]
    for each in balances(subject.build, result):
        name, *shown = (column.cell(subject, each) for column in BALANCES.columns)
        titles = [column.title.lower() for column in BALANCES.columns[1:]]
        told = ", ".join(f"{text} {title}" for text, title in zip(shown, titles, strict=True))
        lines.append(f"{name}: {told}")
    return lines
