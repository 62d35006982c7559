"""Why is this wire safe? The way from the post, piece by piece, with bars for what guards it."""

from collections.abc import Iterator, Sequence
from typing import ClassVar

from domain.build.choices import Cover
from domain.sheet import RunResult, SegmentResult
from domain.topics.fuse_study import FuseThere, let_in, outlasts, steps_of, way_to
from domain.topics.tables import Subject
from domain.units.gauges import gauge_text
from tui.pages.page import Page, TextPage, wrapped
from tui.tables.workings import SEGMENT, working_lines
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench

BAR = 24
"""Cells of a bar; fewer where the screen is narrow."""

KEY = (
    "█ of a bar: what may flow, or how long a fuse takes; the whole of it: what the wire carries "
    "for good, or how long it withstands a short. ▓: beyond that."
)


class SafeWirePage(Page):
    """What protects the wire of one run after the other."""

    steps = "run"
    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (("^W", "how", "ctrl+w"),)

    def __init__(self, bench: Workbench, run: str) -> None:
        super().__init__()
        self.bench = bench
        self.run_id = run

    def heading(self) -> str:
        """Which run, and how many there are."""
        runs = [run.id for run in self.bench.sheet.runs]
        place = runs.index(self.run_id) + 1 if self.run_id in runs else 0
        return f"Why is this wire safe? {self.subject.name(self.run_id)} ({place} of {len(runs)})"

    @property
    def subject(self) -> Subject:
        """The build with its results."""
        return Subject(self.bench.build, self.bench.sheet)

    def step(self, by: int) -> None:
        """The next run."""
        runs = [run.id for run in self.bench.sheet.runs]
        place = runs.index(self.run_id) if self.run_id in runs else -by
        self.run_id = runs[(place + by) % len(runs)]
        self.draw()

    def pressed(self, key: str) -> None:
        """Workings of the figures of the run's pieces."""
        if key == "ctrl+w":
            from domain.workings.working import Figure

            named = [
                Figure("segment_result", piece.id, field)
                for piece in self.bench.sheet.segments_of(self.run_id)
                for field in SEGMENT
            ]
            lines = working_lines(self.bench.plan, named)
            self.app.push_screen(
                TextPage(f"How it is calculated: {self.subject.name(self.run_id)}", lines)
            )

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """The way, and below it what the bars mean."""
        lines: list[str | Line] = []
        end = ""
        for id in way_to(self.subject, self.run_id):
            run = self.bench.sheet.run(id)
            if run is not None:
                lines += self._run(run, width, end)
                end = _ends(run, end)[1]
        if not lines:
            return ["", " This run is not joined at both ends: nothing flows in it."]
        if end:
            lines.append(f" o {self.subject.name(end)}")
        return [*lines, "", *wrapped(f" {KEY}", width - 1)]

    def _run(self, run: RunResult, width: int, came_from: str) -> Iterator[str | Line]:
        start, _ = _ends(run, came_from)
        here = run.id == self.run_id
        yield f" o {self.subject.name(start)}"
        which = f", each of {run.count} wires" if run.count > 1 else ""
        size = gauge_text(run.gauge, run.count)
        yield plain_line(
            f" │ {self.subject.name(run.id)}, {size}{which}", "bold reverse" if here else "bold"
        )
        steps = steps_of(self.subject, run)
        for step in steps if start == run.source else reversed(steps):
            if isinstance(step, FuseThere):
                yield plain_line(f" ■ {step.said}", "bold")
            else:
                yield from self._piece(step, width)

    def _lies(self, piece: SegmentResult) -> str:
        """What lies round the piece and takes off what it carries; "" in open air."""
        run = self.bench.sheet.run(piece.run)
        return f" in {run.cover}" if run and run.cover != Cover.OPEN else ""

    def _piece(self, piece: SegmentResult, width: int) -> Iterator[str | Line]:
        show = self.subject.show
        assumed = "?" if piece.assumed else ""
        length = show("length", piece.end_m - piece.start_m) + assumed
        harm = "" if piece.harm == "none" else f"{piece.harm.upper()} "
        yield plain_line(f" │   {length}: {harm}{piece.verdict}", "bold" if harm else "")
        size = max(min(BAR, width - 52), 8)
        carries = show("current", piece.carries_a)
        share = None if piece.lasting_a is None else piece.lasting_a / max(piece.carries_a, 1e-9)
        yield from _told(f"{bar(share, size)} {let_in(self.subject, piece)}", width)
        yield f" │   {' ' * size}   of {carries} that it carries for good{self._lies(piece)}"
        said = outlasts(self.subject, piece)
        if said:
            yield from _told(f"{bar(_short_share(piece), size)} {said}", width)


def _short_share(piece: SegmentResult) -> float | None:
    if piece.shared_place:
        return piece.shared_ratio
    if piece.opens_s is None or not piece.stands_s:
        return None
    return piece.opens_s / piece.stands_s


def _told(text: str, width: int) -> Iterator[str]:
    bar_end = text.index("]") + 2
    first, *rest = wrapped(text[bar_end:], max(width - bar_end - 6, 20))
    yield f" │   {text[:bar_end]}{first}"
    for line in rest:
        yield f" │   {' ' * bar_end}{line.strip()}"


def bar(share: float | None, size: int) -> str:
    """A bar that is full at a share of one; without end where there is no share."""
    if share is None:
        return f"[{'▓' * size}]"
    if share > 1:
        within = max(round(size / share), 1)
        return f"[{'█' * within}{'▓' * (size - within)}]"
    full = round(size * share)
    return f"[{'█' * full}{' ' * (size - full)}]"


def _ends(run: RunResult, came_from: str) -> tuple[str, str]:
    """A run's ends in the order in which the way passes them."""
    if came_from == run.target and came_from != run.source:
        return run.target, run.source
    return run.source, run.target
