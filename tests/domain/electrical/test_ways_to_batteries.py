"""What is joined to a battery, and which way current gets there: switches, diodes, bars."""

import pytest

from domain.build import actions, kits, run_ends
from domain.build.choices import BlockKind, Isolates
from domain.build.records import Build
from domain.electrical.bus_bars import ahead_a
from domain.electrical.charging import standing
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.small import changed, found, small_build


def behind(isolates: Isolates) -> Build:
    """A second battery b2 of 300 Ah behind an isolator d2."""
    build = actions.applied(small_build(), kits.battery_behind(small_build(), isolates))
    return changed(build, ("batteries", "b2", "capacity_ah", 300.0))


def also(build: Build, isolates: Isolates) -> Build:
    """One more isolator between d2 and the battery behind it."""
    build = actions.applied(
        build, actions.add(build, "blocks", kind=BlockKind.ISOLATOR, isolates=isolates)
    )
    further = build.blocks[-1].id
    out = next(run for run in build.runs if run.source == "d2" and run.target == "b2")
    build = actions.applied(build, run_ends.add_run(build, "d2", further))
    return actions.applied(build, run_ends.feed_from(build, out.id, further))


def test_a_battery_ahead_of_a_diode_stands_by_itself() -> None:
    """Current passes a diode one way: what is on the starter's side is drawn from that alone."""
    minutes = {}
    for isolates in (Isolates.RELAY, Isolates.DIODE, Isolates.SWITCH):
        build = behind(isolates)
        build = actions.applied(build, actions.add_appliance(build, power_w=24.0))
        feed = next(r for r in build.runs if r.target == build.appliances[0].id)
        build = actions.applied(build, run_ends.feed_from(build, feed.id, "b1"))
        time = standing(build).minutes
        assert time is not None
        minutes[isolates] = time
    assert minutes[Isolates.DIODE] == pytest.approx(minutes[Isolates.RELAY])
    assert minutes[Isolates.SWITCH] > 3 * minutes[Isolates.DIODE]


def test_a_bar_counts_a_battery_whichever_way_its_wire_is_drawn() -> None:
    """By hand: 300 A of a battery come in, 200 A go out to two amplifiers and 40 A to charge b1."""
    build = small_build()
    build = actions.applied(build, actions.add(build, "batteries"))
    build = actions.applied(build, actions.add(build, "amplifiers"))
    build = changed(build, ("blocks", "d1", "kind", BlockKind.BUS_BAR))
    let = []
    for ends in (("b2", "d1"), ("d1", "b2")):
        own = actions.applied(build, run_ends.add_run(build, *ends, fused=True, fuse_a=300.0))
        feeds = [r.id for r in own.runs if r.source == "d1" and r.target.startswith("a")]
        assert len(feeds) == 2
        for id, amperes in (("r4", 40.0), *((id, 100.0) for id in feeds)):
            own = changed(own, ("runs", id, "fused", True), ("runs", id, "fuse_a", amperes))
        let.append(ahead_a(own, evaluate(own).runs, own.blocks[0]))
    assert let == [240.0, 240.0]


def test_a_charger_charges_a_battery_behind_a_switch_or_a_diode() -> None:
    plain = behind(Isolates.CONVERTER)
    for isolates in (Isolates.SWITCH, Isolates.DIODE):
        assert not found(also(plain, isolates), "charger-no-battery")
    # a diode takes 0.7 V off the 13.8 V that the charger holds; 13.4 V is the least that fills
    # LiFePO4, 14.2 V less 0.8 (common practice)
    low = changed(plain, ("batteries", "b2", "chemistry", "LiFePO4"))
    low = changed(low, ("blocks", "d2", "charge_v", 13.8))
    assert found(also(low, Isolates.DIODE), "charge-low")
    assert not found(also(low, Isolates.SWITCH), "charge-low")
    assert not found(low, "charge-low")


def test_an_entered_charge_limit_of_lead_is_judged() -> None:
    plain = changed(behind(Isolates.CONVERTER), ("blocks", "d2", "rated_a", 40.0))
    (told,) = found(changed(plain, ("batteries", "b2", "charge_limit_a", 10.0)), "battery-charge")
    assert told.level is Level.FIX
    assert "gets 40 A" in told.what
    assert not found(changed(plain, ("batteries", "b2", "charge_limit_a", 60.0)), "battery-charge")


def test_an_entered_hottest_temperature_of_lead_is_judged_instead() -> None:
    build = changed(small_build(), ("zones", "z1", "ambient_c", 65.0))
    assert found(build, "battery-warm")
    entered = changed(build, ("batteries", "b1", "hottest_c", 80.0))
    assert not found(entered, "battery-warm")
    assert not found(entered, "battery-hot")
    assert found(changed(build, ("batteries", "b1", "hottest_c", 60.0)), "battery-hot")
