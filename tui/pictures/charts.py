"""Charts as text: fuse against wire, a drive or a kick over time, the drop on the way to a load.

Every curve is marked with a letter that the legend explains, so that nothing depends on
colour. Lines are at most ``width`` cells wide.
"""

import itertools
from collections.abc import Mapping, Sequence
from math import floor
from typing import Any

from rich.cells import cell_len

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.document.records import label
from domain.electrical.drive_curves import drive_curves
from domain.electrical.protection.fuse_curves import fuse_curves
from domain.electrical.protection.opening import Window
from domain.electrical.protection.withstand import Wire
from domain.electrical.transient.curves import LETTERS, kick_curves
from domain.electrical.transient.results import Condition
from domain.sheet import DriveResult, FuseStudy, Sheet
from domain.topics.kick.answer import REMEDIES
from domain.units.gauges import format_gauge
from domain.units.show import format_quantity
from tui.widgets.cell_text import cut, left, right

AXIS = 7
"""Cells for the labels of the vertical axis."""

_IN_HIT_S = 0.11
"""A moment of the first hit that a picture of kicks shows, where its letters stand [s]."""

LEAST_WIDTH, LEAST_HEIGHT = 40, 8
"""The smallest size at which a chart can be read."""

Curve = Sequence[tuple[float, float]]


class _Plot:
    """A braille canvas with a vertical axis on its left and a horizontal one below."""

    def __init__(self, width: int, height: int, x: tuple[float, float], y: tuple[float, float]):
        # Late: the first screen draws no chart.
        from plotille import Canvas

        self.x, self.y = x, y
        self.columns, self.rows = max(width - AXIS - 1, 10), max(height - 1, 3)
        self.canvas: Any = Canvas(
            self.columns, self.rows, xmin=x[0], xmax=x[1], ymin=y[0], ymax=y[1]
        )

    def curve(self, points: Curve, letter: str, places: Sequence[float] = (0.1, 0.5, 0.9)) -> None:
        """Draw a curve, clipped to the chart, with its letter at these fractions of its length."""
        inside = [p for p in points if self._inside(*p)]
        for (x0, y0), (x1, y1) in itertools.pairwise(inside):
            self.canvas.line(x0, y0, x1, y1)
        for place in places if inside else ():
            x, y = inside[round(place * (len(inside) - 1))]
            self._letter(x, y, letter)

    def _letter(self, x: float, y: float, letter: str) -> None:
        """A letter in the chart, moved inside from its upper or right edge."""
        x = min(x, self.x[1] - (self.x[1] - self.x[0]) * 0.5 / self.columns)
        y = min(y, self.y[1] - (self.y[1] - self.y[0]) * 0.5 / self.rows)
        self.canvas.text(x, y, letter)

    def upright(self, x: float, letter: str) -> None:
        """A dotted vertical line with its letter on top."""
        if not self.x[0] <= x <= self.x[1]:
            return
        low, high = self.y
        count = self.rows * 2
        for i in range(count):
            self.canvas.point(x, low + (high - low) * (i + 0.5) / count)
        if letter:
            self._letter(x, high, letter)

    def dots(self, points: Curve) -> None:
        """Points of a curve, not joined, as many as there are columns."""
        for number in range(self.columns):
            x = self.x[0] + (self.x[1] - self.x[0]) * (number + 0.5) / self.columns
            near = min(points, key=lambda point: abs(point[0] - x))
            if self._inside(x, near[1]):
                self.canvas.point(x, near[1])

    def level(self, y: float, letter: str) -> None:
        """A dotted line across with its letter at the left."""
        if self.y[0] <= y <= self.y[1]:
            for number in range(self.columns):
                self.canvas.point(self.x[0] + (self.x[1] - self.x[0]) * number / self.columns, y)
            self._letter(self.x[0], y, letter)

    def _inside(self, x: float, y: float) -> bool:
        return self.x[0] <= x <= self.x[1] and self.y[0] <= y <= self.y[1]

    def lines(self, x_labels: Mapping[float, str], y_labels: Mapping[float, str]) -> list[str]:
        """The chart with its axes."""
        beside = {self._row(value): text for value, text in y_labels.items()}
        found = []
        for row, text in enumerate(self.canvas.plot(linesep="\n").split("\n")):
            mark = "┤" if row in beside else "│"
            found.append(right(beside.get(row, ""), AXIS) + mark + text.replace("\u2800", " "))
        foot = " " * (AXIS + 1)
        for value, text in sorted(x_labels.items()):
            place = AXIS + 1 + self._column(value) - len(text) // 2
            if len(foot) <= place or not foot[max(place - 1, 0) :].strip():
                place = max(min(place, AXIS + 1 + self.columns - len(text)), 0)
                if not foot[max(place - 1, 0) :].strip():
                    foot = foot[:place].ljust(place) + text
        return [*found, foot]

    def _row(self, y: float) -> int:
        low, high = self.y
        share = (y - low) / (high - low)
        return min(max(self.rows - 1 - floor(share * self.rows), 0), self.rows - 1)

    def _column(self, x: float) -> int:
        low, high = self.x
        return min(max(floor((x - low) / (high - low) * self.columns), 0), self.columns - 1)


def protection_chart(
    study: FuseStudy, points: Window, wires: Mapping[str, Wire], width: int, height: int
) -> list[str]:
    """Time [s] against current [A], both logarithmic: a fuse's window below its weakest wire.

    ``points`` is the fuse's opening window, ``wires`` the guarded wires by run id. The legend
    stands in the last lines; all together at most ``height`` lines.
    """
    curves = fuse_curves(study, points, wires.get(study.weakest))
    if curves is None:
        return ["No current is known at which this fuse must open: there is nothing to draw."]
    legend = _legend(study, width, bool(curves.quickest))
    plot = _Plot(
        max(width, LEAST_WIDTH), max(height - len(legend), LEAST_HEIGHT), curves.across, curves.up
    )
    for letter, current in curves.marks.items():
        plot.upright(current, letter)
    for letter, curve in (("S", curves.slowest), ("Q", curves.quickest), ("W", curves.stands)):
        plot.curve(curve, letter)
    decades = curves.decades
    step = -(-len(decades) // max(plot.rows // 2, 1))
    y_labels = dict(list(decades.items())[::step])
    return [*plot.lines(curves.currents, y_labels), *legend]


def _shown(kind: str, value: float | None) -> str:
    """A quantity whose unit is the same in inch and metric builds."""
    return format_quantity(kind, value, UnitHabit.METRIC)


def _legend(study: FuseStudy, width: int, quick: bool) -> list[str]:
    parts = ["S slowest opening"]
    if quick:
        parts.append("Q quickest opening")
    parts.append("W wire withstands")
    parts.append(f"m must open from {_shown('current', study.must_open_a)}")
    parts.append(f"f far fault {_shown('current', study.fault_far_a)}")
    parts.append(f"n near fault {_shown('current', study.fault_near_a)}")
    return _phrases(parts, width)


def _phrases(parts: Sequence[str], width: int, mark: str = ",") -> list[str]:
    """Phrases joined by a mark, none broken over two lines if it fits on one."""
    lines: list[str] = []
    for place, part in enumerate(parts):
        text = part + (mark if place < len(parts) - 1 else "")
        if lines and cell_len(lines[-1]) + 1 + cell_len(text) <= width:
            lines[-1] += " " + text
        else:
            lines.append(cut(text, width))
    return lines


def drive_chart(result: DriveResult, build: Build, width: int, height: int) -> list[str]:
    """Post voltage [V] and charge [%] of each battery over a drive, with the legs marked."""
    curves = drive_curves(result)
    if curves is None:
        return ["There is nothing to draw: the trip has no stages."]
    legend = _drive_legend(build, [leg for _, leg in curves.legs], width)
    room = max(height - len(legend) - 2, 2 * LEAST_HEIGHT)
    width = max(width, LEAST_WIDTH)
    upper = _Plot(width, room - room // 2, (0.0, curves.end_s), curves.volts)
    lower = _Plot(width, room // 2, (0.0, curves.end_s), (0.0, 1.0))
    for plot in (upper, lower):
        for number, (start, _) in enumerate(curves.legs, 1):
            plot.upright(start, str(number) if plot is upper else "")
    upper.curve(curves.lowest, "a")
    upper.curve(curves.post, "p")
    for id, charge in curves.charge.items():
        lower.curve(charge, id[1:][-1] if len(curves.charge) > 1 else "c")
    low, high = curves.volts
    y_upper = {v: f"{v:.1f} V" for v in (low, (low + high) / 2, high)}
    times = {float(t): _shown("duration", t) if t else "0" for t in curves.ticks}
    return [
        *upper.lines({}, y_upper)[:-1],
        *lower.lines(times, {0.0: "0 %", 0.5: "50 %", 1.0: "100 %"}),
        *legend,
    ]


def _drive_legend(build: Build, legs: Sequence[str], width: int) -> list[str]:
    shown = [f"{n} {cut(label(build, leg), 24)}" for n, leg in enumerate(legs, 1)][:12]
    batteries = [b.id for b in build.batteries]
    if len(batteries) > 1:
        named = ", ".join(f"{id[1:][-1]} {cut(label(build, id), 20)}" for id in batteries)
        charge = f"below: charge of {named}"
    else:
        charge = "below: c charge of the battery"
    first = ["above: p battery post", "a lowest at an amplifier", charge]
    shown[0] = f"stages: {shown[0]}"
    return [*_phrases(first, width)[:2], *_phrases(shown, width, ";")[:2]]


def kick_chart(condition: Condition, width: int, height: int) -> list[str]:
    """Volts at the headlamps and at the amplifier over two beats of the kick drum."""
    curves = kick_curves(condition)
    if curves is None:
        return ["There is nothing to draw: the voltage collapses in the first hit."]
    parts = [f"{LETTERS[each]} {REMEDIES[each]}" for each in curves.lamps.curves]
    if curves.beside:
        parts.append(f"as a, or nearly: {', '.join(REMEDIES[each] for each in curves.beside)}")
    if curves.noticed_v is not None:
        parts.append("n just noticed")
    parts.append("dots: from car to car")
    legend = _phrases(parts, width)
    room = max(height - len(legend) - 3, 2 * LEAST_HEIGHT)
    width, span = max(width, LEAST_WIDTH), (0.0, curves.end_s)
    upper = _Plot(width, room - room // 2, span, curves.lamps.volts)
    lower = _Plot(width, room // 2, span, curves.amplifier.volts)
    for bound in (curves.low, curves.high):
        upper.dots(bound)
    if curves.noticed_v is not None:
        upper.level(curves.noticed_v, "n")
    for plot, strip in ((upper, curves.lamps), (lower, curves.amplifier)):
        for remedy, curve in reversed(strip.curves.items()):
            in_hit = sum(time < _IN_HIT_S for time, _ in curve) / len(curve)
            plot.curve(curve, LETTERS[remedy], (in_hit,))
    times = {t / 5: f"{t / 5:.1f} s" if t else "0" for t in range(int(curves.end_s * 5) + 1)}
    return [
        "headlamps",
        *upper.lines({}, {v: f"{v:.2f} V" for v in curves.lamps.ticks})[:-1],
        "amplifier",
        *lower.lines(times, {v: f"{v:.2f} V" for v in curves.amplifier.ticks}),
        *legend,
    ]


def drop_bars(build: Build, sheet: Sheet, amplifier: str, width: int) -> list[str]:
    """The drop from battery post to amplifier and back at full tone, a bar for each leg.

    ``LookupError`` if there is no such amplifier.
    """
    load = sheet.load(amplifier)
    if load is None:
        raise LookupError(f"there is no amplifier {amplifier}")
    if load.drop_v is None:
        return [f"{load.name} is not wired to a battery and back: there is no drop to show."]
    legs: list[tuple[str, str, float]] = []
    for heading, ids, whole in (
        ("out", load.feed_runs, load.drop_feed_v),
        ("back", load.return_runs, load.drop_return_v),
    ):
        here = [run for run in map(sheet.run, ids) if run is not None]
        legs += [
            (f"{heading:<4} {label(build, run.id)}", format_gauge(run.gauge), abs(run.drop_v))
            for run in here
        ]
        rest = (whole or 0.0) - sum(abs(run.drop_v) for run in here)
        if abs(rest) > 0.0005:
            between = "body and joints" if heading == "back" else "isolators and joints"
            legs.append((f"{heading:<4} {between}", "", rest))
    most = max((abs(drop) for _, _, drop in legs), default=0.0) or 1.0
    longest = max((cell_len(name) for name, _, _ in legs), default=0)
    name_width = min(max(width - 44, longest), max(width - 34, 14), 34)
    bar_width = max(width - name_width - 24, 4)
    lines = []
    for name, size, drop in legs:
        bar = "█" * max(round(bar_width * abs(drop) / most), 1 if drop else 0)
        share = f"{drop / load.drop_v * 100:.0f} %" if load.drop_v else "-"
        figures = right(f"{drop:.3f} V", 8) + right(share, 6)
        lines.append(f"{left(name, name_width)} {left(size, 7)} {figures} {bar}")
    limit = build.header.drop_limit_v
    verdict = "within" if load.drop_v <= limit else "OVER"
    lines.append(
        f"{left('all', name_width)} {left('', 7)} {right(f'{load.drop_v:.3f} V', 8)}"
        f"  {verdict} {_shown('voltage', limit)}"
    )
    return [cut(line, width) for line in lines]
