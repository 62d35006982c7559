"""A reading that means a joint hot enough to burn plastic is to stop at, with its watts."""

import pytest

from domain.build.choices import Meter, NetworkMode
from domain.build.records import Build, Reading
from domain.electrical.meter.readings import predicted
from domain.evaluate import evaluate
from domain.findings import Finding, Level
from tests.domain.electrical.small import changed, small_build

TONE = NetworkMode.OFF_TONE


def told(build: Build, at: str, meter: Meter, more_v: float) -> tuple[list[Finding], float]:
    """What is said of a reading so far above what is predicted, and the planned current."""
    sheet = evaluate(build)
    plan = next(
        each
        for each in predicted(build, sheet)
        if (each.at, each.meter, each.mode) == (at, meter, TONE)
    )
    row = Reading(id="m1", at=at, meter=meter, mode=TONE, value_v=plan.predicted_v + more_v)
    state = sheet.state(TONE.value)
    assert state is not None
    found = evaluate(build.but(readings=(row,))).findings
    wire = {"e2": "r6"}.get(at, at)
    return [f for f in found if f.table == "readings"], abs(state.current_a[wire])


@pytest.mark.parametrize(
    ("at", "meter"),
    [("r4", Meter.ALONG), ("r6", Meter.ALONG), ("e2", Meter.TO_BATTERY)],
)
def test_watts_by_joules_law_and_what_to_do_first(at: str, meter: Meter) -> None:
    build = changed(small_build(), ("amplifiers", "a1", "channel_w", 600.0))
    (finding,), amperes = told(build, at, meter, 1.9)
    # P = U I, Joule's law; common practice: a small soldering iron has 15 to 30 W
    assert amperes * 1.9 > 60
    assert (finding.level, finding.code, finding.id) == (Level.STOP, "reading-hot", "m1")
    watts = f"{amperes * 1.9:.3g}"
    assert f"{watts} W" in finding.what
    assert "switch off, let it cool, pull the fuse before you touch it" in finding.do


def test_less_heat_is_to_fix_and_a_low_supply_is_no_joint() -> None:
    (finding,), amperes = told(small_build(), "r4", Meter.ALONG, 0.35)
    assert amperes * 0.35 < 20
    assert (finding.level, finding.code) == (Level.FIX, "reading-failed")
    (over,), _ = told(small_build(), "r4", Meter.ALONG, 20.5 / amperes)
    assert over.code == "reading-hot"
    # less than predicted heats nothing; the voltage of a supply is no drop
    (less,), _ = told(small_build(), "r4", Meter.ALONG, -0.35)
    assert less.code == "reading-failed"
