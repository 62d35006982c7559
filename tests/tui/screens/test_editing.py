"""Editing in the table cell: keys in, build out, screen text."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from domain.build import kits
from domain.build.actions import add, add_amplifier, applied
from domain.build.choices import Isolates, UnitHabit
from domain.build.edits import Batch, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.topics.loads import worst_drop_v
from tests.counts import FULL
from tests.tui.driving import (
    NARROW,
    SIZES,
    WIDE,
    build_screen,
    press,
    reopened,
    running,
    screen_text,
    status,
    stored,
    tried,
)
from tests.tui.stillness import settled
from tui.grids.status import WAYS_ON
from tui.screens.build import NOT_TAKEN
from tui.tables.build_tables import SPECS
from tui.widgets.key_line import KeyLine
from tui.widgets.live_pane import LivePane

# Texts that act on a terminal, a spreadsheet or a markup parser, and long and wide ones.
ODD_NAMES = (
    "[/red]",
    "[bold]x",
    "=1+1",
    "\x1b[31mred\x1b[0m",
    "x" * 500,
    "🔊 低音 🔊" * 20,
    "a\tb",
)


def three_amplifiers() -> Build:
    build = start_build()
    for name in ("Front", "Rear", "Sub"):
        build = applied(build, add(build, "amplifiers", name=name))
    return build


ODD_AT = [
    (name, size)
    for name in ODD_NAMES
    for size in SIZES
    if FULL or size == NARROW or len(name) > 20  # how wide it is matters to the long ones alone
]


@pytest.mark.parametrize(("name", "size"), ODD_AT)
async def test_odd_names_are_shown_as_text(
    tmp_path: Path, name: str, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    build = start_build(title=name)
    build = applied(
        build,
        add(build, "amplifiers", name=name),
        add(build, "zones", name=name),
        add(build, "parts", name=name),
    )
    key = stored(path, build)
    async with running(path, size) as pilot:
        assert "\x1b" not in screen_text(pilot)
        await press(pilot, "enter")
        for view in ("f2", "f3", "f4", "f5", "f8", "f6", "ctrl+t", "escape", "f1", "escape", "f9"):
            await press(pilot, view)
            shown = screen_text(pilot)
            assert "\x1b" not in shown
        await press(pilot, "f2")
        shown = screen_text(pilot)
        # The visible beginning of the name stands in the cell as it is stored.
        start = reopened(path, key).amplifiers[0].name[:6]
        assert start[:4] in shown
        await press(pilot, "enter", "enter", "f10")
        assert start[:4] in screen_text(pilot)
    assert reopened(path, key).amplifiers[0].name == build.amplifiers[0].name


@pytest.mark.parametrize("name", ["[/red]", "=1+1", "🔊 sub"])
async def test_odd_names_can_be_typed(tmp_path: Path, name: str) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "enter")
        screen.editing.typed(name)
        await press(pilot, "down")
        assert name[:4] in screen_text(pilot)
    assert reopened(path, key).amplifiers[0].name == name


@pytest.mark.parametrize(
    ("column", "typed", "word"),
    [
        ("right", "4xloud", "power"),
        ("right", "-5", "at least 5 w"),
        ("right", "1x999999", "at most"),
    ],
)
async def test_bad_value_is_refused_and_the_old_one_stays(
    tmp_path: Path, column: str, typed: str, word: str
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        before = screen.workbench.build
        await press(pilot, column, *typed, "enter")
        assert screen.editing.open
        assert status(pilot).startswith("! Not taken")
        assert word in status(pilot).lower()
        # No way out of the cell commits it either: other views, adding a row.
        await press(pilot, "f4")
        assert screen.view.id == "amplifiers"
        await press(pilot, "ctrl+n")
        assert screen.workbench.build == before
        await press(pilot, "escape")
        assert not screen.editing.open
        await press(pilot, "f4")
        assert screen.view.id == "distribution"
    assert reopened(path, key) == before


@pytest.mark.parametrize("size", SIZES)
async def test_a_refusal_is_told_in_full_with_the_ways_on(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, size, key) as pilot:
        keys = key_words(pilot)
        await press(pilot, "right", *"a very long wrong power", "enter")
        told = f"{status(pilot)} {key_words(pilot)}"
        assert "a power is wanted, such as 500 W or 1.2 kW" in told
        assert "esc" in key_words(pilot)
        # What is typed now takes its place, as in a cell that is not open yet.
        await press(pilot, *"4x100", "enter")
        assert key_words(pilot) == keys
        assert reopened(path, key).amplifiers[0].channels == 4
        # Any other key goes on with the text.
        await press(pilot, "home", "right", *"2x10o", "enter", "backspace", "0", "enter")
        assert reopened(path, key).amplifiers[0].channel_w == 100
        await press(pilot, "home", "right", *"loud", "enter", "escape")
        assert key_words(pilot) == keys
        assert not build_screen(pilot).editing.open
    assert reopened(path, key).amplifiers[0].channels == 2


def key_words(pilot: Pilot[int]) -> str:
    return pilot.app.screen.query_one("#keys", KeyLine).lines[0].plain.strip()


async def test_escape_keeps_the_old_value_and_the_figures(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        await press(pilot, "right")
        await tried(pilot)  # the pane tells of it, sooner or later
        before = screen_text(pilot)
        await press(pilot, "9", "0", "0", "0")
        assert screen_text(pilot) != before
        await press(pilot, "escape")
        assert screen_text(pilot) == before
    assert reopened(path, key) == three_amplifiers()


@pytest.mark.parametrize(
    ("page", "table", "field", "text"),
    [("f2", "amplifiers", "power", "2x977"), ("alt+1", "wiring", "length_m", "19.75 ft")],
)
async def test_typed_text_and_its_figures_stand_through_whatever_is_laid_out_anew(
    tmp_path: Path, page: str, table: str, field: str, text: str
) -> None:
    """The terminal's size, the pane in full, what the shop says: what is typed is seen on."""
    path = tmp_path / "store.db"
    build = start_build()
    for name in ("Front", "Rear"):
        build = applied(build, add_amplifier(build, name=name, channel_w=75.0))
    key = stored(path, build)
    async with running(path, key=key, page=page) as pilot:
        screen = build_screen(pilot)
        run = next(run.id for run in build.runs if run.target == "a1")
        grid = screen.grid_of(table)
        assert grid.go("a1" if table == "amplifiers" else run, field)
        await press(pilot, text)
        typed, pane = screen.preview, screen.query_one(LivePane)
        assert typed is not None
        drop = f"{worst_drop_v(typed):.2f} V worst drop"

        def seen(after: str) -> None:
            shown = screen_text(pilot)
            assert text in shown, after
            assert NOT_TAKEN in shown, after
            assert drop in "\n".join(line.plain for line in pane.lines), after

        for width, height in ((110, 40), (200, 40), (140, 30), (80, 24), (60, 18), (120, 40)):
            await pilot.resize_terminal(width, height)
            await settled(pilot)
            seen(f"{width}x{height}")
        await press(pilot, "f9", "f9")
        seen("the pane in full")
        screen.returned()
        screen.show_tables()
        await settled(pilot)
        seen("others priced")
        await press(pilot, "escape")
        await pilot.resize_terminal(100, 30)
        await settled(pilot)
        assert text not in screen_text(pilot)  # nor does it come back
        assert NOT_TAKEN not in screen_text(pilot)
    assert reopened(path, key) == build


@pytest.mark.parametrize("shop", [False, True])
async def test_what_is_said_is_parted_anew_for_another_width(tmp_path: Path, shop: bool) -> None:
    """Expected: as where it is said at that width, with the ways on, and back again."""
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    said: dict[tuple[int, int], list[str]] = {}
    for size in (WIDE, NARROW):
        async with running(path, size, key=key) as pilot:
            await press(
                pilot, *(("f12", "ctrl+n") if shop else ()), "right", "4x75 horses", "enter"
            )
            said[size] = screen_text(pilot).splitlines()[-2:]
            assert "Not taken" in said[size][0]
            assert WAYS_ON in said[size][1]
            if size == NARROW:
                continue
            for other in (NARROW, WIDE, NARROW):
                await pilot.resize_terminal(*other)
                await settled(pilot)
                said[other[0], 0] = screen_text(pilot).splitlines()[-2:]
    assert said[WIDE] == said[WIDE[0], 0]
    assert said[NARROW] == said[NARROW[0], 0]


async def test_the_pane_follows_while_typing_and_nothing_is_saved(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        full = screen.workbench.sheet.supply.design_a
        await press(pilot, "right", "2x900")
        shown = screen_text(pilot)
        typed = screen.workbench.preview(screen.editing._edit("2x900")[0]).supply.design_a
        assert typed > full
        assert f"{typed:.0f} A full power" in shown
        assert screen.workbench.revision == 0
        # It is said that those figures are not taken yet, and the help page says what that means.
        assert shown.splitlines()[0].endswith(f"{NOT_TAKEN} ".rstrip())
        await press(pilot, "f1")
        assert NOT_TAKEN in screen_text(pilot)
        await press(pilot, "escape")
        assert NOT_TAKEN in screen_text(pilot)
        await press(pilot, "escape")
        assert screen_text(pilot).splitlines()[0].endswith("saved rev 0")
    assert reopened(path, key) == three_amplifiers()


async def test_enter_without_a_change_commits_nothing(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        await press(pilot, "f4", "right")
        screen = build_screen(pilot)
        assert screen.editing.cell() is not None
        await press(pilot, "enter", "enter")
        assert screen.workbench.revision == 0
    assert all(run.gauge is None for run in reopened(path, key).runs if not run.existing)


async def test_auto_is_pinned_and_given_back(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f4")
        screen.grid.go("r4", "gauge")
        chosen = screen.workbench.sheet.run("r4")
        assert chosen is not None
        await press(pilot, "=")
        assert reopened(path, key).runs[3].gauge == chosen.gauge
        await press(pilot, "delete")
        assert reopened(path, key).runs[3].gauge is None
        screen.grid.go("r4", "fuse_a")
        await press(pilot, *"no", "enter")
        run = reopened(path, key).runs[3]
        assert (run.fused, run.fuse_a) == (False, None)
        screen.grid.go("r4", "fuse_a")
        await press(pilot, *"150A", "enter")
        run = reopened(path, key).runs[3]
        assert (run.fused, run.fuse_a) == (True, 150)


async def test_choices_step_by_space_take_a_prefix_and_open_as_a_list(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        screen.grid.go("a1", "amplifier_class")
        await press(pilot, "space")
        assert reopened(path, key).amplifiers[0].amplifier_class == "G/H"
        await press(pilot, *"ab", "enter")
        assert reopened(path, key).amplifiers[0].amplifier_class == "AB"
        screen.grid.go("a1", "amplifier_class")
        await press(pilot, "enter", "down", "enter")
        assert reopened(path, key).amplifiers[0].amplifier_class == "D"
        screen.grid.go("a1", "regulated")
        await press(pilot, "space")
        assert not reopened(path, key).amplifiers[0].regulated


async def test_undo_and_redo_work_across_a_restart(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+n", "4x75", "enter")
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+z")
        assert reopened(path, key).amplifiers[0].channel_w == 500
        await press(pilot, "ctrl+z")
        assert reopened(path, key).amplifiers == ()
        await press(pilot, "ctrl+z")
        assert "Nothing to undo" in status(pilot)
        await press(pilot, "ctrl+y", "ctrl+y")
        assert reopened(path, key).amplifiers[0].channel_w == 75
        await press(pilot, "ctrl+y")
        assert "Nothing to redo" in status(pilot)


async def test_rows_are_removed_copied_and_moved(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+down")
        assert [a.name for a in reopened(path, key).amplifiers] == ["Rear", "Front", "Sub"]
        assert build_screen(pilot).grid.row_id == "a1"
        await press(pilot, "ctrl+d")
        assert [a.name for a in reopened(path, key).amplifiers][-1] == "Front 2"
        await press(pilot, "delete")
        assert [a.name for a in reopened(path, key).amplifiers] == ["Rear", "Front", "Sub"]
        assert "ctrl+z" in status(pilot)
        await press(pilot, "ctrl+z")
        assert len(reopened(path, key).amplifiers) == 4


async def test_a_run_is_rehung_and_loops_are_not_offered(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = three_amplifiers()
    build = applied(build, add(build, "blocks", name="Second block"))
    branch = next(r.id for r in build.runs if r.target == "a1")
    build = applied(build, SetField(table="runs", id=branch, field="length_m", value=0.8))
    key = stored(path, build)
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f4")
        screen.grid.go(branch, "name")
        await press(pilot, "ctrl+r")
        shown = screen_text(pilot)
        assert "Second block" in shown
        await press(pilot, *"second", "enter")
        assert next(r for r in reopened(path, key).runs if r.id == branch).source == "d2"
        assert "its 31.5 in was measured for the old way: measure it anew" in screen_text(pilot)
        # The main run feeds the main block: it cannot hang on what it feeds.
        screen.grid.go("r4", "name")
        await press(pilot, "ctrl+r")
        assert (
            "Main block" not in screen_text(pilot).split("Feed ")[1].split("└")[0].split("\n", 1)[1]
        )


async def test_a_wire_is_offered_only_what_its_side_can_be_joined_to(tmp_path: Path) -> None:
    """By definition: no ground ends on a block that feeds, no feed comes from a ground point."""
    path = tmp_path / "store.db"
    build = three_amplifiers()
    build = applied(build, add(build, "blocks", name="Ground block", kind="ground"))
    build = applied(build, kits.battery_behind(build, Isolates.CONVERTER))
    key = stored(path, build)
    ground = next(r for r in build.runs if r.source == "a1")
    feed = next(r for r in build.runs if r.target == "a1")
    runs = next(spec for spec in SPECS if spec.id == "runs")
    columns = {column.field: column for column in runs.columns}
    async with running(path, key=key, page="f4") as pilot:
        screen = build_screen(pilot)
        for run, field, may, may_not in (
            (ground, "target", {"d2", "e1", "e2", "b1", "b2"}, {"d1", "a1", ""}),
            (ground, "source", {"a2", "b1", "d2", "d3"}, {"d1", "e2"}),
            (feed, "source", {"d1", "b1", "b2", "d3"}, {"d2", "e1", "a1"}),
            (feed, "target", {"d3", "b2", "a2"}, {"d2", "e1", "d1"}),
        ):
            options = columns[field].options(build, run)
            edits = (edit.edits[0] if isinstance(edit, Batch) else edit for _, edit in options)
            ids = {edit.value for edit in edits if isinstance(edit, SetField)}
            assert may <= ids, field
            assert not may_not & ids, field
        await press(pilot, "f5")
        screen.focus_grid(screen.grid_of("ground_runs"))
        screen.grid.go(ground.id, "name")
        await press(pilot, "ctrl+r")
        listed = screen_text(pilot).split("Lead ")[1].split("└")[0]
        assert "Ground block" in listed
        assert "Main block" not in listed


@pytest.mark.parametrize(
    ("units", "said"), [(UnitHabit.INCH, "~6 in"), (UnitHabit.METRIC, "~15 cm")]
)
def test_slack_that_nobody_entered_is_shown_as_a_tape_has_it(units: UnitHabit, said: str) -> None:
    """At least 0.15 m (typical, planning value): 5.91 in, on a tape 6."""
    build = start_build(units=units)
    build = applied(build, add(build, "amplifiers"))
    runs = next(spec for spec in SPECS if spec.id == "runs")
    slack = next(column for column in runs.columns if column.field == "slack_m")
    run = next(r for r in build.runs if r.source == "a1")
    assert slack.shown(build, evaluate(build), run) == said


async def test_a_ground_wire_is_led_to_another_ground(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = three_amplifiers()
    build = applied(build, add(build, "grounds", name="Second ground"))
    key = stored(path, build)
    ground = next(r.id for r in build.runs if r.source == "a1")
    async with running(path, WIDE, key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f5")
        assert screen.grid.spec.id == "grounds"
        await press(pilot, "ctrl+r")  # on a ground point: which of its wires is not said
        assert "Go to a wire first" in status(pilot)
        screen.focus_grid(screen.grid_of("ground_runs"))
        screen.grid.go(ground, "name")
        await press(pilot, "ctrl+r")
        shown = screen_text(pilot)
        assert "Lead " in shown
        assert "Second ground" in shown
        await press(pilot, *"second", "enter")
        assert next(r for r in reopened(path, key).runs if r.id == ground).target == "e3"
        # Its row among the grounds of amplifiers stands for the same wire.
        screen.focus_grid(screen.grid_of("returns"))
        screen.grid.go("a1", "·name")
        await press(pilot, "ctrl+r", "up", "enter")
        assert next(r for r in reopened(path, key).runs if r.id == ground).target != "e3"
        # One more wire where there is one already is added, and it is said what it does.
        screen.focus_grid(screen.grid_of("ground_runs"))
        screen.grid.go(ground, "name")
        await press(pilot, "ctrl+n")
        assert status(pilot).startswith("A second wire between the devices of")
        await press(pilot, "ctrl+z")
        assert len(reopened(path, key).runs) == len(build.runs)
        # One beside a fused wire is fused as that is: without, it would take all of the current.
        feed = next(r for r in build.runs if r.target == "a1" and r.fused)
        await press(pilot, "f4")
        screen.grid.go(feed.id, "name")
        await press(pilot, "ctrl+n")
        assert status(pilot).startswith("A second wire between the devices of")
        added = reopened(path, key).runs[-1]
        assert (added.fused, added.fuse_distance_m) == (True, feed.fuse_distance_m)


async def test_pasting_several_lines_is_refused_aloud(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, WIDE, key) as pilot:
        screen = build_screen(pilot)
        screen.editing.typed("one\ntwo")
        await pilot.pause()
        assert "one line" in status(pilot)
        assert not screen.editing.open


async def test_what_is_refused_leaves_no_half_preview(tmp_path: Path) -> None:
    """16 ft is no gauge: the pane goes on showing the plan, not that with 16 AWG."""
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key, page="f4") as pilot:
        screen = build_screen(pilot)
        screen.grid.go("r4", "gauge")
        before = [line.plain for line in screen.query_one("#pane", LivePane).lines]
        await press(pilot, "16ft", "enter")
        after = [line.plain for line in screen.query_one("#pane", LivePane).lines]
        assert after == before
        assert reopened(path, key) == three_amplifiers()


async def test_a_gauge_typed_equal_to_the_chosen_one_is_set_by_hand(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, three_amplifiers())
    async with running(path, key=key, page="f4") as pilot:
        screen = build_screen(pilot)
        chosen = screen.workbench.sheet.run("r4")
        assert chosen is not None
        assert chosen.gauge_auto
        screen.grid.go("r4", "gauge")
        await press(pilot, chosen.gauge.removeprefix("AWG "), "enter")
        (run,) = (run for run in reopened(path, key).runs if run.id == "r4")
        assert run.gauge == chosen.gauge
