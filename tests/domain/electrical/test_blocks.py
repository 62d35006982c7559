"""Blocks take the wires that are on them, unless the user says what they take."""

import pytest

from domain.build import actions, run_ends
from domain.build.actions import add_amplifier, applied
from domain.build.choices import BlockKind, WireSizes
from domain.build.edits import AddRecord, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.small import changed, found, small_build


def _two_amplifiers() -> Build:
    """4x100 and 1x800 W behind 15 ft of main run."""
    build = applied(start_build(), SetField(table="runs", id="r4", field="length_m", value=4.572))
    build = applied(build, add_amplifier(build, channels=4, channel_w=100.0))
    return applied(build, add_amplifier(build, channel_w=800.0))


def test_an_auto_block_takes_the_thickest_wire_of_each_side() -> None:
    # by definition
    sheet = evaluate(_two_amplifiers())
    main, branches = sheet.run("r4"), [run for run in sheet.runs if run.source == "d1"]
    assert main is not None
    (block,) = sheet.blocks
    assert block.largest_in == main.gauge
    assert block.largest_out == "AWG 4"
    assert "AWG 4" in {run.gauge for run in branches}
    assert "terminal" not in {f.code for f in sheet.findings}


def test_usual_amplifiers_on_a_usual_length_need_no_edit() -> None:
    # by the rule of sizing: a block that is still to be bought never holds the main run back
    assert not [f for f in evaluate(_two_amplifiers()).findings if f.level.value != "note"]


def test_what_the_user_says_a_block_takes_holds() -> None:
    small = SetField(table="blocks", id="d1", field="largest_in", value="AWG 8")
    sheet = evaluate(applied(_two_amplifiers(), small))
    run = sheet.run("r4")
    assert run is not None
    assert run.gauge == "AWG 8"
    assert sheet.blocks[0].largest_in == "AWG 8"


@pytest.mark.parametrize(
    ("series", "sizes"),
    [(WireSizes.AWG, ("AWG 4", "AWG 8")), (WireSizes.MM2, ("25 mm2", "10 mm2"))],
)
def test_a_block_with_nothing_on_it_is_the_smallest_sold(
    series: WireSizes, sizes: tuple[str, str]
) -> None:
    # common practice: 4 in, 8 out
    build = Build.of(
        {"header": {"wire_sizes": series}, "blocks": [{"id": "d1"}], "batteries": [{"id": "b1"}]}
    )
    (block,) = evaluate(build).blocks
    assert (block.largest_in, block.largest_out) == sizes


def test_both_sides_of_an_isolator_are_one_stud() -> None:
    # by construction: an isolator's studs are alike
    build = _two_amplifiers()
    record = {"id": "d2", "kind": BlockKind.ISOLATOR, "largest_out": None}
    build = applied(build, AddRecord(table="blocks", record=record))
    build = applied(build, SetField(table="runs", id="r4", field="target", value="d2"))
    link = {"id": "r99", "source": "d2", "target": "d1", "gauge": "AWG 4/0"}
    build = applied(build, AddRecord(table="runs", record=link))
    isolator = evaluate(build).blocks[1]
    assert isolator.largest_in == isolator.largest_out == "AWG 4/0"


@pytest.mark.parametrize("fused", [True, False])
def test_a_feed_that_is_sized_for_nothing_says_so(fused: bool) -> None:
    build = small_build()
    assert not found(build, "block-empty")
    build = actions.applied(build, actions.add(build, "blocks"))
    block = build.blocks[-1].id
    build = actions.applied(build, run_ends.add_run(build, "d1", block, fused=fused))
    feed = build.runs[-1].id
    (asked,) = found(build, "block-empty")
    assert (asked.table, asked.id, asked.level) == ("runs", feed, Level.NOTE)
    assert not found(changed(build, ("runs", feed, "gauge", "AWG 4")), "block-empty")
    amplifier = actions.applied(build, run_ends.feed_from(build, "r5", block))
    assert "block-empty" not in {f.code for f in evaluate(amplifier).findings if f.id == feed}
