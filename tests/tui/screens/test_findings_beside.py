"""The results beside a page: room for the page, and which finding stands on top.

Expected by definition: what is wider shows no less; what has come up is not hidden by what was
looked at before; a reason is not cut where rows are free.
"""

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import ContentSwitcher

from domain.build.actions import add, add_amplifier, applied
from domain.build.amplifier_power import parse_power
from domain.build.edits import AddRecord, RemoveRecord, SetField
from domain.build.kits import KITS
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.fabrication.presets import preset
from domain.findings import Finding, Level
from tests.tui.driving import (
    SIZES,
    WIDE,
    build_screen,
    press,
    running,
    screen_text,
    status,
    stored,
)
from tui.tables.columns import Figure
from tui.widgets.pane_lines import BLOCK_LINES, pane_lines


def one_amplifier() -> Build:
    build = start_build("Van")
    return applied(build, add_amplifier(build, name="Bass", **parse_power("1x800")))


@pytest.mark.parametrize("width", [90, 100, 119])
async def test_a_wider_terminal_gives_the_wiring_no_less_room(tmp_path: Path, width: int) -> None:
    path = tmp_path / "store.db"
    key = stored(path, one_amplifier())
    async with running(path, (80, 24), key, page="") as pilot:
        narrow = build_screen(pilot).query_one(ContentSwitcher).size.width
    async with running(path, (width, 30), key, page="") as pilot:
        screen = build_screen(pilot)
        assert screen.query_one(ContentSwitcher).size.width >= narrow
        heads = screen_text(pilot)
        assert all(word in heads for word in ("Length", "Wire", "Fuse", "Drop"))
        assert screen.query_one("#strip").display
        assert "more columns" not in heads


async def test_a_stop_that_an_edit_brings_stands_on_top(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = one_amplifier()
    key = stored(path, build)
    feed = next(run for run in build.runs if run.target == "a1")
    async with running(path, WIDE, key, page="") as pilot:
        screen = build_screen(pilot)
        await press(pilot, "ctrl+g", "ctrl+g")
        assert screen.mending.finding is not None
        seen = screen.mending.finding.code
        # One more note elsewhere leaves it where it is.
        assert screen.commit(SetField(table="runs", id=feed.id, field="slack_m", value=0.2))
        assert screen.mending.finding.code == seen
        edits = ("fuse_a", 200.0), ("gauge", "AWG 18")
        for field, value in edits:
            assert screen.commit(SetField(table="runs", id=feed.id, field=field, value=value))
        assert screen.mending.finding.level is Level.STOP
        await pilot.pause()
        assert "STOP" in screen_text(pilot)


def test_a_reason_is_not_cut_where_rows_are_free() -> None:
    build = one_amplifier()
    sheet = evaluate(build)
    why = "a reason that goes on over four whole lines of the block beside a table of wires, " * 2
    long = Finding(Level.STOP, "x", "Short", f"{why}END", "act", "common practice")
    block = pane_lines(build, replace(sheet, findings=(long,)), 45)[:BLOCK_LINES]
    assert any("END" in "".join(s.text for s in line.spans) for line in block)
    ended = "".join(s.text for s in block[-1].spans)
    assert not ended.strip(), "the block keeps its height"


async def test_a_charger_in_a_relays_place_asks_for_its_own_rating(tmp_path: Path) -> None:
    build = one_amplifier()
    kit = next(kit for kit in KITS if kit.id == "battery_behind_relay")
    build = applied(build, kit.make(build))
    path = tmp_path / "store.db"
    key = stored(path, build)
    isolator = next(b for b in build.blocks if b.isolates)
    main = next(b for b in build.blocks if not b.isolates)
    async with running(path, WIDE, key, page="f4") as pilot:
        screen = build_screen(pilot)
        screen.focus_grid(screen.grid_of("blocks"))
        screen.grid.go(main.id, "isolates")
        await press(pilot, *"dc", "enter")
        assert "no isolator: choose isolator under Kind first" in status(pilot)
        await press(pilot, "escape")
        screen.grid.go(isolator.id, "isolates")
        await press(pilot, *"dc", "enter")
        assert "140 A went with the old isolator" in status(pilot)
        block = next(b for b in screen.workbench.build.blocks if b.id == isolator.id)
        assert block.rated_a is None
        await press(pilot, "ctrl+z")
        block = next(b for b in screen.workbench.build.blocks if b.id == isolator.id)
        assert (block.isolates, block.rated_a) == (isolator.isolates, isolator.rated_a)
        # A diode in a relay's place: the same kind of figure is on its label, and stays.
        await press(pilot, *"dio", "enter")
        block = next(b for b in screen.workbench.build.blocks if b.id == isolator.id)
        assert block.rated_a == isolator.rated_a


async def test_a_ground_wire_is_added_to_what_has_none(tmp_path: Path) -> None:
    build = one_amplifier()
    ground = next(run for run in build.runs if run.source == "a1")
    build = applied(build, add(build, "amplifiers", name="Front"))
    lost = next(run for run in build.runs if run.source == "a2")
    build = applied(build, RemoveRecord(table="runs", id=lost.id))
    path = tmp_path / "store.db"
    key = stored(path, build)
    async with running(path, WIDE, key, page="f5") as pilot:
        screen = build_screen(pilot)
        screen.focus_grid(screen.grid_of("ground_runs"))
        screen.grid.go(ground.id, "length_m")
        await press(pilot, "ctrl+n")
        assert screen.workbench.build.runs[-1].source == "a2"
        assert screen.workbench.build.runs[-1].target == ground.target


def test_a_column_without_a_title_does_not_begin_its_help_with_a_colon() -> None:
    assert not Figure("", "·group", "·", 8).described(one_amplifier()).startswith(":")


@pytest.mark.parametrize("size", SIZES)
async def test_what_a_value_forbids_is_told_at_its_cell_with_what_would_do(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    # A relation to another record is told, not refused: the flange may be made larger next.
    build = start_build()
    build = applied(build, preset(build, "plate"))
    build = applied(build, AddRecord(table="holes", record={"id": "h1", "panel": "n1"}))
    path = tmp_path / "store.db"
    key = stored(path, build)
    async with running(path, size, key, page="f6") as pilot:
        screen = build_screen(pilot)
        screen.focus_grid(screen.grid_of("holes"))
        screen.grid.go("h1", "x_m")
        await press(pilot, "40in", "enter")
        told = " ".join(screen_text(pilot).split())
        assert "STOP hole h1 in " in told
        assert "is not on the flange. Do: enter X from" in told
        await press(pilot, "right")
        assert "enter X from" not in status(pilot)
        # what stopped before is not told again
        screen.grid.go("h1", "x_m")
        await press(pilot, "41in", "enter")
        assert "enter X from" not in status(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_what_no_edit_fixes_is_told_with_all_that_would_do(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, one_amplifier())
    finding = next(f for f in evaluate(one_amplifier()).findings if f.code == "not-measured")
    async with running(path, size, key, page="f4") as pilot:
        for _ in range(20):
            await press(pilot, "ctrl+g")
            if "not measured yet. Do" in " ".join(screen_text(pilot).split()):
                break
        await press(pilot, "ctrl+e")
        assert f"by itself. Do: {finding.do}" in " ".join(screen_text(pilot).split())
