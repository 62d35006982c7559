"""Planning joints and the default build beside what standards allow a joint or a loop."""

import pytest

from domain.build.choices import Metal, Surface
from domain.build.records import Build, GroundPoint
from domain.electrical import conductors
from domain.electrical.network import system
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate
from domain.findings import Finding
from domain.reference.planning import planned
from tests.domain.electrical.small import changed, small_build

J541_LIGHT_OHM = 0.2 / 100
"""SAE J541: the whole loop of a 12 V light or medium duty starter circuit, cables, connections
and grounds together, loses at most 0.2 V per 100 A at 20 C."""

J541_HEAVY_OHM = 0.1 / 100
"""SAE J541, heavy duty: 0.1 V per 100 A."""

FRAME_BOND_OHM = 0.0025
"""AC 43.13-1B paragraph 11-188 f: equipment frame to structure, less than 2.5 milliohm; the same
figure is MIL-STD-464's for one faying interface (from memory)."""

JUMPER_OHM = 0.003
"""AC 43.13-1B paragraph 11-189: a bonding jumper's connection, not above 3 milliohm."""

GOOD_BOND_OHM = 0.001
"""MIL-HDBK-419A volume II 1.7: a milliohm or less marks a good junction."""

STUD_LIMITS = {"8-32": 7.5e-3 / 30, "10-32": 7.5e-3 / 35, "1/4-28": 7.5e-3 / 43}
"""MIL-DTL-83454A 4.5.3 and table VIII: 7.5 mV at the rated current of a stud terminal [ohm]."""

CRIMP_AND_RING_OHM = (0.01e-3 + 0.05e-3, 0.1e-3 + 0.2e-3)
"""A good crimp and a bolted ring on clean metal together, low and high: typical, from memory."""

BODY_OHM = {Surface.BARE: (0.1e-3, 0.5e-3), Surface.PAINTED: (2e-3, 20e-3)}
"""Body ground points, clean and corroded or over paint, low and high: typical, from memory."""


def test_a_planning_joint_is_a_good_joint() -> None:
    # source: the limits named above; planning counts with good work, not with what just passes
    joint = planned("joint_ohm")
    low, high = CRIMP_AND_RING_OHM
    assert low <= joint <= high
    assert joint < min(STUD_LIMITS.values())
    assert 2 * joint < GOOD_BOND_OHM < FRAME_BOND_OHM < JUMPER_OHM


@pytest.mark.parametrize("surface", [Surface.BARE, Surface.PLATED])
def test_a_clean_ground_point_passes_the_bond_limits(surface: Surface) -> None:
    # source: AC 43.13-1B, MIL-HDBK-419A
    assert system.body_ohm(GroundPoint(id="e1", surface=surface)) < GOOD_BOND_OHM


def test_a_painted_ground_point_fails_them_and_the_unknown_lies_between() -> None:
    # source: AC 43.13-1B; typical ranges
    ohm = {s: system.body_ohm(GroundPoint(id="e1", surface=s)) for s in Surface}
    assert ohm[Surface.PAINTED] > FRAME_BOND_OHM
    assert ohm[Surface.PLATED] <= ohm[Surface.BARE] < ohm[Surface.UNKNOWN] < ohm[Surface.PAINTED]
    for surface, (low, high) in BODY_OHM.items():
        assert low <= ohm[surface] <= high
    assert planned("ground_body_limit_ohm") == FRAME_BOND_OHM


@pytest.mark.parametrize(("milliohm", "told"), [(0.3, False), (2.4, False), (2.6, True)])
def test_a_measured_body_path_is_judged_by_the_bond_limit(milliohm: float, told: bool) -> None:
    # source: AC 43.13-1B paragraph 11-188 f
    build = changed(small_build(), ("grounds", "e2", "resistance_ohm", milliohm / 1000))
    assert any(f.id == "e2" and "AC 43.13" in f.source for f in found_all(build)) is told


def found_all(build: Build) -> list[Finding]:
    return list(evaluate(build).findings)


def cold_ohm(build: Build, id: str) -> float:
    """A run at 20 C with its two joints [ohm], by hand."""
    run = next(run for run in build.runs if run.id == id)
    solved = size_and_solve(build)
    sized, items = solved.sized, solved.items
    wire = conductors.resistance_ohm(sized.gauge[id], run.metal, items[id].wire_m, 20)
    return wire + 2 * planned("joint_ohm")


def test_the_default_ground_path_leaves_room_in_the_starter_loop() -> None:
    # source: SAE J541: engine strap and battery ground cable of a new build, which carry the
    # starter's return, take less than the whole loop may lose; a starter cable of a metre in
    # 1/0 with its joints then still fits. A heavy-duty loop would want thicker cables
    build = small_build()
    ground = cold_ohm(build, "r2") + cold_ohm(build, "r3")
    cable = conductors.resistance_ohm("AWG 1/0", Metal.COPPER, 1.0, 20) + 2 * planned("joint_ohm")
    assert 0.1 * 200 < ground * 100 * 1000 < 200
    assert ground + cable < J541_LIGHT_OHM
    assert ground + cable > J541_HEAVY_OHM


def test_a_starter_pulls_the_default_ground_path_no_further_than_the_yardstick() -> None:
    # source: SAE J541 at 200 A: 0.4 V for the whole loop; by the solver, cables warm
    build = small_build()
    sized = size_and_solve(build).sized
    path = sized.tone_ohm["r2"] + sized.tone_ohm["r3"]
    assert 200 * path < 0.4
    assert path >= cold_ohm(build, "r2") + cold_ohm(build, "r3")


@pytest.mark.parametrize(
    ("gauge", "length_m", "within"), [("AWG 4", 0.5, True), ("AWG 10", 2.0, False)]
)
def test_a_thin_long_strap_is_over_the_yardstick(gauge: str, length_m: float, within: bool) -> None:
    # source: SAE J541; 2 m of AWG 10 alone are 6.6 milliohm
    build = changed(
        small_build(), ("runs", "r2", "gauge", gauge), ("runs", "r2", "length_m", length_m)
    )
    assert (cold_ohm(build, "r2") + cold_ohm(build, "r3") < J541_LIGHT_OHM) is within


def test_default_drop_limit_is_the_codes_five_percent_and_the_fuses() -> None:
    # source: NEC informational notes: wires of feeder and branch together 5 %, of 14 V; two fuses
    # and the six joints of main run, branch and ground are not wire (common practice: 150 A);
    # ISO 10133 has 3 % for what matters and 10 % for the rest, between which it lies
    limit = Build().header.drop_limit_v
    beside_v = 2 * planned("fuse_drop_v") + 6 * planned("joint_ohm") * 150
    assert limit == pytest.approx(0.05 * 14 + beside_v, abs=0.01)
    assert 0.03 * 14 < limit < 0.10 * 14
