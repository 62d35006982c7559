"""From an empty store to a complete plan: three amplifiers, four measured lengths."""

from pathlib import Path

import pytest

from domain.evaluate import evaluate
from tests.tui.driving import SIZES, press, reopened, running, screen_text, strokes

FIRST_PLAN = (
    "ctrl+n", "enter",              # a new build, open on its wiring: an amplifier row is ready
    "4x75", "enter",                # each amplifier comes with its branch, fuse and ground
    "1x500", "enter",
    "2x150", "enter",
    "enter",                        # to the first length that is not measured
    "16", "enter",                  # main run, from zone to zone: feet
    "3ft", "enter", "down",         # the three branches, past their grounds
    "4ft", "enter", "down",
    "30in", "enter",
)  # fmt: skip
"""Every key of the first plan."""


def test_takes_at_most_150_keys() -> None:
    # The bound is the product's own aim.
    assert strokes(FIRST_PLAN) <= 150


@pytest.mark.parametrize("size", SIZES)
async def test_first_plan(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    async with running(path, size) as pilot:
        await press(pilot, *FIRST_PLAN)
        shown = screen_text(pilot)
        await press(pilot, "f9")
        pane = screen_text(pilot)
        for _ in range(3):  # the runs stand below the balance, a screen further down
            await press(pilot, "pagedown")
            pane += screen_text(pilot)
    build = reopened(path)
    # What was typed: channels and watts as written; 1 ft = 0.3048 m and 1 in = 0.0254 m exactly.
    assert [(a.channels, a.channel_w) for a in build.amplifiers] == [(4, 75), (1, 500), (2, 150)]
    lengths = {run.target: run.length_m for run in build.runs if run.length_m and run.fused}
    assert lengths == pytest.approx(
        {"d1": 16 * 0.3048, "a1": 3 * 0.3048, "a2": 4 * 0.3048, "a3": 30 * 0.0254}
    )
    sheet = evaluate(build)
    for amplifier in build.amplifiers:
        load = sheet.load(amplifier.id)
        assert load is not None
        assert load.feed_runs
        assert load.return_runs
    # Complete: every run that is not the vehicle's own has a wire size, every fused one a fuse.
    new = [run for run in sheet.runs if not run.existing]
    assert all(run.gauge for run in new)
    fused = {run.id for run in build.runs if run.fused}
    assert all(run.fuse_a for run in new if run.id in fused)
    main = next(run for run in new if run.target == "d1")
    figure = f"{main.gauge.removeprefix('AWG ')}"
    assert figure in shown
    assert f"{main.fuse_a:g} A" in shown
    assert "Main run" in pane
    assert f"~{figure}" in pane
    assert "full power" in pane
