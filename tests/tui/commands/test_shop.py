"""The commands for the shop's own catalogue and times."""

import csv
import io
import re
import subprocess
import sys
from pathlib import Path

import pytest

from domain.shop.catalogue import COLUMNS, MOST_ITEMS
from domain.shop.times import default_times
from storage.store.builds import Store
from storage.store.shelf import ShopCatalogue
from tests.tui.commanding import Command, Ended
from tui.commands.exits import STORE_TROUBLE, USAGE

HEADER = ",".join(COLUMNS)


def test_the_shops_own_times_count_in_the_quote(
    store: Path, mainrun: Command, tmp_path: Path
) -> None:
    """Out as CSV, one row changed and kept, in again: three amplifiers at 60 minutes, not 45."""
    before = mainrun("quote", "estate").out
    file = tmp_path / "times.csv"
    assert mainrun("times", "--export", str(file)) == Ended(0, "", "")
    rows = list(csv.reader(io.StringIO(file.read_text(encoding="utf-8"))))
    rows = [rows[0], *(row for row in rows if row[0] == "amplifier")]
    rows[1][2] = "60"
    with file.open("w", newline="", encoding="utf-8") as written:
        csv.writer(written).writerows(rows)
    ended = mainrun("times", "--import", str(file))
    assert ended.out.startswith(f"1 of {len(default_times())} times are your own")
    after = mainrun("quote", "estate").out
    assert re.findall(r"^Mounting +(.*) h$", before, re.M) == ["2.25"]
    assert re.findall(r"^Mounting +(.*) h$", after, re.M) == ["3.00"]
    listed = mainrun("times").out
    assert re.search(r"^amplifier +60  min per amplifier +own", listed, re.M)
    assert listed.count(" default ") == len(default_times()) - 1
    assert max(map(len, listed.splitlines())) <= 100


def test_a_catalogue_goes_out_and_comes_back(
    stocked: Path, mainrun: Command, tmp_path: Path
) -> None:
    """The same items, a formula in a supplier's name defused on the way; also through a pipe."""
    file = tmp_path / "out.csv"
    assert mainrun("catalogue", "--export", str(file)) == Ended(0, "", "")
    assert "'=counter A" in file.read_text(encoding="utf-8")
    assert mainrun("catalogue", "--export", "-").out == file.read_text(encoding="utf-8")
    with Store(stocked) as store:
        before = ShopCatalogue(store).items()
    piped = subprocess.run(
        [sys.executable, "-m", "tui.commands.main", "catalogue", "--import", "-"],
        input=file.read_bytes(),
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert (piped.returncode, piped.stderr) == (0, b"")
    with Store(stocked) as store:
        assert ShopCatalogue(store).items() == before
    listed = mainrun("catalogue").out
    assert re.search(r"^Red spool +Wire +15 m +120.00 +2 +copper wire, red; 1/0 awg", listed, re.M)


def test_an_import_does_not_drop_items_unless_forced(
    stocked: Path, mainrun: Command, tmp_path: Path
) -> None:
    """What the file leaves out is named, and the catalogue stays whole."""
    file = tmp_path / "less.csv"
    file.write_text(f"{HEADER}\nTies,Clamps,cable tie,,50,each,3,0,\n")
    ended = mainrun("catalogue", "--import", str(file))
    assert ended.code == USAGE
    assert "leaves out Ferrules 4, Red spool" in ended.err
    with Store(stocked) as store:
        assert len(ShopCatalogue(store).items()) == 3
    ended = mainrun("catalogue", "--import", str(file), "--force")
    assert ended.out == "the catalogue holds 1 item, 2 dropped\n"
    with Store(stocked) as store:
        assert [item.pack for item in ShopCatalogue(store).items()] == [50]


@pytest.mark.parametrize("command", ["catalogue", "times"])
def test_an_export_does_not_replace_a_file_unless_forced(
    store: Path, mainrun: Command, tmp_path: Path, command: str
) -> None:
    """What was there stays as it was; nothing is left beside it."""
    file = tmp_path / "mine.csv"
    file.write_text("precious")
    ended = mainrun(command, "--export", str(file))
    assert ended.code == USAGE
    assert "--force" in ended.err
    assert file.read_text() == "precious"
    assert mainrun(command, "--export", str(file), "--force").code == 0
    assert file.read_text().startswith("name,")
    assert [path.name for path in tmp_path.glob("*.part")] == []
    for place in (tmp_path, tmp_path / "no" / "x.csv", "a\0b"):
        assert mainrun(command, "--export", str(place), "--force").code == USAGE


@pytest.mark.parametrize(
    ("command", "content", "said"),
    [
        ("catalogue", b"", "the file is empty"),
        ("catalogue", b"\xff\xfen\x00", "no UTF-8"),
        ("catalogue", b"name,price\nx,1\n", "no column"),
        ("catalogue", f"{HEADER}\nX,Paint,,,1,each,1,0,\n".encode(), "line 2: group"),
        ("catalogue", f"{HEADER}\nX,Wire,,,1,m,-1,0,\n".encode(), "line 2: price"),
        (
            "catalogue",
            (f"{HEADER}\n" + "X,Wire,,,1,m,1,0,\n" * (MOST_ITEMS + 1)).encode(),
            "at most",
        ),
        ("times", b"name,title,value,unit\nwelding,Weld,5,min\n", "no operation 'welding'"),
        ("times", b"name,title,value,unit\nfuse,Fuse,1e9,min\n", "line 2: value"),
        ("times", b"name,title,value,unit\nfuse,Fuse,99999,min\n", "from 0 to"),
    ],
    ids=["empty", "bytes", "columns", "group", "price", "many", "operation", "number", "minutes"],
)
def test_a_bad_table_is_refused_whole(
    stocked: Path, mainrun: Command, tmp_path: Path, command: str, content: bytes, said: str
) -> None:
    """One line that names the file and what is wrong; catalogue and times stay as they were."""
    file = tmp_path / "bad.csv"
    file.write_bytes(content)
    for force in ([], ["--force"]):
        ended = mainrun(command, "--import", str(file), *force)
        assert ended.code == USAGE
        assert said in ended.err
        assert "bad.csv" in ended.err
    with Store(stocked) as store:
        assert len(ShopCatalogue(store).items()) == 3
        assert ShopCatalogue(store).times() == {}


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["catalogue", "--import", "a", "--export", "b"], USAGE, "one at a time"),
        (["catalogue", "--import", "no-such.csv"], USAGE, "cannot be read"),
        (["times", "--import", "."], USAGE, "cannot be read"),
        (["times", "--import", "a\0b"], USAGE, "cannot be read"),
        (["--store", "none.sqlite", "catalogue"], STORE_TROUBLE, "no store"),
    ],
    ids=lambda value: " ".join(value)[:40] if isinstance(value, list) else None,
)
def test_what_cannot_be_done_is_one_line(
    store: Path, mainrun: Command, arguments: list[str], code: int, said: str
) -> None:
    """An exit code, and a line that says what would do."""
    ended = mainrun(*arguments)
    assert ended.code == code
    assert said in ended.err
    assert ended.err.strip().isprintable()
    assert ended.out == ""


FOOTPRINTS = (
    "footprint,mass kg,along mm,across mm,up mm,foot mm,stud along mm,stud up mm,kind,thread,"
    "screw mm\n"
    "Small amp,1.8,205,120,50,3,10,10,clearance,M5,16\n"
    "Small amp,,,,,,195,110,tapped,M5,\n"
    "=cmd,2.5,80.5,60,40,3,,,,,\n"
)
"""Invented devices."""


def test_footprints_go_out_and_come_back(store: Path, mainrun: Command, tmp_path: Path) -> None:
    assert mainrun("footprints").out.startswith("no hole patterns: --export FILE")
    file = tmp_path / "feet.csv"
    file.write_text(FOOTPRINTS, encoding="utf-8")
    ended = mainrun("footprints", "--import", str(file))
    assert ended == Ended(0, "the shop holds 2 hole patterns\n", "")
    listed = mainrun("footprints").out
    assert re.search(r"^Small amp +205 mm x 120 mm x 50 mm +1.8 kg +2$", listed, re.M)
    out = mainrun("footprints", "--export", "-").out
    assert "'=cmd" in out
    file.write_text(out, encoding="utf-8")
    assert mainrun("footprints", "--import", str(file)).code == 0
    assert mainrun("footprints", "--export", "-").out == out


def test_an_import_does_not_drop_footprints_unless_forced(
    store: Path, mainrun: Command, tmp_path: Path
) -> None:
    file = tmp_path / "feet.csv"
    file.write_text(FOOTPRINTS, encoding="utf-8")
    mainrun("footprints", "--import", str(file))
    file.write_text("".join(FOOTPRINTS.splitlines(True)[:2]), encoding="utf-8")
    ended = mainrun("footprints", "--import", str(file))
    assert ended.code == USAGE
    assert "leaves out =cmd, nothing was taken" in ended.err
    ended = mainrun("footprints", "--import", str(file), "--force")
    assert ended.out == "the shop holds 1 hole pattern, 1 dropped\n"
    assert mainrun("footprints").out.count("\n") == 2
