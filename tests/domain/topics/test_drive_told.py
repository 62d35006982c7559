"""What a drive profile is told by: moments worth a row, legs, charges. Counted by hand."""

from domain.evaluate import evaluate
from domain.sheet import DrivePoint, DriveResult
from domain.topics.drive import (
    MOST_CHARGES,
    POINTS,
    balances,
    legs,
    lowest,
    shown_points,
    starts,
    switched_off,
)
from domain.topics.tables import Subject
from tests.domain.electrical.small import changed, small_build


def point(time_s: float, leg: str, post_v: float = 12.5, **values: object) -> DrivePoint:
    whole = {
        "lowest_v": 12.0,
        "charge": {"b1": 0.5},
        "alternator_a": 0.0,
        "battery_a": 10.0,
        "load_a": 10.0,
        "off": (),
        "given_a": {"b1": 10.0},
        **values,
    }
    return DrivePoint(time_s=time_s, leg=leg, post_v=post_v, **whole)  # type: ignore[arg-type]


def driven(*points: DrivePoint) -> DriveResult:
    return DriveResult(60.0, points, {"b1": 3.0}, {"b1": 8.5}, {"b1": -6.0}, {"b1": 0.5}, {})


def subject() -> Subject:
    build = small_build()
    return Subject(build, evaluate(build))


def every_minute() -> DriveResult:
    """A point each minute of 55, legs beginning at 0, 7 and 37 minutes."""
    points = []
    for minute in range(56):
        leg = "l1" if minute < 7 else "l2" if minute < 37 else "l3"
        points.append(point(60.0 * minute, leg))
    return driven(*points)


def test_rows_are_the_starts_of_legs_even_steps_and_the_end() -> None:
    # 55 minutes in 16 rows at most, by steps of the clock: every 5 minutes, and where legs begin
    build = small_build()
    result = every_minute()
    chosen = [p.time_s / 60 for p in shown_points(build, result)]
    assert chosen == sorted({*range(0, 56, 5), 7, 37})
    # the last moment has a row though no step falls on it
    cut = driven(*result.points[:53])
    assert [p.time_s / 60 for p in shown_points(build, cut)][-2:] == [50, 52]


def test_a_leg_begins_at_its_first_point() -> None:
    build = small_build()
    result = every_minute()
    assert starts(result) == {"l1": 0.0, "l2": 420.0, "l3": 2220.0}
    cells = legs(result).cells(Subject(build, evaluate(build)), ("number", "from"))
    assert cells == [("1", "0:00:00"), ("2", "0:07:00"), ("3", "0:37:00")]
    # a leg that was not reached has no beginning
    cut = driven(point(0.0, "l1"))
    cells = legs(cut).cells(Subject(build, evaluate(build)), ("from",))
    assert cells == [("0:00:00",), ("-",), ("-",)]


def test_the_lowest_moments_are_the_first_of_the_lowest() -> None:
    result = driven(
        point(0.0, "l1", 12.6, lowest_v=None),
        point(60.0, "l1", 12.1, lowest_v=11.9),
        point(120.0, "l2", 12.3, lowest_v=11.4),
        point(180.0, "l2", 12.4, lowest_v=11.4),
    )
    assert list(lowest(subject(), result)) == [
        "Lowest at the battery posts: 12.10 V after 0:01:00 (Warm up)",
        "Lowest at an amplifier: 11.40 V after 0:02:00 (Drive)",
    ]
    assert list(lowest(subject(), driven())) == []
    (only,) = lowest(subject(), driven(point(0.0, "l1", lowest_v=None)))
    assert "posts" in only


def test_an_amplifier_switches_off_once() -> None:
    result = driven(
        point(0.0, "l1"), point(330.0, "l2", off=("a1",)), point(390.0, "l2", off=("a1",))
    )
    name = subject().name("a1")
    assert list(switched_off(subject(), result)) == [f"{name} switches off after 0:05:30"]


def test_the_account_of_a_battery() -> None:
    # by hand: 60 Ah at half charge give 9 and take 3: 6 of 60 less is 0.4
    build = changed(small_build(), ("batteries", "b1", "capacity_ah", 60.0))
    (account,) = balances(build, driven(point(0.0, "l1")))
    assert (account.charged_ah, account.discharged_ah) == (3.0, 8.5)
    assert (account.lost_ah, account.stored_ah) == (0.5, -6.0)
    assert (account.began, round(account.ended, 9)) == (0.5, 0.4)
    assert balances(build, driven()) == []


def test_of_many_batteries_only_the_lowest_charge_is_told() -> None:
    def told(*charges: float) -> str:
        charge = {f"b{i}": each for i, each in enumerate(charges, 1)}
        (row,) = POINTS.over([point(0.0, "l1", charge=charge)]).cells(subject(), ("charge",))
        return row[0]

    few = [0.5] * MOST_CHARGES
    assert told(*few) == " ".join(["50%"] * MOST_CHARGES)
    assert told(*few, 0.25, 0.75) == "from 25%"
    assert told() == "-"
