"""Drive profile and readings beside the sheet."""

import pytest
from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.build.actions import applied
from domain.build.edits import SetField
from domain.build.records import Build, Leg
from domain.electrical.drive import Cancelled
from domain.evaluate import make_plan
from domain.full_results import MOST_POINTS, drive_profile, full_results, readings_of, thinned

DEMO = dict(demo_builds())


def test_without_legs_there_is_no_drive_and_without_readings_no_verdict() -> None:
    """An empty build gives an empty answer, never an error."""
    empty = full_results(make_plan(Build()))
    assert empty.drive is None
    assert empty.readings.judged == ()
    assert empty.readings.predicted == ()
    assert empty.readings.verdict == ""
    assert drive_profile(make_plan(Build())) is None


def test_legs_without_anything_that_drives() -> None:
    """Legs are simulated even where there is no battery: nothing flows."""
    result = drive_profile(make_plan(Build(legs=(Leg(id="l1", duration_s=30),))))
    assert result is not None
    assert [point.load_a for point in result.points] == [0, 0, 0]


@pytest.mark.parametrize("name", list(DEMO))
def test_charge_is_conserved_over_the_drive_profile(name: str) -> None:
    """Conservation: what goes in less what comes out and is lost is stored, for each battery."""
    result = drive_profile(make_plan(DEMO[name]))
    assert result is not None
    for battery in DEMO[name].batteries:
        came, went, lost, stored = (
            ah[battery.id]
            for ah in (
                result.charged_ah,
                result.discharged_ah,
                result.lost_ah,
                result.stored_ah,
            )
        )
        assert came - went - lost == pytest.approx(stored, abs=1e-9)


def test_thinned_keeps_the_ends_the_order_and_the_balance() -> None:
    """A picture needs no more; short profiles stay as they are."""
    build = DEMO["camper_van"]
    full = full_results(make_plan(build))
    assert full.drive
    assert len(full.drive.points) > MOST_POINTS
    less = thinned(full).drive
    assert less
    assert len(less.points) == MOST_POINTS
    assert (less.points[0], less.points[-1]) == (full.drive.points[0], full.drive.points[-1])
    times = [point.time_s for point in less.points]
    assert times == sorted(set(times))
    assert less.stored_ah == full.drive.stored_ah
    short = replace(full, drive=replace(full.drive, points=full.drive.points[:9]))
    assert thinned(short) is short


def test_progress_runs_to_the_end_and_may_stop_it() -> None:
    """Whoever watches sees 0 to 1, and ends it by saying no."""
    seen: list[float] = []

    def watch(done: float) -> bool:
        seen.append(done)
        return True

    drive_profile(make_plan(DEMO["hatchback"]), watch)
    assert seen == sorted(seen)
    assert (seen[0], seen[-1]) == (0.0, 1.0)
    with pytest.raises(Cancelled):
        drive_profile(make_plan(DEMO["hatchback"]), lambda done: done < 0.5)


def test_the_readings_of_the_hatchback_show_its_bad_ground() -> None:
    """Planted: they were read with 8 mohm more at the boot ground than the plan has.

    The second method is the plan itself with that resistance: it predicts what was typed.
    """
    build = DEMO["hatchback"]
    found = readings_of(make_plan(build))
    assert [each.ok for each in found.judged] == [True, True, True, False, False, False]
    first = found.suspects[0]
    assert first.id == "e2"
    assert first.extra_ohm == pytest.approx(0.008, rel=0.1)
    assert "Boot ground" in found.verdict
    worse = applied(
        build, SetField(table="grounds", id="e2", field="resistance_ohm", value=0.008 + 0.008)
    )
    for each in readings_of(make_plan(worse)).judged:
        assert each.ok
        assert each.predicted_v == pytest.approx(each.value_v, abs=0.025)
