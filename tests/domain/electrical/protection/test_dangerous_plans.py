"""Plans with something wrong that can burn: each is stopped or must be mended, with its figure.

Hand calculations, the figures beside each plan. What flows for good is the sum of the fuses and
alternators between the sources and the wire; what the wire carries is read from 33 CFR 183.425
Table 5 with the zone's correction.
"""

import re

import pytest

from domain.build import actions, removal
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Finding, Level
from tests.domain.electrical.protection.dangerous_plans import (
    DANGERS,
    alternator_on_block,
    banked,
    far_branch_fuse,
    plan,
    thin_block_ground,
    with_run,
)
from tests.domain.electrical.small import changed, small_build


def serious(build: Build) -> list[Finding]:
    """What is to stop or to mend, but for what a fuse can break."""
    return [
        f
        for f in evaluate(build).findings
        if f.level is not Level.NOTE and f.code != "fuse-breaking"
    ]


def told(build: Build, run: str) -> list[tuple[Level, str]]:
    """What is said of a run, without notes."""
    return [(f.level, f.code) for f in serious(build) if f.id == run]


def test_a_branch_fuse_far_along_its_own_wire() -> None:
    # 200 A main, 2.5 m of AWG 18 ahead of a 15 A fuse: 200 A into wire for 17 A
    build = far_branch_fuse()
    assert (Level.STOP, "fuse-far") in told(build, "r5")
    # the same drawn with the fuse at the far end
    far = changed(
        build,
        ("runs", "r5", "fused", False),
        ("runs", "r5", "fuse_distance_m", None),
        ("runs", "r5", "far_fused", True),
        ("runs", "r5", "far_fuse_distance_m", 0.25),
    )
    assert (Level.STOP, "fuse-far") in told(far, "r5")
    # and 3.9 m of AWG 8 ahead of a 35 A fuse
    thick = changed(
        build,
        ("runs", "r5", "gauge", "AWG 8"),
        ("runs", "r5", "length_m", 4.2),
        ("runs", "r5", "fuse_a", 35.0),
        ("runs", "r5", "fuse_distance_m", 3.9),
    )
    assert (Level.STOP, "fuse-far") in told(thick, "r5")


@pytest.mark.parametrize(
    ("fuse_a", "level"), [(70.0, None), (80.0, Level.FIX), (150.0, Level.STOP)]
)
def test_fuses_of_two_batteries_into_one_feeder_add_up(fuse_a: float, level: Level | None) -> None:
    # twice 80 and 150 A into AWG 4 for 137 A: over by 17 % and by 119 %; 140 A into AWG 2 is not
    build, link = banked()
    build = actions.applied(build, removal.remove(build, "runs", link))
    build = changed(
        with_run(build, id="r30", source="b2", target="d1", fused=True, fuse_a=fuse_a),
        ("runs", "r4", "fuse_a", fuse_a),
        ("runs", "r5", "fused", False),
        ("runs", "r5", "gauge", "AWG 4" if level else "AWG 2"),
        ("runs", "r5", "length_m", 2.0),
        ("runs", "r5", "cover", "open air"),
        ("amplifiers", "a1", "largest_wire", "AWG 1/0"),
    )
    found = [f for f in serious(build) if f.id == "r5" and f.code == "fuse-over-wire"]
    assert [f.level for f in found] == ([level] if level else [])
    if level:
        assert f"{2 * fuse_a:.0f} A" in found[0].what


def test_the_engine_sizes_a_feeder_for_both_batteries() -> None:
    build, link = banked()
    build = actions.applied(build, removal.remove(build, "runs", link))
    build = changed(
        with_run(build, id="r30", source="b2", target="d1", fused=True),
        ("runs", "r5", "fused", False),
        ("amplifiers", "a1", "largest_wire", "AWG 1/0"),
    )
    sheet = evaluate(build)
    mains = sum(run.fuse_a or 0.0 for run in sheet.runs if run.id in ("r4", "r30"))
    branch = sheet.run("r5")
    assert branch is not None
    assert branch.ampacity_a >= mains
    assert not told(build, "r5")


def test_an_alternator_is_a_source() -> None:
    # 240 A of the alternator and 35 A of the main fuse into AWG 12 for 39 A
    build = alternator_on_block()
    found = [f for f in serious(build) if f.id == "r5" and f.level is Level.STOP]
    assert any("275 A" in f.what for f in found)
    assert (Level.STOP, "fuse-over-wire") in told(build, "r4")


@pytest.mark.parametrize("name", DANGERS)
def test_each_of_ten_is_told_with_its_figures(name: str) -> None:
    danger = DANGERS[name]
    found = [
        f
        for f in evaluate(danger.build(), swept=True).findings
        if (f.level, f.code, f.id) == (danger.level, danger.code, danger.id)
    ]
    assert len(found) == 1
    for figure in danger.says:
        assert figure in f"{found[0].what}; {found[0].why}"
    if danger.about_a:
        said = re.search(r"(\d+) A", found[0].what)
        assert said is not None
        assert float(said[1]) == pytest.approx(danger.about_a, rel=0.04)


def test_one_size_thicker_and_the_ground_block_is_sound() -> None:
    # AWG 2 at 50 C: 210 x 0.8563 = 180 A, 254 A to its limit, above the 200 A of the main fuse
    assert not told(thin_block_ground("AWG 2"), "r20")


def test_sound_plans_are_quiet() -> None:
    # nothing pinned, the fuse at the battery, every fuse where its wire begins
    two, _ = banked(length_m=5.0)
    more = small_build()
    for _ in range(3):
        more = actions.applied(more, actions.add(more, "amplifiers", channel_w=100.0))
    chained = actions.applied(small_build(), actions.add(small_build(), "blocks"))
    chained = with_run(chained, id="r20", source="d1", target="d2", fused=True, zone="z3")
    for build in (small_build(), two, more, plan(("runs", "r4", "length_m", 8.0)), chained):
        found = evaluate(build, swept=True).findings
        assert [(f.code, f.id, f.what) for f in found if f.level is not Level.NOTE] == []
