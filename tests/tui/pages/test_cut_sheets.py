"""The sheets to cut on the screen: drawn, chosen, laid out anew, stopped."""

from pathlib import Path
from random import Random
from typing import Any

import pytest
from textual.pilot import Pilot

from demo_db.load import demo_builds
from domain.build.choices import Cutting
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.fabrication.materials.stock import SheetSize
from domain.fabrication.nesting.blanks import CutSheet, Placed
from domain.fabrication.nesting.cut_sheets import cut_lists
from domain.money.shopping import shopping
from domain.topics.tables import Subject
from tests.tui.driving import SIZES, build_screen, press, reopened, running, screen_text, stored
from tui.pages.cut_sheets import SheetsPage
from tui.pages.page import TextPage
from tui.pictures.cut_sheet import blank_lines, numbers, sheet_picture
from tui.report.cut_sheets import sheets_lines
from tui.screens.build import BuildScreen
from tui.screens.build_actions import BUILD
from tui.views.build.pack import PackView


def plates(number: int, quantity: int = 1, **more: Any) -> Build:
    chance = Random(number)
    return Build.of(
        {
            "parts": [
                {"id": f"p{i}", "name": f"Plate {i}", "quantity": quantity}
                for i in range(1, number + 1)
            ],
            "panels": [
                {
                    "id": f"n{i}",
                    "part": f"p{i}",
                    "width_m": round(chance.uniform(0.08, 0.3), 3),
                    "length_m": round(chance.uniform(0.08, 0.5), 3),
                }
                for i in range(1, number + 1)
            ],
            **more,
        }
    )


async def settle(pilot: Pilot[int]) -> None:
    """Wait for workers and for what they told."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def opened(pilot: Pilot[int]) -> SheetsPage:
    """The page, with the layout done."""
    await press(pilot, "ctrl+k")
    await settle(pilot)
    page = pilot.app.screen
    assert isinstance(page, SheetsPage)
    return page


def test_a_sheet_is_drawn_to_scale_with_all_its_blanks() -> None:
    # by hand: 1 x 2 m, half of it a blank; 40 x 10 cells are 80 x 40 dots
    build = plates(1)
    half = CutSheet(SheetSize("half", 1.0, 2.0), (Placed("p1", 0.0, 0.0, 1.0, 1.0, False),))
    lines = sheet_picture(build, half, 60, 11)
    assert max(map(len, lines)) <= 60
    assert len(lines) == 11
    assert lines[-1].endswith("dots: waste")
    assert any("1 Plate 1" in line for line in lines)
    # the right half is waste: dots on every other row of dots, none on the left
    inner = [line[2:18] for line in lines[1:4]]
    assert all(not line.strip() for line in inner)
    assert all(line[22:36].strip() for line in lines[1:4])


def test_a_narrow_place_says_that_there_is_no_room() -> None:
    half = CutSheet(SheetSize("half", 1.0, 2.0), ())
    assert sheet_picture(plates(1), half, 19, 9) == ["half: no room to d…"]


def test_the_list_counts_what_is_on_the_sheet() -> None:
    size = SheetSize("any", 1.0, 2.0)
    laid = (
        Placed("p2", 0.0, 0.0, 0.1, 0.2, False),
        Placed("p1", 0.5, 0.0, 0.3, 0.1, True),
        Placed("p2", 0.0, 0.5, 0.2, 0.1, True),
    )
    build = plates(2, header={"units": "metric"})
    sheet = CutSheet(size, laid)
    assert numbers(sheet) == {"p2": 1, "p1": 2}
    assert blank_lines(build, sheet, 60) == [
        "  1  2 x Plate 2: 100 mm x 200 mm, 1 turned",
        "  2  1 x Plate 1: 100 mm x 300 mm, turned",
    ]


@pytest.mark.parametrize("size", SIZES)
async def test_every_sheet_is_shown_and_all_of_them(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    build = plates(30)
    key = stored(path, build)
    (full,) = cut_lists(build, evaluate(build).parts)
    async with running(path, size, key) as pilot:
        await press(pilot, "f6")
        page = await opened(pilot)
        layouts = page.layouts()
        assert [layout.sheet for layout in layouts] == list(dict.fromkeys(full.nest.sheets))
        for place, layout in enumerate(layouts, 1):
            shown = screen_text(pilot)
            title = f"{place} of {len(layouts)}: ABS 1/4 in, {layout.sheet.size.name}"
            assert title in shown
            assert f"{layout.sheet.waste * 100:.0f}% waste" in shown
            assert "saw, kerf 0.125 in" in shown
            assert max(map(len, shown.split("\n"))) <= size[0]
            await press(pilot, "right")
        await press(pilot, "a")
        text = "\n".join(line.plain for line in page.query_one("#body").lines)  # type: ignore[attr-defined]
        for place in range(1, len(layouts) + 1):
            assert f"{place} of {len(layouts)}:" in text
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


async def test_saw_router_and_kerf_are_edits_of_the_build(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, plates(12))
    async with running(path, key=key) as pilot:
        await press(pilot, "f8")
        page = await opened(pilot)
        await press(pilot, "s")
        await settle(pilot)
        assert "router, kerf 0.25 in" in screen_text(pilot)
        await press(pilot, "k", "home", "ctrl+k", *"1m", "enter")
        assert "at most 1 in" in screen_text(pilot)
        await press(pilot, "k", "home", "ctrl+k", *"0", "enter")
        await settle(pilot)
        assert "router, kerf 0 in" in screen_text(pilot)
        assert page.lists[0].nest.kerf_m == 0
        await press(pilot, "ctrl+z")
        await settle(pilot)
        assert "router, kerf 0.25 in" in screen_text(pilot)
    header = reopened(path, key).header
    assert (header.cutting, header.kerf_m) == (Cutting.ROUTER, None)


async def test_sizes_at_hand_are_a_table_away(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, plates(3))
    async with running(path, key=key) as pilot:
        await press(pilot, "f8")
        await opened(pilot)
        await press(pilot, "z")
        await settle(pilot)
        screen = build_screen(pilot)
        assert (screen.view.id, screen.grid.spec.id) == ("parts", "stock")
        await press(pilot, "ctrl+n", *"20 in", "enter")
        page = await opened(pilot)
        assert {s.size.name for each in page.lists for s in each.nest.sheets} == {"20 x 48 in"}
    assert reopened(path, key).stock[0].width_m == pytest.approx(0.508)


async def test_a_long_layout_is_stopped_by_escape(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, plates(25, quantity=200))
    async with running(path, key=key) as pilot:
        page = SheetsPage(build_screen(pilot).workbench, lambda: None, lambda: None)
        await pilot.app.push_screen(page)
        page.leave()
        await settle(pilot)
        assert pilot.app.screen is page
        assert not page.running
        assert "Stopped" in screen_text(pilot)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


async def test_without_parts_it_says_so(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, Build())
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+k")
        assert isinstance(pilot.app.screen, BuildScreen)
        assert "no custom part" in screen_text(pilot)


async def test_what_goes_on_no_sheet_is_told_first(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    stock = [{"id": "k1", "width_m": 0.05, "length_m": 0.05}]
    key = stored(path, plates(2, stock=stock))
    async with running(path, key=key) as pilot:
        await press(pilot, "f6")
        await opened(pilot)
        shown = screen_text(pilot)
        assert "0 sheets" in shown
        assert "TOO LARGE: Plate 1" in shown


async def test_the_pack_view_goes_over_to_the_full_layout(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = plates(40)
    key = stored(path, build)
    bought = shopping(build, evaluate(build))
    async with running(path, key=key) as pilot:
        await press(pilot, "f8")
        await settle(pilot)
        screen = build_screen(pilot)
        shown = screen.held(PackView).shopping()
        assert [x.line for x in shown.lines] == [x.line for x in bought.lines]
        await screen.action_start("materials")
        await press(pilot, "ctrl+w")
        page = pilot.app.screen
        assert isinstance(page, TextPage)
        assert "number of such sheets in the layout" in screen_text(pilot)


def test_the_action_is_in_palette_and_help() -> None:
    (action,) = (action for action in BUILD if action.id == "cut_sheets")
    assert action.keys == ("ctrl+k",)
    assert [a.id for a in BUILD if "ctrl+k" in a.keys] == ["cut_sheets"]


def test_sheets_as_text_say_where_every_blank_lies() -> None:
    build = dict(demo_builds())["estate_car"]
    sheet = evaluate(build)
    bought = shopping(build, sheet)
    lines = sheets_lines(Subject(build, sheet), bought.sheets)
    placed = [b for each in bought.sheets for s in each.nest.sheets for b in s.blanks]
    rows = [line for line in lines if line.endswith(("  yes", "  no"))]
    assert len(rows) == len(placed)
    assert any("kerf 0.125 in" in line for line in lines)
    assert max(map(len, lines)) <= 100
