"""The page of the kick drum: worked out beside the event loop, drawn, and how it is calculated."""

from asyncio import timeout
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile
from textual.pilot import Pilot

from demo_db.load import demo_builds
from domain.build import actions
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import make_plan
from domain.full_results import kick_drum
from tests.domain.electrical.small import changed
from tests.tui.driving import SIZES, press, running, screen_text, stored
from tui.pages.compare import ComparePage
from tui.pages.kick import KickPage
from tui.pages.long_work import Stopped
from tui.pages.music import MusicPage
from tui.widgets.editor import Editor


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
        assert "one more batt" in first
        for column in ("Lamps drop", "Left", "Seen", "Amp drops", "Back in"):
            assert column in first, column
        assert "The lamps fall from" in first
        await press(pilot, "right")
        driving = " ".join(screen_text(pilot).split())
        assert "driving (2 of 3)" in driving
        assert ") driving and " in driving  # the sentence is of what is drawn below it
        assert "at idle" not in driving
        await press(pilot, "left", "left")
        off = " ".join(screen_text(pilot).split())
        assert "engine off (3 of 3)" in off
        assert " with the engine off" in off
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


def with_second_battery(build: Build) -> Build:
    """One more battery like the starter battery, half a metre from the block in the back."""
    build = actions.applied(build, actions.add(build, "batteries"))
    (feed, ground) = build.runs[-2:]
    changes = [("runs", feed.id, "source", "d1"), ("runs", feed.id, "zone", "z3")]
    first, second = build.batteries[0], build.batteries[-1]
    return changed(
        build,
        *changes,
        *(("runs", run.id, "length_m", 0.5) for run in (feed, ground)),
        ("batteries", second.id, "capacity_ah", first.capacity_ah),
        ("batteries", second.id, "resistance_ohm", first.resistance_ohm),
    )


async def test_builds_that_differ_by_a_second_battery_show_the_dip_side_by_side(
    tmp_path: Path,
) -> None:
    path, _ = demo("estate_car", tmp_path)
    plain = dict(demo_builds())["estate_car"]
    stored(path, with_second_battery(plain))
    async with running(path, SIZES[0]) as pilot:
        await press(pilot, "space", "down", "alt+y")
        page = pilot.app.screen
        assert isinstance(page, ComparePage)
        async with timeout(60):
            while page.kicks is None:
                assert "..." in screen_text(pilot)
                await pilot.pause(0.02)
        await pilot.pause()
        shown = screen_text(pilot)
    (lamps,) = [line for line in shown.split("\n") if "Lamps drop at a kick" in line]
    volts = sorted(float(text) for text in lamps.split() if text[0].isdigit())
    # second method, the remedy that the study of the plain build tries: 0.29 and 0.10 V; here
    # there is half a metre of wire there and back, and a fuse
    study = kick_drum(make_plan(plain))
    assert study is not None
    condition = study.at("idle")
    assert condition is not None
    none, battery = condition.of("none"), condition.of("battery")
    assert none is not None
    assert battery is not None
    assert volts[1] == pytest.approx(none.lamps.volts.typical, abs=0.006)
    assert battery.lamps.volts.typical < volts[0] < 1.4 * battery.lamps.volts.typical
    assert lamps.startswith("!")
    assert "Amplifier drops" in shown


def song(path: Path) -> Path:
    """A drum of 60 Hz at 2 Hz, as a file."""
    at = np.arange(6 * 8000) / 8000
    soundfile.write(path, 0.6 * np.sin(2 * np.pi * 60 * at) * np.exp(-(at % 0.5) / 0.1), 8000)
    return path


async def judged(pilot: Pilot[int], path: Path) -> MusicPage:
    """The page of a piece of music, from the kick drum's, once its work has ended."""
    await press(pilot, "m")
    pilot.app.screen.query_one(Editor).value = str(path)
    await press(pilot, "enter")
    page = pilot.app.screen
    assert isinstance(page, MusicPage)
    async with timeout(60):
        while page.running:
            await pilot.pause(0.02)
    return page


async def test_music_is_judged_and_its_average_taken_as_one_edit(tmp_path: Path) -> None:
    path, key = demo("estate_car", tmp_path)
    async with running(path, SIZES[1], key) as pilot:
        kick = await shown(pilot)
        page = await judged(pilot, song(tmp_path / "song.wav"))
        said = " ".join(screen_text(pilot).split())
        assert "Music: song.wav" in said
        assert "In its hardest second" in said
        assert "Down to" in said
        before = kick.bench.build
        await press(pilot, "a")
        level = page.bench.build.header.average_level
        assert level is not None
        assert page.bench.build.header.music.startswith("song.wav: 0:06, 8 kHz, 16 bit, mono, SHA")
        assert f"planned with {level:.1%} on average now" in " ".join(screen_text(pilot).split())
        await press(pilot, "ctrl+z")
        assert page.bench.build == before
        await press(pilot, "ctrl+y")
        assert page.bench.build.header.average_level == level
        wrong = tmp_path / "wrong.wav"
        wrong.write_text("no music", encoding="utf-8")
        page = await judged(pilot, wrong)
        said = " ".join(screen_text(pilot).split())
        assert "is no music that can be read" in said
        assert "nothing was changed" in said
        await press(pilot, "a", "escape")
        assert isinstance(pilot.app.screen, KickPage)
        assert kick.bench.build.header.average_level == level


def test_reading_may_be_stopped(tmp_path: Path) -> None:
    page = MusicPage.__new__(MusicPage)
    file = song(tmp_path / "song.wav")
    plan = make_plan(dict(demo_builds())["estate_car"])
    page.bench, page.path = SimpleNamespace(plan=plan), file  # type: ignore[assignment]
    with pytest.raises(Stopped):
        page.work(lambda share, doing: False)
