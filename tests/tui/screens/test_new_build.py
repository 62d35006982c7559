"""What a new build asks: answered, skipped, and with wrong keys. Expected: what was typed."""

from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.events import Paste

from domain.build.answers import Answers
from domain.build.choices import Drive, UnitHabit
from domain.build.records import Build
from domain.build.start import start_build
from storage.errors import StoreError
from storage.store.builds import Store
from tests.tui.driving import (
    NARROW,
    SIZES,
    build_screen,
    press,
    reopened,
    running,
    screen_text,
    stored,
)
from tests.tui.screens.test_quick_keys import at_once
from tui.dialogs.boxes import Help, HelpLines
from tui.dialogs.new_build import HELP, WIDTH, NewBuild
from tui.screens.build import BuildScreen
from tui.screens.builds import BuildsScreen


@pytest.mark.parametrize("size", SIZES)
async def test_it_is_skipped_by_one_key(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    async with running(path, size) as pilot:
        await press(pilot, "ctrl+n")
        assert "Smart alternator" in screen_text(pilot)
        assert "enter: start, esc: no build" in screen_text(pilot)
        await press(pilot, "enter")
        assert build_screen(pilot).view.id == "wiring"
    assert reopened(path) == start_build()


async def test_it_is_left_without_a_build(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path) as pilot:
        await press(pilot, "ctrl+n", "Blue", "escape")
        assert isinstance(pilot.app.screen, BuildsScreen)
        assert "No builds yet" in screen_text(pilot)
    with Store(path) as store:
        assert store.builds() == []


@pytest.mark.parametrize("size", SIZES)
async def test_every_question_is_answered(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    async with running(path, size) as pilot:
        await press(pilot, "ctrl+n", "Blue", "space", "van", "enter", "Kim", "enter")
        await press(pilot, "Panel", "space", "van", "enter", "m", "enter", "space", "left")
        await press(pilot, "enter", "y", "enter", "r")
        shown = screen_text(pilot)
        assert "Blue van" in shown
        assert ">Battery in" in shown
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, BuildScreen)
    build = reopened(path)
    header = build.header
    assert (header.title, header.customer, header.vehicle) == ("Blue van", "Kim", "Panel van")
    assert header.units is UnitHabit.METRIC
    assert header.drive is Drive.COMBUSTION  # a choice on and one back
    assert header.smart_alternator
    assert build.batteries[0].zone == "z3"


async def test_wrong_keys_change_nothing(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path) as pilot:
        await press(pilot, "ctrl+n", "down", "down", "down", "x", "7", "f5", "ctrl+g", "backspace")
        screen = pilot.app.screen
        assert isinstance(screen, NewBuild)
        assert screen.answers == Answers()
        assert "enter: start, esc: no build" in screen_text(pilot)  # nothing is cut
        await press(pilot, "x")
        assert "none begins with 'x': inch, metric" in screen_text(pilot)
        await press(pilot, "up", "up", "up", "space")
        assert screen.answers == Answers()  # the title that stands there is still there
        screen.on_paste(Paste("w" * 300))
        await press(pilot, "enter", "enter")
    assert reopened(path).header.title == "New build" + "w" * 300


@pytest.mark.parametrize(
    ("line", "keys", "field", "wanted"),
    [
        (3, ["metric"], "units", UnitHabit.METRIC),
        (3, ["metric", "inch"], "units", UnitHabit.INCH),
        (3, ["METRIC"], "units", UnitHabit.METRIC),
        (3, ["m", "backspace", "inch"], "units", UnitHabit.INCH),
        (4, ["electric"], "drive", Drive.ELECTRIC),
        (4, ["hybridelectric"], "drive", Drive.ELECTRIC),
        (4, ["hybrid", "right"], "drive", Drive.ELECTRIC),
        (4, ["space", "space", "c"], "drive", Drive.COMBUSTION),
        (5, ["yes", "no"], "smart_alternator", False),
        (6, ["rear"], "battery_place", "Rear"),
        (6, ["r", "engine", "space", "bay"], "battery_place", "Engine bay"),
        (6, ["floor"], "battery_place", "Cabin floor"),
        (6, ["cabin", "space", "space"], "battery_place", "Rear"),
    ],
)
async def test_a_word_typed_at_a_choice_is_taken(
    tmp_path: Path, line: int, keys: list[str], field: str, wanted: object
) -> None:
    async with running(tmp_path / "store.db") as pilot:
        await press(pilot, "ctrl+n", *["down"] * line, *keys)
        screen = pilot.app.screen
        assert isinstance(screen, NewBuild)
        assert getattr(screen.answers, field) == wanted
        assert screen.answers == replace(Answers(), **{field: wanted})
        assert "none begins" not in screen_text(pilot)


async def test_letters_of_one_line_are_not_gone_on_with_on_another(tmp_path: Path) -> None:
    async with running(tmp_path / "store.db") as pilot:
        await press(pilot, "ctrl+n", *["down"] * 4, "el", "up", "down", "e")
        screen = pilot.app.screen
        assert isinstance(screen, NewBuild)
        assert screen.answers.drive is Drive.ELECTRIC
        await press(pilot, "up", "m", "down", "e")
        assert screen.answers == replace(Answers(), units=UnitHabit.METRIC, drive=Drive.ELECTRIC)
        await press(pilot, "h", "left", "y")
        assert "none begins with 'y'" in screen_text(pilot)
        assert screen.answers == replace(Answers(), units=UnitHabit.METRIC)


async def test_answers_are_not_lost_where_the_store_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "store.db"
    async with running(path) as pilot:
        create = Store.create
        monkeypatch.setattr(Store, "create", failing)
        await press(pilot, "ctrl+n", "Blue", "enter", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, NewBuild)
        assert "Not started: the disk is full" in screen_text(pilot)
        monkeypatch.setattr(Store, "create", create)
        await press(pilot, "enter")
        assert build_screen(pilot).workbench.build.header.title == "Blue"


def failing(store: Store, build: Build, stops: int | None = None) -> int:
    raise StoreError("the disk is full")


async def test_what_is_typed_ahead_goes_into_the_build(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path) as pilot:
        await at_once(pilot, "ctrl+n", "enter", "4x75", "enter")
        assert isinstance(pilot.app.screen, BuildScreen)
    assert [(a.channels, a.channel_w) for a in reopened(path).amplifiers] == [(4, 75)]


async def test_units_are_those_of_the_last_build(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    stored(path, start_build(units=UnitHabit.METRIC))
    async with running(path) as pilot:
        await press(pilot, "ctrl+n", "enter")
    assert reopened(path, 2).header.units is UnitHabit.METRIC


async def test_what_is_typed_is_seen_where_it_is_typed(tmp_path: Path) -> None:
    long = "Long panel van, diesel, battery under the seat of the driver"
    async with running(tmp_path / "store.db", NARROW) as pilot:
        await press(pilot, "ctrl+n", "down", "down", *long)
        assert "the seat of the driver_" in screen_text(pilot)
        await press(pilot, "home")
        line = next(each for each in screen_text(pilot).splitlines() if ">Vehicle" in each)
        assert " Long panel van, diesel" in line
        assert "driver" not in line
        await press(pilot, "right", "right", "X")
        assert " LoXng panel van" in screen_text(pilot)
    assert all(len(said) < WIDTH for said in HELP.values())


@pytest.mark.parametrize("size", SIZES)
async def test_its_help_says_each_question_and_leaves_what_was_typed(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with running(tmp_path / "store.db", size) as pilot:
        await press(pilot, "ctrl+n", "Blue?", "f1")
        assert isinstance(pilot.app.screen, Help)
        page = " ".join(line.plain for line in pilot.app.screen.query_one(HelpLines).lines)
        for text in (*HELP.values(), "electric", "leaves without a build"):
            assert text in " ".join(page.split())
        await press(pilot, "f1")
        assert isinstance(pilot.app.screen, NewBuild)
        assert "Blue?_" in screen_text(pilot)
        await press(pilot, *["down"] * 3, "?")  # no choice begins with it
        assert isinstance(pilot.app.screen, Help)
        await press(pilot, "escape", "enter")
        assert build_screen(pilot).workbench.document.header.title == "Blue?"
