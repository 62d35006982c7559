"""The page of the kick drum: worked out beside the event loop, drawn, and how it is calculated."""

from asyncio import timeout
from pathlib import Path

import pytest
from textual.pilot import Pilot

from demo_db.load import demo_builds
from domain.build.actions import start_build
from domain.build.records import Build
from tests.tui.driving import SIZES, press, running, screen_text, stored
from tui.pages.kick import KickPage


async def shown(pilot: Pilot[int]) -> KickPage:
    """The page, once its work has ended."""
    await press(pilot, "alt+u")
    page = pilot.app.screen
    assert isinstance(page, KickPage)
    async with timeout(60):
        while page.running:
            await pilot.pause(0.02)
    return page


def demo(name: str, folder: Path) -> tuple[Path, int]:
    path = folder / "builds.sqlite"
    return path, stored(path, dict(demo_builds())[name])


@pytest.mark.parametrize("size", SIZES)
async def test_the_answer_stands_on_top_and_every_condition_is_drawn(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path, key = demo("estate_car", tmp_path)
    async with running(path, size, key) as pilot:
        await shown(pilot)
        first = screen_text(pilot)
        assert "With every kick your lamps drop about 0.3 V" in " ".join(first.split())
        assert "at idle (1 of 3)" in first
        assert "one more battery" in first
        await press(pilot, "right")
        assert "driving (2 of 3)" in screen_text(pilot)
        await press(pilot, "left", "left")
        assert "engine off (3 of 3)" in screen_text(pilot)
        await press(pilot, "ctrl+w")
        assert "First moment of the dip" in screen_text(pilot)
        await press(pilot, "escape", "escape")
        assert not isinstance(pilot.app.screen, KickPage)


async def test_who_has_nothing_to_play_is_told_so(tmp_path: Path) -> None:
    path = tmp_path / "builds.sqlite"
    for build in (Build(), start_build()):
        key = stored(path, build)
        async with running(path, key=key) as pilot:
            page = await shown(pilot)
            if page.found is None:
                assert "no battery feeds an amplifier yet" in screen_text(pilot)
            else:
                assert page.found.conditions
            await press(pilot, "right", "ctrl+w", "escape")
