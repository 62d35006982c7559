"""What a meter should show, what is made of what it did show, and readings that make no sense."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build import actions, removal
from domain.build.choices import Meter, NetworkMode
from domain.build.records import Build, Reading
from domain.document.records import records
from domain.electrical.meter.diagnosis import suspects, verdict
from domain.electrical.meter.readings import (
    JudgedReading,
    PredictedReading,
    judged,
    predicted,
)
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate, make_plan
from domain.topics.readings import check_list
from domain.topics.tables import Subject
from tests.counts import cases
from tests.domain.electrical.random_builds import DEVICES, random_build
from tests.domain.electrical.small import changed, small_build

OFF = NetworkMode.OFF_TONE


def listed(build: Build, mode: NetworkMode = OFF) -> dict[tuple[str, Meter], PredictedReading]:
    return {
        (each.at, each.meter): each
        for each in predicted(build, evaluate(build))
        if each.mode is mode
    }


def typed(build: Build, *readings: tuple[str, Meter, NetworkMode, float | None]) -> Build:
    rows = tuple(
        Reading(id=f"m{i}", at=at, meter=meter, mode=mode, value_v=value)
        for i, (at, meter, mode, value) in enumerate(readings, 1)
    )
    return build.but(readings=rows)


def rows_of(build: Build) -> tuple[JudgedReading, ...]:
    return judged(build, evaluate(build))


def test_the_walk_starts_at_the_battery_and_goes_outwards() -> None:
    sheet = evaluate(small_build())
    walk = [each.at for each in predicted(small_build(), sheet) if each.mode is OFF]
    assert walk[0] == "b1"
    assert walk.index("b1") < walk.index("r4") < walk.index("d1") < walk.index("r5")
    assert walk.index("r5") < walk.index("a1") < walk.index("r6") < walk.index("e2")
    orders = [each.order for each in predicted(small_build(), sheet)]
    assert orders == list(range(1, len(orders) + 1))


def test_readings_add_up_round_the_loop() -> None:
    # conservation: Kirchhoff's voltage law round battery, main run, branch, amplifier, return
    for mode in (OFF, NetworkMode.CRUISE_TONE, NetworkMode.OFF_PROGRAMME):
        at = {key: each.predicted_v for key, each in listed(small_build(), mode).items()}
        post, amplifier = at["b1", Meter.TERMINALS], at["a1", Meter.TERMINALS]
        there = at["r4", Meter.ALONG] + at["r5", Meter.ALONG]
        back = at["a1", Meter.TO_BATTERY]
        assert post - there - amplifier - back == pytest.approx(0, abs=1e-9)


def test_a_drop_is_current_times_resistance_and_its_tolerance_is_the_meters_and_a_share() -> None:
    # Ohm's law; tolerance by hand: 0.5 %, two digits of 10 mV, a fifth of the drop
    sheet = evaluate(small_build())
    state, run = sheet.state("off-tone"), sheet.run("r4")
    assert state is not None
    assert run is not None
    each = listed(small_build())["r4", Meter.ALONG]
    drop = state.current_a["r4"] * run.resistance_ohm
    assert each.predicted_v == pytest.approx(drop, rel=1e-6)
    assert each.tolerance_v == pytest.approx(0.005 * drop + 0.02 + 0.2 * drop, rel=1e-6)


def test_programme_is_looser_than_a_tone_and_idle_cables_are_left_out() -> None:
    build = small_build()
    tone, programme = listed(build), listed(build, NetworkMode.OFF_PROGRAMME)
    key = "r4", Meter.ALONG
    share = [(each[key].tolerance_v - 0.02) / each[key].predicted_v for each in (tone, programme)]
    assert share == pytest.approx([0.205, 0.505], rel=1e-6)
    assert ("r1", Meter.ALONG) not in tone
    assert ("g1", Meter.TERMINALS) not in tone
    assert ("g1", Meter.TERMINALS) in listed(build, NetworkMode.IDLE_TONE)


def test_no_alternator_leaves_the_engine_off() -> None:
    build = actions.applied(small_build(), removal.remove(small_build(), "alternators", "g1"))
    modes = {each.mode for each in predicted(build, evaluate(build))}
    assert modes == {NetworkMode.OFF_TONE, NetworkMode.OFF_PROGRAMME}
    (row,) = rows_of(typed(build, ("b1", Meter.TERMINALS, NetworkMode.IDLE_TONE, 14.0)))
    assert (row.ok, row.message) == (
        None,
        "the build has no alternator: read it with the engine off",
    )


def test_a_typed_reading_is_judged() -> None:
    build = small_build()
    drop = listed(build)["r4", Meter.ALONG]
    rows = rows_of(
        typed(
            build,
            ("r4", Meter.ALONG, OFF, drop.predicted_v + 0.99 * drop.tolerance_v),
            ("r4", Meter.ALONG, OFF, -drop.predicted_v),  # probes the other way round
            ("r4", Meter.ALONG, OFF, drop.predicted_v + 1.01 * drop.tolerance_v),
            ("r4", Meter.ALONG, OFF, None),
        )
    )
    assert [row.ok for row in rows] == [True, True, False, None]
    assert rows[1].difference_v == pytest.approx(0)
    assert "V more than predicted" in rows[2].message
    assert rows[3].message == "not read yet"
    assert rows[3].predicted_v == pytest.approx(drop.predicted_v)


@pytest.mark.parametrize(
    ("at", "meter", "says"),
    [
        ("", Meter.TERMINALS, "say which device or run it was taken at"),
        ("a1", Meter.ALONG, "Amp 1 is not a run"),
        ("r4", Meter.TERMINALS, "Main run is a run: read it along the run"),
        ("r4", Meter.TO_BATTERY, "Main run is a run"),
        ("e2", Meter.TERMINALS, "Rear ground has no two terminals"),
        ("b1", Meter.TO_BATTERY, "that is the battery's own post"),
        ("a2", Meter.TERMINALS, "Amp 2 is not wired to a battery and back"),
        ("r7", Meter.ALONG, "is not joined at both ends"),
    ],
)
def test_what_cannot_be_read_that_way_says_so(at: str, meter: Meter, says: str) -> None:
    build = actions.applied(small_build(), actions.add(small_build(), "amplifiers"))
    build = changed(build, ("runs", "r7", "source", ""))
    build = typed(build, (at, meter, OFF, 1.0))
    (row,) = rows_of(build)
    assert says in row.message
    assert (row.predicted_v, row.ok) == (None, None)
    assert suspects(size_and_solve(build).wired, [row]) == ()


def test_a_plan_that_collapses_predicts_nothing_there() -> None:
    build = changed(
        small_build(), ("runs", "r5", "length_m", 60.0), ("runs", "r5", "gauge", "AWG 16")
    )
    assert not listed(build)
    (row,) = rows_of(typed(build, ("b1", Meter.TERMINALS, OFF, 12.0)))
    assert "cannot pass the current in this state" in row.message
    assert row.ok is None


def test_everything_as_predicted_has_no_suspect() -> None:
    build = small_build()
    build = typed(
        build, *((at, meter, OFF, each.predicted_v) for (at, meter), each in listed(build).items())
    )
    rows = rows_of(build)
    assert rows
    assert all(row.ok for row in rows)
    assert suspects(size_and_solve(build).wired, rows) == ()
    assert verdict(build, rows, ()) == f"All {len(rows)} readings are within tolerance."
    assert verdict(build, (), ()) == ""


def test_a_bad_end_is_named_with_what_to_re_make() -> None:
    # one reading: 0.5 V too much along the main run; Ohm's law gives the extra resistance
    build = small_build()
    expected = listed(build)
    rows = rows_of(
        typed(
            build,
            ("r4", Meter.ALONG, OFF, expected["r4", Meter.ALONG].predicted_v + 0.5),
            ("r5", Meter.ALONG, OFF, expected["r5", Meter.ALONG].predicted_v),
        )
    )
    state = evaluate(build).state("off-tone")
    assert state is not None
    found = suspects(size_and_solve(build).wired, rows)
    assert found[0].id == "r4"
    # the amplifier draws a little more as its voltage falls, so a little less does it
    by_hand = 0.5 / state.current_a["r4"]
    assert 0.85 * by_hand < found[0].extra_ohm < by_hand
    assert found[0].explained
    assert found[0].where == "an end or the fuse of Main run"
    assert "Starter battery and at Main block" in found[0].what_to_do
    assert "across the fuse" in found[0].what_to_do
    assert "would explain it" in verdict(build, rows, found)


def test_joints_that_one_reading_cannot_tell_apart_say_so() -> None:
    build = small_build()
    volts = listed(build)["a1", Meter.TERMINALS].predicted_v
    rows = rows_of(typed(build, ("a1", Meter.TERMINALS, OFF, volts - 1.0)))
    found = suspects(size_and_solve(build).wired, rows)
    assert {"r4", "r5", "r6", "e2", "b1"} <= {suspect.id for suspect in found}
    assert {"r4", "r5", "r6"} <= {found[0].id, *found[0].alike}
    assert "do not tell it from" in found[0].what_to_do


def test_readings_that_contradict_each_other() -> None:
    build = small_build()
    volts = listed(build)["a1", Meter.TERMINALS].predicted_v
    twice = rows_of(
        typed(build, ("a1", Meter.TERMINALS, OFF, volts), ("a1", Meter.TERMINALS, OFF, volts - 2))
    )
    found = suspects(size_and_solve(build).wired, twice)
    assert not any(suspect.explained for suspect in found)
    assert "was read twice in one state" in verdict(build, twice, found)
    # the amplifier is 2 V low but nothing is lost on the way to it or from it
    expected = listed(build)
    rows = rows_of(
        typed(
            build,
            ("a1", Meter.TERMINALS, OFF, volts - 2),
            *(
                (at, meter, OFF, each.predicted_v)
                for (at, meter), each in expected.items()
                if (at, meter) != ("a1", Meter.TERMINALS)
            ),
        )
    )
    found = suspects(size_and_solve(build).wired, rows)
    assert not any(suspect.explained for suspect in found)
    says = verdict(build, rows, found)
    assert "contradict each other" in says or "No joint with more resistance" in says


def test_more_volts_than_there_can_be_blames_no_joint() -> None:
    build = small_build()
    rows = rows_of(typed(build, ("a1", Meter.TERMINALS, OFF, 20.0)))
    found = suspects(size_and_solve(build).wired, rows)
    assert not any(suspect.explained for suspect in found)
    assert "outside tolerance" in verdict(build, rows, found)


def test_the_check_list_is_plain_lines() -> None:
    build = small_build()
    sheet = evaluate(build)
    subject = Subject(build, sheet)
    lines = [said for _, said in check_list(subject, predicted(build, sheet))]
    assert lines[0] == "Driving, full power:"
    assert lines[1].startswith("Starter battery, across its terminals: ")
    assert any("Rear ground, from it to the negative post of Starter battery" in x for x in lines)
    assert len(lines) == len(predicted(build, sheet)) + 6


@settings(max_examples=cases(60, 25), deadline=None)
@given(st.integers(0, 2**32), st.integers(0, 25))
def test_nothing_typed_raises(seed: int, steps: int) -> None:
    random = Random(seed)
    build = random_build(random, steps, extreme=random.random() < 0.5)
    ids = ["", *(r.id for table in (*DEVICES, "runs") for r in records(build, table))]
    build = typed(
        build,
        *(
            (
                random.choice(ids),
                random.choice(list(Meter)),
                random.choice(list(NetworkMode)),
                random.choice([None, 0.0, 0.3, -0.3, 12.0, 30.0, -30.0]),
            )
            for _ in range(8)
        ),
    )
    plan = make_plan(build)
    sheet = plan.sheet
    for each in predicted(build, sheet):
        assert each.tolerance_v >= 0.02
    rows = judged(build, sheet)
    assert len(rows) == 8
    assert all(row.message or row.ok for row in rows)
    found = suspects(plan.solved.wired, rows)
    assert all(suspect.extra_ohm > 0 for suspect in found)
    squares = [suspect.remaining**2 for suspect in found]
    assert squares == pytest.approx(sorted(squares), abs=2e-3)
    assert all(suspect.remaining < suspect.before for suspect in found)
    verdict(build, rows, found)
