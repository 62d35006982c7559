"""Second batteries and alternators: what joins them, what they bring, and what gives nothing."""

import pytest

from domain.build import actions, removal
from domain.build.records import Build
from domain.electrical.fuses import heat_fraction
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.small import changed, found, small_build


def with_battery(chemistry: str, capacity_ah: float = 100.0) -> tuple[Build, str]:
    """The small build with a second battery, and the run that joins it to the first."""
    build = small_build()
    added = actions.add(build, "batteries", chemistry=chemistry, capacity_ah=capacity_ah)
    build = actions.applied(build, added)
    return build, next(run.id for run in build.runs if run.far_fused)


@pytest.mark.parametrize(
    ("chemistry", "amperes"),
    [
        # by hand: AGM takes 0.3 A/Ah half empty (EN 50342-6 style, typical): 30 A; LiFePO4 takes
        # what its protection lets in, 1 A/Ah (typical, 0.2 to 1): 100 A; the alternator gives 120 A
        ("AGM", 30.0),
        ("flooded", 30.0),
        ("LiFePO4", 100.0),
    ],
)
def test_a_link_carries_the_charge_of_its_battery(chemistry: str, amperes: float) -> None:
    build, link = with_battery(chemistry)
    run = evaluate(build).run(link)
    assert run is not None
    assert run.fuse_a is not None
    least = amperes / 0.8 / heat_fraction(60)  # the fuse at the starter battery sits at 60 C
    assert least * (1 - 1e-9) <= run.fuse_least_a <= least * 1.05
    assert run.fuse_a >= run.fuse_least_a
    assert run.ampacity_a >= run.fuse_a


def test_a_link_carries_what_evens_two_batteries_out() -> None:
    # by hand, nothing charges: a full LiFePO4 battery of 200 Ah rests at 13.60 V behind 0.8/200 =
    # 4 mohm, a half-empty one of 100 Ah at 13.10 V behind 8 mohm: 0.5 V / 12 mohm = 41.7 A
    build, link = with_battery("LiFePO4")
    build = changed(
        build,
        ("batteries", "b1", "chemistry", "LiFePO4"),
        ("batteries", "b1", "capacity_ah", 200.0),
        ("alternators", "g1", "rated_a", 0.0),
    )
    run = evaluate(build).run(link)
    assert run is not None
    assert run.fuse_least_a * 0.8 * heat_fraction(60) >= 0.5 / 0.012


def test_a_second_alternator_brings_its_own_cable_and_no_second_vehicle() -> None:
    # common practice: its cable is fused where the battery can feed it, and carries its output
    build = small_build()
    before = evaluate(build).supply
    build = actions.applied(build, actions.add(build, "alternators", rated_a=180.0))
    sheet = evaluate(build)
    assert sheet.supply.vehicle_a == before.vehicle_a
    assert sheet.supply.cruise_a > before.cruise_a
    cable = next(run for run in sheet.runs if run.source == "g2" and run.polarity == "positive")
    ground = next(run for run in sheet.runs if run.source == "g2" and run.polarity == "ground")
    assert not cable.existing
    assert cable.fuse_a is not None
    assert cable.fuse_a >= 180 / 0.8
    assert cable.ampacity_a >= cable.fuse_a
    assert ground.ampacity_a >= 180
    # what was there before (the battery's own ground cable) may be too thin for 180 A more
    there = {run.id for run in build.runs if run.existing}
    assert not [f for f in sheet.findings if f.level is not Level.NOTE and f.id not in there]


def test_a_battery_ground_is_as_thick_as_its_power_run_after_thickening() -> None:
    # by what the schedule says of it; the main run is thickened for a tight drop limit
    texts = 0
    for length_m, limit_v in ((3.0, 0.7), (4.5, 0.7), (4.5, 1.0), (6.0, 1.0), (8.0, 0.4)):
        build = changed(
            small_build(),
            ("header", "", "drop_limit_v", limit_v),
            ("amplifiers", "a1", "onboard_fuse_a", None),
            ("amplifiers", "a1", "channel_w", 900.0),
            ("runs", "r3", "existing", False),
            ("runs", "r3", "gauge", None),
            ("runs", "r4", "length_m", length_m),
        )
        sheet = evaluate(build)
        ground, main = sheet.run("r3"), sheet.run("r4")
        assert ground is not None
        assert main is not None
        texts += ground.gauge_why == "as thick as the battery's power run"
        assert ground.area_mm2 >= main.area_mm2 * 0.92
    assert texts


@pytest.mark.parametrize(
    ("gone", "lacks"), [("r1", "no positive run"), ("r2", "no ground"), ("r1 r2", "and no ground")]
)
def test_an_alternator_that_nothing_joins_gives_nothing(gone: str, lacks: str) -> None:
    # Kirchhoff: what has one wire or none carries no current
    build = small_build()
    for run in gone.split():
        build = actions.applied(build, removal.remove(build, "runs", run))
    (finding,) = found(build, "source-idle")
    assert (finding.level, finding.id) == (Level.FIX, "g1")
    assert lacks in finding.why
    supply = evaluate(build).supply
    assert (supply.cruise_a, supply.idle_a) == (0, 0)
    assert supply.cruise_balance_a < 0


def test_a_battery_without_a_ground_is_not_counted() -> None:
    # Kirchhoff, as above
    build, link = with_battery("AGM")
    assert evaluate(build).supply.capacity_ah == 170
    ground = next(run.id for run in build.runs if run.source == "b2")
    loose = actions.applied(build, removal.remove(build, "runs", ground))
    assert [f.id for f in found(loose, "source-idle")] == ["b2"]
    assert evaluate(loose).supply.capacity_ah == 70
    alone = actions.applied(loose, removal.remove(loose, "runs", link))
    assert [f.id for f in found(alone, "source-idle")] == ["b2"]
    assert evaluate(alone).supply.capacity_ah == 70
    assert not found(build, "source-idle")
