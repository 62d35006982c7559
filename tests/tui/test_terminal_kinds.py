"""Terminals without colours, without a cursor that can be placed, or with other signs.

Which codes set colours, and that ESC [ n X erases cells, is ECMA-48 (SGR 30 to 49, ECH); bright
ones are the 90 to 107 that terminals have added. That a VT100 has neither is in its description
in terminfo, read there.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from domain.build import actions
from domain.build.edits import SetField
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Level
from tests.tui.driving import stored
from tests.tui.screens.test_editing import three_amplifiers
from tests.tui.terminal import Terminal
from tui.widgets.plain_cells import plain_cells


def stopping() -> Build:
    """A build with a stop and a fix."""
    build = three_amplifiers()
    run = next(run for run in build.runs if run.fused)
    build = actions.applied(build, SetField(table="runs", id=run.id, field="gauge", value="AWG 16"))
    sheet = evaluate(build)
    assert sheet.count(Level.STOP)
    assert sheet.count(Level.FIX)
    return build


def colours(content: bytes) -> set[int]:
    """The colour codes among the attributes that were set."""
    found = set()
    for codes in re.findall(rb"\x1b\[([0-9;]*)m", content):
        found |= {int(code) for code in codes.split(b";") if code}
    return {code for code in found if 30 <= code <= 49 or 90 <= code <= 107}


@pytest.mark.parametrize(
    ("term", "environment", "coloured"),
    [
        ("xterm", {}, True),
        ("xterm", {"NO_COLOR": "1"}, False),
        ("xterm-256color", {"NO_COLOR": "1"}, False),
        ("vt100", {}, False),
    ],
)
def test_what_is_wrong_is_told_in_words(
    tmp_path: Path, term: str, environment: dict[str, str], coloured: bool
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, stopping())
    with Terminal(path, "open", str(key), TERM=term, **environment) as terminal:
        terminal.until("STOP ")
        terminal.until("!!")  # and where it is drawn
        terminal.send(b"\x1b7")  # alt+7: the readings
        terminal.until("not read")
        terminal.send(b"2\r")  # far from what the first should be
        terminal.until("FAIL")
        terminal.send(b"\x11")
        assert terminal.ended() == 0
        sent = terminal.before + terminal.shown
    assert bool(colours(sent)) == coloured
    if term == "vt100":
        assert not re.search(rb"\x1b\[[0-9]*X", sent)


@pytest.mark.parametrize("term", ["dumb", "unknown", ""])
def test_a_terminal_without_a_cursor_is_told_in_one_sentence(tmp_path: Path, term: str) -> None:
    with Terminal(tmp_path / "store.db", TERM=term) as terminal:
        assert terminal.ended() == 2
        sent = (terminal.before + terminal.shown).decode()
    assert b"\x1b" not in sent.encode()
    said = " ".join(sent.split())
    assert "TERM" in said
    assert "mainrun sheet BUILD" in said
    assert len(sent.strip().splitlines()) == 1


def asked(term: str) -> list[str]:
    """What is said of a terminal, in a process of its own: its library takes one name for good."""
    code = (
        "import json; from tui.terminal_kind import _described, erases, why_not\n"
        "import os; known = _described(os.environ['TERM']) is not None\n"
        "print(json.dumps([why_not(), str(erases()), str(known)]))"
    )
    ended = subprocess.run(
        [sys.executable, "-c", code],
        env={"TERM": term, "PATH": "/usr/bin:/bin"},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=True,
    )
    found: list[str] = json.loads(ended.stdout)
    return found


def test_one_that_nobody_knows_is_taken_as_what_most_are() -> None:
    assert asked("no-such-terminal") == ["", "True", "False"]
    assert asked("xterm")[:2] == ["", "True"]


def test_a_terminal_with_cursor_codes_of_its_own_is_refused() -> None:
    # A VT52 places its cursor by ESC Y (its manual and terminfo): ESC [ says nothing to it.
    said, _, known = asked("vt52")
    if known == "False":
        pytest.skip("terminfo has no VT52 here")
    assert "TERM=vt52" in said


DRAWN = "═║╠╚╟─│├└┴┄▸▲▼█▓▅▇±·…°"
"""Signs of the pages."""


def test_drawing_and_marks_have_a_sign_in_ascii() -> None:
    assert "?" not in plain_cells(DRAWN)
    assert plain_cells("║ ╠═┄[50~]══ Boot block ▸") == "| +-.[50~]-- Boot block >"
