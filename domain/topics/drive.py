"""The drive profile in words: the balance of each battery, what was lowest, who switches off."""

from collections.abc import Iterator

from msgspec import Struct

from domain.build.choices import shown
from domain.build.records import Build, Leg
from domain.reference.planning import planned
from domain.sheet import DrivePoint, DriveResult
from domain.topics.tables import TEXT, Column, Subject, Table
from domain.units.show import clock

MOST_ROWS = 16
MOST_CHARGES = 3
MOST_STARTS = 12
"""This many rows are spread over the profile; if there are few legs, the start of each has one."""

STEPS_S = (10, 30, *(60 * m for m in (1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440, 2880, 10080)))


class BatteryBalance(Struct, frozen=True):
    """The charge account of one battery over the drive; charges are 0 to 1."""

    id: str
    charged_ah: float
    discharged_ah: float
    lost_ah: float
    stored_ah: float
    began: float
    ended: float


def balances(build: Build, result: DriveResult) -> list[BatteryBalance]:
    """The account of every battery; none where nothing was driven."""
    if not result.points:
        return []
    first = result.points[0].charge
    return [
        BatteryBalance(
            battery.id,
            result.charged_ah[battery.id],
            result.discharged_ah[battery.id],
            result.lost_ah.get(battery.id, 0.0),
            result.stored_ah[battery.id],
            first[battery.id],
            first[battery.id] + result.stored_ah[battery.id] / battery.capacity_ah,
        )
        for battery in build.batteries
    ]


def lowest(subject: Subject, result: DriveResult) -> Iterator[str]:
    """When the battery posts and the amplifiers saw the least, in phrases."""

    def said(volts: float, point: DrivePoint) -> str:
        after = f"after {clock(point.time_s)} ({subject.name(point.leg)})"
        return f"{subject.show('voltage', volts)} {after}"

    points = result.points
    if points:
        post = min(points, key=lambda p: p.post_v)
        yield f"Lowest at the battery posts: {said(post.post_v, post)}"
    reached = [(p.lowest_v, p.time_s, p) for p in points if p.lowest_v is not None]
    if reached:
        volts, _, point = min(reached, key=lambda each: each[:2])
        yield f"Lowest at an amplifier: {said(volts, point)}"


def switched_off(subject: Subject, result: DriveResult) -> Iterator[str]:
    """Who switches off when, in phrases."""
    off: dict[str, float] = {}
    for point in result.points:
        for id in point.off:
            off.setdefault(id, point.time_s)
    for id, time_s in off.items():
        yield f"{subject.name(id)} switches off after {clock(time_s)}"


def should_stop(subject: Subject, result: DriveResult) -> Iterator[str]:
    """When a battery is first too low to play on with the engine off, in phrases."""
    cut = subject.show("voltage", planned("cut_off_v"))
    for id, time_s in result.stops_s.items():
        yield (
            f"{subject.name(id)} is half empty or at {cut} after {clock(time_s)}, engine off: the "
            "music should stop"
        )


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


def starts(result: DriveResult) -> dict[str, float]:
    """When each leg begins [s], by its id."""
    found: dict[str, float] = {}
    for point in result.points:
        found.setdefault(point.leg, point.time_s)
    return found


def _charge(subject: Subject, point: DrivePoint) -> str:
    """Of each battery, in the build's order; of many only the lowest."""
    each = [subject.show("share", charge) for charge in point.charge.values()]
    if len(each) > MOST_CHARGES:
        return f"from {subject.show('share', min(point.charge.values()))}"
    return " ".join(each) or "-"


POINTS: Table[DrivePoint] = Table(
    rows=lambda s: (),
    columns=(
        Column("time", "Time", "duration", lambda s, p: clock(p.time_s)),
        Column("leg", "Stage", TEXT, lambda s, p: s.name(p.leg)),
        Column("post", "Post", "voltage", lambda s, p: p.post_v),
        Column("lowest", "Lowest", "voltage", lambda s, p: p.lowest_v),
        Column("charge", "State of charge", "share", _charge),
        Column("alternator", "Alternator", "current", lambda s, p: p.alternator_a),
        Column("battery", "Battery", "current", lambda s, p: p.battery_a),
        Column("loads", "Loads", "current", lambda s, p: p.load_a),
    ),
)
"""Moments of a drive, over those of ``shown_points``."""

BALANCES: Table[BatteryBalance] = Table(
    rows=lambda s: (),
    columns=(
        Column("battery", "Battery", TEXT, lambda s, b: s.name(b.id)),
        Column("in", "In", "capacity", lambda s, b: b.charged_ah),
        Column("out", "Out", "capacity", lambda s, b: b.discharged_ah),
        Column("lost", "Lost", "capacity", lambda s, b: b.lost_ah),
        Column("stored", "Stored", "capacity", lambda s, b: b.stored_ah),
        Column("began", "At first", "share", lambda s, b: b.began),
        Column("ended", "At the end", "share", lambda s, b: b.ended),
    ),
)
"""The charge account, over ``balances``."""


def legs(result: DriveResult) -> Table[Leg]:
    """The legs of a drive with the time at which each begins."""
    began = starts(result)
    return Table(
        rows=lambda s: s.build.legs,
        columns=(
            Column("number", "Stage", "count", lambda s, leg: s.build.legs.index(leg) + 1),
            Column("name", "What happens", TEXT, lambda s, leg: s.name(leg.id)),
            Column("engine", "Engine", TEXT, lambda s, leg: shown(leg.engine)),
            Column("playing", "Playing", TEXT, lambda s, leg: shown(leg.playing)),
            Column(
                "from",
                "From",
                "duration",
                lambda s, leg: clock(began[leg.id]) if leg.id in began else None,
            ),
            Column("for", "Lasts", "duration", lambda s, leg: leg.duration_s),
        ),
    )
