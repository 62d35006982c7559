"""The form that opens the program is read by hand: as the library for command lines reads it."""

import subprocess
import sys

import pytest

from tui.commands import main
from tui.commands.choosing import Options
from tui.commands.opening import plainly

LINES: tuple[list[str], ...] = (
    [],
    ["open"],
    ["open", "3"],
    ["open", "estate car"],
    ["open", ""],
    ["--store", "a.db"],
    ["--no-mouse", "--store", "a.db", "open", "2"],
    ["--store", "a.db", "--store", "b.db"],
)


@pytest.mark.parametrize("line", LINES, ids=" ".join)
def test_the_plain_form_is_read_as_in_full(
    line: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Second method: the library."""
    asked: list[tuple[Options, str | None]] = []

    def opened(options: Options, wanted: str | None) -> int:
        asked.append((options, wanted))
        return 0

    monkeypatch.setattr(main, "open_program", opened)
    main.app(line, standalone_mode=False)
    assert asked == [plainly(line)]


@pytest.mark.parametrize(
    "line",
    [
        ["builds"],
        ["open", "a", "b"],
        ["open", "--help"],
        ["--store"],
        ["--store", "--no-mouse"],
        ["--store=a.db"],
        ["--group"],
        ["opne"],
        ["--help"],
    ],
    ids=" ".join,
)
def test_all_else_is_left_to_the_library(line: list[str]) -> None:
    assert plainly(line) is None


def test_opening_loads_no_library_for_command_lines() -> None:
    """In a pipe the program is refused, after all that it imports by then."""
    code = (
        "import sys; sys.argv = ['mainrun', 'open']\n"
        "from tui.start import main\n"
        "try:\n    main()\n"
        "finally:\n    print('typer' in sys.modules)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60
    )
    assert ran.stdout.split() == ["False"]
    assert ran.returncode == 2
    assert "the terminal program needs a terminal" in ran.stderr
