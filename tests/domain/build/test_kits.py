"""What people do as one command: one edit, sized and sound, undone by one undo."""

from itertools import pairwise

import pytest

from domain.build import actions, kits, removal, run_ends
from domain.build.choices import BlockKind, Isolates, Polarity
from domain.build.edits import EditRefused, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.small import changed


def car(amplifiers: int = 3) -> Build:
    build = start_build()
    for _ in range(amplifiers):
        build = actions.applied(build, actions.add(build, "amplifiers", channel_w=300.0))
    return build


def serious(build: Build) -> list[str]:
    sheet = evaluate(build, swept=True)
    return [f"{f.code}: {f.what}" for f in sheet.findings if f.level is not Level.NOTE]


@pytest.mark.parametrize("kit", kits.KITS, ids=lambda kit: kit.id)
def test_each_is_one_edit_with_nothing_to_stop_or_fix_and_one_undo(kit: kits.Kit) -> None:
    before = car()
    assert serious(before) == []
    after, back = apply(before, kit.make(before))
    assert serious(after) == []
    assert apply(after, back)[0] == before


@pytest.mark.parametrize("kit", kits.KITS, ids=lambda kit: kit.id)
def test_nothing_is_left_loose_and_nothing_is_pinned_that_the_engine_chooses(kit: kits.Kit) -> None:
    before = car()
    after = actions.applied(before, kit.make(before))
    had = {run.id for run in before.runs}
    sheet = evaluate(after)
    codes = {f.code for f in sheet.findings}
    assert not codes & {"no-feed", "no-return", "cut-path", "source-idle", "isolator-one-sided"}
    for run in after.runs:
        if run.id not in had:
            assert (run.gauge, run.fuse_a, run.fuse_family, run.length_m) == (None,) * 4
    for record in (*after.batteries, *after.appliances, *after.alternators):
        sides = {r.polarity for r in after.runs if record.id in (r.source, r.target)}
        assert sides == set(Polarity)


@pytest.mark.parametrize("isolates", [Isolates.RELAY, Isolates.CONVERTER])
def test_a_battery_behind_an_isolator_is_fused_on_both_sides_of_it(isolates: Isolates) -> None:
    # common practice: a fuse within 18 in of either battery, as either feeds the wire between
    build = actions.applied(car(), kits.battery_behind(car(), isolates))
    (isolator,) = [b for b in build.blocks if b.kind is BlockKind.ISOLATOR]
    ahead = next(r for r in build.runs if r.target == isolator.id)
    behind = next(r for r in build.runs if r.source == isolator.id and r.target == "b2")
    assert (ahead.source, ahead.fused, ahead.far_fused) == ("b1", True, False)
    assert (behind.fused, behind.far_fused) == (False, True)
    for distance in (ahead.fuse_distance_m, behind.far_fuse_distance_m):
        assert distance is not None
        assert distance <= 18 * 0.0254
    grounded = any(r.source == isolator.id and r.polarity is Polarity.GROUND for r in build.runs)
    assert grounded is (isolates is Isolates.CONVERTER)
    charger = isolates is Isolates.CONVERTER
    assert isolator.zone == (build.batteries[1 if charger else 0].zone)


@pytest.mark.parametrize("isolates", [Isolates.RELAY, Isolates.CONVERTER])
def test_a_battery_that_goes_takes_its_isolator_along_and_says_so(isolates: Isolates) -> None:
    before = car()
    build = actions.applied(before, kits.battery_behind(before, isolates))
    edit = removal.remove(build, "batteries", "b2")
    after = actions.applied(build, edit)
    assert after.runs == before.runs
    assert after.blocks == before.blocks
    assert build.blocks[-1].name in edit.label


@pytest.mark.parametrize("isolates", [Isolates.RELAY, Isolates.CONVERTER])
def test_what_a_battery_fed_is_fed_from_where_the_battery_was(isolates: Isolates) -> None:
    # by definition: the music went through the battery, and plays on when that is taken out
    before = car()
    build = actions.applied(before, kits.battery_behind(before, isolates))
    moved = actions.applied(build, run_ends.feed_from(build, "r4", "b2"))
    edit = removal.remove(moved, "batteries", "b2")
    after = actions.applied(moved, edit)
    assert after.runs == before.runs
    assert edit.label.endswith("; Main run is fed from Starter battery now")
    stops = [f.what for f in evaluate(after).findings if f.level is Level.STOP]
    assert stops == []


@pytest.mark.parametrize("isolates", [Isolates.RELAY, Isolates.CONVERTER])
def test_an_isolator_that_goes_leaves_the_fuse_at_the_starter_battery(isolates: Isolates) -> None:
    # common practice: a fuse within 18 in of either battery, as either feeds the wire between
    build = actions.applied(car(), kits.battery_behind(car(), isolates))
    after = actions.applied(build, removal.remove(build, "blocks", "d2"))
    link = next(r for r in after.runs if r.target == "b2" and r.polarity is Polarity.POSITIVE)
    assert (link.source, link.fused, link.far_fused) == ("b1", True, True)
    assert link.fuse_distance_m is not None
    assert link.fuse_distance_m <= 18 * 0.0254
    assert [f.what for f in evaluate(after).findings if f.level is Level.STOP] == []


@pytest.mark.parametrize("wires", [1, 2])
@pytest.mark.parametrize("at_once", [True, False])
def test_a_bank_goes_as_it_came_whole_or_one_by_one(wires: int, at_once: bool) -> None:
    # by definition: what came with it goes with it; the battery's new ground cable stays, as it
    # may be for more, which is told of the whole
    before = changed(car(), ("runs", "r4", "count", wires))
    build = actions.applied(before, kits.bank_in_the_boot(before))
    after, said = build, ""
    if at_once:
        alone, whole = removal.ways(build, "batteries", "b3")
        assert (alone.name, whole.name) == ("Bank 2 alone", "the whole bank of 4")
        after, back = apply(build, whole.edit)
        assert apply(after, back)[0] == build
        said = whole.said
        assert said.endswith("; Battery ground cable stays as new wire")
    else:
        for id in ("b2", "b3", "b4", "b5"):
            said = removal.ways(after, "batteries", id)[0].said
            after = actions.applied(after, removal.remove(after, "batteries", id))
    assert "Bank isolator" in said
    assert "Bank ground" in said
    assert "Main run is fed from Starter battery now" in said
    for table in ("batteries", "blocks", "grounds"):
        assert getattr(after, table) == getattr(before, table)
    main = next(run for run in after.runs if run.id == "r4")
    assert (main.source, main.fused, main.far_fused) == ("b1", True, False)
    assert main.fuse_distance_m == pytest.approx(0.3048)  # 12 in, as a fuse not placed yet
    assert {run.id for run in after.runs} == {run.id for run in before.runs}
    assert serious(after) == []


def test_a_ground_point_goes_with_the_last_wire_on_it_only_where_its_place_has_another() -> None:
    build = car(5)  # four rings to a stud: the fifth amplifier has a point of its own
    last = build.amplifiers[-1].id
    assert len(build.grounds) == 3
    way = removal.ways(build, "amplifiers", last)[0]
    assert "Rear ground 2" in way.said
    assert actions.applied(build, way.edit).grounds == car(0).grounds
    alone = car(1)
    after = actions.applied(alone, removal.remove(alone, "amplifiers", "a1"))
    assert after.grounds == alone.grounds


def test_a_main_switch_comes_and_goes_and_the_fuse_is_where_it_was() -> None:
    before = changed(car(), ("runs", "r4", "fuse_a", 150.0))
    build = actions.applied(before, kits.main_switch(before))
    after = actions.applied(build, removal.remove(build, "blocks", "d2"))
    assert after.runs == before.runs
    assert after.blocks == before.blocks


def test_a_load_on_the_house_side_is_fed_from_its_block_though_that_is_full() -> None:
    # a wire of its own to the battery would need a fuse that breaks the battery's whole short;
    # that the block is full is told, as it is of an amplifier too many
    build = actions.applied(car(), kits.battery_behind(car(), Isolates.RELAY))
    build = actions.applied(build, run_ends.feed_from(build, "r4", "b2"))
    build = changed(build, ("blocks", "d1", "places", 1))
    build = actions.applied(build, actions.add(build, "appliances"))
    assert next(r.source for r in build.runs if r.target == build.appliances[0].id) == "d1"
    assert [f.what for f in evaluate(build).findings if f.code == "block-full"]


def test_a_charger_that_goes_leaves_no_ground_lead_on_the_starter_battery() -> None:
    build = actions.applied(car(), kits.battery_behind(car(), Isolates.CONVERTER))
    after = actions.applied(build, removal.remove(build, "blocks", "d2"))
    grounds = [r for r in after.runs if r.source == "b1" and r.polarity is Polarity.GROUND]
    assert len(grounds) == 1


def test_a_bank_shares_alike_and_feeds_no_fault_of_a_neighbour() -> None:
    build = actions.applied(car(), kits.bank_in_the_boot(car()))
    leads = [r for r in build.runs if r.source in {f"b{n}" for n in range(2, 6)}]
    plus = [r for r in leads if r.polarity is Polarity.POSITIVE]
    assert len(plus) == kits.BANK
    assert len({r.target for r in plus}) == len({r.target for r in leads} - {plus[0].target}) == 1
    assert all(r.fused and r.far_fused for r in plus)
    # the bank stands on the block that feeds the music; its main run comes from the isolator
    main = next(r for r in build.runs if r.id == "r4")
    isolator = next(b for b in build.blocks if b.kind is BlockKind.ISOLATOR)
    assert (main.source, main.target) == (isolator.id, plus[0].target)
    # left to the engine all leads of a side get one gauge and one fuse
    own = evaluate(build)
    for polarity in Polarity:
        results = [own.run(r.id) for r in leads if r.polarity is polarity]
        assert len({each and (each.gauge, each.fuse_a) for each in results}) == 1
    # by Ohm's law: leads of one length, gauge and battery carry one current
    alike = changed(build, *(("runs", r.id, "gauge", "AWG 2") for r in leads))
    state = evaluate(alike).state("off-tone")
    assert state is not None
    shares = sorted(abs(state.current_a[r.id]) for r in plus)
    assert all(b == pytest.approx(a, rel=0.05) for a, b in pairwise(shares))


def test_what_the_alternators_give_is_shared_by_the_batteries_of_a_bank() -> None:
    # conservation: four batteries that would each take 70 A get no more than the 120 A there are
    build = actions.applied(car(), kits.bank_in_the_boot(car()))
    link = next(r for r in build.runs if r.source == "b1" and r.target.startswith("d"))
    assert link.count == 1
    result = evaluate(build).run(link.id)
    assert result is not None
    assert result.fuse_a is not None
    assert 120 / 0.8 <= result.fuse_a < 280 / 0.8


def test_without_a_starter_battery_there_is_nothing_to_stand_behind() -> None:
    for make in (kits.bank_in_the_boot, kits.KITS[0].make, kits.KITS[1].make):
        with pytest.raises(EditRefused, match="no starter battery yet"):
            make(Build())


@pytest.mark.parametrize("kit", ["inverter", "fridge"])
@pytest.mark.parametrize("isolates", [Isolates.RELAY, Isolates.CONVERTER])
def test_what_draws_while_it_stands_is_fed_on_the_house_side(kit: str, isolates: Isolates) -> None:
    # common practice: house loads on the house battery, so that the engine still starts
    add = next(each for each in kits.KITS if each.id == kit)
    build = actions.applied(car(), kits.battery_behind(car(), isolates))
    edit = add.make(build)
    assert "fed from Battery 2" in edit.label
    after = actions.applied(build, edit)
    (load,) = after.appliances
    feed = next(run for run in after.runs if run.target == load.id)
    assert (feed.source, feed.fused) == ("b2", True)
    assert feed.fuse_distance_m is not None
    assert feed.fuse_distance_m <= 18 * 0.0254
    assert load.zone == build.batteries[1].zone
    # Past a relay the starter battery feeds an inverter too, for as long as it is on: with a short
    # at the music 110 A and 87 A come back there, and the vehicle's own AWG 2 carries 163 A.
    beyond = ["ground-overload"] if (kit, isolates) == ("inverter", Isolates.RELAY) else []
    assert [told.partition(":")[0] for told in serious(after)] == beyond
    # a block of that side is taken first; with no second battery it is the main block, as before
    block = actions.applied(build, actions.add(build, "blocks", name="House block"))
    id = block.blocks[-1].id
    block = actions.applied(block, run_ends.add_run(block, "b2", id, fused=True))
    after = actions.applied(block, add.make(block))
    assert next(run.source for run in after.runs if run.target == after.appliances[0].id) == id
    alone = actions.applied(car(), add.make(car()))
    assert next(run.source for run in alone.runs if run.target == "v1") == "d1"
    assert "fed from" not in add.make(car()).label


def test_what_works_with_the_music_or_ignition_and_a_plain_link_stay_as_they_were() -> None:
    build = actions.applied(car(), kits.battery_behind(car(), Isolates.RELAY))
    for works in ("with the music", "with the ignition"):
        after = actions.applied(build, actions.add(build, "appliances", works=works))
        assert next(run.source for run in after.runs if run.target == "v1") == "d1"
    capacitor = actions.applied(build, kits.capacitor(build))
    assert next(run.source for run in capacitor.runs if run.target == "v1") == "d1"
    linked = actions.applied(car(), actions.add(car(), "batteries"))
    after = actions.applied(linked, actions.add(linked, "appliances"))
    assert next(run.source for run in after.runs if run.target == "v1") == "d1"


def test_things_are_named_by_what_they_are_and_counted_among_their_like() -> None:
    # by definition: the second load of a car is its first fridge, the third its second
    build = car()
    for id in ("inverter", "fridge", "fridge", "other_load", "other_load"):
        build = actions.applied(build, next(kit for kit in kits.KITS if kit.id == id).make(build))
    names = [load.name for load in build.appliances]
    assert names == ["Inverter", "Fridge", "Fridge 2", "Load", "Load 2"]
