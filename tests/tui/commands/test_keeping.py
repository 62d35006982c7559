"""The commands that keep a store safe: what they print, how they end, what they leave alone."""

from pathlib import Path

import pytest

from tests.storage.store.test_proving import damage, proof_of, worked_in
from tests.tui.commanding import Command
from tui.commands.exits import STORE_TROUBLE


def test_verify_prints_what_is_wrong(
    tmp_path: Path, mainrun: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _ = worked_in(tmp_path)
    monkeypatch.setenv("MAINRUN_STORE", str(path))
    ended = mainrun("verify")
    assert (ended.code, ended.err) == (0, "")
    assert ended.out == "1 builds and 9 lines of journal: all as it was entered\n"
    damage(path, "UPDATE build SET customer = char(27) || ']0;x'")
    ended = mainrun("verify")
    assert ended.code == STORE_TROUBLE
    assert "customer of the header" in ended.out
    assert "\x1b" not in ended.out


def test_a_backup_replaces_only_when_asked(
    tmp_path: Path, mainrun: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _ = worked_in(tmp_path)
    monkeypatch.setenv("MAINRUN_STORE", str(path))
    copy = tmp_path / "copy.sqlite"
    copy.write_text("precious")
    ended = mainrun("backup", str(copy))
    assert ended.code == STORE_TROUBLE
    assert "--force" in ended.err
    assert copy.read_text() == "precious"
    assert mainrun("backup", str(copy), "--force").out == f"copied to {copy}\n"
    assert proof_of(copy).wrong == ()
    assert mainrun("backup", str(tmp_path)).code == STORE_TROUBLE
    assert mainrun("backup", str(tmp_path / "none" / "copy")).code == STORE_TROUBLE
    assert not list(tmp_path.glob(".mainrun-*"))
