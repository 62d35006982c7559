"""The closer looks: protection, drive, drop, spots, readings, workings, comparison; the mouse."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from demo_db.load import demo_builds
from domain.build.actions import add, applied
from domain.build.choices import FuseFamily, UnitHabit
from domain.build.edits import SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical.meter.readings import predicted
from domain.evaluate import evaluate
from domain.topics.fuse_study import verdict
from domain.topics.tables import Subject
from domain.units.show import format_quantity
from storage.store.builds import Store
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
)
from tui.pages.compare import ComparePage
from tui.pages.drive import DrivePage, balance
from tui.pages.page import Body
from tui.pages.protection import ProtectionPage
from tui.pages.safe_wire import SafeWirePage, bar
from tui.screens.build import BuildScreen
from tui.screens.builds import BuildsScreen
from tui.views.build.readings import ReadingsView


def estate() -> Build:
    return dict(demo_builds())["estate_car"]


async def settle(pilot: Pilot[int]) -> None:
    """Wait for workers and for what they told."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@pytest.mark.parametrize("size", SIZES)
async def test_protection_of_every_fuse(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    sheet = evaluate(estate())
    async with running(path, size, key) as pilot:
        await press(pilot, "f4")
        build_screen(pilot).grid.go(sheet.studies[0].id, "fuse_a")
        await press(pilot, "ctrl+t")
        for place, study in enumerate(sheet.studies, 1):
            page = pilot.app.screen
            assert isinstance(page, ProtectionPage)
            shown = screen_text(pilot)
            assert f"({place} of {len(sheet.studies)})" in shown
            assert verdict(Subject(page.bench.build, sheet), study).split(":")[0] in shown
            # ISO 8820 has blade fuses among its parts, and none with the cubes of posts (memory)
            cube = study.family == FuseFamily.CUBE
            whose = f"usual {study.family}" if cube else "ISO 8820"
            assert f"curve used: {whose} window, from memory" in shown
            assert "wire withstands" in shown
            assert max(len(line) for line in shown.split("\n")) <= size[0]
            await press(pilot, "right")
        await press(pilot, "left", "ctrl+w")
        assert "Dead short" in screen_text(pilot)
        await press(pilot, "escape", "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


async def test_a_run_without_a_fuse_is_told(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, applied(start_build(), add(start_build(), "amplifiers")))
    async with running(path, key=key) as pilot:
        await press(pilot, "f4")
        screen = build_screen(pilot)
        screen.grid.go("r1", "name")
        await press(pilot, "ctrl+t")
        assert isinstance(pilot.app.screen, BuildScreen)
        assert "no fuse" in status(pilot)


async def test_points_from_the_fuse_s_own_sheet_replace_the_window(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, key=key) as pilot:
        await press(pilot, "f4", "f4", "f4", "f4", "f4")
        screen = build_screen(pilot)
        assert screen.grid.spec.id == "curves"
        await press(pilot, "ctrl+n")
        screen.grid.go("c1", "slowest_s")
        # A bare number is seconds here, as fuse sheets print it.
        await press(pilot, "9.5", "enter")
        await press(pilot, "ctrl+t")
        assert "curve used: points entered" in screen_text(pilot)
    assert reopened(path, key).curves[0].slowest_s == 9.5


@pytest.mark.parametrize("size", SIZES)
async def test_spots_are_ranked_and_one_is_taken(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Big"))
    key = stored(path, build)
    main = next(run for run in build.runs if run.fused)
    async with running(path, size, key) as pilot:
        await press(pilot, "f4")
        screen = build_screen(pilot)
        await press(pilot, "ctrl+u")
        assert "fuse spot" in status(pilot)
        while screen.grid.spec.id != "spots":
            await press(pilot, "f4")
        await press(pilot, "ctrl+n")
        assert reopened(path, key).spots[0].run == main.id
        screen.grid.go("s1", "feed_m")
        await press(pilot, "6in", "enter")
        await press(pilot, "ctrl+u")
        assert "fuse is here" in screen_text(pilot)
        # 1 in is 0.0254 m exactly.
        after = reopened(path, key)
        run = next(r for r in after.runs if r.id == main.id)
        assert run.fuse_distance_m == pytest.approx(6 * 0.0254)
        await press(pilot, "ctrl+z")
        assert "fuse is here" not in screen_text(pilot)


async def test_designs_stand_beside_the_chosen_one(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    sheet = evaluate(estate())
    async with running(path, key=key) as pilot:
        await press(pilot, "f4")
        shown = screen_text(pilot)
        for design in sheet.designs:
            line = next(line for line in shown.split("\n") if line.startswith(f" {design.title}"))
            assert format_quantity("voltage", design.worst_drop_v, UnitHabit.INCH) in line
        # They are computed: nothing can be typed, added or removed there.
        while build_screen(pilot).grid.spec.id != "designs":
            await press(pilot, "f4")
        for key_typed in ("5", "ctrl+n", "ctrl+x", "ctrl+d", "delete", "space", "equals_sign"):
            await press(pilot, key_typed)
        assert isinstance(pilot.app.screen, BuildScreen)
        await press(pilot, "tab", "shift+tab", "ctrl+down")
    assert reopened(path, key) == estate()


@pytest.mark.parametrize("size", SIZES)
async def test_the_drive_is_driven(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, size, key) as pilot:
        await press(pilot, "f3", "ctrl+t")
        await settle(pilot)
        page = pilot.app.screen
        assert isinstance(page, DrivePage)
        assert page.found is not None
        shown = screen_text(pilot)
        assert "battery post" in shown
        for line in balance(Subject(page.bench.build, page.bench.sheet), page.found):
            assert line[: size[0] - 1] in shown
        await press(pilot, "ctrl+w")
        assert "Post voltage" in screen_text(pilot)
        await press(pilot, "escape", "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


async def test_a_long_drive_is_stopped_by_escape(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = estate()
    leg = build.legs[0]
    # The longest leg that is taken: as many steps as there may be.
    build = applied(build, SetField(table="legs", id=leg.id, field="duration_s", value=864000))
    key = stored(path, build)
    async with running(path, key=key) as pilot:
        await press(pilot, "f3")
        page = DrivePage(build_screen(pilot).workbench)
        await pilot.app.push_screen(page)
        page.leave()
        await settle(pilot)
        assert pilot.app.screen is page
        assert page.found is None
        assert "Stopped" in screen_text(pilot)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


async def test_a_leg_is_added_whole(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    had = len(estate().legs)
    async with running(path, key=key) as pilot:
        await press(pilot, "f3")
        while build_screen(pilot).grid.spec.id != "legs":
            await press(pilot, "f3")
        await press(pilot, "ctrl+n")
        # All legs away: the picture says what to do.
        for _ in range(had + 1):
            await press(pilot, "ctrl+x")
        await press(pilot, "ctrl+t")
        await settle(pilot)
        assert "no stages" in screen_text(pilot)
    assert reopened(path, key).legs == ()


async def test_grounds_show_offset_way_back_and_signal(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f5")
        before = evaluate(estate()).amplifiers[0].ground_offset_v
        assert format_quantity("voltage", before, UnitHabit.INCH) in screen_text(pilot)
        assert " > " in screen_text(pilot)
        screen.grid.go("e2", "signal")
        await press(pilot, "space")
        after = screen.workbench.sheet.amplifiers[0].ground_offset_v
        assert after != before
        assert format_quantity("voltage", after, UnitHabit.INCH) in screen_text(pilot)
        await press(pilot, "ctrl+t")
        assert "Drop at full power" in screen_text(pilot)
        assert "█" in screen_text(pilot)
    assert [point.signal for point in reopened(path, key).grounds] == [False, True]


@pytest.mark.parametrize("size", SIZES)
async def test_readings_are_judged_and_suspects_named(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    build = estate().but(readings=())
    key = stored(path, build)
    first = predicted(build, evaluate(build))
    main = next(p for p in first if p.at.startswith("r") and p.predicted_v > 0.3)
    async with running(path, size, key) as pilot:
        await press(pilot, "f7")
        screen = build_screen(pilot)
        assert screen.held(ReadingsView).mode == first[0].mode.value
        screen.grid.go(f"{main.at}|{main.meter.name}|{main.mode.value}", "value_v")
        # As predicted: pass.
        await press(pilot, f"{main.predicted_v:.2f}", "enter")
        await settle(pilot)
        assert "pass" in screen_text(pilot)
        # Half a volt too much: fail, and this very run is the first suspect.
        await press(pilot, "up", f"{main.predicted_v + 0.5:.2f}", "enter")
        await settle(pilot)
        shown = screen_text(pilot)
        assert "FAIL +0.50" in shown
        assert "outside tolerance" in shown
        assert len(reopened(path, key).readings) == 1
        await press(pilot, "ctrl+t")
        assert "1. " in screen_text(pilot)
        assert "Do:" in screen_text(pilot)
        await press(pilot, "escape", "up", "ctrl+w")
        assert "Predicted reading" in screen_text(pilot)
        await press(pilot, "escape", "delete")
        await settle(pilot)
        assert reopened(path, key).readings == ()
        assert "FAIL" not in screen_text(pilot)
        await press(pilot, "ctrl+z")
        await settle(pilot)
        assert "FAIL" in screen_text(pilot)
        # Nonsense is refused and loses nothing.
        await press(pilot, *"abc", "enter")
        assert "Not taken" in status(pilot)
        await press(pilot, "escape", "ctrl+n", "ctrl+d", "ctrl+up")
    assert len(reopened(path, key).readings) == 1


async def test_readings_go_from_state_to_state(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, key=key) as pilot:
        await press(pilot, "f7")
        screen = build_screen(pilot)
        seen = {screen.held(ReadingsView).mode}
        for _ in range(6):
            await press(pilot, "alt+n")
            seen.add(screen.held(ReadingsView).mode)
        assert "" in seen
        assert len(seen) == 7


async def test_workings_of_figures(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f4")
        main = next(run for run in screen.workbench.sheet.runs if run.fuse_a)
        for column, words in (
            ("·drop", ("U = I R", f"{main.drop_v:.3g}"[:4])),
            ("gauge", ("Gauge", "mm2")),
            ("fuse_a", (f"{main.fuse_a:g} A",)),
        ):
            screen.grid.go(main.id, column)
            await press(pilot, "ctrl+w")
            shown = screen_text(pilot)
            assert "source:" in shown
            assert all(word in shown for word in words)
            await press(pilot, "escape")
        screen.grid.go(main.id, "colour")
        await press(pilot, "ctrl+w")
        assert "was entered" in status(pilot)
        # With the pane in full: the figures of the supply.
        await press(pilot, "f9", "ctrl+w")
        assert "How it is calculated: supply" in screen_text(pilot)


async def test_two_builds_are_compared(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = estate()
    with Store(path) as store:
        first = store.create(build)
        second = store.duplicate(first, "Variant [/b]")
        opened = store.open(second)
        edit = SetField(table="header", field="drop_limit_v", value=0.4)
        from domain.build.edits import apply

        after, inverse = apply(opened.document, edit)
        store.build(second).commit(opened.revision, edit, inverse, after)
    async with running(path) as pilot:
        await press(pilot, "space")
        assert "Marked" in status(pilot)
        await press(pilot, "down", "alt+y")
        page = pilot.app.screen
        assert isinstance(page, ComparePage)
        shown = screen_text(pilot)
        assert "Variant [/b]" in shown
        assert "! Worst drop" in shown
        assert "Runs that differ" in shown
        limits = next(line for line in shown.split("\n") if "Drop limit" in line)
        assert "0.80 V" in limits
        assert "0.40 V" in limits
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildsScreen)


# The mouse


async def test_cells_can_be_clicked(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, key=key) as pilot:
        await press(pilot, "f4")
        screen = build_screen(pilot)
        rows = screen_text(pilot).split("\n")
        y = next(i for i, line in enumerate(rows) if "Bass amp feed" in line[:40])
        x = rows[3].index("Gauge")
        await pilot.click(offset=(x, y))
        await pilot.pause()
        assert screen.grid.row_id == next(r.id for r in estate().runs if r.name == "Bass amp feed")
        assert screen.grid.spec.columns[screen.grid.cursor_column].id == "gauge"
        # A click on the cell with the cursor opens it.
        await pilot.click(offset=(x, y))
        await pilot.pause()
        assert screen.editing.open
        await press(pilot, "escape")
        # A cell of another table takes the cursor there.
        y = next(i for i, line in enumerate(rows) if "Boot block" in line)
        await pilot.click(offset=(3, y))
        await pilot.pause()
        assert screen.grid.spec.id == "blocks"


async def test_findings_and_figures_of_the_pane_can_be_clicked(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = estate()
    branch = next(run for run in build.runs if run.target == "a1")
    build = applied(build, SetField(table="runs", id=branch.id, field="gauge", value="AWG 14"))
    key = stored(path, build)
    async with running(path, WIDE, key) as pilot:
        screen = build_screen(pilot)
        rows = screen_text(pilot).split("\n")
        y, x = next(
            (i, line.index("full power")) for i, line in enumerate(rows) if " A full power" in line
        )
        await pilot.click(offset=(x, y))
        await pilot.pause()
        assert "How it is calculated: supply" in screen_text(pilot)
        await press(pilot, "escape")
        await pilot.click("#pane", offset=(3, 1))
        await pilot.pause()
        assert screen.view.id == "wiring"
        assert screen.grid.row_id == f"{branch.id}.gauge"


async def test_what_lies_below_is_said_and_can_be_clicked(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, NARROW, key) as pilot:
        await press(pilot, "f4")
        await pilot.pause()
        screen = build_screen(pilot)
        rows = screen_text(pilot).split("\n")
        y = next(i for i, line in enumerate(rows) if "more below" in line)
        x = rows[y].index("Fuse time-current")
        await pilot.click(offset=(x, y))
        await pilot.pause()
        assert screen.grid.spec.id == "curves"
        assert "above" in screen_text(pilot)
        assert "Fuse time-current points" in screen_text(pilot)


async def test_keys_of_the_key_line_can_be_clicked_on_a_page(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+t")
        keys = screen_text(pilot).split("\n")[-1]
        heading = screen_text(pilot).split("\n")[0]
        await pilot.click("#keys", offset=(keys.index("->"), 0))
        await pilot.pause()
        assert screen_text(pilot).split("\n")[0] != heading
        await press(pilot, "ctrl+p", "escape")
        await pilot.click("#keys", offset=(keys.index("esc"), 0))
        await pilot.pause()
        assert isinstance(pilot.app.screen, BuildScreen)


@pytest.mark.parametrize("size", SIZES)
async def test_why_every_wire_is_safe(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    sheet = evaluate(estate())
    async with running(path, size, key) as pilot:
        await press(pilot, "f4")
        build_screen(pilot).grid.go(sheet.runs[0].id, "length_m")
        await press(pilot, "alt+w")
        for place, run in enumerate(sheet.runs, 1):
            page = pilot.app.screen
            assert isinstance(page, SafeWirePage)
            told = " ".join(line.plain for line in page.query_one("#body", Body).lines)
            assert f"({place} of {len(sheet.runs)})" in screen_text(pilot)
            # every piece of the run is there with its verdict, its guard and what it carries
            for piece in sheet.segments_of(run.id):
                assert piece.verdict in told
                assert f"of {format_quantity('current', piece.carries_a, UnitHabit.INCH)}" in told
            if run.fuse_a is not None:
                assert f"fuse, {format_quantity('current', run.fuse_a, UnitHabit.INCH)}" in told
            assert max(len(line) for line in screen_text(pilot).split("\n")) <= size[0]
            await press(pilot, "right")
        await press(pilot, "ctrl+w")
        assert "How it is calculated" in screen_text(pilot)
        await press(pilot, "escape", "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


@pytest.mark.parametrize(
    ("share", "drawn"),
    [(0.5, "[████    ]"), (1, "[████████]"), (2, "[████▓▓▓▓]"), (None, "[▓▓▓▓▓▓▓▓]")],
)
def test_a_bar_is_full_where_the_wire_carries_no_more(share: float | None, drawn: str) -> None:
    # by definition: half of it, all of it, twice as much, without end
    assert bar(share, 8) == drawn
