"""Who is joined to whom."""

from domain.build import actions, run_ends
from domain.build.records import Build
from domain.electrical.network.wiring import Path, wiring
from domain.evaluate import evaluate
from tests.domain.electrical.small import changed, small_build


def test_feed_and_return_of_the_small_build() -> None:
    # by hand: battery, main run, block, branch; back through the body and the battery's ground
    joined = wiring(small_build())
    assert joined.feed["a1"] == Path("b1", ("r5", "r4"))
    assert joined.ret["a1"] == Path("b1", ("r6", "r3"))
    assert joined.feeds["r4"] == ("a1",)
    assert joined.feeds["r1"] == ()
    assert joined.returns["r3"] == ("a1",)
    assert joined.order[:3] == (("r1", 0), ("r4", 0), ("r5", 1))
    assert not joined.loops
    assert not joined.loose
    assert not joined.unlaid


def test_a_return_straight_to_the_battery_does_not_pass_its_ground_cable() -> None:
    # Kirchhoff: what comes back at the post does not go on to the body and back again
    build = changed(small_build(), ("runs", "r6", "target", "b1"))
    assert wiring(build).ret["a1"] == Path("b1", ("r6",))
    sheet = evaluate(build)
    assert sheet.amplifiers[0].return_runs == ("r6",)


def test_an_isolator_has_two_sides() -> None:
    build = small_build()
    build = actions.applied(build, actions.add(build, "blocks", kind="isolator"))
    build = changed(build, ("runs", "r4", "target", "d2"))
    build = actions.applied(build, run_ends.add_run(build, "d2", "d1"))
    joined = wiring(build)
    assert joined.ends["r4"] == ("b1_pos", "d2_in")
    assert joined.ends["r7"] == ("d2_out", "d1")
    assert joined.feed["a1"] == Path("b1", ("r5", "r7", "r4"))


def test_runs_that_cannot_be_laid() -> None:
    build = small_build()
    for change in (
        ("runs", "r5", "target", ""),
        ("runs", "r5", "target", "e2"),
        ("runs", "r6", "target", "d1"),
    ):
        assert wiring(changed(build, change)).unlaid == (change[1],)


def test_loose_runs_and_loops() -> None:
    build = small_build()
    assert wiring(changed(build, ("runs", "r4", "source", ""))).loose == ("r5",)
    ring = actions.applied(build, run_ends.add_run(build, "b1", "a1"))
    assert len(wiring(ring).loops) == 1


def test_an_empty_build() -> None:
    joined = wiring(Build())
    assert joined.nodes == ()
    assert joined.order == ()
