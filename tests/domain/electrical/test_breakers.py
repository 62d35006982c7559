"""Breakers, main switches and bus bars: where they stand, what is judged, what is told."""

import pytest

from domain.build import actions, kits, removal
from domain.build.choices import BlockKind, FuseFamily, Isolates
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical import bus_bars, fuses
from domain.evaluate import evaluate
from domain.findings import Level
from domain.reference.counter_words import counter_words, standard
from domain.work_order import work_order
from tests.domain.electrical.small import changed, found, small_build

BREAKER = FuseFamily.BREAKER.value


def with_breaker() -> Build:
    return changed(
        small_build(),
        ("runs", "r4", "fuse_family", BREAKER),
        ("runs", "r4", "breaks_a", 10000.0),
    )


def bus_car(amplifiers: int = 3) -> Build:
    build = start_build()
    for _ in range(amplifiers):
        build = actions.applied(build, actions.add(build, "amplifiers", channel_w=300.0))
    return changed(build, ("blocks", "d1", "kind", "bus bar"), ("blocks", "d1", "fused", False))


def test_a_breaker_stands_where_a_fuse_stands() -> None:
    sheet = evaluate(with_breaker())
    run, study = sheet.run("r4"), sheet.study("r4")
    assert run is not None
    assert study is not None
    assert (run.fuse_family, study.family) == (BREAKER, BREAKER)
    assert run.fuse_a in fuses.ratings(FuseFamily.BREAKER)
    # at 60 C around it, it trips 0.4 % earlier for each of 35 K (from memory): 0.86 of its rating
    assert run.fuse_a is not None
    assert run.fuse_a * (1 - 0.004 * 35) >= run.design_a
    # its own curve is what the proofs take: it must open at 130 %
    assert study.must_open_a == pytest.approx(1.3 * run.fuse_a)
    assert not [f for f in sheet.findings if f.level is not Level.NOTE]


def test_what_its_label_says_it_breaks_goes_before_what_is_usual() -> None:
    build = changed(with_breaker(), ("runs", "r4", "breaks_a", None))
    (finding,) = found(build, "fuse-breaking")
    assert finding.id == "r4"
    assert "1500 A" in finding.why
    assert not found(with_breaker(), "fuse-breaking")


def test_one_that_closes_by_itself() -> None:
    build = changed(with_breaker(), ("runs", "r4", "resets", "by itself"))
    (finding,) = found(build, "breaker-resets")
    assert (finding.level, finding.field) == (Level.FIX, "resets")
    # of a fuse it says nothing
    assert not found(changed(build, ("runs", "r4", "fuse_family", None)), "breaker-resets")


def test_a_breaker_has_no_holder_and_no_spares() -> None:
    sheet = evaluate(with_breaker())
    (line,) = [m for m in sheet.materials if m.item.startswith("Breaker")]
    assert (line.group, line.quantity) == ("Holders", 1)
    assert "thermal circuit breaker" in line.note
    assert not [m for m in sheet.materials if m.group == "Fuses" and "r4" in m.asked_by]
    steps = [step.what for step in work_order(with_breaker(), sheet)]
    assert any("switch on the" in text and "(r4)" in text for text in steps)
    assert any("stays OFF" in text and "(r4)" in text for text in steps)


@pytest.mark.parametrize("family", list(FuseFamily), ids=lambda family: family.name)
def test_every_family_has_words_for_the_counter(family: FuseFamily) -> None:
    assert counter_words(family)
    assert standard(family)
    assert fuses.breaking_a(family) > 0


@pytest.mark.parametrize("kind", [*BlockKind, *Isolates, "fused distribution"], ids=str)
def test_every_block_and_isolator_has_words_for_the_counter(kind: str) -> None:
    assert counter_words(kind)
    assert standard(kind)


def test_blocks_are_asked_for_as_they_are() -> None:
    build = small_build()
    for changes, words in (
        ((), "a fuse for each wire out"),
        ((("blocks", "d1", "fused", False),), "without fuses"),
        ((("blocks", "d1", "kind", "bus bar"),), "bus bar with studs"),
    ):
        lines = [m for m in evaluate(changed(build, *changes)).materials if m.group == "Blocks"]
        assert [words in line.note for line in lines] == [True], words


def test_fuses_are_asked_for_by_words_of_the_counter() -> None:
    sheet = evaluate(small_build())
    lines = [m for m in sheet.materials if m.group in ("Fuses", "Holders")]
    assert lines
    assert all("ask for: " in line.note for line in lines)


def test_a_main_switch_carries_what_the_main_run_does_and_is_judged() -> None:
    before = small_build()
    build = actions.applied(before, kits.main_switch(before))
    (switch,) = [b for b in build.blocks if b.kind is BlockKind.ISOLATOR]
    assert switch.isolates is Isolates.SWITCH
    sheet = evaluate(build, swept=True)
    assert not [f for f in sheet.findings if f.level is not Level.NOTE]
    # it is joined with the engine off too, and the fuse stays at the battery
    off = sheet.state("off-tone")
    assert off is not None
    assert off.current_a["r4"] > 10
    ahead = next(r for r in build.runs if r.target == switch.id)
    assert (ahead.source, ahead.fused) == ("b1", True)
    assert not next(r for r in build.runs if r.id == "r4").fused
    # a rating that is too small is a fault
    small = changed(build, ("blocks", switch.id, "rated_a", 5.0))
    assert {f.id for f in evaluate(small).findings if f.code.startswith("isolator")} == {switch.id}
    # and taken out again it leaves the block fed
    gone = actions.applied(build, removal.remove(build, "blocks", switch.id))
    assert next(r for r in gone.runs if r.target == "d1").source == "b1"


def test_a_bus_bar_is_chosen_to_suit_what_flows() -> None:
    sheet = evaluate(bus_car())
    (block,) = sheet.blocks
    assert block.bar_m is not None
    assert block.bar_holds_a is not None
    main = sheet.run("r4")
    assert main is not None
    assert main.fuse_a is not None
    # it holds what flows, and what the fuse ahead of it lets through for good
    assert block.bar_holds_a >= max(block.bar_carries_a, main.fuse_a)
    assert not found(bus_car(), "bus-bar-over")
    # what comes in leaves again (Kirchhoff): half of all currents is what the main run brings
    states = [s for s in sheet.states if s.id.endswith("programme")]
    assert block.bar_carries_a == pytest.approx(max(s.current_a["r4"] for s in states), rel=1e-6)
    (line,) = [m for m in sheet.materials if m.item.startswith("Bus bar")]
    assert line.size.startswith("copper ")


def test_a_bar_that_is_too_small_is_a_fault() -> None:
    thin = changed(
        bus_car(6),
        ("blocks", "d1", "bar_width_m", 0.0127),
        ("blocks", "d1", "bar_thick_m", 0.00159),
    )
    (finding,) = found(thin, "bus-bar-over")
    assert finding.id == "d1"
    assert finding.field == "bar_width_m"
    # and so is the rating on its label
    rated = changed(bus_car(6), ("blocks", "d1", "rated_a", 10.0))
    (finding,) = found(rated, "bus-bar-over")
    assert (finding.level, finding.field) == (Level.STOP, "rated_a")


def test_its_branches_have_fuses_of_their_own_with_holders() -> None:
    # a bus bar has no fuse places: a fuse at its stud needs a holder
    sheet = evaluate(bus_car(2))
    holders = [m for m in sheet.materials if m.item.startswith("Holder for")]
    assert {"r5", "r7"} <= {id for line in holders for id in line.asked_by}


def test_a_bar_of_no_listed_size_counts_as_the_next_smaller() -> None:
    listed = bus_bars.free_air_a((0.0254, 0.003175), 50.0)
    assert bus_bars.free_air_a((0.030, 0.0035), 50.0) == listed
    # narrower than any: in proportion, which is the safe side, for what cools it shrinks less
    least = bus_bars.free_air_a((0.0127, 0.0015875), 50.0)
    assert 0.9 * least < bus_bars.free_air_a((0.012, 0.0015875), 50.0) < least
    assert bus_bars.free_air_a((0.00635, 0.00079375), 50.0) == pytest.approx(least / 4, rel=0.01)


def test_a_bar_between_batteries_carries_their_charge() -> None:
    # conservation: what the alternators give goes through it on its way to the bank, whatever the
    # states that are solved stand at; 120 A of alternator, less what the vehicle takes
    build = start_build()
    build = actions.applied(build, actions.add(build, "amplifiers", channel_w=500.0))
    build = actions.applied(build, kits.bank_in_the_boot(build))
    bus = next(b.id for b in build.blocks if b.kind is BlockKind.DISTRIBUTION)
    build = changed(build, ("blocks", bus, "kind", "bus bar"), ("blocks", bus, "fused", False))
    block = next(b for b in evaluate(build).blocks if b.id == bus)
    assert block.bar_holds_a is not None
    assert block.bar_holds_a >= block.bar_carries_a >= 80.0
    assert not found(build, "bus-bar-over")


def test_the_side_that_is_left_open_suits_the_one_that_is_entered() -> None:
    # of 13 mm width the table has bars thick enough
    wide = changed(bus_car(), ("blocks", "d1", "bar_width_m", 0.013))
    (block,) = evaluate(wide).blocks
    assert block.bar_m is not None
    assert block.bar_m[0] == 0.013
    assert not found(wide, "bus-bar-over")
