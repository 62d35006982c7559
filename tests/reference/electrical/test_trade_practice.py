"""What every bay knows, as check values. Each is common practice unless a source is named."""

import pytest

from domain.build import actions
from domain.build.choices import Polarity, UnitHabit
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Level
from domain.units.parse import parse_quantity
from tests.domain.electrical.small import changed, found, small_build

INCH_M = 0.0254


def main_run(gauge: str, fuse_a: float) -> Build:
    """A short main run in the engine bay with this wire and fuse."""
    return changed(
        small_build(),
        ("runs", "r4", "gauge", gauge),
        ("runs", "r4", "fuse_a", fuse_a),
        ("runs", "r4", "length_m", 1.5),
        ("blocks", "d1", "largest_in", "AWG 4/0"),
    )


@pytest.mark.parametrize(("inches", "far"), [(7, False), (18, False), (18.5, True), (30, True)])
def test_main_fuse_within_18_inches(inches: float, far: bool) -> None:
    # common practice: no more than 18 in of wire from the battery to its fuse
    build = changed(small_build(), ("runs", "r4", "fuse_distance_m", inches * INCH_M))
    assert bool(found(build, "fuse-far")) is far


def test_18_inches_as_typed() -> None:
    # common practice; typed through the program's own units 18 in is 18 in
    metres = parse_quantity("length", "18 in", UnitHabit.INCH)
    assert not found(changed(small_build(), ("runs", "r4", "fuse_distance_m", metres)), "fuse-far")


def test_beyond_72_inches_it_stops() -> None:
    # ABYC E-11 (from memory): 72 in from a battery terminal is the longest of its clauses
    for inches, level in ((71, Level.FIX), (73, Level.STOP)):
        build = changed(small_build(), ("runs", "r4", "fuse_distance_m", inches * INCH_M))
        assert [finding.level for finding in found(build, "fuse-far")] == [level]


def test_200_a_on_short_one_nought_copper_passes() -> None:
    # common practice; 33 CFR 183.425: 285 A at 30 C, 285 sqrt(45/75) = 220.8 A at 60 C
    sheet = evaluate(main_run("AWG 1/0", 200))
    assert not [f for f in sheet.findings if f.id == "r4" and f.level is not Level.NOTE]
    run = sheet.run("r4")
    assert run is not None
    assert run.ampacity_a == pytest.approx(220.76, abs=0.01)
    assert run.protected_a == 200


def test_200_a_on_4_awg_does_not() -> None:
    # common practice; 33 CFR 183.425: 160 A at 30 C, 123.9 A at 60 C
    build = main_run("AWG 4", 200)
    assert [finding.level for finding in found(build, "fuse-over-wire")] == [Level.STOP]
    assert not found(changed(build, ("runs", "r4", "fuse_a", 100.0)), "fuse-over-wire")


def test_a_fuse_a_little_over_its_wire_must_be_mended_and_half_over_stops() -> None:
    # 33 CFR 183.455: at most 150 % of the ampacity; 4 AWG carries 160 sqrt(45/75) = 123.9 A at 60 C
    openly = ("runs", "r4", "cover", "open air")
    for fuse_a, level in ((125, Level.FIX), (175, Level.FIX), (200, Level.STOP)):
        findings = found(changed(main_run("AWG 4", fuse_a), openly), "fuse-over-wire")
        assert [finding.level for finding in findings] == [level]


def test_the_fuse_is_for_the_wire_and_not_for_the_gear() -> None:
    # common practice: small gear behind a fuse that its wire carries is no fault; a fuse that
    # suits the gear's own rating but not the wire is
    small_gear = changed(main_run("AWG 1/0", 200), ("amplifiers", "a1", "channel_w", 50.0))
    assert not found(small_gear, "fuse-over-wire")
    thin = changed(
        small_build(),
        ("amplifiers", "a1", "onboard_fuse_a", 80.0),
        ("runs", "r5", "gauge", "AWG 12"),
        ("runs", "r5", "fuse_a", 80.0),
    )
    assert [finding.id for finding in found(thin, "fuse-over-wire")] == ["r5"]


def test_a_branch_fused_at_the_block_needs_no_more_ahead_of_it() -> None:
    # common practice: the main fuse guards the wire up to the block, the branch fuse the rest;
    # take the branch fuse away and the thin branch hangs on the main fuse
    build = changed(main_run("AWG 1/0", 200), ("runs", "r5", "gauge", "AWG 8"))
    assert not found(build, "fuse-over-wire")
    unfused = changed(build, ("runs", "r5", "fused", False))
    assert [finding.id for finding in found(unfused, "fuse-over-wire")] == ["r5"]


@pytest.mark.parametrize("watts", [50.0, 200.0, 500.0, 900.0, 1500.0])
def test_ground_wire_at_least_as_thick_as_power_wire(watts: float) -> None:
    # common practice: what the power wire brings in, the ground wire takes back
    sheet = evaluate(changed(small_build(), ("amplifiers", "a1", "channel_w", watts)))
    power, ground = sheet.run("r5"), sheet.run("r6")
    assert power is not None
    assert ground is not None
    assert ground.area_mm2 >= power.area_mm2
    pinned = changed(
        small_build(), ("runs", "r5", "gauge", "AWG 4"), ("runs", "r6", "gauge", "AWG 8")
    )
    assert [finding.id for finding in found(pinned, "ground-thin")] == ["r6"]


@pytest.mark.parametrize(("rings", "crowded"), [(4, False), (5, True)])
def test_four_rings_on_a_stud(rings: int, crowded: bool) -> None:
    # common practice, ABYC E-11 (from memory): no more than four terminals on one stud
    build = small_build()
    for _ in range(rings - 1):
        build = actions.applied(build, actions.add(build, "amplifiers"))
        ground = next(run.id for run in reversed(build.runs) if run.polarity is Polarity.GROUND)
        build = changed(build, ("runs", ground, "target", "e2"))
    assert [finding.id for finding in found(build, "ground-crowded")] == (["e2"] if crowded else [])


def test_both_ends_of_a_wire_between_batteries() -> None:
    # common practice: either battery can feed a short, so each end has its fuse
    build = small_build()
    build = actions.applied(build, actions.add(build, "batteries"))
    assert not found(build, "no-fuse")
    link = next(run.id for run in build.runs if run.far_fused)
    one_end = changed(build, ("runs", link, "far_fused", False))
    assert [finding.id for finding in found(one_end, "no-fuse")] == [link]


def test_fuses_run_at_80_percent() -> None:
    # common practice: 80 % of the rating for good, 100 % for the peaks; the block sits at 50 C,
    # where a blade fuse carries 95 % (usual re-rating curve, from memory)
    sheet = evaluate(changed(small_build(), ("header", "", "programme", "tone")))
    run = sheet.run("r5")
    assert run is not None
    assert run.fuse_a is not None
    lasting = [state for state in sheet.states if state.id.endswith("programme")]
    most = max(abs(state.current_a["r5"]) for state in lasting)
    assert most > run.programme_a
    assert run.fuse_least_a == pytest.approx(most / 0.8 / 0.95, rel=1e-6)
    assert run.fuse_a >= run.fuse_least_a


def test_no_solved_current_exceeds_a_chosen_fuse() -> None:
    # by definition of a rating: what flows in any state, engine off at full output too, is no
    # more than the fuse that was chosen for it
    build = changed(small_build(), ("amplifiers", "a1", "onboard_fuse_a", None))
    for watts in (250.0, 500.0, 690.0, 700.0, 710.0, 720.0, 730.0, 740.0):
        sheet = evaluate(changed(build, ("amplifiers", "a1", "channel_w", watts)))
        for run in sheet.runs:
            if run.fuse_a is not None:
                most = max(abs(state.current_a[run.id]) for state in sheet.states)
                assert most <= run.fuse_a * (1 + 1e-9), (watts, run.id)
