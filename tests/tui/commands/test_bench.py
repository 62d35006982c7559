"""The commands for the bench: the template of a part, and the pack for the bay."""

import csv
import io
import os
import pty
import re
import subprocess
import sys
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from demo_db.load import demo_builds
from domain.plan import Plan
from tests.storage.pack.measuring import open_pdf
from tests.tui.commanding import Command, Ended, add_build
from tests.tui.commands.test_main import ODD_NAMES
from tui.commands.exits import INTERRUPTED, USAGE

ESTATE, CAMPER, *_ = (build for _, build in demo_builds())


def test_a_part_is_found_by_id_or_name(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """Its id, or what only its name holds; a whole name wins over a part of another."""
    names = {"p1": "Plate", "p2": "Plate for the block", "p3": "Tray"}
    panels = [
        {"id": f"n{n}", "part": part, "length_m": 0.1, "width_m": 0.2}
        for n, part in enumerate(names, 1)
    ]
    parts = [{"id": id, "name": name} for id, name in names.items()]
    key = add_build(store, parts=parts, panels=panels)
    for wanted, id in (("P2", "p2"), ("plate", "p1"), ("BLOCK", "p2"), ("tra", "p3")):
        folder = tmp_path / f"of {wanted}"
        ended = mainrun("template", key, wanted, "--to", str(folder))
        assert ended.code == 0, ended.err
        assert {path.name.split("-")[0] for path in folder.iterdir()} <= {id, f"{id}.svg"}
    ended = mainrun("template", key, "la", "--to", str(tmp_path / "x"))
    assert ended.code == USAGE
    assert "may be p1 (Plate), p2 (Plate for the block)" in ended.err
    ended = mainrun("template", add_build(store), "p1", "--to", str(tmp_path / "x"))
    assert ended.code == USAGE
    assert "has no custom parts" in ended.err


@pytest.mark.parametrize(
    ("build", "options", "paper"),
    [
        ("estate", [], "letter"),
        ("camper", [], "a4"),
        ("estate", ["--paper", "a4"], "a4"),
    ],
)
def test_a_template_is_four_files(
    store: Path,
    mainrun: Command,
    tmp_path: Path,
    build: str,
    options: list[str],
    paper: str,
) -> None:
    """Their paths are printed; revision and date stand in the PDF, read back by another library."""
    folder = tmp_path / "new" / "folder"
    ended = mainrun("template", build, "p1", "--to", str(folder), *options)
    assert ended.code == 0
    paths = [Path(line) for line in ended.out.splitlines()]
    assert sorted(paths) == sorted(folder.iterdir())
    assert [path.suffix for path in paths] == [".pdf", ".pdf", ".svg", ".dxf"]
    assert all(f"-{paper}.pdf" in path.name for path in paths[:2])
    with open_pdf(paths[0].read_bytes()) as document:
        text = "".join(document[page].get_text() for page in range(len(document)))
    assert "revision 0" in text
    assert datetime.now().astimezone().date().isoformat() in text


def test_a_folder_that_takes_no_files(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """A file in its place, a name with a NUL; what was there stays."""
    file = tmp_path / "file"
    file.write_text("precious")
    for place in (file, file / "under", "a\0b"):
        ended = mainrun("template", "estate", "p1", "--to", str(place))
        assert ended.code == USAGE
        assert ended.err.startswith("mainrun: ")
    assert file.read_text() == "precious"


def test_ctrl_c_leaves_no_file(
    store: Path, mainrun: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pressed while the last file of a template is written: earlier ones stay, none is new."""
    folder = tmp_path / "bench"
    assert mainrun("template", "estate", "p1", "--to", str(folder)).code == 0
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    written: list[int] = []

    def interrupted(descriptor: int) -> None:
        written.append(descriptor)
        if len(written) == 4:
            raise KeyboardInterrupt

    monkeypatch.setattr("storage.files.os.fsync", interrupted)
    again = mainrun("template", "estate", "p1", "--to", str(folder), "--force")
    assert again == Ended(INTERRUPTED, "", "")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """Stand in for what writes a pack: what it was asked for, by the names of its parameters."""
    calls: list[dict[str, Any]] = []

    def write_pack(plan: Plan, results: object, folder: Path, **options: Any) -> list[Path]:
        calls.append({"build": plan.build, "folder": folder, **options})
        return [folder / "one.pdf", folder / "two.csv"]

    monkeypatch.setattr("storage.pack.pack.write_pack", write_pack)
    return calls


def test_what_a_pack_is_asked_for(
    stocked: Path, mainrun: Command, tmp_path: Path, asked: list[dict[str, Any]]
) -> None:
    """Paper by the units unless named, all sections unless named, revision, today, the shop's
    own prices and spools; its paths are printed, one a line."""
    ended = mainrun("pack", "camper", "--to", str(tmp_path))
    assert ended == Ended(0, f"{tmp_path}/one.pdf\n{tmp_path}/two.csv\n", "")
    assert mainrun("pack", "camper", "--to", str(tmp_path), "--labels", "13").code == USAGE
    options = [
        "--only",
        " Quote, runs,quote,",
        "--paper",
        "a4",
        "--labels",
        "62x29",
        "--full-harness",
    ]
    assert mainrun("pack", "estate", "--to", str(tmp_path), *options).code == 0
    first, second = asked
    assert first["build"] == CAMPER
    assert (first["paper"], first["only"], first["revision"]) == ("a4", None, "0")
    assert (first["labels_on"], second["labels_on"]) == ("", "62x29")
    assert (first["harness_on"], second["harness_on"]) == ("", "full")
    assert (second["paper"], second["only"]) == ("a4", {"quote", "runs"})
    assert second["date"] == datetime.now().astimezone().date().isoformat()
    assert second["progress"] is None, "nobody watches"
    assert second["money"].estimate.materials == Decimal("15.15") + Decimal("46.33")
    (lengths,) = second["money"].spools.values()
    assert [(spool.length_m, spool.at_hand) for spool in lengths] == [
        (pytest.approx(2), True),
        (15, False),
    ]


def test_a_pack_is_written_and_read_back(stocked: Path, mainrun: Command, tmp_path: Path) -> None:
    """Every path printed is there and no other; the PDF, read by another library, names every
    run and part, with revision and date on every page; no cell of a table is run."""
    folder = tmp_path / "new" / "folder"
    ended = mainrun("pack", "estate", "--to", str(folder))
    assert (ended.code, ended.err) == (0, "")
    paths = [Path(line) for line in ended.out.splitlines()]
    assert sorted(paths) == sorted(folder.iterdir())
    with open_pdf(paths[0].read_bytes()) as document:
        pages = [document[page].get_text() for page in range(len(document))]
    words = " ".join("".join(pages).split())
    assert all(run.name in words for run in ESTATE.runs)
    assert all(part.name in words for part in ESTATE.parts)
    today = datetime.now().astimezone().date().isoformat()
    assert [number for number, page in enumerate(pages) if today not in page] == []
    for path in paths:
        if path.suffix == ".csv":
            rows = csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig")))
            assert not [cell for row in rows for cell in row if re.match(r"\s*[=+@]", cell)]


def test_a_pack_of_what_was_chosen(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """One section is one PDF; a name that there is not is refused with those there are."""
    ended = mainrun("pack", "estate", "--to", str(tmp_path / "a"), "--only", "Runs")
    assert [path.suffix for path in (tmp_path / "a").iterdir()] == [".pdf"]
    assert ended.code == 0
    ended = mainrun("pack", "estate", "--to", str(tmp_path / "b"), "--only", "runs,wheels")
    assert ended.code == USAGE
    assert "wheels" in ended.err
    assert "summary" in ended.err
    assert not (tmp_path / "b").exists()


def test_ctrl_c_leaves_no_half_pack(
    store: Path, mainrun: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pressed while its second file is written: the earlier pack is whole, nothing is beside it."""
    folder = tmp_path / "bay"
    assert mainrun("pack", "estate", "--to", str(folder)).code == 0
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    written: list[int] = []

    def interrupted(descriptor: int) -> None:
        written.append(descriptor)
        if len(written) == 2:
            raise KeyboardInterrupt

    monkeypatch.setattr("storage.files.os.fsync", interrupted)
    again = mainrun("pack", "estate", "--to", str(folder), "--force")
    assert again == Ended(INTERRUPTED, "", "")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_files_that_are_there_are_replaced_only_by_force(
    store: Path, mainrun: Command, tmp_path: Path
) -> None:
    for arguments in (["template", "estate", "p1"], ["pack", "estate", "--only", "summary,data"]):
        folder = tmp_path / arguments[0]
        command = [*arguments, "--to", str(folder)]
        ended = mainrun(*command)
        assert ended.code == 0, ended.err
        last = Path(ended.out.splitlines()[-1])
        for path in folder.iterdir():
            path.unlink()
        last.write_text("precious")
        refused = mainrun(*command)
        assert (refused.code, refused.out) == (USAGE, "")
        assert f"{last} is already there: name another folder, or add --force" in refused.err
        assert {path.name: path.read_text() for path in folder.iterdir()} == {last.name: "precious"}
        assert mainrun(*command, "--force").out == ended.out
        assert last.read_bytes() != b"precious"


@pytest.mark.parametrize("name", [*ODD_NAMES, "../../up", "a/b", "..", "con."])
def test_a_name_never_leaves_the_folder(
    store: Path, mainrun: Command, tmp_path: Path, name: str
) -> None:
    """Slashes, dots, escapes in the title: files in the folder, paths on one line each."""
    content = {"header": {"title": name}, "parts": [{"id": "p1", "name": name}]}
    panels = [{"id": "n1", "part": "p1", "length_m": 0.1, "width_m": 0.2}]
    key = add_build(store, **content, panels=panels)
    folder = tmp_path / "in" / "here"
    for arguments in (["template", key, "p1"], ["pack", key]):
        ended = mainrun(*arguments, "--to", str(folder))
        assert ended.code == 0, ended.err
        paths = [Path(line) for line in ended.out.splitlines()]
        assert all(path.parent == folder and path.is_file() for path in paths)
    assert [path.name for path in folder.parent.iterdir()] == ["here"]


def test_progress_of_a_pack_is_shown_on_a_terminal_alone(store: Path, tmp_path: Path) -> None:
    """Standard error in a pipe stays empty; on a terminal something moves."""
    command = [
        sys.executable,
        "-m",
        "tui.commands.main",
        "pack",
        "hatch",
        "--to",
        str(tmp_path / "x"),
        "--force",
    ]
    piped = subprocess.run(command, capture_output=True, check=False, timeout=60)
    assert (piped.returncode, piped.stderr) == (0, b"")
    ours, theirs = pty.openpty()
    shown = subprocess.run(
        command,
        stdout=subprocess.PIPE,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm"},
        check=False,
        timeout=60,
    )
    os.close(theirs)
    said = os.read(ours, 65536)
    os.close(ours)
    assert b"pack" in said
    assert shown.stdout == piped.stdout
