"""How much is worked out for a key: the engine once for what is typed, never again to save it."""

import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

from domain.build.actions import add, applied, start_build
from domain.build.edits import apply
from domain.evaluate import evaluate, make_plan
from tests.tui.driving import build_screen, press, reopened, running, stored

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
