"""Shorts that several sources share are looked at while the keys rest, not at each edit.

Expected by definition: what is shown, told and kept in the end is the whole plan of the build.
"""

from asyncio import sleep, timeout
from pathlib import Path

import pytest
from textual.pilot import Pilot

from demo_db.load import demo_builds
from domain.evaluate import evaluate
from domain.findings import Level
from storage.store.builds import Store
from tests.tui.driving import build_screen, press, reopened, running, screen_text, stored

CAMPER = dict(demo_builds())["camper_van"]


def stops(path: Path) -> int | None:
    with Store(path) as store:
        return store.builds()[0].stops


async def settled(pilot: Pilot[int]) -> None:
    """Wait until the plan is looked at."""
    async with timeout(30):
        while not build_screen(pilot).workbench.settled:
            await sleep(0.01)
    await pilot.pause()


async def to_length(pilot: Pilot[int]) -> None:
    screen = build_screen(pilot)
    await press(pilot, "alt+1")
    screen.grid.go("r5", "length_m")


async def test_the_header_says_so_until_it_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, CAMPER)
    monkeypatch.setattr("tui.screens.settling.REST_S", 0.05)
    async with running(path, key=key) as pilot:
        bench = build_screen(pilot).workbench
        assert bench.settled
        await to_length(pilot)
        await press(pilot, "1.3", "enter")
        await settled(pilot)
        assert ", checking" not in screen_text(pilot)
        assert bench.sheet.findings == evaluate(reopened(path, key), swept=True).findings
    assert stops(path) == evaluate(reopened(path, key), swept=True).count(Level.STOP)


@pytest.mark.parametrize("key_pressed", ["ctrl+w", "ctrl+g", "f8", "ctrl+t"])
async def test_what_tells_of_the_plan_waits_for_all_of_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key_pressed: str
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, CAMPER)
    monkeypatch.setattr("tui.screens.settling.REST_S", 600.0)
    async with running(path, key=key) as pilot:
        bench = build_screen(pilot).workbench
        await to_length(pilot)
        await press(pilot, "1.3", "enter")
        assert not bench.settled
        assert ", checking" in screen_text(pilot)
        assert stops(path) is None  # not known yet
        await press(pilot, key_pressed)
        assert bench.settled
    assert stops(path) == 0


async def test_a_half_typed_cell_stays_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, CAMPER)
    monkeypatch.setattr("tui.screens.settling.REST_S", 0.05)
    async with running(path, key=key) as pilot:
        screen = build_screen(pilot)
        await to_length(pilot)
        await press(pilot, "1.3", "enter", "2")
        await settled(pilot)
        assert screen.editing.open
        assert screen.editing.editor.value == "2"
        await press(pilot, "escape")
