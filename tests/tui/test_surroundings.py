"""Surroundings that are not as they should be: the encoding of the terminal, the time zone."""

import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from domain.build.actions import add, applied
from domain.build.start import start_build
from tests.tui.commanding import Command
from tests.tui.driving import stored
from tests.tui.terminal import Terminal
from tui.widgets.plain_cells import plain_cells


@settings(max_examples=50, deadline=None)
@given(st.text(st.characters(blacklist_categories=["Cs", "Cc"]), max_size=20))
def test_plain_signs_are_as_wide_as_what_they_stand_for(text: str) -> None:
    plain = plain_cells(text)
    assert plain.isascii()
    assert cell_len(plain) == sum(map(cell_len, text))


def test_a_terminal_of_ascii_has_no_escapes_in_its_text(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = start_build()
    key = stored(path, applied(build, add(build, "amplifiers", name="Front \u00e9")))
    surroundings = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    with Terminal(path, "open", str(key), **surroundings) as terminal:
        terminal.until("worst drop")
        terminal.send(b"\x1bOQ")  # F2
        terminal.until("Front ?")
        terminal.send(b"\x11")
        assert terminal.ended() == 0
        written = terminal.before + terminal.shown
    assert len(written) > 2000
    assert b"\\x" not in written
    assert b"\\u" not in written


def test_a_time_zone_that_cannot_be_prints_a_date(
    store: Path, mainrun: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "ABC+99:99:99")
    time.tzset()
    try:
        ended = mainrun("quote", "estate")
        assert ended.code == 0, ended.err
        assert time.strftime("%Y-%m-%d") in ended.out
    finally:
        monkeypatch.undo()
        time.tzset()
