"""The commands that make paper: materials, quote, template, pack."""

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections import Counter, defaultdict
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from demo_db.load import demo_builds
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.shop.catalogue import COLUMNS
from domain.units.parse import format_quantity
from tests.tui.commanding import Command, add_build
from tests.tui.commands.test_main import HEAVY, ODD_NAMES, WORKS_OUT_A_BUILD, process
from tui.commands.exits import STORE_TROUBLE

ESTATE, CAMPER, HATCHBACK, *_ = (build for _, build in demo_builds())


SECTIONS = {"bill of materials", "to buy", "cut list", "labels", "sheets to cut"}
RUNS = re.compile(r"\s*[=+\-@\t\r＝＋－＠]")


def sections(text: str) -> dict[str, list[dict[str, str]]]:
    """The sections of a CSV file, each as rows under its own header."""
    found: dict[str, list[list[str]]] = defaultdict(list)
    for name, *cells in csv.reader(io.StringIO(text)):
        found[name].append(cells)
    return {
        name: [dict(zip(head, row, strict=True)) for row in rows]
        for name, (head, *rows) in found.items()
    }


@pytest.mark.parametrize(
    "arguments",
    [
        *(["materials", "estate"], ["materials", "camper", "--format=csv"], ["quote", "estate"]),
        *(["materials", "hatch", "--format=json"], ["catalogue"], ["times"]),
        *(["template", "--help"], ["pack", "--help"]),
    ],
    ids=" ".join,
)
def test_what_only_prints_imports_nothing_heavy(store: Path, arguments: list[str]) -> None:
    """A fresh process says itself what it has imported."""
    names = [*HEAVY, "reportlab", "PIL"]
    if arguments[0] in WORKS_OUT_A_BUILD:
        names.remove("numpy")
    ended = process(
        *arguments,
        code="import sys\nfrom tui.commands.main import main\n"
        "try:\n    main()\nexcept SystemExit:\n"
        f"    print([name for name in {names} if name in sys.modules], file=sys.stderr)",
    )
    assert ended.stderr.decode().strip() == "[]"
    assert ended.stdout


def test_materials_as_text_say_what_asked_for_each_line(store: Path, mainrun: Command) -> None:
    """Every line of the sheet, its runs by name, and every piece to cut; within the page."""
    out = mainrun("materials", "estate").out
    assert out.startswith("Estate car, three amplifiers\n====")
    assert max(map(len, out.splitlines())) <= 100
    words = " ".join(out.split())
    sheet = evaluate(ESTATE)
    for line in sheet.materials:
        assert (f"{line.item}, {line.size}" if line.size else line.item) in words
    for run in sheet.runs:
        assert (run.name in words) is not run.existing
    assert out.count("[ ] ") == len(json.loads(json_of(mainrun))["labels"]) / 2
    assert "The catalogue is empty" in out


def json_of(mainrun: Command, build: str = "estate") -> str:
    return mainrun("materials", build, "--format", "json").out


@pytest.mark.parametrize("build", ["estate", "camper", "hatch"])
def test_the_pieces_add_up_to_the_wire_of_the_runs(
    store: Path, mainrun: Command, build: str
) -> None:
    """Conservation: pieces are the runs' wire with 5 cm for each end, and the lines their sums.

    Each piece is up to the next step of the tape: a quarter inch, or 5 mm.
    """
    found = json.loads(json_of(mainrun, build))
    sheet = json.loads(mainrun("sheet", build, "--format", "json").out)["sheet"]
    pieces = [piece for group in found["cut_list"] for piece in group["pieces"]]
    tape = 0.005 if build == "camper" else 0.0254 / 4
    count = Counter(piece["run"] for piece in pieces)
    lengths: dict[str, float] = defaultdict(float)
    for piece in pieces:
        lengths[piece["run"]] += piece["cut_m"] - 0.1
    new = {run["id"]: run["wire_m"] for run in sheet["runs"] if not run["existing"]}
    assert lengths.keys() == new.keys()
    for run, wire_m in new.items():
        assert wire_m - 1e-6 <= lengths[run] < wire_m + tape * count[run]
    assert len(found["labels"]) == 2 * len(pieces)
    wire = {
        (line["item"], line["size"]): line["needed"]
        for line in found["lines"]
        if line["group"] == "Wire"
    }
    cut = {(group["item"], group["size"]): group["needed_m"] for group in found["cut_list"]}
    assert cut == pytest.approx(wire)
    for group in found["cut_list"]:
        for length in group["lengths"]:
            taken = sum(piece["cut_m"] for piece in length["pieces"])
            assert length["length_m"] == pytest.approx(taken + length["offcut_m"])


@pytest.mark.parametrize(("build", "unit", "in_m"), [("estate", "ft", 0.3048), ("camper", "m", 1)])
def test_csv_and_json_hold_the_same(
    stocked: Path, mainrun: Command, build: str, unit: str, in_m: float
) -> None:
    """Each line, pack, piece and label, in the unit of the heading."""
    found = json.loads(json_of(mainrun, build))
    table = sections(mainrun("materials", build, "--format", "csv").out)
    assert [row["item"] for row in table["bill of materials"]] == [
        line["item"] for line in found["lines"]
    ]
    for row, line in zip(table["bill of materials"], found["lines"], strict=True):
        factor = in_m if row["unit"] == "ft" else 1.0
        assert float(row["buy"]) * factor == pytest.approx(line["quantity"], rel=1e-5)
        assert row["asked by"] == "; ".join(found["names"][id] for id in line["asked_by"])
        assert row["catalogue item"] == (line["catalogue_item"] or "")
        assert row["packs"] == str(sum(buy["packs"] for buy in line["buys"]))
    pieces = [piece for group in found["cut_list"] for piece in group["pieces"]]
    cuts = table["cut list"]
    assert sum(float(row[f"cut {unit}"]) for row in cuts) * in_m == pytest.approx(
        sum(piece["cut_m"] for piece in pieces), rel=1e-5
    )
    assert len(cuts) == len(pieces)
    assert [[row[f"line {n}"] for n in (1, 2, 3)] for row in table["labels"]] == [
        each["lines"] for each in found["labels"]
    ]
    bought = [(row["item"], row["packs"], row["price"]) for row in table.get("to buy", [])]
    assert bought == [
        (buy["item"], str(buy["packs"]), buy["price"] or "") for buy in found["to_buy"]
    ]


def test_packs_to_buy_by_hand(stocked: Path, mainrun: Command) -> None:
    """Three ferrules from packs of two: two packs, 20.20. Of 5.7 m of 1/0 in two pieces the short
    one comes off the 2 m on the shelf, the long one takes a spool: 120.00. Ties are there."""
    found = json.loads(json_of(mainrun))
    assert [(buy["item"], buy["packs"], buy["price"]) for buy in found["to_buy"]] == [
        ("Red spool", 1, "120.00"),
        ("Ferrules 4", 2, "20.20"),
    ]
    assert found["price"] == "140.20"
    out = mainrun("materials", "estate").out
    assert re.search(r"2  Ferrules 4 +2 each +10.10 +20.20  =counter A", out)
    assert "Together 140.20" in out
    assert "4 of Ties from stock" in out
    served = sum(line["catalogue_item"] is not None for line in found["lines"])
    assert f"{len(found['lines']) - served} lines are not in the catalogue" in out


def test_no_text_of_the_csv_is_run(store: Path, mainrun: Command, tmp_path: Path) -> None:
    """Names that mean mischief in every place where a person types one; formula starters as
    listed by OWASP, "CSV injection"."""
    names = [*ODD_NAMES, "@SUM(A1)", "-2+3", '+cmd|" /C calc"!A0', "\t=1", "＝1"]
    with (tmp_path / "odd.csv").open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file)
        table.writerow(COLUMNS)
        for number, group in enumerate(("Wire", "Terminals", "Clamps")):
            table.writerow([f"=item {number}", group, "", "", 1, "each", 1, 0, "+supplier"])
    for name in names:
        key = add_build(
            store,
            **{
                **ESTATE.plain(),
                "header": {"title": name, "customer": name},
                "runs": [{**run.plain(), "name": name, "colour": name[:60]} for run in ESTATE.runs],
                "parts": [{**part.plain(), "name": name} for part in ESTATE.parts],
            },
        )
        assert mainrun("catalogue", "--import", str(tmp_path / "odd.csv")).code == 0
        text = mainrun("materials", key, "--format", "csv").out
        rows = list(csv.reader(io.StringIO(text)))
        assert {row[0] for row in rows} == SECTIONS
        assert [cell for row in rows for cell in row if RUNS.match(cell)] == []
        assert json.loads(json_of(mainrun, key))["names"]["r4"] == label_of(name)
        for arguments in (["materials", key], ["quote", key], ["catalogue"]):
            ended = mainrun(*arguments)
            assert ended.code == 0
            assert ended.out.replace("\n", "").isprintable()


def label_of(name: str) -> str:
    """What a record of that name is called."""
    return Build.of({"runs": [{"id": "r1", "name": name}]}).runs[0].name


def test_a_build_with_nothing_in_it(store: Path, mainrun: Command) -> None:
    """Empty lists and a quote of no hours, not an error."""
    key = add_build(store)
    assert "BILL OF MATERIALS\nnone" in mainrun("materials", key).out
    assert json.loads(json_of(mainrun, key))["lines"] == []
    assert "0.00 h" in mainrun("quote", key).out


def test_the_quote_adds_up(stocked: Path, mainrun: Command, tmp_path: Path) -> None:
    """By hand from the printed lines: hours at 80, materials at 1.25, 10 % tax on both."""
    header = {
        **ESTATE.header.plain(),
        "labour_price": 80,
        "markup_ratio": 1.25,
        "tax_percent": 10,
        "currency": "USD",
    }
    key = add_build(stocked, **{**ESTATE.plain(), "header": header})
    out = mainrun("quote", key).out
    assert f"Date: {datetime.now().astimezone().date().isoformat()}" in out
    amounts = {
        name: Decimal(amount)
        for name, amount in re.findall(r"^(Labor|Materials|Tax|Total).* USD ([\d.]+)$", out, re.M)
    }
    (hours,) = re.findall(r"^Hours together.* ([\d.]+) h$", out, re.M)
    assert abs(amounts["Labor"] - Decimal(hours) * 80) <= Decimal("0.20")  # lines are rounded
    # 3 ferrules at 10.10 for two: 15.15; 19 ft of wire at 120 for 15 m: 46.33; both by 1.25
    assert amounts["Materials"] == Decimal("18.94") + Decimal("57.91")
    net = amounts["Labor"] + amounts["Materials"]
    assert amounts["Tax"] == (net / 10).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert amounts["Total"] == net + amounts["Tax"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full here")
def test_output_that_cannot_be_written(store: Path) -> None:
    """A full disk behind standard output is one line and an exit code."""
    for arguments in ("materials estate", "materials estate --format csv", "quote estate"):
        ended = subprocess.run(
            ["bash", "-c", f"'{sys.executable}' -m tui.commands.main {arguments} >/dev/full"],
            capture_output=True,
            text=True,
            env={**os.environ},
            check=False,
            timeout=60,
        )
        assert ended.returncode == STORE_TROUBLE
        assert "No space left" in ended.stderr
        assert ended.stderr.count("\n") == 1


def test_lengths_read_as_in_the_sheet(store: Path, mainrun: Command) -> None:
    """The same quantity as the bill of materials of the sheet has, in the build's own units."""
    for build, key in ((ESTATE, "estate"), (CAMPER, "camper")):
        out = mainrun("materials", key).out
        for line in evaluate(build, swept=True).materials:
            if line.group == "Wire":
                shown = format_quantity("length", line.quantity, build.header.units)
                assert re.search(rf" {re.escape(shown)}  {re.escape(line.item)}, {line.size}", out)
