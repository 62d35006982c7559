"""What drives the program in tests waits until it has done what it was asked to."""

import asyncio
import time
from pathlib import Path

import pytest
from textual.events import Key

from tests.tui.driving import press, running
from tui.grids.grid_screen import GridScreen

POWER = "4x75and1x300"


async def test_keys_have_done_their_work_when_they_were_pressed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By definition: what has typed twelve letters has seen all twelve taken."""
    taken: list[str] = []
    take = GridScreen.on_key

    async def slowly(screen: GridScreen, event: Key) -> None:
        await asyncio.sleep(0.2)
        taken.append(event.key)
        await take(screen, event)

    async with running(tmp_path / "store.db") as pilot:
        await press(pilot, "ctrl+n", "enter")
        monkeypatch.setattr(GridScreen, "on_key", slowly)
        await press(pilot, POWER)
        assert "".join(taken) == POWER


async def test_threads_and_timers_that_end_soon_are_waited_for(tmp_path: Path) -> None:
    """By definition: what they do is done, and drawn, when the key has done its work."""
    done: list[str] = []

    def slowly() -> None:
        time.sleep(0.2)
        done.append("thread")

    async with running(tmp_path / "store.db") as pilot:
        pilot.app.set_timer(0.05, lambda: done.append("timer"))
        pilot.app.call_after_refresh(lambda: done.append("drawn"))
        pilot.app.run_worker(slowly, thread=True)
        await press(pilot, "down")
        assert sorted(done) == ["drawn", "thread", "timer"]
