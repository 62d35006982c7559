"""What the vehicle is: smart alternators, hybrid and electric drive.

Expected: trade knowledge (isolating relays that sense voltage join at 13.3 to 13.7 V and part at
12.8 V by their makers' sheets, so that 12.4 V on the road parts them); cautions by definition.
"""

import pytest

from domain.build import actions, kits
from domain.build.choices import Drive, Isolates
from domain.build.edits import SetField
from domain.build.records import Build
from domain.build.schema import title
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Level
from domain.work_order import work_order
from tests.domain.electrical.small import changed


def car(isolates: Isolates, smart: bool) -> Build:
    build = start_build()
    build = actions.applied(build, kits.battery_behind(build, isolates))
    return actions.applied(
        build, SetField(table="header", id="", field="smart_alternator", value=smart)
    )


def codes(build: Build) -> dict[str, Level]:
    return {f.code: f.level for f in evaluate(build).findings}


@pytest.mark.parametrize("isolates", [Isolates.RELAY, Isolates.DIODE, Isolates.IDEAL_DIODE])
def test_an_isolator_behind_a_smart_alternator_is_told_and_a_charger_is_not(
    isolates: Isolates,
) -> None:
    build = car(Isolates.RELAY, smart=True)
    build = changed(build, ("blocks", build.blocks[-1].id, "isolates", isolates))
    assert codes(build)["smart-isolator"] is Level.FIX
    assert codes(build)["smart-states"] is Level.NOTE
    plain = changed(build, ("header", "", "smart_alternator", False))
    assert not codes(plain).keys() & {"smart-isolator", "smart-states"}
    charger = codes(car(Isolates.CONVERTER, smart=True))
    assert "smart-isolator" not in charger
    assert "smart-states" in charger


@pytest.mark.parametrize("drive", list(Drive))
def test_high_voltage_is_cautioned_and_stands_in_the_work_order(drive: Drive) -> None:
    build = start_build()
    build = actions.applied(build, SetField(table="header", id="", field="drive", value=drive))
    sheet = evaluate(build)
    high = [text for text in sheet.cautions if "HIGH VOLTAGE" in text]
    steps = [step.stage for step in work_order(build, sheet) if "HIGH VOLTAGE" in step.what]
    assert bool(high) is drive.high_voltage
    wanted = (
        ["Disconnect, and check that there is no voltage", "Prepare the vehicle"]
        if drive.high_voltage
        else []
    )
    assert steps == wanted
    assert any("orange" in text for text in sheet.cautions)
    # what charges the 12 V side does not turn: the plan asks for what it gives
    asked = [each for each in evaluate(build).findings if each.code == "converter-output"]
    assert bool(asked) is drive.high_voltage
    for field in ("rated_a", "idle_a", "hot"):  # by the names that its cells have
        assert all(title("alternators", field) in each.do for each in asked)
    told = changed(
        build,
        ("alternators", "g1", "hot", True),
        ("alternators", "g1", "idle_a", build.alternators[0].rated_a),
    )
    assert "converter-output" not in codes(told)


def two(smart: tuple[bool | None, bool | None], isolates: Isolates = Isolates.RELAY) -> Build:
    """A battery behind an isolator, and two alternators, of which these are said to be smart."""
    build = car(isolates, smart=True)
    build = actions.applied(build, actions.add(build, "alternators"))
    return changed(
        build, *(("alternators", f"g{n}", "smart", each) for n, each in enumerate(smart, 1))
    )


def test_each_alternator_has_a_regulation_of_its_own() -> None:
    # by the rule of the higher: on one wire the alternator that keeps 14.2 V holds all of it there
    assert "smart-isolator" not in codes(two((None, None)))
    assert codes(two((None, None)))["alternators-unlike"] is Level.NOTE  # 12.4 beside 14.2 V
    assert codes(two((None, True)))["smart-isolator"] is Level.FIX
    neither = codes(two((False, None)))
    assert not neither.keys() & {"smart-isolator", "smart-states", "alternators-unlike"}
    only_second = codes(two((False, True)))
    assert "smart-states" in only_second
    entered = changed(two((False, None)), ("alternators", "g2", "low_v", 12.4))
    assert "smart-states" in codes(entered)
    assert "smart-isolator" not in only_second


def test_a_smart_one_is_solved_with_what_it_lowers_to() -> None:
    # Kirchhoff: held at 12.4 V an alternator gives less than the batteries, which rest higher
    # (AGM at 80 %: 12.5 V and more), and the music comes out of them
    build = actions.applied(
        car(Isolates.RELAY, smart=True),
        actions.add(car(Isolates.RELAY, smart=True), "amplifiers", channel_w=800.0),
    )
    (told,) = (f for f in evaluate(build).findings if f.code == "smart-states")
    assert "come out of Starter battery with the music on average" in told.why
    assert "at full power" in told.why
    kept = changed(build, ("alternators", "g1", "low_v", 14.2))
    (told,) = (f for f in evaluate(kept).findings if f.code == "smart-states")
    assert "come out of" not in told.why
