"""A name is changed in the form of its thing, and not by who types on it in a table.

Expected by definition: what is typed on a name leaves the build as it is; enter opens the form.
"""

from pathlib import Path

import pytest

from tests.tui.driving import SIZES, build_screen, press, reopened, running, status, stored
from tests.tui.views.test_wiring import two_amplifiers


@pytest.mark.parametrize("size", SIZES)
async def test_typing_on_a_name_does_not_rename(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    build = two_amplifiers()
    async with running(path, size, stored(path, build), page="f4") as pilot:
        screen = build_screen(pilot)
        await press(pilot, "home", "20ft")
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
