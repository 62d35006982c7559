"""What Textual would do a second time while a screen is opened is not done."""

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from textual.css import parse, stylesheet
from textual.screen import Screen

from domain.build.start import start_build
from tests.tui import style_sheets
from tests.tui.driving import press, running, stored
from tests.tui.stillness import settled
from tui.grids.grid_screen import GridScreen


async def test_no_style_sheet_is_read_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read: Counter[tuple[object, ...]] = Counter()

    def counted(*given: Any, **named: Any) -> Iterable[Any]:
        read[given, named["tie_breaker"], repr(named["variable_tokens"])] += 1
        return parse.parse(*given, **named)

    monkeypatch.setattr(stylesheet, "parse", counted)
    style_sheets.read_anew(monkeypatch)
    path = tmp_path / "builds.sqlite"
    key = stored(path, start_build())
    async with running(path, key=key, page="") as pilot:
        await press(pilot, "f12", "escape", "f10", "f1")
    assert len(read) > 10
    assert max(read.values()) == 1


async def test_a_new_screen_is_not_styled_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    styled: list[str] = []
    update = Screen.update_node_styles

    def noted(screen: Screen[object], animate: bool = True) -> None:
        styled.append(type(screen).__name__)
        update(screen, animate)

    path = tmp_path / "builds.sqlite"
    key = stored(path, start_build())
    monkeypatch.setattr(Screen, "update_node_styles", noted)
    async with running(path, key=key, page=""):
        assert "BuildScreen" not in styled


async def test_what_lies_out_of_sight_is_told_once_a_frame(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[bool] = []
    show = GridScreen.show_more

    def noted(screen: GridScreen, again: bool = True) -> None:
        told.append(again)
        show(screen, again)

    path = tmp_path / "builds.sqlite"
    key = stored(path, start_build())
    monkeypatch.setattr(GridScreen, "show_more", noted)
    async with running(path, key=key, page="") as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, GridScreen)
        told.clear()
        for _ in range(5):
            screen.more_soon()
        await settled(pilot)
        assert told.count(True) == 1
        screen.more_soon()
        await settled(pilot)
        assert told.count(True) == 2
