"""An amplifier has no place where it is as warm as an engine bay, by its air, not by a name; and
one without power is asked for it."""

import pytest

from domain.build.start import start_build
from domain.findings import Level
from tests.domain.electrical.small import changed, found, small_build


def test_an_amplifier_in_the_engine_bay_is_to_be_moved() -> None:
    # common practice: a dry place below some 60 C; a new build's engine bay is 60 C
    (finding,) = found(
        changed(small_build(), ("amplifiers", "a1", "zone", "z1")), "amplifier-place"
    )
    assert (finding.level, finding.table, finding.id) == (Level.FIX, "amplifiers", "a1")
    assert "140 F" in finding.what  # 60 C
    assert "water" in finding.why


@pytest.mark.parametrize(("ambient_c", "told"), [(59.0, 0), (60.0, 1), (85.0, 1)])
def test_it_goes_by_the_air_and_not_by_the_name(ambient_c: float, told: int) -> None:
    build = changed(small_build(), ("zones", "z3", "ambient_c", ambient_c))
    assert len(found(build, "amplifier-place")) == told
    named = changed(build, ("zones", "z3", "name", "Engine bay"))
    assert len(found(named, "amplifier-place")) == told


@pytest.mark.parametrize("zone", ["z2", "z3", ""])
def test_cabin_and_trunk_are_silent(zone: str) -> None:
    build = changed(small_build(), ("amplifiers", "a1", "zone", zone))
    assert not found(build, "amplifier-place")
    assert not found(start_build(), "amplifier-place")


def test_an_amplifier_without_power_is_asked_for_it() -> None:
    off = changed(small_build(), ("amplifiers", "a1", "channel_w", 0.0))
    (finding,) = found(off, "amplifier-power")
    assert (finding.level, finding.id, finding.field) == (Level.FIX, "a1", "channel_w")
    assert not found(small_build(), "amplifier-power")
    # a separate bass set alone is power too
    bass = changed(off, ("amplifiers", "a1", "sub_channels", 1))
    assert not found(changed(bass, ("amplifiers", "a1", "sub_channel_w", 300.0)), "amplifier-power")
