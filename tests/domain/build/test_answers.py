"""What a new build is asked, and lengths as they are typed. Expected: by what the questions say."""

import pytest

from domain.build.actions import add, applied
from domain.build.answers import Answers, begun
from domain.build.choices import Drive, UnitHabit
from domain.build.lengths import in_feet, measured, taken_as
from domain.build.start import start_build
from domain.document.records import find
from domain.evaluate import evaluate
from domain.findings import Level
from domain.units.show import format_quantity


def test_nothing_answered_is_a_build_as_ever() -> None:
    assert begun(Answers()) == start_build()
    assert begun(Answers(title="  ")).header.title == "New build"


def test_what_is_answered_stands_in_the_build() -> None:
    asked = Answers("Van", "Kim", "Panel van", UnitHabit.METRIC, Drive.COMBUSTION, True)
    header = begun(asked).header
    assert (header.title, header.customer, header.vehicle) == ("Van", "Kim", "Panel van")
    assert (header.units, header.drive, header.smart_alternator) == (
        UnitHabit.METRIC,
        Drive.COMBUSTION,
        True,
    )


@pytest.mark.parametrize("drive", [Drive.HYBRID, Drive.ELECTRIC])
def test_what_has_no_alternator_to_be_smart_has_a_converter(drive: Drive) -> None:
    build = begun(Answers(drive=drive, smart_alternator=True))
    assert not build.header.smart_alternator
    assert [g.name for g in build.alternators] == ["12 V converter"]


@pytest.mark.parametrize("units", list(UnitHabit))
@pytest.mark.parametrize("place", ["Rear", "Cabin floor"])
def test_a_battery_elsewhere_has_ground_and_main_run_there(place: str, units: UnitHabit) -> None:
    build = begun(Answers(units=units, battery_place=place))
    zone = build.batteries[0].zone
    assert next(z.name for z in build.zones if z.id == zone) == place
    ground = next(r for r in build.runs if r.id == "r3")
    assert find(build, ground.target).zone == zone  # type: ignore[union-attr]
    # what charges it stays with the engine: grounded there, its cable as long as a main run
    strap = next(r for r in build.runs if r.id == "r2")
    assert find(build, strap.target).zone == "z1"  # type: ignore[union-attr]
    cable, main = (evaluate(build).run(id) for id in ("r1", "r4"))
    assert cable is not None
    assert main is not None
    assert cable.length_auto
    assert cable.length_m == pytest.approx(16 * 0.3048 if units is UnitHabit.INCH else 5.0)
    assert in_feet(build, build.runs[3]) is (units is UnitHabit.INCH and place != "Rear")
    with_one = applied(build, add(build, "amplifiers", channel_w=300.0))
    sheet = evaluate(with_one, swept=True)
    assert [f.what for f in sheet.findings if f.level is Level.STOP] == []
    assert all(state.converged for state in sheet.states)


def test_lengths_of_the_vehicles_own_cables_are_assumed_and_not_asked_for() -> None:
    build = start_build()
    sheet = evaluate(build)
    for id, shown in (("r1", "5 ft"), ("r2", "18 in"), ("r3", "16 in")):
        run = sheet.run(id)
        assert run is not None
        assert run.length_auto
        assert format_quantity("length", run.length_m, UnitHabit.INCH) == shown
    (told,) = (f for f in sheet.findings if f.code == "not-measured")
    assert told.id == "r4"
    assert told.what.startswith("Main run")


@pytest.mark.parametrize(
    ("id", "typed", "metres", "said"),
    [
        ("r5", "2", 2 * 0.0254, "Taken as 2 in; 2' for feet"),
        ("r5", "2.5", 2.5 * 0.0254, "Taken as 2.5 in; 2.5' for feet"),
        ("r5", "2x30", 30 * 0.0254, "Taken as 30 in; 30' for feet"),
        ("r4", "16", 16 * 0.3048, 'Taken as 16 ft, from one location to another; 16" for inches'),
        ("r5", "2'", 2 * 0.3048, ""),
        ("r5", "2 ft", 2 * 0.3048, ""),
        ("r5", '2"', 2 * 0.0254, ""),
        ("r4", "1.5 m", 1.5, ""),
    ],
)
def test_what_a_bare_number_was_taken_as_is_said(
    id: str, typed: str, metres: float, said: str
) -> None:
    # 1 in = 0.0254 m and 1 ft = 0.3048 m exactly
    build = start_build()
    build = applied(build, add(build, "amplifiers"))
    run = next(r for r in build.runs if r.id == id)
    after = applied(build, measured(build, run, typed))
    assert next(r.length_m for r in after.runs if r.id == id) == pytest.approx(metres)
    taken = taken_as(build, run, typed)
    assert (taken.said if taken else "") == said


@pytest.mark.parametrize(
    ("typed", "rule"), [("2", ""), ("5.5", ""), ("2x2", ""), ("6", "inches"), ("30", "inches")]
)
def test_a_short_length_may_have_been_meant_in_feet_and_is_told_each_time(
    typed: str, rule: str
) -> None:
    # by definition: below half a foot a length of wire is more often feet than inches
    build = applied(start_build(), add(start_build(), "amplifiers"))
    taken = taken_as(build, next(r for r in build.runs if r.id == "r5"), typed)
    assert taken is not None
    assert taken.rule == rule


@pytest.mark.parametrize("typed", ["0x16", "9x16", "17x16", "2x", "2x "])
def test_wires_side_by_side_are_refused_in_words_of_their_own(typed: str) -> None:
    build = applied(start_build(), add(start_build(), "amplifiers"))
    with pytest.raises(ValueError, match="1 to 8 of them, such as 2x16"):
        measured(build, build.runs[3], typed)


def test_in_metres_nothing_is_said() -> None:
    build = start_build(units=UnitHabit.METRIC)
    assert taken_as(build, build.runs[3], "4") is None
