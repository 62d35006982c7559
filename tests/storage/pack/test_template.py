"""The files of a part: named safely, written all or none, refused with a sentence."""

import errno
import os
from pathlib import Path

import pytest

from domain.build.records import Build, Header, Panel, Part
from storage.errors import TransferError
from storage.pack.file_set import file_stem
from storage.pack.template import write_template
from tests.storage.pack.parts import ODD_NAMES, bracket, plate


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_four_files_are_written_and_written_again(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "folder"
    written = write_template(bracket(), "p1", "letter", folder, revision="A", date="2026-01-02")
    assert [path.name for path in written] == [
        "p1-Amplifier-bracket-template-letter.pdf",
        "p1-Amplifier-bracket-drawing-letter.pdf",
        "p1-Amplifier-bracket.svg",
        "p1-Amplifier-bracket.dxf",
    ]
    first = written[0].read_bytes()
    assert write_template(bracket(), "p1", "Letter", folder, revision="B") == written
    assert written[0].read_bytes() != first
    assert names(folder) == sorted(path.name for path in written)


@pytest.mark.parametrize("name", ODD_NAMES.values(), ids=ODD_NAMES)
def test_odd_names_make_plain_files(name: str, tmp_path: Path) -> None:
    written = write_template(bracket(name), "p1", "a4", tmp_path)
    assert len(names(tmp_path)) == 4
    for path in written:
        assert path.parent == tmp_path
        assert len(path.name.encode()) < 200
        assert not set(path.stem) & set('/\\.:*?"<>| ')


def test_stems() -> None:
    assert file_stem("p1", "../..//etc/passwd") == "p1-etc-passwd"
    assert file_stem("p2", "CON.") == "p2-CON"
    assert file_stem("p3", "...") == "p3"
    assert file_stem("p4", "支" * 200) == "p4-" + "支" * 30


def test_a_full_disk_leaves_every_earlier_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = write_template(bracket(), "p1", "a4", tmp_path)
    before = {path: path.read_bytes() for path in written}
    calls = []

    def full(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 3:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("storage.files.os.fsync", full)
    with pytest.raises(TransferError, match="cannot be written to: No space left"):
        write_template(bracket(), "p1", "a4", tmp_path, revision="C")
    assert {path: path.read_bytes() for path in written} == before
    assert names(tmp_path) == sorted(path.name for path in written)


def test_a_target_that_takes_no_files_is_told(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("kept")
    with pytest.raises(TransferError, match="is a file: name a folder"):
        write_template(bracket(), "p1", "a4", file)
    with pytest.raises(TransferError, match="cannot be written to: Not a directory"):
        write_template(bracket(), "p1", "a4", file / "below")
    with pytest.raises(TransferError, match="cannot be written to"):
        write_template(bracket(), "p1", "a4", Path("/proc/none"))
    with pytest.raises(TransferError, match="cannot be written to"):
        write_template(bracket(), "p1", "a4", tmp_path / "nul\0")
    (tmp_path / "p1-Amplifier-bracket.dxf").mkdir()
    with pytest.raises(TransferError, match="is a directory: move it away"):
        write_template(bracket(), "p1", "a4", tmp_path)
    assert file.read_text() == "kept"
    assert names(tmp_path) == ["file", "p1-Amplifier-bracket.dxf"]


def test_what_cannot_be_drawn_is_refused_with_the_reason(tmp_path: Path) -> None:
    with pytest.raises(TransferError, match=r"no part p9 in this build: it has p1 \(Plate\)"):
        write_template(plate(0.1, 0.1), "p9", "a4", tmp_path)
    with pytest.raises(TransferError, match="it has no custom part"):
        write_template(Build(header=Header()), "p1", "a4", tmp_path)
    with pytest.raises(TransferError, match="no paper a3: choose letter or a4"):
        write_template(plate(0.1, 0.1), "p1", "a3", tmp_path)
    empty = Build(parts=(Part(id="p1", name="Nothing"),))
    with pytest.raises(TransferError, match="Nothing has no flat pattern: it has no flange"):
        write_template(empty, "p1", "a4", tmp_path)
    more = [Panel(id=f"n{i}", part="p1", joins="n1", length_m=0.1) for i in (2, 3)]
    twice = bracket().but(panels=(Panel(id="n1", part="p1"), *more), holes=())
    twice = twice.but(mounts=())
    with pytest.raises(TransferError, match="flanges n2 and n3 need the same piece of sheet"):
        write_template(twice, "p1", "a4", tmp_path)
    assert names(tmp_path) == []
