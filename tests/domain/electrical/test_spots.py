"""Mounting spots: each criterion alone, in its order, and what choosing one does."""

from itertools import permutations

import pytest

from domain.build import actions, removal, run_ends
from domain.build.edits import AddRecord, EditRefused, Scalar, apply
from domain.build.records import Build
from domain.document.records import find
from domain.evaluate import evaluate
from domain.sheet import SpotResult
from tests.domain.electrical.small import changed, small_build

Fields = dict[str, Scalar]


def with_spots(*spots: Fields) -> Build:
    """The small build with these spots for the main fuse (zone z1 is at 60 C, z3 at 50 C)."""
    build = small_build()
    for i, fields in enumerate(spots, 1):
        record: Fields = {"id": f"s{i}", "run": "r4", "zone": "z1", **fields}
        build = actions.applied(build, AddRecord(table="spots", record=record))
    return build


def ranked(*spots: Fields) -> list[str]:
    return [spot.id for spot in evaluate(with_spots(*spots)).spots]


def spot(build: Build, id: str) -> SpotResult:
    return next(each for each in evaluate(build).spots if each.id == id)


@pytest.mark.parametrize(
    ("worse", "better", "why"),
    [
        ({"hazard": "moving parts"}, {}, "ruled out: moving parts"),
        ({"hazard": "exhaust heat"}, {}, "ruled out: exhaust heat"),
        ({"hazard": "airbag parts behind"}, {}, "ruled out: airbag parts behind"),
        ({"hazard": "fuel or brake lines behind"}, {}, "ruled out: fuel or brake lines behind"),
        ({"hazard": "standing water"}, {}, "ruled out: standing water"),
        ({"feed_m": 0.31}, {"feed_m": 0.3}, "more unprotected wire than"),
        ({"zone": "z1"}, {"zone": "z3"}, "less heat margin than"),
        ({"blocks": True}, {}, "in the way of something below than"),
        ({"reach": "with tools"}, {"reach": "open"}, "harder to reach than"),
        ({"reach": "hidden"}, {"reach": "with tools"}, "harder to reach than"),
    ],
)
def test_each_criterion_alone(worse: Fields, better: Fields, why: str) -> None:
    # by the stated order; all else equal, whichever of the two was entered first
    build = with_spots({"name": "bad", **worse}, {"name": "good", **better})
    assert [s.name for s in evaluate(build).spots] == ["good", "bad"]
    assert ranked(better, worse) == ["s1", "s2"]
    assert [s.rank for s in evaluate(build).spots] == [1, 2]
    assert spot(build, "s1").why.startswith(why)
    assert spot(build, "s2").why == "best of those entered"


LADDER: list[Fields] = [
    {"feed_m": 0.2, "zone": "z1", "blocks": True, "reach": "hidden"},
    {"feed_m": 0.3, "zone": "z3", "blocks": True, "reach": "hidden"},
    {"feed_m": 0.3, "zone": "z1", "blocks": False, "reach": "hidden"},
    {"feed_m": 0.3, "zone": "z1", "blocks": True, "reach": "open"},
    {"feed_m": 0.3, "zone": "z1", "blocks": True, "reach": "hidden"},
    {
        "feed_m": 0.0,
        "zone": "z3",
        "blocks": False,
        "reach": "open",
        "hazard": "airbag parts behind",
    },
]
"""Best first: each is better than the next in one criterion and worse in all that count less."""


@pytest.mark.parametrize("order", list(permutations(range(6)))[::37])
def test_an_earlier_criterion_beats_all_later_ones(order: tuple[int, ...]) -> None:
    # by the stated order, whatever the order of entry
    found = ranked(*(LADDER[i] for i in order))
    assert [order[int(id[1:]) - 1] for id in found] == list(range(6))


def test_figures_of_a_spot() -> None:
    # by hand: 0.4 m to the fuse, 4.5 m of run; a holder stands 105 C, the zone has 60 C
    build = with_spots({"feed_m": 0.4}, {"feed_m": 0.4, "onward_m": 3.0}, {"feed_m": 6.0})
    rest, measured, beyond = (spot(build, f"s{i}") for i in (1, 2, 3))
    assert (rest.unprotected_m, rest.wire_m) == (0.4, 4.5)
    assert measured.wire_m == pytest.approx(3.4)
    assert beyond.wire_m == 6.0
    assert rest.heat_margin_c == 45
    assert spot(changed(build, ("spots", "s1", "zone", "")), "s1").heat_margin_c == 55


def test_spots_of_two_runs_are_ranked_apart() -> None:
    # by definition: ranks count within a run
    build = with_spots({"feed_m": 0.5}, {"feed_m": 0.1, "run": "r5"}, {"feed_m": 0.2})
    found = {s.id: (s.run, s.rank) for s in evaluate(build).spots}
    assert found == {"s1": ("r4", 2), "s2": ("r5", 1), "s3": ("r4", 1)}


def test_equal_spots_keep_the_order_of_entry() -> None:
    # by definition
    build = with_spots({"name": "left"}, {"name": "right"})
    assert ranked({}, {}) == ["s1", "s2"]
    assert spot(build, "s2").why == "as good as left"


def test_choosing_a_spot_sets_distance_and_length_and_undo_restores() -> None:
    # by definition of the edit: one batch, one undo
    build = with_spots({"feed_m": 0.4, "onward_m": 3.0, "name": "Inner wing"})
    chosen, undo = apply(build, run_ends.choose_spot(build, "s1"))
    run = find(chosen, "r4")
    assert run is not None
    assert (run.fused, run.fuse_distance_m, run.length_m) == (True, 0.4, pytest.approx(3.4))
    result = evaluate(chosen).run("r4")
    assert result is not None
    assert result.unprotected_m == pytest.approx(0.4)
    assert result.length_m == pytest.approx(3.4)
    back, again = apply(chosen, undo)
    assert back == build
    assert apply(back, again)[0] == chosen


def test_choosing_a_spot_without_an_onward_length_leaves_the_run_as_long() -> None:
    # by definition; a run without a fuse gets one
    build = changed(with_spots({"feed_m": 0.4}), ("runs", "r4", "fused", False))
    run = find(actions.applied(build, run_ends.choose_spot(build, "s1")), "r4")
    assert run is not None
    assert (run.fused, run.fuse_distance_m, run.length_m) == (True, 0.4, 4.5)


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"run": ""}, "name the run"),
        ({"feed_m": 0.0, "onward_m": 0.0}, "length_m: input should be greater than 0"),
        ({"feed_m": 50.0, "onward_m": 100.0}, "length_m: input should be less than"),
    ],
)
def test_a_spot_that_cannot_be_chosen_is_refused(fields: Fields, why: str) -> None:
    # by the bounds of a run: a clear refusal, nothing lost
    build = with_spots(fields)
    with pytest.raises(EditRefused, match=why):
        apply(build, run_ends.choose_spot(build, "s1"))
    with pytest.raises(EditRefused, match="name the run"):
        run_ends.choose_spot(build, "s9")


def test_a_spot_without_a_run_has_figures() -> None:
    # by the promise of evaluate(): no exception
    build = with_spots({"run": "", "zone": "", "feed_m": 0.0})
    assert [(s.run, s.wire_m) for s in evaluate(build).spots] == [("", 0.0)]


def test_a_removed_run_takes_no_spot_figures_with_it() -> None:
    # by definition: the spot stays or goes with its run, and the sheet has no figure for a ghost
    build = with_spots({"feed_m": 0.4})
    build = actions.applied(build, removal.remove(build, "runs", "r4"))
    assert all(s.run != "r4" for s in evaluate(build).spots)
