"""The screens: home, views, findings, help, palette, strip and pane, at both sizes."""

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import cast

import pytest
from textual.pilot import Pilot

from demo_db.load import demo_builds
from domain.build.actions import add, applied
from domain.build.choices import UnitHabit
from domain.build.edits import SetField
from domain.build.records import CARRIED_TABLES, Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Level
from domain.units.show import format_quantity
from storage.errors import StoreError
from storage.store.builds import Store
from tests.domain.electrical.small import small_build
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
from tui.actions import CELL_KEYS, shown_key
from tui.app import MainrunApp
from tui.screens.build import BuildScreen
from tui.screens.build_actions import BUILD, BUILD_VIEWS
from tui.screens.builds import AHEAD, MOST_SHOWN, BuildList, BuildsScreen
from tui.screens.builds_actions import BUILDS
from tui.screens.shop import ShopScreen
from tui.screens.shop_actions import SHOP
from tui.widgets.line_view import LineView
from tui.widgets.pane_lines import pane_lines, sorted_findings
from tui.workbench import Workbench

FORBIDDEN = {
    "ctrl+a", "ctrl+b", "ctrl+enter", "ctrl+h", "ctrl+i",
    "ctrl+j", "ctrl+m", "ctrl+o", "ctrl+s",
}  # fmt: skip
"""Keys that do not arrive in many terminals, or that shells and multiplexers keep."""


def faulty() -> Build:
    """A big amplifier on wire that is far too thin."""
    build = start_build("Faulty")
    build = applied(build, add(build, "amplifiers", name="Big", channel_w=2000.0))
    branch = next(run for run in build.runs if run.target == "a1")
    return applied(build, SetField(table="runs", id=branch.id, field="gauge", value="AWG 10"))


def test_no_action_uses_a_key_that_does_not_arrive() -> None:
    keys = {key for action in (*BUILDS, *BUILD, *SHOP) for key in action.keys}
    assert not keys & FORBIDDEN
    assert not {key for entry in CELL_KEYS for key in entry.keys} & FORBIDDEN
    for actions in (BUILDS, BUILD, SHOP):
        used = [key for action in actions for key in action.keys]
        assert len(used) == len(set(used))
        assert len(actions) == len({action.id for action in actions})


@pytest.mark.parametrize("kind", [BuildsScreen, BuildScreen, ShopScreen])
async def test_every_action_does_something_wherever_it_is_asked_for(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    kind: type[BuildsScreen | BuildScreen | ShopScreen],
) -> None:
    # What is looked at when the keys have rested: not after each of a hundred actions.
    monkeypatch.setattr("tui.screens.settling.REST_S", 600.0)
    monkeypatch.setattr("tui.screens.mending.TRY_AFTER_S", 600.0)
    path = tmp_path / "store.db"
    build = faulty()
    key = stored(path, build)
    actions = {BuildsScreen: BUILDS, BuildScreen: BUILD, ShopScreen: SHOP}[kind]
    async with running(path, key=key if kind is BuildScreen else None) as pilot:
        if kind is ShopScreen:
            await press(pilot, "f12")
        screen = cast("BuildsScreen | BuildScreen | ShopScreen", pilot.app.screen)
        assert type(screen) is kind
        for action in actions:
            if action.id in ("quit", "home"):
                continue
            line = screen.query_one("#status", LineView)
            line.show([])
            before = screen_text(pilot)
            await screen.action_start(action.id)
            await settled(pilot)
            said, shown = bool(line.lines), pilot.app.screen is not screen
            # To put a picture, a help page or the shop away again.
            while pilot.app.screen is not screen:
                pilot.app.pop_screen()
                await settled(pilot)
            assert said or shown or screen_text(pilot) != before, action.id
            if isinstance(
                screen, BuildScreen
            ):  # each finds the same build, small enough to be quick
                while screen.workbench.document != build and screen.workbench.undo():
                    screen.show_all()


@pytest.mark.parametrize("size", SIZES)
async def test_home_lists_filters_and_opens(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    for title in ("Estate", "Camper", "Hatchback"):
        stored(path, start_build(title))
    async with running(path, size) as pilot:
        shown = screen_text(pilot)
        assert all(title in shown for title in ("Estate", "Camper", "Hatchback"))
        await press(pilot, *"camp")
        shown = screen_text(pilot)
        assert "Camper" in shown
        assert "Estate" not in shown
        await press(pilot, "enter")
        assert build_screen(pilot).workbench.build.header.title == "Camper"
        await press(pilot, "f10")
        assert isinstance(pilot.app.screen, BuildsScreen)


async def test_home_duplicates_archives_and_loads_the_demo(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    stored(path, start_build("Only"))
    async with running(path) as pilot:
        home = pilot.app.screen
        assert isinstance(home, BuildsScreen)
        await press(pilot, "ctrl+d")
        assert "Only 2" in screen_text(pilot)
        await press(pilot, "ctrl+a", "ctrl+b")  # for shells and multiplexers: nothing is done
        assert len(home.shown) == 2
        await press(pilot, "ctrl+x")
        assert len(home.shown) == 1
        await press(pilot, "ctrl+z")
        assert len(home.shown) == 2
        await press(pilot, "ctrl+x")
        await press(pilot, "alt+x")
        assert "archived" in screen_text(pilot)
        home.load_demo()
        await pilot.pause()
        assert len(home.all) == 2 + len(demo_builds())


async def test_the_list_tells_how_many_stops_each_build_has(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = faulty()
    stops = evaluate(build, swept=True).count(Level.STOP)
    assert stops
    stored(path, build)

    def listed(pilot: Pilot[int]) -> dict[str, str]:
        home = pilot.app.screen
        assert isinstance(home, BuildsScreen)
        lines = home.query_one(BuildList).lines
        at = home.query_one("#columns", LineView).lines[0].plain.index("Stops")
        cells = [line.plain[at:].split()[0] for line in lines]
        return dict(zip((each.title for each in home.shown), cells, strict=True))

    async with running(path) as pilot:
        assert listed(pilot) == {"Faulty": "?"}
        await press(pilot, "f1")
        assert "not worked out yet" in screen_text(pilot)
        await press(pilot, "escape", "enter", "f10")
        assert listed(pilot) == {"Faulty": str(stops)}
        await press(pilot, "ctrl+d")
        assert listed(pilot) == {"Faulty": str(stops), "Faulty 2": str(stops)}
        await press(pilot, "ctrl+n", "enter")
    async with running(path) as pilot:  # ended in the new build, nothing was entered
        assert listed(pilot)["New build"] == "0"


async def test_of_very_many_builds_the_newest_are_listed_and_every_one_is_found(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    with Store(path) as store:
        for number in range(MOST_SHOWN + 5):
            store.create(start_build(f"Van {number:03}"))
    async with running(path) as pilot:
        home = pilot.app.screen
        assert isinstance(home, BuildsScreen)
        assert home.size.height < len(home.shown) < 2 * home.size.height + AHEAD
        assert home.shown[0].title == f"Van {MOST_SHOWN + 4:03}"
        await press(pilot, *["pagedown"] * 25)
        assert home.build_at_hand() == home.shown[-1]
        assert len(home.shown) == MOST_SHOWN
        await pilot.pause()
        assert "Older ones are not listed" in screen_text(pilot)
        await press(pilot, *"van 00", "0")
        assert [each.title for each in home.shown] == ["Van 000"]
        assert "Older ones" not in screen_text(pilot)
        await press(pilot, "escape")
        assert home.size.height < len(home.shown) < MOST_SHOWN


async def test_a_wheel_that_turns_to_the_end_of_the_list_reads_on(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    with Store(path) as store:
        for number in range(90):
            store.create(start_build(f"Van {number:02}"))
    async with running(path) as pilot:
        home = pilot.app.screen
        assert isinstance(home, BuildsScreen)
        for _ in range(40):
            home.query_one(BuildList).scroll_end(animate=False, immediate=True)
            await pilot.pause()
        assert len(home.shown) == 90
        assert "Van 00" in screen_text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_views_and_their_keys_are_always_there(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, size, key) as pilot:
        for view in BUILD_VIEWS:
            await press(pilot, view.key)
            assert build_screen(pilot).view.id == view.id
            top = screen_text(pilot).split("\n")[1]
            words = {each.id: each.short_title or each.title for each in BUILD_VIEWS}
            shown = {view.title} if size == WIDE else {view.title, words[view.id]}
            assert any(f" {word}]" in top for word in shown), top
            if view.key != "alt+j" or size == WIDE:  # the narrow line has no room for that one
                marked = top[top.index("[") : top.index("]")]
                assert marked.startswith(f"[{shown_key(view.key)} "), "its key in full"
            others = [word for id, word in words.items() if id != view.id]
            assert all(word in top for word in others), "each page has its word"
            assert "F10 Builds" in top
            assert max(len(line) for line in screen_text(pilot).split("\n")) <= size[0]


async def test_tabs_can_be_clicked(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, key=key) as pilot:
        await pilot.click("#tabs", offset=(screen_text(pilot).split("\n")[1].index("F5"), 0))
        await pilot.pause()
        assert build_screen(pilot).view.id == "grounds"


@pytest.mark.parametrize("size", SIZES)
async def test_a_finding_leads_to_its_field(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, size, key) as pilot:
        screen = build_screen(pilot)
        findings = sorted_findings(screen.workbench.sheet)
        assert findings
        for finding in findings[:4]:
            await press(pilot, "ctrl+g")
            assert finding.what[:20] in status(pilot)
            if not finding.table:
                continue
            if finding.table in CARRIED_TABLES and finding.id:
                # on the drawing, its form open
                assert (screen.view.id, screen.grid.spec.id) == ("wiring", "thing")
                assert screen.grid.row_id.startswith(f"{finding.id}.")
            else:
                assert screen.grid.spec.table == finding.table
            cell = screen.editing.cell()
            assert cell is not None
            column, _ = cell
            assert finding.field in (column.field, *column.covers)
        await press(pilot, "ctrl+g")
        assert screen.mending.place == min(4, len(findings)) % len(findings)


async def test_a_worse_finding_that_an_edit_brings_about_is_gone_to_next(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, small_build())
    async with running(path, WIDE, key) as pilot:
        screen = build_screen(pilot)
        notes = len(screen.workbench.sheet.findings)
        assert notes > 1
        await press(pilot, "ctrl+g", "ctrl+g")
        screen.commit(SetField(table="runs", id="r4", field="gauge", value="AWG 10"))
        worst = sorted_findings(screen.workbench.sheet)[0]
        assert worst.level is not Level.NOTE
        await press(pilot, "ctrl+g")
        assert screen.mending.finding == worst


async def test_a_help_page_that_fits_is_not_scrolled_and_nothing_ends(tmp_path: Path) -> None:
    async with running(tmp_path / "store.db", (140, 60)) as pilot:
        await press(pilot, "f1", "pagedown", "down", "home", "end", "pageup", "up", "escape")
        assert isinstance(pilot.app.screen, BuildsScreen)


async def test_strip_at_80_columns_opens_in_full(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, NARROW, key) as pilot:
        sheet = build_screen(pilot).workbench.sheet
        shown = screen_text(pilot)
        assert format_quantity("current", sheet.supply.idle_balance_a, UnitHabit.INCH) in shown
        assert sorted_findings(sheet)[0].what[:30] in shown
        assert "Worst condition" not in shown
        await press(pilot, "f9")
        assert "Supply" in screen_text(pilot)
        await press(pilot, "f9")
        assert "Supply" not in screen_text(pilot)


async def test_nothing_is_typed_into_a_table_that_the_results_hide(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, NARROW, key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f9", "9", "9")
        assert not screen.editing.open
        assert "escape leads back" in status(pilot)
        await press(pilot, "escape")
        assert not screen.has_class("full")
        assert screen.workbench.revision == 0


async def test_changed_figures_show_what_they_were(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, WIDE, key) as pilot:
        screen = build_screen(pilot)
        was = screen.workbench.sheet.supply.design_a
        await press(pilot, "right", "1x500", "enter")
        now = screen.workbench.sheet.supply.design_a
        new, old = (format_quantity("current", a, UnitHabit.INCH) for a in (now, was))
        assert f"{new} full power (was {old})" in screen_text(pilot)
        # Until the next edit: one that changes no figure takes the marks away.
        await press(pilot, "home", "enter", "N", "enter")
        assert "(was" not in screen_text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_help_names_every_key_and_the_field(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, size, key) as pilot:
        await press(pilot, "f4", "question_mark")
        shown = screen_text(pilot)
        assert "Length" in shown
        assert "chosen for you" in shown
        await press(pilot, "escape")
        assert build_screen(pilot).view.id == "distribution"


async def test_palette_has_every_command(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        commands = list(pilot.app.get_system_commands(screen))
        named = {command.title for command in commands if command.discover}
        assert named == {a.title for a in BUILD} - {"Commands"}
        await press(pilot, "ctrl+p")
        await press(pilot, *"grounds")
        await pilot.app.workers.wait_for_complete()
        await press(pilot, "down", "enter")
        assert build_screen(pilot).view.id == "grounds"


@pytest.mark.parametrize("size", SIZES)
async def test_palette_finds_tables_columns_and_fields_of_the_job(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    places = (
        ("title", "header", "title", "value"),
        ("sheet sizes", "stock", "", ""),
        ("harness", "runs", "r1", "loom"),
        ("isolators", "blocks", "", ""),
    )
    async with running(path, size, key) as pilot:
        screen = build_screen(pilot)
        for name, table, row, column in places:
            await press(pilot, "ctrl+p", *name)
            await pilot.app.workers.wait_for_complete()
            await press(pilot, "enter")
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            assert screen.grid.spec.id == table
            assert screen.grid.spec.caption.split(" (")[0] in screen_text(pilot)
            if row:
                assert screen.grid.row_id == row
                assert screen.grid.spec.columns[screen.grid.cursor_column].id == column
        # Unasked they do not stand between the commands.
        await press(pilot, "f3", "ctrl+p")
        await pilot.app.workers.wait_for_complete()
        assert "go to a column" not in screen_text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_no_cell_is_cut_at_its_beginning(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, size, key) as pilot:
        await press(pilot, "f4", "home")
        screen = build_screen(pilot)
        starts = [0]
        for column in screen.grid.spec.columns[1:]:
            starts.append(starts[-1] + column.width + 2)
        for way in ("right", "left"):
            for _ in screen.grid.spec.columns:
                await press(pilot, way)
                assert screen.grid.scroll_offset.x in starts
                cell = screen.grid.cell_region()
                assert cell.x >= 0
                assert cell.right <= screen.grid.region.right


async def test_another_session_s_work_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    with Store(path) as store, Store(path) as other:
        opened = store.open(key)
        bench = Workbench(store, key, opened.document, opened.revision)
        theirs = other.open(key)
        elsewhere = Workbench(other, key, theirs.document, theirs.revision)
        elsewhere.do(add(elsewhere.build, "amplifiers", name="Theirs"))
        bench.do(SetField(table="header", field="title", value="Mine"))
        assert "changed this build: that is loaded, yours is on it" in bench.notice
    build = reopened(path, key)
    assert build.header.title == "Mine"
    assert [a.name for a in build.amplifiers] == ["Theirs"]


def test_a_store_that_is_none_is_refused_before_the_screen(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("these are notes, not a database, and they stay as they are" * 20)
    with pytest.raises(StoreError):
        MainrunApp(path)


@pytest.mark.parametrize(("number", "code"), [(signal.SIGHUP, 129), (signal.SIGTERM, 0)])
async def test_a_lost_terminal_ends_it_with_all_saved(
    tmp_path: Path, number: int, code: int
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+n", "4x75", "enter", *"half")
        assert pilot.app.return_value is None
        os.kill(os.getpid(), number)
        # The signal arrives through the event loop; the app has left when its loop has ended.
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert pilot.app.return_value == code
    assert reopened(path, key).amplifiers[0].channel_w == 75


@pytest.mark.parametrize("width", [30, 45, 80])
def test_pane_lines_fit_their_width(width: int) -> None:
    from rich.cells import cell_len

    build = faulty()
    for name in ("🔊" * 40, "word " * 60, "x" * 500):
        build = applied(build, SetField(table="amplifiers", id="a1", field="name", value=name))
        bench = Workbench(None, 0, build, 0)
        for line in pane_lines(build, bench.sheet, width, 0, bench.sheet):
            assert cell_len(line.plain) <= width


HEAVY = ("sqlmodel", "sqlalchemy", "pint", "numpy", "scipy", "plotille")
FIRST_SCREEN = """
import asyncio, sys
from pathlib import Path
from tui.app import MainrunApp

MainrunApp._warm = lambda self: None

async def main() -> None:
    app = MainrunApp(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else None)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await pilot.pause()
    app.store.close()

asyncio.run(main())
print(",".join(sorted({name.split(".")[0] for name in sys.modules})))
"""


@pytest.mark.parametrize("in_build", [False, True])
def test_the_first_screen_imports_nothing_heavy(tmp_path: Path, in_build: bool) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    arguments = [str(path), *([str(key)] if in_build else [])]
    done = subprocess.run(
        [sys.executable, "-c", FIRST_SCREEN, *arguments],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    loaded = done.stdout.strip().split(",")
    assert "textual" in loaded
    assert not set(HEAVY) & set(loaded)


async def test_nothing_is_sent_at_rest(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, key=key) as pilot:
        await tried(pilot)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        # Nothing blinks, ticks or polls: no widget has a timer that is running.
        going = [
            (widget, timer.name)
            for widget in pilot.app.screen.walk_children(with_self=True)
            for timer in widget._timers
            if timer._active.is_set() and timer._task and not timer._task.done()
        ]
        assert going == []


async def test_opened_straight_into_a_build_home_is_behind_it(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, faulty())
    async with running(path, key=key) as pilot:
        assert build_screen(pilot).workbench.key == key
        await press(pilot, "f10")
        assert isinstance(pilot.app.screen, BuildsScreen)
        assert "Faulty" in screen_text(pilot)
    async with running(path, key=99) as pilot:
        assert isinstance(pilot.app.screen, BuildsScreen)
