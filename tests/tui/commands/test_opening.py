"""What is asked for most is read by hand: as the library for command lines reads it."""

import subprocess
import sys
from pathlib import Path

import pytest

from domain.build.start import start_build
from storage.store.builds import Store
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
    plain = plainly(line)
    assert plain is not None
    assert asked == [plain.args]


@pytest.mark.parametrize("archived", [[], ["--archived"]])
def test_the_list_is_read_and_told_as_in_full(
    tmp_path: Path, archived: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Second method: the library."""
    place = tmp_path / "builds.sqlite"
    with Store(place) as store:
        store.create(start_build("Estate"))
        store.archive(store.create(start_build("Van")), True)
    line = ["--store", str(place), "builds", *archived]
    main.app(line, standalone_mode=False)
    in_full = capsys.readouterr().out
    plain = plainly(line)
    assert plain is not None
    assert plain() == 0
    assert capsys.readouterr().out == in_full
    assert ("Van" in in_full) == bool(archived)


@pytest.mark.parametrize(
    "line",
    [
        ["builds", "--all"],
        ["builds", "estate"],
        ["builds", "--help"],
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


@pytest.mark.parametrize("asked", ["open", "builds"])
def test_what_is_asked_for_most_loads_no_library_for_command_lines(
    tmp_path: Path, asked: str
) -> None:
    """In a pipe the program is refused, after all that it imports by then."""
    place = tmp_path / "builds.sqlite"
    with Store(place) as store:
        store.create(start_build("Estate"))
    code = (
        f"import sys; sys.argv = ['mainrun', '--store', {str(place)!r}, {asked!r}]\n"
        "from tui.start import main\n"
        "try:\n    main()\n"
        "finally:\n    print('typer' in sys.modules or 'pydantic' in sys.modules)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60
    )
    assert ran.stdout.split()[-1] == "False"
    assert ran.returncode == (2 if asked == "open" else 0)
    assert ("needs a terminal" in ran.stderr) == (asked == "open")
