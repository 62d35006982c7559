"""The key line holds whole keys only, and always those that lead to all others.

Expected by definition, and by counting cells.
"""

from pathlib import Path

import pytest
from rich.cells import cell_len

from tests.tui.driving import press, running, stored
from tests.tui.views.test_wiring import two_amplifiers
from tui.widgets.key_line import KeyLine, fitting

KEYS = [("^G", "next", "a"), ("F9", "pane", "b"), ("^N", "add", "c"), ("F1", "help", "help")]


def test_the_last_ones_are_left_out_first() -> None:
    # each takes a space before it: 8, 8, 7 and 8 cells, and one at the end
    assert fitting(KEYS, 32, ("help",)) == KEYS
    assert fitting(KEYS, 31, ("help",)) == [KEYS[0], KEYS[1], KEYS[3]]
    assert fitting(KEYS, 17, ("help",)) == [KEYS[0], KEYS[3]]
    assert fitting(KEYS, 5, ("help",)) == [KEYS[3]]


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (60, 18)])
async def test_keys_and_tabs_fit(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    async with running(path, size, stored(path, two_amplifiers()), page="") as pilot:
        for key in ("alt+1", "f4", "f6", "f8"):
            await press(pilot, key)
            for name in ("keys", "tabs"):
                (line,) = pilot.app.screen.query_one(f"#{name}", KeyLine).lines
                assert cell_len(line.plain) <= size[0], (key, line.plain)
                wanted = ("help", "commands") if name == "keys" else ("7", "8", "F10")
                assert all(word in line.plain for word in wanted), line.plain
            assert ("figure" in pilot.app.screen.query_one("#keys", KeyLine).lines[0].plain) == (
                key == "alt+1"
            )
