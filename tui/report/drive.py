"""The drive profile as lines of text: the balance, what was lowest, and a table over time."""

from domain.build.records import Build, label
from domain.sheet import DrivePoint, DriveResult
from domain.topics.shower import Show
from domain.units.show import clock
from tui.report.plain import WIDTH, Column, table, wrap

CHART_ROWS = 20
"""Height of the picture, with its legend."""

MOST_ROWS = 16
MOST_CHARGES = 3
MOST_STARTS = 12
"""So many rows are spread over the profile; the start of each leg has one too if they are few."""

STEPS_S = (10, 30, *(60 * m for m in (1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440, 2880, 10080)))


def drive(build: Build, result: DriveResult | None, show: Show, picture: bool = False) -> list[str]:
    """The section of a sheet, with a picture if wanted; no lines without a drive profile."""
    if result is None or not result.points:
        return []
    columns = (
        Column("Time", 8, True),
        Column("Leg", 22),
        Column("Post", 8, True),
        Column("Lowest", 8, True),
        Column("Charge", 12, True),
        Column("Alternator", 10, True),
        Column("Battery", 8, True),
        Column("Loads", 8, True),
    )
    rows = [
        (
            clock(point.time_s),
            label(build, point.leg),
            show("voltage", point.post_v),
            show("voltage", point.lowest_v),
            _charge(point, show),
            show("current", point.alternator_a),
            show("current", point.battery_a),
            show("current", point.load_a),
        )
        for point in shown_points(build, result)
    ]
    lines = [*balance(build, result, show), *table(columns, rows)]
    if picture:
        # Late: it is only drawn where the output can hold it.
        from tui.pictures.charts import drive_chart

        lines += ["", *(line.rstrip() for line in drive_chart(result, build, WIDTH, CHART_ROWS))]
    return lines


def _charge(point: DrivePoint, show: Show) -> str:
    """Of each battery, in the build's order; of many only the lowest."""
    each = [show("share", charge) for charge in point.charge.values()]
    if len(each) > MOST_CHARGES:
        return f"from {show('share', min(point.charge.values()))}"
    return " ".join(each) or "-"


def balance(build: Build, result: DriveResult, show: Show) -> list[str]:
    """Charge in, out and stored for each battery, the lowest voltage, and what switched off."""
    lines = []
    for battery in build.batteries:
        came, went, stored = (
            show("capacity", ah[battery.id])
            for ah in (result.charged_ah, result.discharged_ah, result.stored_ah)
        )
        end = result.points[0].charge[battery.id]
        end += result.stored_ah[battery.id] / battery.capacity_ah
        lines += wrap(
            f"{label(build, battery.id)}: {came} in, {went} out, {stored} stored; "
            f"{show('share', result.points[0].charge[battery.id])} charged at the start, "
            f"{show('share', end)} at the end"
        )
    reached = [(p.lowest_v, p.time_s, p.leg) for p in result.points if p.lowest_v is not None]
    if reached:
        volts, time, leg = min(reached)
        lines += wrap(
            f"Lowest at an amplifier: {show('voltage', volts)} after {clock(time)} "
            f"({label(build, leg)})"
        )
    off: dict[str, float] = {}
    for point in result.points:
        for id in point.off:
            off.setdefault(id, point.time_s)
    for id, time in off.items():
        lines += wrap(f"{label(build, id)} switches off after {clock(time)}", "! ")
    return lines


def shown_points(build: Build, result: DriveResult) -> list[DrivePoint]:
    """The moments worth a row: every few minutes, the start of each leg, and the last."""
    points = result.points
    total = sum(leg.duration_s for leg in build.legs)
    step = next((s for s in STEPS_S if total / s <= MOST_ROWS), total / MOST_ROWS)
    chosen: dict[float, DrivePoint] = {}
    due = 0.0
    leg = ""
    for point in points:
        starts = point.leg != leg and len(build.legs) <= MOST_STARTS
        if starts or point.time_s >= due - 1e-6 or point is points[-1]:
            chosen[point.time_s] = point
        while point.time_s >= due - 1e-6:
            due += step
        leg = point.leg
    return list(chosen.values())
