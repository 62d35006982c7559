"""Charts as vector curves, told apart by weight, dashes and letters. Lengths in millimetres."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, exp, floor, inf, log, log10

from domain.electrical.protection import opening
from domain.electrical.protection.withstand import Wire, withstand_s
from domain.sheet import DriveResult, FuseStudy
from domain.units.show import clock
from storage.pack.fonts import width_mm
from storage.pack.ink import Ink, Style
from storage.pack.paper import SMALL

GRID = Style(0.08, grey=0.7)
FRAME = Style(0.2)
HEAVY = Style(0.55)
LIGHT = Style(0.25)
DASHED = Style(0.45, (2.2, 1.2))
DOTTED = Style(0.25, (0.4, 1.1))
CURVES = (HEAVY, DASHED, LIGHT, DOTTED, Style(0.35, (4.0, 1.0, 0.8, 1.0)))

_SAMPLES = 160

Curve = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Chart:
    """A field on the page and the values at its edges, both axes as they are drawn."""

    ink: Ink
    x: float
    y: float
    width: float
    height: float
    low: tuple[float, float]
    high: tuple[float, float]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A place on the page."""
        return (
            self.x + (x - self.low[0]) / (self.high[0] - self.low[0]) * self.width,
            self.y + (y - self.low[1]) / (self.high[1] - self.low[1]) * self.height,
        )

    def frame(self, across: Mapping[float, str], up: Mapping[float, str]) -> None:
        """Grid lines with their labels, those that have room, and the frame."""
        ink = self.ink
        ink.style(GRID)
        for value in across:
            x, _ = self.at(value, self.low[1])
            ink.line(x, self.y, x, self.y + self.height)
        for value in up:
            _, y = self.at(self.low[0], value)
            ink.line(self.x, y, self.x + self.width, y)
        free = -inf
        for value, text in sorted(across.items()):
            x, _ = self.at(value, self.low[1])
            half = width_mm(text, SMALL) / 2
            if text and x - half > free and x + half < self.x + self.width + 6:
                ink.text(x, self.y - 4.2, text, SMALL, align=0.5)
                free = x + half + 2
        free = -inf
        for value, text in sorted(up.items()):
            _, y = self.at(self.low[0], value)
            if text and y > free:
                ink.text(self.x - 1.5, y - 1.1, text, SMALL, align=1)
                free = y + 4.0
        ink.style(FRAME)
        ink.box(self.x, self.y, self.width, self.height)

    def curve(self, points: Curve, style: Style) -> None:
        """A curve, cut off at the edges of the field."""
        self.ink.style(style)
        with self.ink.window(self.x, self.y, self.width, self.height):
            if len(points) > 1:
                self.ink.curve([self.at(*point) for point in points])

    def upright(self, x: float, letter: str, level: int = 0) -> None:
        """A dotted upright line with a letter at its head, further down by levels."""
        if not self.low[0] <= x <= self.high[0]:
            return
        at, _ = self.at(x, self.low[1])
        self.ink.style(DOTTED)
        self.ink.line(at, self.y, at, self.y + self.height)
        y = self.y + self.height - 3.8 - 3.8 * level
        wide = width_mm(letter, SMALL, True)
        right = at + 0.7 + wide < self.x + self.width
        left = at + 0.7 if right else at - 0.7 - wide
        self.ink.bar(left - 0.2, y - 0.6, wide + 0.4, 3.4, grey=1.0)
        self.ink.text(left, y, letter, SMALL, bold=True)


def key(ink: Ink, x: float, y: float, entries: Sequence[tuple[str, Style]]) -> None:
    """Pieces of line with what they mean, one below the other from this base line down."""
    for i, (text, style) in enumerate(entries):
        base = y - 4.2 * i
        ink.style(style)
        ink.line(x, base + 1.1, x + 10, base + 1.1)
        ink.text(x + 12, base, text, SMALL)


def protection_chart(
    ink: Ink,
    box: tuple[float, float, float, float],
    study: FuseStudy,
    points: opening.Window,
    wire: Wire | None,
) -> bool:
    """Time [s] against current [A], both logarithmic: a fuse's window and its weakest wire.

    ``box`` is the lower left corner, width and height of all of it. False where there is nothing
    to draw: no current at which it must open.
    """
    must = study.must_open_a
    if not points or must is None or must == inf:
        return False
    rating = study.rating_a
    low, high = rating, max(study.fault_near_a, study.fault_far_a, 4 * must) * 1.3
    slow = _sampled(low, high, lambda a: opening.slowest_s(points, a / rating))
    quick = _sampled(low, high, lambda a: opening.fastest_s(points, a / rating))
    stands = _sampled(low, high, lambda a: withstand_s(wire, a)) if wire else []
    times = [t for curve in (slow, quick, stands) for _, t in curve]
    if not times:
        return False
    highest = max((t for _, t in slow), default=inf) * 10
    bottom, top = max(min(times), 1e-4), min(max(times), highest, 1e6)
    x, y, width, height = box
    chart = Chart(
        ink,
        x + 15,
        y + 6,
        width - 19,
        height - 8,
        (log10(low), floor(log10(bottom))),
        (log10(high), max(ceil(log10(top)), floor(log10(bottom)) + 1)),
    )
    decades = range(int(chart.low[1]), int(chart.high[1]) + 1)
    chart.frame(_currents(low, high), {float(d): _decade(d) for d in decades})
    for curve, style in ((slow, HEAVY), (quick, LIGHT), (stands, DASHED)):
        chart.curve([(log10(a), log10(t)) for a, t in curve], style)
    for level, (letter, current) in enumerate(
        (("m", must), ("f", study.fault_far_a), ("n", study.fault_near_a))
    ):
        chart.upright(log10(max(current, 1e-9)), letter, level)
    return True


def _sampled(low: float, high: float, time_of: Callable[[float], float]) -> Curve:
    found = []
    for i in range(_SAMPLES + 1):
        current = low * exp(log(high / low) * i / _SAMPLES)
        time = time_of(current)
        if 0 < time < inf:
            found.append((current, time))
    return found


def _currents(low: float, high: float) -> dict[float, str]:
    labels = {}
    for decade in range(floor(log10(low)), ceil(log10(high)) + 1):
        for step in (1, 2, 5):
            value = step * 10.0**decade
            if low <= value <= high:
                labels[log10(value)] = f"{value:g} A"
    return labels


def _decade(power: int) -> str:
    if power < 0:
        return f"{10.0 ** (power + 3):g} ms"
    return f"{10.0**power:.0f} s" if power < 6 else f"1e{power} s"


def drive_chart(
    ink: Ink, box: tuple[float, float, float, float], result: DriveResult, batteries: Sequence[str]
) -> None:
    """Voltages [V] above, charge of these batteries below, over the time of a drive."""
    points = result.points
    x, y, width, height = box
    end = points[-1].time_s + result.step_s
    starts = [(points[0].time_s, "1")]
    for before, after in pairwise(points):
        if after.leg != before.leg:
            starts.append((after.time_s, str(len(starts) + 1)))
    least = [(p.time_s, p.lowest_v) for p in points if p.lowest_v is not None]
    post = [(p.time_s, p.post_v) for p in points]
    every = [v for _, v in (*post, *least)]
    low, high = floor(min(every) * 2) / 2, ceil(max(every) * 2 + 1e-9) / 2
    lower_high = (height - 16) * 0.38
    upper_high = (height - 16) * 0.62
    lower = Chart(ink, x + 15, y + 6, width - 21, lower_high, (0.0, 0.0), (end, 1.0))
    upper = Chart(ink, x + 15, y + 12 + lower_high, width - 21, upper_high, (0.0, low), (end, high))
    steps = max(2, min(8, round((high - low) * 2)))
    up = {
        low + (high - low) * i / steps: f"{low + (high - low) * i / steps:.1f} V"
        for i in range(steps + 1)
    }
    times = _times(end)
    upper.frame(dict.fromkeys(times, ""), up)
    lower.frame(times, {0.0: "0 %", 0.25: "", 0.5: "50 %", 0.75: "", 1.0: "100 %"})
    for chart in (upper, lower):
        for i, (start, number) in enumerate(starts[:40]):
            chart.upright(start, number if chart is upper else "", i % 2)
    upper.curve(least, DASHED)
    upper.curve(post, HEAVY)
    for i, id in enumerate(batteries):
        charge = [(p.time_s, min(max(p.charge[id], 0.0), 1.0)) for p in points]
        lower.curve(charge, CURVES[i % len(CURVES)])


def _times(end_s: float) -> dict[float, str]:
    steps = (10, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400, 43200, 86400, 432000)
    step = next((s for s in steps if end_s / s <= 8), steps[-1])
    return {float(t): clock(t) for t in range(0, int(end_s) + 1, step)}
