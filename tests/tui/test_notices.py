"""What went wrong covers nothing that is looked at: not for long, and no more than it must."""

from pathlib import Path

import pytest

from domain.build.start import start_build
from tests.tui.driving import SIZES, build_screen, press, running, screen_text, stored
from tests.tui.stillness import settled
from tui.widgets import notices


@pytest.mark.parametrize("size", SIZES)
async def test_what_two_lines_hold_stands_over_the_key_line_alone(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    words = "Not saved:" + " word" * (2 * size[0] // 5 - 6) + " end"
    async with running(path, size, key, page="f4") as pilot:
        build_screen(pilot).warn(words)
        await settled(pilot)
        assert len(pilot.app._notifications) == 0
        assert words in " ".join(screen_text(pilot).split())
        await press(pilot, "right")
        assert "commands" in screen_text(pilot)  # the key line has its place again


@pytest.mark.parametrize("size", SIZES)
async def test_a_key_puts_away_what_was_seen(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    async with running(path, size, key, page="f4") as pilot:
        build_screen(pilot).warn("Not saved:" + " word" * size[0])
        await settled(pilot)
        assert len(pilot.app._notifications) == 1
        await press(pilot, "right")  # on its way before that could be read
        assert len(pilot.app._notifications) == 1
        monkeypatch.setattr(notices, "READ_S", 0.0)
        await press(pilot, "right")
        assert len(pilot.app._notifications) == 0
