"""The line below the tables tells what cannot be seen, and nothing else."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from textual.containers import VerticalScroll

from demo_db.load import demo_builds
from domain.build.actions import add_amplifier, applied
from domain.build.start import start_build
from tests.benchmarks.builds import twelve
from tests.tui.driving import build_screen, press, running, screen_text, stored

pytestmark = pytest.mark.usefixtures("drawn_each_time")


@pytest.mark.parametrize("page", ["f2", "f4", "f5"])
async def test_a_page_that_was_turned_to_tells_what_lies_out_of_sight(
    tmp_path: Path, page: str
) -> None:
    path = tmp_path / "store.db"
    build = start_build()
    key = stored(path, applied(build, add_amplifier(build)))
    async with running(path, (80, 24), key=key) as pilot:
        await press(pilot, "f6", page)
        await pilot.pause(0.2)  # the page is laid out
        assert "above" not in screen_text(pilot)
        assert ("▼ more below" in screen_text(pilot)) == (page == "f4")


@pytest.mark.parametrize("size", [(80, 24), (60, 18)])
async def test_only_whole_columns_are_shown(tmp_path: Path, size: tuple[int, int]) -> None:
    """A figure without its unit, or without its last digit, would be another one."""
    path = tmp_path / "store.db"
    key = stored(path, demo_builds()[0][1])
    async with running(path, size, key, page="f3") as pilot:
        screen = build_screen(pilot)
        for steps in range(8):
            shown = screen_text(pilot)
            (head,) = [line for line in shown.splitlines() if line.strip().startswith("Battery ")]
            spec = screen.grid.spec
            titles = {column.title for column in spec.columns}
            assert set(re.split(r" {2,}", head.strip())) <= titles, (steps, head)
            await press(pilot, "right")


async def test_a_key_that_is_held_scrolls_by_half_a_view(tmp_path: Path) -> None:
    """Each step sends every row anew: on a slow line one a press would lag behind the key."""
    path = tmp_path / "store.db"
    key = stored(path, twelve())
    async with running(path, (80, 24), key, page="f4") as pilot:
        screen = build_screen(pilot)
        view = screen.query_one(f"#{screen.view.id}", VerticalScroll)
        for way in ("down", "up"):
            tops = [view.scroll_offset.y]
            for _ in range(36):
                await press(pilot, way)
                tops.append(view.scroll_offset.y)
                place = screen.grid.cell_region().y - screen.grid.content_region.y
                y = screen.grid.virtual_region.y + place - view.scroll_offset.y
                assert not screen.grid.row_count or 0 <= y < view.size.height
            steps = sum(one != two for one, two in pairwise(tops))
            assert 0 < steps <= 10, (way, tops)
