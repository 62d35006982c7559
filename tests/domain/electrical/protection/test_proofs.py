"""The three proofs on plans whose figures are known by hand."""

from math import inf

import pytest

from domain.build import actions, removal
from domain.build.choices import FuseFamily
from domain.build.edits import AddRecord
from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.protection.any_short import Fuse, worst_short
from domain.electrical.protection.circulation import Currents
from domain.electrical.protection.opening import table_window
from domain.electrical.protection.proofs import Harm, Proof, Proofs, Verdict
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate
from domain.findings import Level
from domain.sheet import SegmentResult
from domain.topics.fuse_study import FuseThere, let_in, steps_of
from domain.topics.tables import Subject
from tests.domain.electrical.small import Change, changed, small_build
from tests.domain.electrical.test_planned_from_nothing import van_with_an_isolator


def proofs(build: Build) -> dict[str, Proof]:
    """The proofs of a build by segment."""
    solved = size_and_solve(build)
    sized = solved.sized
    charge = {b.id: sources.bulk_charge_a(b) for b in build.batteries}
    currents = Currents(sized.amplifier_programme_a, sized.amplifier_design_a, charge)
    made = Proofs(
        *(build, solved.wiring, solved.items, sized.gauge, sized.fuse_a, sized.family, currents)
    )
    return {proof.segment.id: proof for proof in made.judged()}


def amplified(*changes: Change) -> Build:
    return changed(small_build(), *changes)


def test_a_sound_plan_is_protected_everywhere() -> None:
    for proof in proofs(small_build()).values():
        assert proof.harm is Harm.NONE
        assert proof.verdict in (Verdict.PROTECTED, Verdict.TAIL, Verdict.TRUSTED)


def test_a_branch_fuse_behind_the_wire_does_not_protect_it() -> None:
    # hand: 2.5 m of AWG 18 (16.7 A in the boot by the tables) under the 200 A main fuse
    found = proofs(
        amplified(
            ("runs", "r4", "fuse_a", 200.0),
            ("runs", "r5", "length_m", 2.75),
            ("runs", "r5", "gauge", "AWG 18"),
            ("runs", "r5", "fuse_a", 15.0),
            ("runs", "r5", "fuse_distance_m", 2.5),
        )
    )
    ahead = found["r5.1"]
    assert ahead.lasting_a == 200
    assert ahead.carries_a < 20
    assert ahead.harm is Harm.STOP
    assert found["r5.2"].verdict is Verdict.PROTECTED


def second_battery(*changes: Change) -> Build:
    """Two batteries, each with a fused run into the main block, and nothing else between them."""
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    build = actions.applied(build, removal.remove(build, "runs", link))
    record = {"id": "r20", "source": "b2", "target": "d1", "fused": True, "fuse_a": 125.0}
    build = actions.applied(build, AddRecord(table="runs", record=record))
    return changed(build, ("runs", "r4", "fuse_a", 125.0), *changes)


def test_fuses_of_two_batteries_add_up() -> None:
    # hand: 125 A + 125 A into one unfused branch of AWG 4
    build = second_battery(
        ("runs", "r5", "fused", False),
        ("runs", "r5", "gauge", "AWG 4"),
        ("runs", "r5", "length_m", 2.0),
    )
    branch = proofs(build)["r5.1"]
    assert branch.lasting_a == 250
    assert branch.limits == ("r4", "r20")
    assert branch.harm is Harm.STOP


def test_an_alternator_on_the_block_is_a_source() -> None:
    # hand: 240 A of the alternator and 35 A of the main fuse on the branch
    build = amplified(
        ("runs", "r4", "fuse_a", 35.0),
        ("alternators", "g1", "rated_a", 240.0),
        ("runs", "r1", "target", "d1"),
        ("runs", "r1", "existing", False),
        ("runs", "r1", "gauge", None),
        ("runs", "r5", "fused", False),
        ("runs", "r5", "gauge", "AWG 12"),
    )
    branch = proofs(build)["r5.1"]
    assert branch.lasting_a == 275
    assert set(branch.limits) == {"r4", "g1"}
    assert branch.harm is Harm.STOP


def test_an_existing_link_without_a_fuse_is_judged() -> None:
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    bare = changed(
        build,
        ("runs", link, "fused", False),
        ("runs", link, "far_fused", False),
        ("runs", link, "existing", True),
        ("runs", link, "gauge", "AWG 4"),
    )
    proof = proofs(bare)[f"{link}.1"]
    assert proof.lasting_a == inf
    assert (proof.verdict, proof.harm) == (Verdict.UNGUARDED, Harm.STOP)


def test_an_existing_cable_without_a_gauge_is_a_question() -> None:
    build = amplified(("runs", "r4", "existing", True), ("runs", "r4", "gauge", None))
    assert proofs(build)["r4.2"].verdict is Verdict.UNKNOWN
    # the maker's own charge cable is trusted all the same
    maker = amplified(("runs", "r1", "gauge", None))
    assert proofs(maker)["r1.1"].verdict is Verdict.TRUSTED


def test_the_makers_cable_is_trusted_no_further_than_its_alternator() -> None:
    # a 240 A alternator on AWG 4 is more than any maker laid it for (about 185 A to its limit)
    larger = amplified(("alternators", "g1", "rated_a", 240.0))
    assert proofs(larger)["r1.1"].harm is Harm.STOP
    joined = actions.applied(
        small_build(),
        AddRecord(table="runs", record={"id": "r20", "source": "g1", "target": "d1"}),
    )
    assert proofs(joined)["r1.1"].verdict is not Verdict.TRUSTED


@pytest.mark.parametrize(
    ("gauge", "fuse_a", "harm"),
    [("AWG 2", 100.0, Harm.NONE), ("AWG 4", 150.0, Harm.FIX), ("AWG 8", 150.0, Harm.STOP)],
)
def test_a_battery_ground_is_judged_by_the_fuses_ahead(
    gauge: str, fuse_a: float, harm: Harm
) -> None:
    found = proofs(amplified(("runs", "r3", "gauge", gauge), ("runs", "r4", "fuse_a", fuse_a)))
    assert found["r3.1"].harm is harm
    assert found["r3.1"].lasting_a == fuse_a


def test_a_fuse_in_a_ground_limits_what_its_own_wire_brings_back() -> None:
    # by hand: 150 A of the main fuse come back through the battery's ground; one of 50 A in it
    # lets 50 A through, on both sides of it. In a short a second way back may go round it: there
    # the main fuse alone counts, and AWG 8 is still too thin for it.
    bare = amplified(("runs", "r3", "gauge", "AWG 8"), ("runs", "r4", "fuse_a", 150.0))
    assert proofs(bare)["r3.1"].harm is Harm.STOP
    fused = changed(
        bare,
        *(("runs", "r3", "fused", True), ("runs", "r3", "fuse_a", 50.0)),
        ("runs", "r3", "fuse_distance_m", 0.1),
    )
    found = proofs(fused)
    for piece in (found["r3.1"], found["r3.2"]):
        assert piece.lasting_a == 50.0
        assert (piece.verdict, piece.harm) == (Verdict.SHORT, Harm.FIX)
    assert found["r4.2"].lasting_a == 150.0  # the plus side is not let off
    shown = Subject(fused, evaluate(fused, swept=True))
    run = shown.sheet.run("r3")
    assert run is not None
    ahead, there, behind = steps_of(shown, run)
    assert isinstance(there, FuseThere)
    assert "50 A" in there.said
    for step in (ahead, behind):
        assert isinstance(step, SegmentResult)
        assert "50 A at most" in let_in(shown, step)


@pytest.mark.parametrize(
    ("metres", "verdict", "harm"),
    [
        (0.45, Verdict.TAIL, Harm.NONE),
        (1.0, Verdict.LONG_TAIL, Harm.FIX),
        (1.9, Verdict.LONG_TAIL, Harm.STOP),
    ],
)
def test_the_length_ahead_of_the_main_fuse_decides(
    metres: float, verdict: Verdict, harm: Harm
) -> None:
    # 18 in of the trade, 72 in of ABYC E-11 (from memory)
    found = proofs(amplified(("runs", "r4", "fuse_distance_m", metres)))
    assert (found["r4.1"].verdict, found["r4.1"].harm) == (verdict, harm)


def test_a_short_between_two_batteries_opens_both_fuses_in_turn() -> None:
    # the core of a plan with two batteries holds fuses, so that the third proof looks at it
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    link = next(run.id for run in build.runs if run.far_fused)
    sound = proofs(build)
    assert all(proof.shared is None for proof in sound.values())
    thin = changed(
        build,
        ("runs", link, "gauge", "AWG 8"),
        ("runs", link, "fuse_a", 100.0),
        ("runs", link, "length_m", 4.0),
    )
    assert proofs(thin)[f"{link}.2"].harm is not Harm.NONE


def test_a_fuse_of_the_wires_ampacity_may_still_be_too_slow() -> None:
    # by hand: AWG 4 of 105 C at 30 C stands 1.45 I_z for 201 s, a 150 A strip takes up to 752 s
    build = changed(
        small_build(),
        *(("runs", "r4", "gauge", "AWG 4"), ("runs", "r4", "cover", "open air")),
        ("zones", "z1", "ambient_c", 30.0),
    )
    wire = proofs(build)["r4.2"].wire
    strip = Fuse("r4", table_window(FuseFamily.STRIP_30), wire.ampacity_a)
    assert not worst_short((strip,), wire).holds
    quick = Fuse("r4", table_window(FuseFamily.BLADE_C), wire.ampacity_a / 2)
    assert worst_short((quick,), wire).holds
    # two fuses in a row: the quicker decides
    assert worst_short((strip, quick), wire) == worst_short((quick, strip), wire)
    assert worst_short((strip, quick), wire).holds


@pytest.mark.parametrize(("inches", "harm"), [(18, Harm.NONE), (40, Harm.FIX), (72, Harm.FIX)])
def test_a_length_of_just_the_limit_is_inside_it(inches: int, harm: Harm) -> None:
    # exact by definition of the inch: 18 in of the trade, 72 in of ABYC E-11 (from memory)
    metres = inches * 0.0254
    found = proofs(amplified(("runs", "r4", "fuse_distance_m", metres)))["r4.1"]
    assert found.harm is harm
    over = proofs(amplified(("runs", "r4", "fuse_distance_m", metres + 0.002)))["r4.1"]
    assert (over.harm is harm) is (inches == 40)


def test_a_battery_ground_brings_back_what_the_other_battery_sends() -> None:
    # by hand, the ground block on the first battery's post: where the main block touches it, the
    # first battery's 125 A go round on their own, while 125 A of the second battery and 120 A of
    # the alternator, both grounded to the body, come back through the first one's ground run
    build = second_battery()
    build = actions.applied(build, actions.add(build, "blocks", kind="ground"))
    block = build.blocks[-1].id
    back = {"id": "r50", "polarity": "ground", "source": "b1", "target": block}
    build = actions.applied(build, AddRecord(table="runs", record=back))
    found = proofs(changed(build, ("runs", "r6", "target", block)))
    assert (found["r3.1"].lasting_a, found["r3.1"].cause) == (125 + 120, "block:d1")
    assert (found["r50.1"].lasting_a, found["r50.1"].cause) == (125 + 125, "block:d1")
    assert (found["r6.1"].lasting_a, found["r6.1"].cause) == (60, "a1")


@pytest.mark.parametrize(
    ("fuse_a", "verdict"),
    [(60.0, Verdict.PROTECTED), (80.0, Verdict.SHORT), (80.5, Verdict.LONG_TAIL)],
)
def test_a_fuse_of_just_the_ampacity_is_no_overload(fuse_a: float, verdict: Verdict) -> None:
    # IEC 60364-4-43 433.1 (from memory): rating no larger than ampacity; AWG 8 of 105 C carries
    # 80 A at 30 C (33 CFR 183.425 Table 5); a strip of 80 A is slow for it, but no overload; above
    # that it is so until the 60 A fuse of the branch
    build = amplified(
        ("zones", "z1", "ambient_c", 30.0),
        *(("runs", "r4", "gauge", "AWG 8"), ("runs", "r4", "fuse_a", fuse_a)),
        *(("runs", "r4", "fuse_family", "strip SF 30"), ("runs", "r4", "cover", "open air")),
    )
    found = proofs(build)["r4.2"]
    assert found.carries_a == pytest.approx(80.0)
    assert found.verdict is verdict


def returned_a(build: Build, run: str) -> float:
    """The most that one wire of a ground run has to bring back [A]."""
    return max(s.lasting_a or 0.0 for s in evaluate(build).segments_of(run))


@pytest.mark.parametrize("count", [2, 3, 4])
def test_several_ground_wires_bring_back_what_one_does(count: int) -> None:
    # by Kirchhoff: alike wires side by side share alike, and together they bring back what the one
    # in their place does; a battery's minus gets back no more than its plus gives
    one = van_with_an_isolator("AGM", 100.0)
    one = actions.applied(one, actions.add(one, "alternators", rated_a=180.0))
    sheet = evaluate(one)
    pins: list[Change] = [
        ("runs", r.id, "fuse_a", r.fuse_a) for r in sheet.runs if r.fuse_a is not None
    ]
    ground = next(r.id for r in one.runs if r.polarity == "ground" and "b2" in (r.source, r.target))
    one = changed(one, *pins)
    several = changed(one, ("runs", ground, "count", count))
    assert count * returned_a(several, ground) == pytest.approx(returned_a(one, ground), rel=0.02)


def test_where_it_is_too_hot_for_its_insulation_that_is_said_once() -> None:
    # 105 C around 105 C insulation; 87 C around a 90 C cable of 16 mm2, which ISO 10133 (from
    # memory) has in its column of 85 C
    hot = changed(small_build(), ("zones", "z1", "ambient_c", 105.0))
    metric = changed(
        small_build(),
        *(("runs", "r4", "gauge", "16 mm2"), ("runs", "r4", "insulation", "90 C")),
        ("zones", "z1", "ambient_c", 87.0),
    )
    for build in (hot, metric):
        told = [f for f in evaluate(build).findings if f.id == "r4" and f.level is Level.STOP]
        assert [f.code for f in told].count("insulation-heat") == 1
        assert not any(f.code == "fuse-over-wire" for f in told)


@pytest.mark.parametrize(("fuse_a", "harm"), [(40.0, Harm.FIX), (100.0, Harm.STOP)])
def test_a_fuse_of_its_own_far_too_large_is_not_excused_by_those_on_the_amplifier(
    fuse_a: float, harm: Harm
) -> None:
    # by hand: 0.6 m of AWG 12 for some 31 A (33 CFR 183.425) to an amplifier with 30 A of fuses on
    # the unit: 40 A are within 150 % of that (33 CFR 183.455), 100 A are not
    build = amplified(
        *(("amplifiers", "a1", "onboard_fuse_a", 30.0), ("runs", "r5", "gauge", "AWG 12")),
        *(("runs", "r5", "length_m", 0.6), ("runs", "r5", "fuse_a", fuse_a)),
        ("runs", "r4", "fuse_a", 150.0),
    )
    found = proofs(build)["r5.1"]
    assert 26 < found.carries_a < 34
    assert found.harm is harm
