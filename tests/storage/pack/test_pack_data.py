"""The figures beside a pack, recomputed from its JSON by arithmetic alone, and its tables.

Second method: ASTM B258 for the section of a gauge, density of copper times section times length.
"""

import csv
import io
import json
from math import pi
from typing import Any

import pytest
from reportlab.lib import rl_accel

from domain.build.choices import UnitHabit
from domain.csv_cells import cell_text
from domain.money.shopping_tables import MATERIAL_TITLES, material_cells
from storage.pack.contents import DATA
from storage.pack.pack import pack_files
from storage.transfer import import_build
from tests.storage.pack.builds import builds, plan, result

NAMES = ("estate_car", "camper_van", "hatchback", "odd", "largest")
DENSITY = {"copper": 8890.0, "tinned copper": 8890.0, "copper-clad aluminium": 3320.0}
_RUNS = "=+-@\t\r＝＋－＠"


def files(name: str) -> dict[str, bytes]:
    return pack_files(plan(name), result(name), paper="a4", revision="7", only=frozenset({DATA}))


def document(name: str) -> dict[str, Any]:
    content = next(content for file, content in files(name).items() if file.endswith(".json"))
    found: dict[str, Any] = json.loads(content)
    return found


def table(name: str, ending: str) -> list[list[str]]:
    content = next(content for file, content in files(name).items() if file.endswith(ending))
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True))


def area_mm2(gauge: str) -> float:
    """ASTM B258: 0.127 mm x 92^((36 - n)/39); a metric section is its own area."""
    if not gauge.startswith("AWG "):
        return float(gauge.split(maxsplit=1)[0])
    name = gauge[4:]
    number = 1 - int(name[0]) if name.endswith("/0") else int(name)
    return float(pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2)


@pytest.mark.parametrize("name", ["camper_van", "odd"])
def test_the_json_is_as_the_standard_library_writes_it(name: str) -> None:
    # second method: the standard library's own indented text, byte for byte
    content = next(content for file, content in files(name).items() if file.endswith(".json"))
    again = json.dumps(json.loads(content), indent=1, allow_nan=False) + "\n"
    assert content == again.encode()


def test_letters_are_measured_in_c() -> None:
    # without the accelerator the pages of a pack take a tenth more time
    assert not rl_accel._py_funcs


@pytest.mark.parametrize("name", NAMES)
def test_lengths_copper_and_mass_from_the_json(name: str) -> None:
    read = document(name)
    cut = sum(p["cut_m"] for group in read["cut_list"]["groups"] for p in group["pieces"])
    bought = sum(m["needed"] for m in read["sheet"]["materials"] if m["group"] == "Wire")
    assert cut == pytest.approx(bought)
    new = [run for run in read["sheet"]["runs"] if not run["existing"]]
    pieces: dict[str, int] = {}
    for group in read["cut_list"]["groups"]:
        for piece in group["pieces"]:
            pieces[piece["run"]] = pieces.get(piece["run"], 0) + 1
    # a tenth of a metre is lost at the ends of each piece, and up to a step of the tape
    least = sum(run["wire_m"] + 0.1 * pieces[run["id"]] for run in new)
    # switching and loudspeaker leads are cut from the same wire, each as many times as it is laid
    leads = [lead for lead in read["sheet"]["leads"] if lead["gauge"]]
    least += sum((lead["wire_m"] + 0.1) * lead["count"] for lead in leads)
    assert least - 1e-6 <= cut < least + 0.0254 / 4 * sum(pieces.values())
    for run in read["sheet"]["runs"]:
        mass = area_mm2(run["gauge"]) * 1e-6 * run["wire_m"] * DENSITY[run["metal"]]
        assert run["conductor_kg"] == pytest.approx(mass, rel=2e-3)
    for part in read["sheet"]["parts"]:
        # flat area times thickness, at a density between plywood's and steel's (handbook values)
        volume = part["area_m2"] * part["thickness_m"]
        assert 400 * volume < part["mass_kg"] < 8000 * volume


@pytest.mark.parametrize("name", NAMES)
def test_the_build_in_the_json_can_be_read_back(name: str) -> None:
    # conservation
    read = document(name)
    assert read["format"] == "mainrun pack"
    assert import_build(json.dumps(read["build"])) == builds()[name]
    assert import_build(json.dumps(read)) == builds()[name], "the whole file will do"
    orders = [step["order"] for step in read["work_order"]]
    assert orders == list(range(1, len(orders) + 1))


@pytest.mark.parametrize("name", NAMES)
def test_no_cell_is_a_formula_and_every_row_is_whole(name: str) -> None:
    for ending in ("-runs.csv", "-materials.csv", "-cuts.csv", "-sheets.csv", "-readings.csv"):
        head, *rows = table(name, ending)
        assert len(set(head)) == len(head)
        for row in rows:
            assert len(row) == len(head)
            for cell in row:
                if cell[:1] and cell[0] in _RUNS:
                    float(cell)


@pytest.mark.parametrize("name", NAMES)
def test_the_tables_say_what_the_json_says(name: str) -> None:
    # conservation; exact by definition (international foot): 0.3048 m
    read = document(name)
    foot = builds()[name].header.units is UnitHabit.INCH
    unit = "ft" if foot else "m"
    head, *rows = table(name, "-runs.csv")
    assert [row[0] for row in rows] == [run["id"] for run in read["sheet"]["runs"]]
    at = head.index(f"wire with slack {unit}")
    total = sum(float(row[at]) for row in rows) * (0.3048 if foot else 1.0)
    expected = sum(run["wire_m"] for run in read["sheet"]["runs"])
    assert total == pytest.approx(expected, rel=1e-5)
    head, *rows = table(name, "-cuts.csv")
    total = sum(float(row[head.index(f"cut {unit}")]) for row in rows)
    cut = sum(p["cut_m"] for group in read["cut_list"]["groups"] for p in group["pieces"])
    assert total * (0.3048 if foot else 1.0) == pytest.approx(cut, rel=1e-5)
    head, *rows = table(name, "-materials.csv")
    assert len(rows) == len(read["sheet"]["materials"])
    # the same table as the shop's own list of materials, runs by name
    lines = [material_cells(builds()[name], line) for line in result(name).sheet.materials]
    assert head == MATERIAL_TITLES
    assert rows == [[*map(cell_text, line)] for line in lines]
    _, *rows = table(name, "-readings.csv")
    assert len(rows) == len(read["readings"]["predicted"])
