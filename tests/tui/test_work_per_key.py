"""How much is worked out for a key: the engine once for what is typed, never again to save it."""

import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from rich.console import RenderableType
from textual.css.query import DOMQuery
from textual.screen import Screen

from domain.build.actions import add, applied
from domain.build.edits import Edit, apply
from domain.build.start import start_build
from domain.evaluate import evaluate, make_plan
from tests.tui.driving import build_screen, press, reopened, running, stored
from tui.app import MainrunApp
from tui.dialogs.boxes import Help
from tui.grids.grid_screen import GridScreen
from tui.workbench import Workbench

pytestmark = pytest.mark.usefixtures("drawn_each_time")

PROBED = {make_plan.__code__: "evaluate", apply.__code__: "apply"}


@contextmanager
def counted() -> Iterator[Counter[str]]:
    """Plans worked out and calls of ``apply`` in this thread; the edits of one batch count once."""
    calls: Counter[str] = Counter()

    def probe(frame: FrameType, event: str, _: Any) -> None:
        name = PROBED.get(frame.f_code) if event == "call" else None
        if name and (frame.f_back is None or frame.f_back.f_code is not frame.f_code):
            calls[name] += 1

    sys.setprofile(probe)
    try:
        yield calls
    finally:
        sys.setprofile(None)


async def test_a_key_works_the_build_out_once_and_enter_takes_it_from_there(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Front"))
    key = stored(path, build)
    async with running(path, key=key) as pilot:
        await press(pilot, "right", "2")
        for typed in "x900":
            with counted() as calls:
                await press(pilot, typed)
            # "2x" is no power: it is read, and nothing follows.
            once = {} if typed == "x" else {"evaluate": 1, "apply": 1}
            assert calls == once, typed
        with counted() as calls:
            await press(pilot, "enter")
        assert calls["evaluate"] == 0
        assert calls["apply"] == 0
        assert build_screen(pilot).workbench.revision == 1
        assert build_screen(pilot).workbench.sheet == evaluate(reopened(path, key))
    assert reopened(path, key).amplifiers[0].channel_w == 900


async def test_no_key_looks_for_the_tables_among_all_that_is_on_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    made = DOMQuery.__init__

    def looked(query: DOMQuery[Any], *about: Any, **more: Any) -> None:
        made(query, *about, **more)
        asked.append(str(query))

    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Front"))
    key = stored(tmp_path / "store.db", build)
    async with running(tmp_path / "store.db", key=key) as pilot:
        monkeypatch.setattr(DOMQuery, "__init__", looked)
        await press(pilot, "right", "2", "0", "0", "enter", "down", "up", "f3", "f2")
        assert not asked
        assert list(pilot.app.screen.query("Grid")), "it can be seen when somebody does"
        assert asked


async def test_a_page_is_laid_out_once_when_it_is_turned_to_and_never_for_a_dialog_over_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    laid_out: Counter[str] = Counter()
    lay_out = GridScreen._refresh_layout

    def counting(screen: GridScreen, *about: Any, **more: Any) -> None:
        laid_out[screen.view.id] += 1
        lay_out(screen, *about, **more)

    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Front"))
    key = stored(tmp_path / "store.db", build)
    async with running(tmp_path / "store.db", key=key) as pilot:
        # the first dialog has its style sheet read, for which all is styled and laid out anew
        await press(pilot, "f3", "f2", "question_mark", "escape")
        monkeypatch.setattr(GridScreen, "_refresh_layout", counting)
        await press(pilot, "f3")
        await press(pilot, "f2")
        assert laid_out == {"battery": 1, "amplifiers": 1}
        await press(pilot, "question_mark")
        assert isinstance(pilot.app.screen, Help)
        assert laid_out == {"battery": 1, "amplifiers": 1}


async def test_what_was_typed_before_another_session_saved_is_worked_out_anew(
    tmp_path: Path,
) -> None:
    from domain.build.edits import SetField
    from storage.store.builds import Store
    from tui.workbench import Workbench

    path = tmp_path / "store.db"
    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Front"))
    key = stored(path, build)
    edit = SetField(table="amplifiers", id="a1", field="channel_w", value=900)
    with Store(path) as store, Store(path) as other:
        mine, theirs = (Workbench(s, key, *_opened(s, key)) for s in (store, other))
        mine.preview(edit)
        theirs.do(SetField(table="amplifiers", id="a1", field="channels", value=2))
        mine.do(edit)
        assert (mine.build.amplifiers[0].channels, mine.build.amplifiers[0].channel_w) == (2, 900)
        assert mine.sheet == evaluate(mine.document) == evaluate(store.open(key).document)


def _opened(store: Any, key: int) -> tuple[Any, int]:
    opened = store.open(key)
    return opened.document, opened.revision


async def test_a_typed_character_is_painted_before_its_figures_are_worked_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    paint, preview = MainrunApp._display, Workbench.preview

    def painted(app: MainrunApp, screen: Screen[object], what: RenderableType | None) -> None:
        told.append("painted")
        paint(app, screen, what)

    def worked_out(bench: Workbench, edit: Edit) -> Any:
        told.append("worked out")
        return preview(bench, edit)

    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Front"))
    key = stored(tmp_path / "store.db", build)
    async with running(tmp_path / "store.db", key=key) as pilot:
        await press(pilot, "right")
        monkeypatch.setattr(MainrunApp, "_display", painted)
        monkeypatch.setattr(Workbench, "preview", worked_out)
        for character in ("6", "0"):  # the first opens the cell
            told.clear()
            await press(pilot, character)
            await pilot.pause()
            assert told[0] == "painted"
            assert told.count("worked out") == 1
        # What was typed when the figures' turn comes counts, once for two keys or for each.
        told.clear()
        await press(pilot, "0", "0")
        await pilot.pause()
        assert told.count("worked out") in (1, 2)
        assert build_screen(pilot).editing.editor.value == "6000"
