"""A further battery behind an isolator that feeds nothing of its own is told of."""

import pytest

from domain.build import actions, kits, run_ends
from domain.build.choices import Isolates
from domain.build.records import Build
from domain.build.start import start_build
from domain.findings import Level
from tests.domain.electrical.small import changed, found, small_build


def with_battery(isolates: Isolates) -> Build:
    build = small_build()
    return actions.applied(build, kits.battery_behind(build, isolates))


@pytest.mark.parametrize(
    ("isolates", "says"),
    [
        (Isolates.RELAY, "with the relay open"),
        (Isolates.SWITCH, "with the switch open"),
        (Isolates.CONVERTER, "behind a DC-DC charger"),
    ],
)
def test_it_says_what_feeds_the_amplifiers_and_what_to_do(isolates: Isolates, says: str) -> None:
    (finding,) = found(with_battery(isolates), "battery-reserve")
    assert (finding.level, finding.id) == (Level.NOTE, "b2")
    assert says in finding.what
    assert "^R" in finding.do


@pytest.mark.parametrize("isolates", [Isolates.RELAY, Isolates.CONVERTER])
def test_what_it_says_to_do_ends_it(isolates: Isolates) -> None:
    build = with_battery(isolates)
    main = next(run.id for run in build.runs if run.target == "d1")
    build = actions.applied(build, run_ends.feed_from(build, main, "b2"))
    assert not found(build, "battery-reserve")


def test_a_capacitor_beside_it_is_no_load() -> None:
    build = with_battery(Isolates.RELAY)
    build = actions.applied(build, actions.add(build, "appliances", kind="capacitor"))
    feed = next(run.id for run in build.runs if run.target == "v1")
    build = actions.applied(build, run_ends.feed_from(build, feed, "b2"))
    assert found(build, "battery-reserve")
    lamp = changed(build, ("appliances", "v1", "kind", "constant power"))
    assert not found(lamp, "battery-reserve")


def test_batteries_side_by_side_and_builds_with_nothing_to_feed_are_silent() -> None:
    build = small_build()
    assert not found(actions.applied(build, actions.add(build, "batteries")), "battery-reserve")
    empty = start_build()
    behind = actions.applied(empty, kits.battery_behind(empty, Isolates.RELAY))
    assert not found(behind, "battery-reserve")
    bank = actions.applied(build, kits.bank_in_the_boot(build))
    assert not found(bank, "battery-reserve")
