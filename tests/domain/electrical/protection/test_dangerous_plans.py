"""Plans with something wrong that can burn: each is stopped or must be mended, with its figure.

Hand calculations, the figures beside each plan. What flows for good is the sum of the fuses and
alternators between the sources and the wire; what the wire carries is read from 33 CFR 183.425
Table 5 with the zone's correction.
"""

import pytest

from domain.build import actions
from domain.build.edits import AddRecord, Scalar
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Finding, Level
from tests.domain.electrical.small import Change, changed, small_build


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


def plan(*changes: Change) -> Build:
    return changed(small_build(), *changes)


def with_run(build: Build, **values: Scalar) -> Build:
    return actions.applied(build, AddRecord(table="runs", record=values))


def banked(*changes: Change, **link: Scalar) -> tuple[Build, str]:
    """A second battery, and the id of the link to it."""
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    id = next(run.id for run in build.runs if run.far_fused)
    build = changed(build, *(("runs", id, field, value) for field, value in link.items()))
    return changed(build, *changes), id


def test_a_branch_fuse_far_along_its_own_wire() -> None:
    # 200 A main, 2.5 m of AWG 18 ahead of a 15 A fuse: 200 A into wire for 17 A
    build = plan(
        ("runs", "r4", "fuse_a", 200.0),
        ("runs", "r5", "gauge", "AWG 18"),
        ("runs", "r5", "length_m", 2.75),
        ("runs", "r5", "fuse_a", 15.0),
        ("runs", "r5", "fuse_distance_m", 2.5),
        ("amplifiers", "a1", "channel_w", 100.0),
    )
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


def test_an_existing_link_is_no_excuse() -> None:
    bare: dict[str, Scalar] = {
        "fused": False,
        "far_fused": False,
        "existing": True,
        "gauge": "AWG 4",
    }
    build, link = banked(length_m=5.0, **bare)
    assert (Level.STOP, "no-fuse") in told(build, link)
    # 300 A fuses on AWG 4 (124 A in the engine bay), existing or not
    fused: dict[str, Scalar] = {
        "existing": True,
        "gauge": "AWG 4",
        "fuse_a": 300.0,
        "length_m": 5.0,
    }
    build, link = banked(**fused)
    found = [f for f in serious(build) if f.id == link and f.code == "fuse-over-wire"]
    assert [f.level for f in found] == [Level.STOP]
    assert "300 A" in found[0].what


@pytest.mark.parametrize(
    ("fuse_a", "level"), [(70.0, None), (80.0, Level.FIX), (150.0, Level.STOP)]
)
def test_fuses_of_two_batteries_into_one_feeder_add_up(fuse_a: float, level: Level | None) -> None:
    # twice 80 and 150 A into AWG 4 for 137 A: over by 17 % and by 119 %; 140 A into AWG 2 is not
    build, link = banked()
    build = actions.applied(build, actions.remove(build, "runs", link))
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
    build = actions.applied(build, actions.remove(build, "runs", link))
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
    build = plan(
        ("alternators", "g1", "rated_a", 240.0),
        ("runs", "r1", "target", "d1"),
        ("runs", "r1", "existing", False),
        ("runs", "r4", "fuse_a", 35.0),
        ("runs", "r4", "gauge", "AWG 12"),
        ("runs", "r5", "gauge", "AWG 12"),
        ("runs", "r5", "fused", False),
        ("runs", "r5", "length_m", 2.0),
    )
    found = [f for f in serious(build) if f.id == "r5" and f.level is Level.STOP]
    assert any("275 A" in f.what for f in found)
    assert (Level.STOP, "fuse-over-wire") in told(build, "r4")


def test_grounds_too_thin_for_the_fuses_ahead() -> None:
    # a battery ground of AWG 2 (163 A in the engine bay) under a 300 A main fuse
    build = plan(
        ("runs", "r4", "fuse_a", 300.0),
        ("runs", "r4", "gauge", "AWG 4/0"),
        ("runs", "r5", "fuse_a", 80.0),
    )
    found = [f for f in serious(build) if f.id == "r3" and f.code == "ground-overload"]
    assert [f.level for f in found] == [Level.STOP]
    assert "300 A" in found[0].why


def test_an_existing_cable_of_unknown_gauge_is_a_question() -> None:
    build = plan(("runs", "r4", "existing", True), ("runs", "r4", "gauge", None))
    assert (Level.FIX, "gauge-unknown") in told(build, "r4")


def test_sound_plans_are_quiet() -> None:
    # nothing pinned, the fuse at the battery, every fuse where its wire begins
    two, _ = banked(length_m=5.0)
    more = small_build()
    for _ in range(3):
        more = actions.applied(more, actions.add(more, "amplifiers", channel_w=100.0))
    for build in (small_build(), two, more, plan(("runs", "r4", "length_m", 8.0))):
        assert [(f.code, f.id, f.what) for f in serious(build)] == []
