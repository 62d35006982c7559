"""What the charts draw: curves of a fuse on log paper, a drive over time."""

from math import log10

import pytest

from demo_db.load import demo_builds
from domain.build.choices import FuseFamily
from domain.electrical.drive_curves import drive_curves
from domain.electrical.protection import coordination
from domain.electrical.protection.fuse_curves import fuse_curves
from domain.evaluate import make_plan
from domain.full_results import full_results


def test_a_wire_heats_without_loss_at_large_currents() -> None:
    """IEC 60364-4-43, 434.5.2: t = (k S / I)^2, a line of slope -2 on log paper, for short times.

    Currents on a 1-2-5 series: ISO 3 (read), R10/3 rounded, common practice on charts of fuses.
    """
    build = dict(demo_builds())["estate_car"]
    plan = make_plan(build)
    checked = 0
    for study in plan.sheet.studies:
        points, _ = coordination.window_of(build, FuseFamily(study.family), study.rating_a)
        gauge = plan.solved.sized.gauge[study.weakest]
        wire = coordination.wire(plan.solved.items[study.weakest], gauge)
        curves = fuse_curves(study, points, wire)
        assert curves
        assert curves.marks["m"] == pytest.approx(log10(study.must_open_a or 0))
        for (x0, y0), (x1, y1) in zip(curves.stands[-9:], curves.stands[-8:], strict=False):
            if y0 < -1:
                checked += 1
                assert (y1 - y0) / (x1 - x0) == pytest.approx(-2, abs=0.05)
        steps = {label.split()[0].rstrip("0") or "1" for label in curves.currents.values()}
        assert steps <= {"1", "2", "5"}
        assert all(curves.up[0] <= place <= curves.up[1] for place in curves.decades)
    assert checked


def test_the_curves_of_a_drive_reach_from_its_first_moment_to_its_last() -> None:
    # conservation: every leg begins where the legs before it end
    build = dict(demo_builds())["camper_van"]
    result = full_results(make_plan(build)).drive
    assert result
    curves = drive_curves(result)
    assert curves
    starts = [start for start, _ in curves.legs]
    assert starts[0] == curves.post[0][0] == 0
    for number, leg in enumerate(build.legs[:-1]):
        gone = starts[number + 1] - starts[number]
        assert gone == pytest.approx(leg.duration_s, abs=result.step_s)
    assert curves.end_s == pytest.approx(
        sum(leg.duration_s for leg in build.legs), abs=result.step_s
    )
    low, high = curves.volts
    assert all(low <= v <= high for _, v in (*curves.post, *curves.lowest))
    assert len(curves.ticks) <= 9
