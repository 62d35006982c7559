"""A length that was measured for another way is dropped, and that is said."""

from domain.build import actions, removal, run_ends
from domain.build.lengths import lost
from domain.build.records import Build
from tests.domain.electrical.small import changed, small_build


def with_second() -> Build:
    build = small_build()
    return actions.applied(build, actions.add(build, "blocks", name="Second"))


def test_a_moved_end_says_which_length_is_gone() -> None:
    build = changed(with_second(), ("runs", "r4", "length_m", 15 * 0.3048))
    fed = actions.applied(build, run_ends.feed_from(build, "r5", "d2"))
    said = "its 31.5 in was measured for the old way: measure it anew"
    assert lost(build, fed) == f"Amp 1 feed: {said}"
    led = actions.applied(build, run_ends.move_end(build, "r4", "target", "d2"))
    assert "its 15 ft was measured for the old way: measure it anew" in lost(build, led)
    both = actions.applied(fed, run_ends.move_end(fed, "r4", "target", "d2"))
    assert lost(build, both).endswith("; " + lost(build, fed).replace("it anew", "them anew"))


def test_nothing_is_said_where_nothing_is_lost() -> None:
    build = with_second()
    assert not lost(build, build)
    assert not lost(build, changed(build, ("runs", "r5", "length_m", None)))
    free = changed(build, ("runs", "r5", "length_m", None))
    assert not lost(free, actions.applied(free, run_ends.feed_from(free, "r5", "d2")))


def test_a_removal_that_moves_an_end_says_so() -> None:
    build = small_build()
    (way,) = removal.ways(build, "blocks", "d1")
    assert "Amp 1 feed is fed from Starter battery now: measure it anew" in way.said
    free = changed(build, ("runs", "r5", "length_m", None))
    assert "measure" not in removal.ways(free, "blocks", "d1")[0].said
