"""What a person does to a build, and what comes with it. Expected: by what the action promises."""

import pytest

from domain.build import actions, removal, run_ends
from domain.build.choices import UnitHabit
from domain.build.edits import (
    AddRecord,
    Batch,
    Edit,
    EditRefused,
    MoveRecord,
    RemoveRecord,
    ReplaceTables,
    SetField,
    apply,
    describe,
    in_full,
)
from domain.build.records import TABLES, Build
from domain.build.start import start_build
from domain.document.declared import declared
from domain.document.records import find
from domain.evaluate import evaluate
from tests.domain.electrical.small import changed, small_build


def two_blocks() -> Build:
    """Battery, main block d1, a second block d2 behind it, with a1 on d1 and a2 on d2.

    r4 feeds d1, r5 and r6 are a1's, r7 feeds d2, r8 and r9 are a2's.
    """
    build = small_build()
    build = actions.applied(build, actions.add(build, "blocks", name="Second"))
    build = actions.applied(build, run_ends.add_run(build, "d1", "d2", fused=True))
    build = actions.applied(build, actions.add_amplifier(build))
    return changed(build, ("runs", "r8", "source", "d2"))


def ends(build: Build) -> dict[str, tuple[str, str]]:
    return {run.id: (run.source, run.target) for run in build.runs}


def test_a_new_build_has_what_every_vehicle_has() -> None:
    # by the words of the action: the vehicle's own cables are there, the main run is fused
    build = start_build()
    assert [run.id for run in build.runs if run.existing] == ["r1", "r2", "r3"]
    assert [run.id for run in build.runs if run.fused] == ["r4"]
    # a drive of 5, 30 and 20 minutes
    assert [(leg.id, leg.duration_s) for leg in build.legs] == [
        ("l1", 300),
        ("l2", 1800),
        ("l3", 1200),
    ]


def test_what_is_not_there_cannot_be_removed() -> None:
    for table, id in (("runs", "r99"), ("nowhere", "r4")):
        with pytest.raises(EditRefused, match="has no record"):
            removal.remove(small_build(), table, id)


def test_branches_of_a_block_that_goes_are_fed_from_one_step_up() -> None:
    before = two_blocks()
    assert ends(before)["r7"] == ("d1", "d2")
    assert ends(before)["r8"] == ("d2", "a2")
    after = actions.applied(before, removal.remove(before, "blocks", "d2"))
    # its own feed goes with it, its branch starts where that did, everything else stays
    left = {id: pair for id, pair in ends(before).items() if id != "r7"}
    assert ends(after) == {**left, "r8": ("d1", "a2")}
    assert [block.id for block in after.blocks] == ["d1"]


def test_runs_of_another_device_go_with_it() -> None:
    # a battery is no block: what it fed is not fed from the alternator in its place
    before = small_build()
    after = actions.applied(before, removal.remove(before, "batteries", "b1"))
    assert [run.id for run in after.runs] == ["r2", "r5", "r6"]
    before = two_blocks()
    after = actions.applied(before, removal.remove(before, "amplifiers", "a2"))
    assert [run.id for run in after.runs] == [f"r{i}" for i in range(1, 8)]


def test_a_zone_that_goes_is_cleared_where_it_was_named() -> None:
    before = small_build()
    after = actions.applied(before, removal.remove(before, "zones", "z3"))
    assert [a.zone for a in after.amplifiers] == [""]
    assert len(after.runs) == len(before.runs)
    assert {run.zone for run in after.runs} == {"z1", ""}


def test_feeding_from_a_device_that_hangs_on_the_run_is_refused() -> None:
    build = two_blocks()
    # r4 feeds d1 and through it d2: either of them would be fed through its own branch
    for behind in ("d1", "d2", "a2"):
        with pytest.raises(EditRefused, match="itself fed through this run"):
            run_ends.feed_from(build, "r4", behind)
    moved = actions.applied(build, run_ends.feed_from(build, "r8", "b1"))
    assert ends(moved)["r8"] == ("b1", "a2")
    for run, source, why in (
        ("r99", "b1", "no run 'r99'"),
        ("b1", "d1", "no run 'b1'"),
        ("r8", "z1", "a run starts at"),
        ("r8", "d9", "a run starts at"),
    ):
        with pytest.raises(EditRefused, match=why):
            run_ends.feed_from(build, run, source)


def test_downstream_follows_one_side_only() -> None:
    build = two_blocks()
    runs = {run.id: run for run in build.runs}
    assert run_ends.downstream(build, "d1", runs["r4"].polarity) == {"a1", "a2", "d2"}
    assert run_ends.downstream(build, "a1", runs["r4"].polarity) == set()
    assert run_ends.downstream(build, "a1", runs["r6"].polarity) == {"e2"}


def test_a_spot_beyond_the_end_of_its_run_is_refused() -> None:
    # the main run is 4.5 m long: a fuse 4.6 m along it needs the wire from there onward
    build = small_build()
    spot = AddRecord(table="spots", record={"id": "s1", "run": "r4", "feed_m": 4.6})
    build = actions.applied(build, spot)
    with pytest.raises(EditRefused, match="beyond the end"):
        run_ends.choose_spot(build, "s1")
    inside = changed(build, ("spots", "s1", "feed_m", 4.4), ("runs", "r4", "fused", False))
    chosen = find(actions.applied(inside, run_ends.choose_spot(inside, "s1")), "r4")
    assert (getattr(chosen, "fuse_distance_m"), getattr(chosen, "length_m")) == (4.4, 4.5)  # noqa: B009
    assert getattr(chosen, "fused") is True  # noqa: B009
    for spot_id in ("s7", "r4"):
        with pytest.raises(EditRefused, match="name the run"):
            run_ends.choose_spot(build, spot_id)
    with pytest.raises(EditRefused, match="name the run"):
        run_ends.choose_spot(changed(build, ("spots", "s1", "run", "")), "s1")
    onward = changed(build, ("spots", "s1", "onward_m", 0.5))
    chosen = find(actions.applied(onward, run_ends.choose_spot(onward, "s1")), "r4")
    assert getattr(chosen, "length_m") == pytest.approx(5.1)  # noqa: B009


def test_a_copy_of_an_amplifier_has_its_own_branch_and_ground() -> None:
    before = small_build()
    after = actions.applied(before, actions.duplicate(before, "amplifiers", "a1"))
    one, two = after.amplifiers
    assert two.name == {"Amp 1": "Amp 2"}.get(one.name, f"{one.name} 2")
    assert two.but(id=one.id, name=one.name) == one
    new = {id: pair for id, pair in ends(after).items() if id not in ends(before)}
    assert sorted(new.values()) == [("a2", "e2"), ("d1", "a2")]
    with pytest.raises(EditRefused):
        actions.duplicate(before, "amplifiers", "a7")


def test_a_new_record_takes_its_surroundings() -> None:
    build = actions.applied(Build(), actions.add(Build(), "parts"))
    (base,) = build.panels
    assert (base.name, base.part, base.joins) == ("Base", "p1", "")
    for table in ("panels", "holes", "footprints", "studs", "mounts"):
        build = actions.applied(build, actions.add(build, table))
    flange = build.panels[1]
    assert (flange.name, flange.part, flange.joins) == ("Flange", "p1", "n1")
    assert build.holes[0].panel == "n2"
    assert build.studs[0].footprint == "f1"
    assert (build.mounts[0].footprint, build.mounts[0].panel) == ("f1", "n2")
    # numbered by their ids; the zone named last, and none where there is none
    assert build.footprints[0].name.endswith(" 1")
    assert actions.applied(build, actions.add(build, "grounds")).grounds[0].zone == ""
    small = small_build()
    assert actions.applied(small, actions.add(small, "grounds")).grounds[-1].zone == "z3"
    for table in ("nowhere", "header"):
        with pytest.raises(EditRefused):
            actions.add(build, table)


def test_a_new_amplifier_goes_to_the_block_with_a_free_place() -> None:
    build = two_blocks()
    build = changed(build, ("blocks", "d1", "places", 2), ("blocks", "d2", "places", 4))
    # d1 feeds a1 and d2: full; d2 has three places left
    after = actions.applied(build, actions.add_amplifier(build))
    assert after.runs[-2].source == "d2"
    roomy = changed(build, ("blocks", "d1", "places", 3))
    after = actions.applied(roomy, actions.add_amplifier(roomy))
    assert after.runs[-2].source == "d1"
    # both full: behind the last one; no block at all: on the last battery, fused near it
    full = changed(build, ("blocks", "d2", "places", 1))
    assert actions.applied(full, actions.add_amplifier(full)).runs[-2].source == "d2"
    bare = actions.applied(small_build(), removal.remove(small_build(), "blocks", "d1"))
    branch = actions.applied(bare, actions.add_amplifier(bare)).runs[-2]
    assert (branch.source, branch.fused) == ("b1", True)
    assert branch.fuse_distance_m == pytest.approx(0.3048)  # one foot, common practice
    # at a fused block the fuse is in the block
    assert after.runs[-2].fuse_distance_m == 0


def test_a_second_battery_comes_with_a_link_fused_at_both_ends_and_its_ground() -> None:
    build = actions.applied(small_build(), actions.add(small_build(), "batteries", zone="z3"))
    link, ground = build.runs[-2:]
    assert (link.source, link.target, link.zone) == ("b1", "b2", "z1")
    assert (link.fused, link.far_fused) == (True, True)
    assert (ground.source, ground.target, ground.polarity.value) == ("b2", "e2", "ground")
    first = actions.applied(Build(), actions.add(Build(), "batteries"))
    assert first.runs == ()


def test_a_further_battery_lies_where_the_main_block_does() -> None:
    small = small_build()
    assert actions.applied(small, actions.add(small, "batteries")).batteries[-1].zone == "z3"


def test_a_further_alternator_has_its_cable_fused_at_the_battery_and_its_ground() -> None:
    small = small_build()
    build = actions.applied(small, actions.add(small, "alternators"))
    cable, ground = build.runs[-2:]
    assert (cable.source, cable.target, cable.zone) == ("g2", "b1", "z1")
    # 33 CFR 183.455: fused where the battery feeds it; the alternator limits itself
    assert (cable.fused, cable.far_fused) == (False, True)
    assert (ground.source, ground.target, ground.polarity.value) == ("g2", "e1", "ground")
    # what the vehicle draws is drawn once
    assert build.alternators[1].vehicle_load_a == 0
    assert build.alternators[0].vehicle_load_a > 0
    # the first one of an empty build is the vehicle's own
    alone = actions.applied(Build(), actions.add(Build(), "alternators"))
    assert alone.alternators[0].vehicle_load_a == small.alternators[0].vehicle_load_a
    assert alone.runs == ()
    # and without a battery there is nothing to join it to
    bare = actions.applied(small, removal.remove(small, "batteries", "b1"))
    assert actions.applied(bare, actions.add(bare, "alternators")).runs == bare.runs


def test_a_run_to_a_ground_is_a_ground_run() -> None:
    build = two_blocks()
    build = actions.applied(build, actions.add(build, "blocks", kind="ground"))
    for source, target, side in (
        ("a1", "e2", "ground"),
        ("a1", "d3", "ground"),
        ("d3", "e2", "ground"),
        ("d1", "a1", "positive"),
    ):
        run = actions.applied(build, run_ends.add_run(build, source, target)).runs[-1]
        assert run.polarity.value == side
        assert run.zone == getattr(find(build, target), "zone")  # noqa: B009


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (SetField(table="runs", id="r4", field="fused", value=False), "set fused of r4"),
        (SetField(table="header", id="", field="title", value="A"), "set title of header"),
        (AddRecord(table="zones", record={"id": "z9"}), "add z9 to zones"),
        (RemoveRecord(table="zones", id="z2"), "remove z2 from zones"),
        (MoveRecord(table="runs", id="r4", index=0), "move r4 in runs"),
        (ReplaceTables(tables={"zones": (), "runs": ()}), "replace zones and runs"),
        (ReplaceTables(tables={"zones": ()}, label="clear"), "clear"),
        (Batch(edits=(), label="nothing"), "nothing"),
        (Batch(edits=(RemoveRecord(table="zones", id="z2"),) * 2), "2 changes"),
    ],
)
def test_an_edit_is_told_in_a_line(edit: SetField, said: str) -> None:
    assert describe(edit) == said


def test_an_edit_in_full_does_the_same_and_names_every_field() -> None:
    build = small_build()
    add = actions.add_amplifier(build)
    full = in_full(add)
    assert apply(build, full)[0] == apply(build, add)[0]
    assert isinstance(full, Batch)
    fields = set(Build.TABLES["amplifiers"].__struct_fields__)
    assert next(set(e.record) for e in full.edits if isinstance(e, AddRecord)) == fields
    replaced = in_full(ReplaceTables(tables={"zones": ({"id": "z1"},)}))
    assert isinstance(replaced, ReplaceTables)
    assert set(replaced.tables["zones"][0]) == set(Build.TABLES["zones"].__struct_fields__)
    remove = RemoveRecord(table="zones", id="z2")
    assert in_full(remove) is remove


def test_a_record_is_added_where_it_is_asked_for() -> None:
    def added(index: int) -> list[str]:
        edit = AddRecord(table="zones", record={"id": "z9"}, index=index)
        return [zone.id for zone in apply(start_build(), edit)[0].zones]

    assert added(-1) == ["z1", "z2", "z3", "z9"]
    assert added(0) == ["z9", "z1", "z2", "z3"]
    assert added(2) == ["z1", "z2", "z9", "z3"]
    assert added(3) == added(4) == added(-1)


def test_a_record_moves_within_its_table() -> None:
    def moved(index: int) -> list[str]:
        edit = MoveRecord(table="zones", id="z2", index=index)
        return [zone.id for zone in apply(start_build(), edit)[0].zones]

    assert (moved(0), moved(1), moved(2)) == (
        ["z2", "z1", "z3"],
        ["z1", "z2", "z3"],
        ["z1", "z3", "z2"],
    )
    for index in (-1, 3):
        with pytest.raises(EditRefused, match="places 0 to 2"):
            moved(index)


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (AddRecord(table="zones", record={"id": "z1"}), "already has a record z1"),
        (AddRecord(table="zones", record={"id": "b7"}), "does not belong in zones"),
        (AddRecord(table="runs", record={"id": "r9", "source": "x9"}), "x9"),
        (AddRecord(table="zones", record={"id": "z9", "colour": "red"}), "colour"),
        (SetField(table="runs", id="r4", field="id", value="r9"), "an id never changes"),
        (SetField(table="runs", id="r4", field="source", value="z1"), "z1"),
        (SetField(table="runs", id="r4", field="smell", value=1), "no field 'smell'"),
        (SetField(table="runs", id="r99", field="fused", value=True), "r99"),
        (SetField(table="nowhere", id="r4", field="fused", value=True), "no table 'nowhere'"),
        (RemoveRecord(table="blocks", id="d1"), "still used by Amp 1 feed, Main run"),
        (ReplaceTables(tables={"blocks": ()}), "d1"),
        (ReplaceTables(tables={"zones": ({"id": 5},)}), "id"),
    ],
)
def test_an_edit_that_cannot_be_made_is_refused(edit: Edit, why: str) -> None:
    with pytest.raises(EditRefused, match=why):
        apply(small_build(), edit)


def test_a_run_that_is_moved_is_to_be_measured_again() -> None:
    # common practice: a length is that of one route
    build = small_build()
    build = actions.applied(build, actions.add(build, "blocks", name="Second"))
    second = build.blocks[-1].id
    moved = actions.applied(build, run_ends.feed_from(build, "r5", second))
    assert next(run for run in moved.runs if run.id == "r5").length_m is None
    result = evaluate(moved).run("r5")
    assert result is not None
    assert result.length_auto
    assert next(run for run in build.runs if run.id == "r5").length_m == 0.8
    same = run_ends.move_end(build, "r5", "source", "d1")
    assert actions.applied(build, same) == build
    # the branches of a block that is taken out hang on the block's own feed: another way
    out = actions.applied(build, removal.remove(build, "blocks", "d1"))
    assert next(run for run in out.runs if run.id == "r5").length_m is None


def test_a_removal_names_all_that_it_takes_along() -> None:
    build = small_build()
    edit = removal.remove(build, "amplifiers", "a1")
    assert edit.label == "remove Amp 1, with Amp 1 ground, Amp 1 feed, Amp 1 remote"
    assert removal.remove(build, "runs", "r5").label == "remove Amp 1 feed"


@pytest.mark.parametrize(("battery", "cable"), [("z2", "z2"), ("", "z1")])
def test_the_cable_of_a_further_alternator_lies_where_the_battery_does(
    battery: str, cable: str
) -> None:
    # by definition: it ends at the battery; where that has no zone, in the first there is
    build = applied_to_battery(battery)
    build = actions.applied(build, actions.add(build, "alternators"))
    assert {run.zone for run in build.runs[-2:]} == {cable}


def applied_to_battery(zone: str) -> Build:
    edit = SetField(table="batteries", id="b1", field="zone", value=zone)
    return actions.applied(small_build(), edit)


def test_many_wrong_fields_are_told_in_a_short_sentence() -> None:
    # a status line holds no more than a few
    wrong = {"id": "z9", "colour": "red", "smell": "new", "taste": 1, "sound": 2, "touch": 3}
    with pytest.raises(EditRefused) as refused:
        apply(small_build(), AddRecord(table="zones", record=wrong))
    assert str(refused.value).count("given") == 3


def test_new_fixings_and_holes_go_to_the_last_part() -> None:
    # by use: what was made last is what one works at
    build = small_build()
    for _ in range(3):
        build = actions.applied(build, actions.add(build, "parts"))
        build = actions.applied(build, actions.add(build, "panels"))
    fixed = actions.applied(build, actions.add(build, "fixings"))
    bored = actions.applied(build, actions.add(build, "holes"))
    assert fixed.fixings[0].part == build.parts[-1].id
    assert bored.holes[0].panel == build.panels[-1].id


@pytest.mark.parametrize("table", ["parts", "panels", "holes", "footprints", "studs", "spots"])
def test_what_a_new_record_of_an_inch_build_begins_with_is_on_a_mark_of_the_tape(
    table: str,
) -> None:
    # 1 in = 0.0254 m exactly; a tape has sixteenths
    build = start_build()
    for each in ("parts", "footprints", table):
        build = actions.applied(build, actions.add(build, each))
    record = getattr(build, table)[-1]
    lengths = [value for name, value in record.plain().items() if name.endswith("_m") and value]
    assert lengths
    for length in lengths:
        sixteenths = length / 0.0254 * 16
        assert sixteenths == pytest.approx(round(sixteenths), abs=1e-6)
    metric = start_build(units=UnitHabit.METRIC)
    for each in ("parts", "footprints", table):
        metric = actions.applied(metric, actions.add(metric, each))
    usual = declared(TABLES[table])
    held = getattr(metric, table)[-1]
    fields = [name for name in usual if name.endswith("_m") and name != "thickness_m"]
    assert all(getattr(held, name) == usual[name].default for name in fields)
