"""Written files replace an earlier one whole or not at all (conservation)."""

import errno
import os
from pathlib import Path

import pytest

from storage.errors import TransferError
from storage.files import write_beside


def test_a_file_is_written_and_written_again(tmp_path: Path) -> None:
    path = tmp_path / "build.json"
    write_beside(path, "first\r\n")
    path.chmod(0o640)
    write_beside(path, "sécond\n")
    assert path.read_bytes() == "sécond\n".encode()
    assert path.stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["build.json"]


def test_a_full_disk_leaves_the_earlier_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "build.json"
    write_beside(path, "earlier")

    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("storage.files.os.fsync", full)
    with pytest.raises(TransferError, match=r"build\.json cannot be written: No space left"):
        write_beside(path, "later")
    assert path.read_text() == "earlier"
    assert [p.name for p in tmp_path.iterdir()] == ["build.json"]


def test_a_place_that_takes_no_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(TransferError, match="is a directory: name a file in it"):
        write_beside(tmp_path, "text")
    with pytest.raises(TransferError, match="cannot be written: No such file"):
        write_beside(tmp_path / "missing" / "build.json", "text")
    with pytest.raises(TransferError, match="cannot be written"):
        write_beside(tmp_path / ("x" * 300), "text")
    with pytest.raises(TransferError, match="cannot be written"):
        write_beside(tmp_path / "build.json", "\ud800")
    assert list(tmp_path.iterdir()) == []


def test_a_link_stays_a_link_and_a_device_a_device(tmp_path: Path) -> None:
    real = tmp_path / "real.json"
    real.write_text("earlier")
    link = tmp_path / "link.json"
    link.symlink_to(real)
    write_beside(link, "later")
    assert link.is_symlink()
    assert real.read_text() == "later"
    write_beside(Path(os.devnull), "gone")
    assert Path(os.devnull).is_char_device()


def test_what_a_killed_process_left_is_cleared(tmp_path: Path) -> None:
    """Only files of the program's own temporary names, and none that may still be written."""
    old, new = tmp_path / ".mainrun-0123456789ab.part", tmp_path / ".mainrun-ba9876543210.part"
    other = tmp_path / ".mainrun-notes.part"
    for path in (old, new, other):
        path.write_text("half")
    for path in (old, other):
        os.utime(path, (0, 0))
    write_beside(tmp_path / "build.json", "text")
    assert {path.name for path in tmp_path.iterdir()} == {"build.json", new.name, other.name}
