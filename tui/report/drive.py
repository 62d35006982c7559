"""The drive profile as lines of text: the balance, what was lowest, and a table over time."""

from domain.build.records import Build
from domain.sheet import DriveResult
from domain.topics.drive import (
    BALANCES,
    POINTS,
    balances,
    lowest,
    should_stop,
    shown_points,
    switched_off,
)
from domain.topics.tables import Subject
from tui.report.plain import WIDTH, wrap
from tui.report.text_layout import lay

CHART_ROWS = 20
"""Height of the picture, with its legend."""


def drive(subject: Subject, result: DriveResult | None, picture: bool = False) -> list[str]:
    """The section of a sheet, with a picture if wanted; no lines without a drive profile."""
    if result is None or not result.points:
        return []
    build = subject.build
    most = {"time": 8, "leg": 22, "post": 8, "lowest": 8, "charge": 12, "alternator": 10}
    points = POINTS.over(shown_points(build, result))
    lines = [
        *balance(subject, result),
        *lay(subject, points, {**most, "battery": 8, "loads": 8}),
    ]
    if picture:
        lines += ["", *_picture(build, result)]
    return lines


def _picture(build: Build, result: DriveResult) -> list[str]:
    # Late: it is only drawn where the output can hold it.
    from tui.pictures.charts import drive_chart

    return [line.rstrip() for line in drive_chart(result, build, WIDTH, CHART_ROWS)]


def balance(subject: Subject, result: DriveResult) -> list[str]:
    """Charge in, out and stored for each battery, the lowest voltages, and what switched off."""
    most = {"battery": 26, "in": 10, "out": 10, "lost": 10, "stored": 10, "began": 9, "ended": 10}
    lines = lay(subject, BALANCES.over(balances(subject.build, result)), most)
    for said in lowest(subject, result):
        lines += wrap(said)
    for said in (*switched_off(subject, result), *should_stop(subject, result)):
        lines += wrap(said, "! ")
    return lines
