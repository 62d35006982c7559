"""A name is changed in the form of its thing, and not by who types on it in a table.

Expected by definition: what is typed on a name leaves the build as it is; enter opens the form.
"""

from pathlib import Path

import pytest

from domain.build.actions import add, applied
from domain.build.choices import Words
from domain.build.edits import SetField
from domain.build.start import start_build
from tests.tui.driving import SIZES, WIDE, build_screen, press, reopened, running, status, stored
from tests.tui.views.test_wiring import two_amplifiers
from tui.widgets.speech import speech_of_app


@pytest.mark.parametrize("size", SIZES)
async def test_typing_on_a_name_does_not_rename(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    build = two_amplifiers()
    async with running(path, size, stored(path, build), page="f4") as pilot:
        screen = build_screen(pilot)
        await press(pilot, "home", "20ft")
        assert "keeps its name" in status(pilot)
        assert not screen.editing.open
        await press(pilot, "37", "space", "mm2")  # by what follows a space neither
        assert "keeps its name" in status(pilot)
        assert not screen.editing.open
        screen.editing.typed("20ft")  # pasted
        assert not screen.editing.open
        await press(pilot, "enter")
        assert (screen.view.id, screen.grid.spec.id) == ("wiring", "thing")
        assert screen.grid.row_id.endswith(".name")
        renamed = screen.grid.row_id.removesuffix(".name")
        await press(pilot, "Charging", "enter", "escape")
        assert screen.view.id == "distribution"
        assert screen.grid.row_id == renamed
    names = {run.id: run.name for run in reopened(path).runs}
    assert names == {r.id: "Charging" if r.id == renamed else r.name for r in build.runs}


async def test_remote_outputs_and_leads_have_no_form_and_are_named_where_they_stand(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    build = applied(start_build(), add(start_build(), "amplifiers", channel_w=100.0))
    async with running(path, WIDE, stored(path, build), page="f2") as pilot:
        screen = build_screen(pilot)
        for table in ("remotes", "leads"):
            grid = screen.grid_of(table)
            screen.focus_grid(grid)
            grid.go(grid.row_ids[0], "name")
            await press(pilot, "Blue wire", "enter")
    kept = reopened(path)
    assert [kept.remotes[0].name, kept.leads[0].name] == ["Blue wire", "Blue wire"]


async def test_escape_leads_to_where_the_form_was_opened_last(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, WIDE, stored(path, two_amplifiers()), page="f4") as pilot:
        screen = build_screen(pilot)
        await press(pilot, "home", "enter")
        assert screen.grid.spec.id == "thing"
        await press(pilot, "alt+1", "home", "down", "down", "enter")
        assert (screen.view.id, screen.grid.spec.id) == ("wiring", "thing")
        await press(pilot, "escape")
        assert (screen.view.id, screen.grid.spec.id) == ("wiring", "wiring")


async def test_a_british_build_stays_british_after_the_shop(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = applied(
        start_build(), SetField(table="header", id="header", field="words", value=Words.UK.value)
    )
    async with running(path, WIDE, stored(path, build)) as pilot:
        assert speech_of_app(pilot.app)("ground") == "earth"
        await press(pilot, "f12", "f12")
        assert speech_of_app(pilot.app)("ground") == "earth"
