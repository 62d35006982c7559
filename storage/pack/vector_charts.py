"""Charts as vector curves, distinguished by weight, dashes and letters. Lengths in millimetres."""

from collections.abc import Mapping, Sequence
from math import inf

from msgspec import Struct

from domain.electrical.drive_curves import drive_curves
from domain.electrical.protection.fuse_curves import fuse_curves
from domain.electrical.protection.opening import Window
from domain.electrical.protection.withstand import Wire
from domain.electrical.transient.curves import KickCurves
from domain.sheet import DriveResult, FuseStudy
from domain.units.show import clock
from storage.pack.fonts import width_mm
from storage.pack.ink import Ink, Style
from storage.pack.pages import SMALL

GRID = Style(0.08, grey=0.7)
FRAME = Style(0.2)
HEAVY = Style(0.55)
THIN = Style(0.12, grey=0.4)
LIGHT = Style(0.25)
DASHED = Style(0.45, (2.2, 1.2))
DOTTED = Style(0.25, (0.4, 1.1))
CURVES = (HEAVY, DASHED, LIGHT, DOTTED, Style(0.35, (4.0, 1.0, 0.8, 1.0)))

Curve = Sequence[tuple[float, float]]


class Chart(Struct, frozen=True):
    """A field on the page and the values at its edges, both axes as they are drawn."""

    ink: Ink
    x: float
    y: float
    width: float
    height: float
    low: tuple[float, float]
    high: tuple[float, float]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """The point on the page."""
        return (
            self.x + (x - self.low[0]) / (self.high[0] - self.low[0]) * self.width,
            self.y + (y - self.low[1]) / (self.high[1] - self.low[1]) * self.height,
        )

    def frame(self, across: Mapping[float, str], up: Mapping[float, str]) -> None:
        """Grid lines, as many of their labels as fit, and the frame."""
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
        """A curve, clipped at the edges of the field."""
        self.ink.style(style)
        with self.ink.window(self.x, self.y, self.width, self.height):
            if len(points) > 1:
                self.ink.curve([self.at(*point) for point in points])

    def upright(self, x: float, letter: str, level: int = 0) -> None:
        """A dotted vertical line with a letter at its top, one step lower for each level."""
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
    """The key: a sample of each line with its meaning, one below the other from this base line."""
    for i, (text, style) in enumerate(entries):
        base = y - 4.2 * i
        ink.style(style)
        ink.line(x, base + 1.1, x + 10, base + 1.1)
        ink.text(x + 12, base, text, SMALL)


def protection_chart(
    ink: Ink,
    box: tuple[float, float, float, float],
    study: FuseStudy,
    points: Window,
    wire: Wire | None,
) -> bool:
    """Time [s] against current [A], both logarithmic: a fuse's window and its weakest wire.

    ``box`` is the lower left corner, width and height of all of it. False if there is
    nothing to draw: no current is known at which it must open.
    """
    curves = fuse_curves(study, points, wire)
    if curves is None:
        return False
    x, y, width, height = box
    (left, right), (low, high) = curves.across, curves.up
    chart = Chart(ink, x + 15, y + 6, width - 19, height - 8, (left, low), (right, high))
    chart.frame(curves.currents, curves.decades)
    drawn = ((curves.slowest, HEAVY), (curves.quickest, LIGHT), (curves.stands, DASHED))
    for curve, style in drawn:
        chart.curve(curve, style)
    for level, (letter, current) in enumerate(curves.marks.items()):
        chart.upright(current, letter, level)
    return True


def drive_chart(
    ink: Ink, box: tuple[float, float, float, float], result: DriveResult, batteries: Sequence[str]
) -> None:
    """Voltages [V] above, charge of these batteries below, over the time of a drive."""
    curves = drive_curves(result)
    if curves is None:
        return
    x, y, width, height = box
    low, high = curves.volts
    end = curves.end_s
    lower_high = (height - 16) * 0.38
    upper_high = (height - 16) * 0.62
    lower = Chart(ink, x + 15, y + 6, width - 21, lower_high, (0.0, 0.0), (end, 1.0))
    upper = Chart(ink, x + 15, y + 12 + lower_high, width - 21, upper_high, (0.0, low), (end, high))
    steps = max(2, min(8, round((high - low) * 2)))
    up = [low + (high - low) * i / steps for i in range(steps + 1)]
    upper.frame(dict.fromkeys(curves.ticks, ""), {v: f"{v:.1f} V" for v in up})
    shares = {0.0: "0 %", 0.25: "", 0.5: "50 %", 0.75: "", 1.0: "100 %"}
    lower.frame({t: clock(t) for t in curves.ticks}, shares)
    for chart in (upper, lower):
        for i, (start, _) in enumerate(curves.legs[:40]):
            chart.upright(start, str(i + 1) if chart is upper else "", i % 2)
    upper.curve(curves.lowest, DASHED)
    upper.curve(curves.post, HEAVY)
    for i, id in enumerate(batteries):
        lower.curve(curves.charge[id], CURVES[i % len(CURVES)])


def kick_chart(ink: Ink, box: tuple[float, float, float, float], curves: KickCurves) -> None:
    """Volts at the headlamps above and at the amplifier below, over two beats of the kick drum.

    Thin lines bound what the lamps' voltage may be from car to car; n: just noticed.
    """
    x, y, width, height = box
    half = (height - 16) / 2
    across = {t / 5: f"{t / 5:.1f} s" for t in range(int(curves.end_s * 5) + 1)}
    for strip, base, name in (
        (curves.amplifier, y + 6, "amplifier"),
        (curves.lamps, y + 12 + half, "headlamps"),
    ):
        (low, high), end = strip.volts, curves.end_s
        chart = Chart(ink, x + 15, base, width - 21, half, (0.0, low), (end, high))
        labels = across if strip is curves.amplifier else dict.fromkeys(across, "")
        chart.frame(labels, {v: f"{v:.2f} V" for v in strip.ticks})
        if strip is curves.lamps:
            for bound in (curves.low, curves.high):
                chart.curve(bound, THIN)
            if curves.noticed_v is not None:
                level = curves.noticed_v
                chart.curve(((0.0, level), (end, level)), DOTTED)
                ink.text(*chart.at(end, level), "n", SMALL, bold=True)
        for i, curve in enumerate(strip.curves.values()):
            chart.curve(curve, CURVES[i % len(CURVES)])
        ink.text(x + 16.5, base + half + 1, name, SMALL)
