"""The drive profile, driven: simulated off the event loop, with progress, and then drawn."""

from collections.abc import Sequence
from threading import Event
from typing import ClassVar

from textual import on
from textual.message import Message

from domain.build import Build, label
from domain.sheet import DriveResult
from tui.charts import drive_chart
from tui.screens.page import Page, TextPage
from tui.tables.figures import seconds, volts
from tui.widgets.cut import cut
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench

SHARE = 0.04
"""Progress is told each time it has grown by this much."""


class DrivePage(Page):
    """Simulates the build's drive profile and shows what becomes of voltage and charge."""

    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (("^W", "workings", "ctrl+w"),)

    class Went(Message):
        """The simulation is so far."""

        def __init__(self, share: float) -> None:
            super().__init__()
            self.share = share

    class Ended(Message):
        """The simulation has ended: with a result, or with why there is none."""

        def __init__(self, result: DriveResult | None, why: str) -> None:
            super().__init__()
            self.result = result
            self.why = why

    def __init__(self, bench: Workbench) -> None:
        super().__init__()
        self.bench = bench
        self.result: DriveResult | None = None
        self.share = 0.0
        self.why = ""
        self.running = False
        self._stop = Event()

    def on_mount(self) -> None:
        """Start driving."""
        self.start()

    def on_unmount(self) -> None:
        """A simulation that nobody waits for stops."""
        self._stop.set()

    def start(self) -> None:
        """Simulate from the beginning."""
        self.result, self.why, self.share = None, "", 0.0
        self.running = True
        self._stop = Event()
        self.draw()
        stop, build = self._stop, self.bench.build
        self.run_worker(
            lambda: self._simulate(build, stop), thread=True, exclusive=True, exit_on_error=False
        )

    def _simulate(self, build: Build, stop: Event) -> None:
        from domain.electrical.drive import Cancelled, simulate
        from domain.evaluate import settled

        told = 0.0

        def progress(share: float) -> bool:
            nonlocal told
            if share >= told + SHARE:
                told = share
                self.post_message(self.Went(share))
            return not stop.is_set()

        try:
            result = simulate(settled(build)[0], progress)
        except Cancelled:
            self.post_message(self.Ended(None, "Stopped"))
            return
        except (ValueError, ArithmeticError) as error:
            self.post_message(self.Ended(None, f"It cannot be driven: {error}"))
            return
        self.post_message(self.Ended(result, ""))

    @on(Went)
    def _went(self, event: Went) -> None:
        if self.running:
            self.share = event.share
            self.draw()

    @on(Ended)
    def _ended(self, event: Ended) -> None:
        self.running = False
        self.result, self.why = event.result, event.why
        self.draw()

    def leave(self) -> None:
        """Escape stops a simulation first; once more goes back."""
        if self.running:
            self._stop.set()
        else:
            self.dismiss(None)

    def pressed(self, key: str) -> None:
        """Enter drives again; ctrl+w shows where post voltage and charge at the end are from."""
        if key == "enter" and not self.running:
            self.start()
        elif key == "ctrl+w" and self.result is not None and self.result.points:
            self.app.push_screen(TextPage("Workings of the drive", self._workings(self.result)))

    def _workings(self, result: DriveResult) -> list[str]:
        from domain.workings.drive import charge, voltage
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

    def heading(self) -> str:
        """How long the drive is."""
        build = self.bench.build
        whole = seconds(sum(leg.duration_s for leg in build.legs))
        return f"Drive profile: {len(build.legs)} legs, {whole}"

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """Progress, or the picture with its balance."""
        if not self.bench.build.legs:
            return ["", " The drive profile has no legs: ctrl+n in its table adds one."]
        if self.running:
            bar = max(width - 24, 10)
            done = round(bar * self.share)
            return [
                "",
                f" {'█' * done}{'·' * (bar - done)} {self.share * 100:.0f} %",
                "",
                " Driving. Escape stops it.",
            ]
        if self.result is None:
            return ["", f" {self.why} at {self.share * 100:.0f} %. Enter drives it again."]
        lines: list[str | Line] = [
            plain_line(cut(line, width), "bold" if place == 0 else "")
            for place, line in enumerate(balance(self.bench.build, self.result))
        ]
        chart = drive_chart(self.result, self.bench.build, width - 1, max(height - len(lines), 16))
        return [*lines, *chart]


def balance(build: Build, result: DriveResult) -> list[str]:
    """What the drive comes to: lowest voltage, who switches off, and the charge account."""
    points = result.points
    if not points:
        return ["Nothing was driven."]
    low = min(points, key=lambda p: p.post_v)
    first = f"lowest post voltage {volts(low.post_v)} after {seconds(low.time_s)}"
    fed = [p for p in points if p.lowest_v is not None]
    if fed:
        least = min(fed, key=lambda p: p.lowest_v or 0.0)
        first += f"; at an amplifier {volts(least.lowest_v)}"
    lines = [first]
    gone: dict[str, float] = {}
    for point in points:
        for id in point.off:
            gone.setdefault(id, point.time_s)
    if gone:
        told = ", ".join(f"{label(build, id)} after {seconds(t)}" for id, t in gone.items())
        lines.append(f"SWITCHES OFF: {told}")
    else:
        lines.append("no amplifier switches off")
    for battery in build.batteries:
        id = battery.id
        end = points[0].charge[id] + result.stored_ah[id] / battery.capacity_ah
        lines.append(
            f"{label(build, id)}: charged {result.charged_ah[id]:.1f} Ah, discharged "
            f"{result.discharged_ah[id]:.1f} Ah, stored {result.stored_ah[id]:+.1f} Ah, "
            f"ends at {end * 100:.0f} %"
        )
    return lines
