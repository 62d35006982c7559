"""The line below the tables tells what cannot be seen, and nothing else."""

from pathlib import Path

import pytest

from domain.build.actions import add_amplifier, applied, start_build
from tests.tui.driving import press, running, screen_text, stored


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
