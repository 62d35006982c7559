"""What a command for paper or bench refuses: one line, an exit code, and nothing written."""

from pathlib import Path

import pytest

from demo_db.load import demo_builds
from tests.tui.commanding import Command
from tui.commands.exits import STORE_TROUBLE, USAGE

ESTATE = demo_builds()[0][1]

LISTED = f"{ESTATE.parts[0].id} ({ESTATE.parts[0].name})"


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["template", "estate", "plate"], USAGE, "--to"),
        (["template", "estate", "p9", "--to", "x"], USAGE, LISTED),
        (["template", "estate", "", "--to", "x"], USAGE, LISTED),
        (["template", "estate", "\x1b[2J", "--to", "x"], USAGE, LISTED),
        (["template", "estate", "p1", "--to", "x", "--paper", "a3"], USAGE, "a4"),
        (["pack", "estate"], USAGE, "--to"),
        (["pack", "estate", "--to", "x", "--only", " , "], USAGE, "names no section"),
        (["pack", "99", "--to", "x"], USAGE, "`mainrun builds`"),
        (["materials"], USAGE, "BUILD"),
        (["materials", "99"], USAGE, "`mainrun builds`"),
        (["materials", "1", "--format", "xml"], USAGE, "json"),
        (["quote", "nothing"], USAGE, "`mainrun builds`"),
        (["--store", "none.sqlite", "quote", "1"], STORE_TROUBLE, "no store"),
    ],
    ids=lambda value: " ".join(value)[:40] if isinstance(value, list) else None,
)
def test_what_cannot_be_done_is_one_line(
    store: Path,
    mainrun: Command,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[str],
    code: int,
    said: str,
) -> None:
    """An exit code, a line that says what would do, and no file or folder left."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    ended = mainrun(*arguments)
    assert ended.code == code
    assert said in ended.err
    assert ended.err.strip().isprintable()
    assert ended.out == ""
    assert list(folder.iterdir()) == []
