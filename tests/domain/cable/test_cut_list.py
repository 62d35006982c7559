"""Pieces of wire, what they are cut from, and their labels. Expected values by hand."""

from typing import Any

import pytest

from demo_db.load import demo_builds
from domain.build.choices import Termination
from domain.build.records import Build
from domain.cable.cut_list import OFF_THE_ROLL, CutList, Spool, cut_list, fit, piece_lengths
from domain.cable.pieces import WirePiece, all_pieces
from domain.evaluate import evaluate
from domain.materials.bill import materials_list
from domain.sheet import Sheet


def plan(runs: list[dict[str, Any]], units: str = "metric", **tables: Any) -> Build:
    """A battery, an unfused block, an amplifier and a ground point, joined by these runs."""
    return Build.of(
        {
            "header": {"units": units, "wire_sizes": "mm2"},
            "batteries": [{"id": "b1", "name": "Battery"}],
            "amplifiers": [{"id": "a1", "name": "Amp", "largest_wire": "25 mm2"}],
            "blocks": [{"id": "d1", "name": "Block", "fused": False}],
            "grounds": [{"id": "e1", "name": "Floor", "stud": "M6"}],
            "runs": runs,
            **tables,
        }
    )


def run(id: str, source: str, target: str, length_m: float | None, **values: Any) -> dict[str, Any]:
    plain = {"gauge": "25 mm2", "slack_m": 0.0, "length_m": length_m}
    return {"id": id, "source": source, "target": target, **plain, **values}


def pieces_of(build: Build) -> list[WirePiece]:
    return all_pieces(build, evaluate(build).runs)


def cut(build: Build, spools: list[Spool] | None = None) -> tuple[CutList, Sheet]:
    sheet = evaluate(build)
    kinds = {("Copper wire 105 C, red", "25 mm2"): spools} if spools else None
    return cut_list(build, sheet, kinds), sheet


def test_a_fuse_holder_in_the_line_parts_the_wire() -> None:
    # by hand: 0.3 to the holder, 1.7 on, and 5 cm for each of the four ends
    build = plan([run("r1", "b1", "a1", 2.0, fused=True, fuse_distance_m=0.3, name="Feed")])
    near, far = pieces_of(build)
    assert [near.cut_m, far.cut_m] == pytest.approx([0.4, 1.8])
    assert near.label == "Feed 1/2, 25 mm2, red"
    assert [end.place for end in (near.near, near.far, far.near, far.far)] == [
        "Battery",
        "fuse holder",
        "fuse holder",
        "Amp",
    ]
    assert near.near.termination is Termination.RING
    assert far.far.termination is Termination.FERRULE


def test_holders_at_both_ends_make_three_pieces() -> None:
    # by hand: 0.3 + 1.2 + 0.5 = 2.0; the far fuse is placed from the far end
    fuses = {"fused": True, "fuse_distance_m": 0.3, "far_fused": True, "far_fuse_distance_m": 0.5}
    found = pieces_of(plan([run("r1", "b1", "a1", 2.0, **fuses)]))
    assert [round(piece.cut_m, 6) for piece in found] == [0.4, 1.3, 0.6]
    assert [(piece.number, piece.of) for piece in found] == [(1, 3), (2, 3), (3, 3)]


@pytest.mark.parametrize(
    "fuse",
    [
        {"fused": True, "fuse_distance_m": 0.0},
        {"fused": True, "fuse_distance_m": 50.0},
        {"fused": False, "fuse_distance_m": 0.3},
    ],
    ids=["on the post", "past the far end", "no fuse"],
)
def test_one_piece_where_nothing_parts_it(fuse: dict[str, Any]) -> None:
    # by hand: the whole 2 m and both ends, whatever was typed
    (only,) = pieces_of(plan([run("r1", "b1", "a1", 2.0, **fuse)]))
    assert only.cut_m == pytest.approx(2.1)


def test_a_fuse_in_its_block_parts_nothing() -> None:
    build = plan([run("r1", "d1", "a1", 2.0, fused=True)], blocks=[{"id": "d1", "name": "Block"}])
    assert [piece.of for piece in pieces_of(build)] == [1]


def test_slack_is_cut_and_existing_wire_is_not() -> None:
    build = plan(
        [
            run("r1", "b1", "a1", 2.0, slack_m=0.25),
            run("r2", "a1", "e1", 0.5, polarity="ground", existing=True),
        ]
    )
    (only,) = pieces_of(build)
    assert only.run == "r1"
    assert only.cut_m == pytest.approx(2.35)


def test_two_labels_a_piece_say_where_each_end_goes() -> None:
    build = plan([run("r1", "a1", "e1", 0.5, polarity="ground", colour="brown")])
    found, _ = cut(build)
    near, far = found.labels
    assert near.lines == (
        "Amp -> Floor, 25 mm2, brown",
        "here: Amp, ferrule",
        "to: Floor; cut 60 cm",
    )
    assert far.lines[1:] == ("here: Floor, ring terminal M6", "from: Amp; cut 60 cm")
    assert (near.end, far.end) == ("near", "far")


def test_an_unmeasured_run_is_named_before_it_is_cut() -> None:
    build = plan([run("r1", "b1", "a1", 2.0), run("r2", "d1", "a1", None)])
    found, _ = cut(build)
    assert found.assumed == ("r2",)


def test_off_the_roll_by_half_metres_longest_first() -> None:
    # by hand: 2.1 + 0.7 + 1.4 = 4.2, sold as 4.5
    runs = [run("r1", "b1", "a1", 2.0), run("r2", "d1", "a1", 0.6), run("r3", "b1", "d1", 1.3)]
    found, _ = cut(plan(runs))
    (group,) = found.groups
    (roll,) = group.lengths
    assert roll.name == OFF_THE_ROLL
    assert [piece.run for piece in roll.pieces] == ["r1", "r3", "r2"]
    assert [group.needed_m, group.bought_m] == pytest.approx([4.2, 4.5])
    assert roll.offcut_m == pytest.approx(0.3)
    assert group.exact


def test_spools_are_packed_and_what_is_too_long_is_told() -> None:
    # by hand: 2.1 + 0.7 fill 2.8 of one 3 m spool, 1.4 takes another; 4.1 fits none
    runs = [
        run("r1", "b1", "a1", 2.0),
        run("r2", "d1", "a1", 0.6),
        run("r3", "b1", "d1", 1.3),
        run("r4", "b1", "a1", 4.0),
    ]
    found, _ = cut(plan(runs), [Spool("3 m", 3.0, 1)])
    (group,) = found.groups
    assert sorted(sorted(p.run for p in length.pieces) for length in group.lengths) == [
        ["r1", "r2"],
        ["r3"],
    ]
    assert sorted(round(length.offcut_m, 6) for length in group.lengths) == [0.2, 1.6]
    assert group.bought_m == pytest.approx(6.0)
    assert [piece.run for piece in group.too_long] == ["r4"]


def test_what_is_at_hand_is_cut_first() -> None:
    # by hand: 2.1 goes into the 2.2 m at hand, not into the 2.5; 0.7 into the 2.5; nothing bought
    fitted = fit(
        [0.7, 2.1],
        [Spool("a", 2.5, 0, True), Spool("b", 2.2, 0, True), Spool("new", 10.0, 5)],
    )
    assert [(spool.name, own) for spool, own, _ in fitted.used] == [("a", (0,)), ("b", (1,))]
    assert fitted.cost == 0


@pytest.mark.parametrize(("name", "build"), demo_builds(), ids=[n for n, _ in demo_builds()])
def test_the_demo_builds_cut_from_five_metre_spools(name: str, build: Build) -> None:
    # conservation: every piece once, in a length that holds it; bound: the sum over five metres
    sheet = evaluate(build)
    lengths = piece_lengths(build, sheet)
    spools = {kind: [Spool("5 m", 5.0, 5000)] for kind in lengths}
    for group in cut_list(build, sheet, spools).groups:
        own = [piece for length in group.lengths for piece in length.pieces]
        assert sorted((*own, *group.too_long), key=str) == sorted(group.pieces, key=str)
        assert all(piece.cut_m > 5 for piece in group.too_long)
        for length in group.lengths:
            assert sum(piece.cut_m for piece in length.pieces) <= 5 + 1e-9
        assert len(group.lengths) * 5 >= group.needed_m - sum(p.cut_m for p in group.too_long)


def test_feet_of_devices_ask_for_screws_and_the_plan_for_consumables() -> None:
    # by hand: two feet on one plate made twice: four screws of 16 mm, a washer under each
    # head, and under the nut of each of the two that go through; plastic takes no thread locker
    build = plan(
        [run("r1", "b1", "a1", 2.0, fused=True, fuse_distance_m=0.3), run("r2", "a1", "e1", 0.5)],
        parts=[{"id": "p1", "quantity": 2}],
        panels=[{"id": "n1", "part": "p1", "length_m": 0.3, "width_m": 0.3}],
        footprints=[{"id": "f1", "device": "a1"}],
        studs=[
            {"id": "u1", "footprint": "f1", "screw_m": 0.016},
            {"id": "u2", "footprint": "f1", "screw_m": 0.016, "kind": "tapped", "x_m": 0.08},
        ],
        mounts=[{"id": "o1", "footprint": "f1", "panel": "n1", "x_m": 0.15, "y_m": 0.15}],
    )
    sheet = evaluate(build)
    lines = {(x.item, x.size): x.quantity for x in materials_list(build, sheet.runs, sheet.parts)}
    assert lines["Machine screw", "M5 x 16 mm"] == 4
    assert lines["Plain washer", "M5"] == 6
    assert lines["Nylon ring nut", "M5"] == 2
    assert ("Thread locker", "") not in lines
    # two labels for each of three pieces; one disc and one paint for the made ground point
    assert lines["Wire label", ""] == 6
    assert lines["Abrasive disc", ""] == lines["Touch-up paint", ""] == lines["Cloth tape", ""] == 1


def test_how_much_of_the_cost_is_proven_to_be_needed() -> None:
    # by definition: all of it off the roll, where the best way is known, and where none is bought
    runs = [run("r1", "b1", "a1", 2.0), run("r2", "d1", "a1", 0.6), run("r3", "b1", "d1", 1.3)]
    for spools in (None, [Spool("3 m", 3.0, 1)], [Spool("9 m", 9.0, 0, True)]):
        (group,) = cut(plan(runs), spools)[0].groups
        assert (group.exact, group.least_share) == (True, 1.0)
    # ten pieces are too many to look at every way: the share is what the bound says, by hand.
    # Pieces of 1.1 m, two out of 3 m: five spools; the bound by length is 11 m / 3 m, so four
    many = [run(f"r{i}", "b1", "a1", 1.0) for i in range(1, 11)]
    (group,) = cut(plan(many), [Spool("3 m", 3.0, 1)])[0].groups
    assert len(group.lengths) == 5
    assert 4 / 5 <= group.least_share <= 1
    assert group.exact is (group.least_share == 1)
