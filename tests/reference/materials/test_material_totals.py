"""Wire, copper and mass of a build, recomputed from its exported file by arithmetic alone.

Nothing of the program is used to recompute: the file is read as JSON, with the planning rules
written out again here. Only the gauge of a run left to the engine is taken from the sheet.
"""

import json
from collections import defaultdict
from math import pi
from typing import Any

import pytest

from demo_db.load import demo_builds
from domain.build.actions import add_amplifier
from domain.build.choices import UnitHabit
from domain.build.edits import apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.cable.cut_list import cut_list
from domain.cable.fittings import heat_shrink, outside_diameter_mm
from domain.evaluate import evaluate
from domain.reference.csv_tables import load
from storage.transfer import export_build


def unmeasured() -> Build:
    """Two amplifiers of which no length was measured."""
    build = start_build("Unmeasured", UnitHabit.METRIC)
    for _ in range(2):
        build, _ = apply(build, add_amplifier(build))
    return build


def shared() -> Build:
    """The estate car with its feeds in one loom, its grounds in another, the main run in a third.

    The charge cable, already in the car, lies with the main run as far as it goes.
    """
    words = {"r1": "Sill", "r4": "sill ", "r5": "Feeds", "r6": "Feeds", "r7": "FEEDS"}
    words |= {"r8": "Grounds", "r9": "grounds", "r10": "Grounds"}
    build = dict(demo_builds())["estate_car"]
    runs = tuple(run.but(loom=words.get(run.id, "")) for run in build.runs)
    return build.but(runs=runs)


BUILDS = [*demo_builds(), ("unmeasured", unmeasured()), ("shared", shared())]
DENSITY = {"copper": 8890.0, "tinned copper": 8890.0, "copper-clad aluminium": 3320.0}


def area_mm2(gauge: str) -> float:
    """ASTM B258: 0.127 mm x 92^((36 - n)/39); a metric section is its own area."""
    if not gauge.startswith("AWG "):
        return float(gauge.split(maxsplit=1)[0])
    name = gauge[4:]
    number = 1 - int(name[0]) if name.endswith("/0") else int(name)
    return float(pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2)


def wire_m(run: dict[str, Any]) -> float:
    """Route, or the planning length, and slack: a tenth, at least 0.15 m."""
    length = run["length_m"]
    if length is None:
        from_battery, own = run["source"].startswith("b"), run["existing"]
        main = 1.5 if own else 5.0 if from_battery else 1.0
        ground = 0.4 if own and from_battery else 0.5
        length = ground if run["polarity"] == "ground" else main
    slack = run["slack_m"]
    if slack is None:
        slack = 0.0 if run["existing"] else max(0.1 * length, 0.15)
    return float(length + slack)


def holders(run: dict[str, Any], blocks: dict[str, Any]) -> int:
    """Fuse holders in the line of the wire, each of which parts it."""
    block = blocks.get(run["source"])
    at = run["fuse_distance_m"]
    in_block = block and block["kind"] == "distribution" and block["fused"] and not at
    near = run["fused"] and not in_block and at != 0
    return int(bool(near)) + int(run["far_fused"] and run["far_fuse_distance_m"] != 0)


@pytest.mark.parametrize(("name", "build"), BUILDS, ids=[name for name, _ in BUILDS])
def test_wire_copper_and_mass_from_the_exported_file(name: str, build: Build) -> None:
    # second method
    read = json.loads(export_build(build))
    sheet = evaluate(build)
    blocks = {block["id"]: block for block in read["blocks"]}
    metres: dict[str, float] = defaultdict(float)
    ends = 0
    copper_kg = 0.0
    for run in read["runs"]:
        result = sheet.run(run["id"])
        assert result is not None
        gauge = run["gauge"] or result.gauge
        mass = area_mm2(gauge) * 1e-6 * wire_m(run) * DENSITY[run["metal"]] * run["count"]
        assert result.conductor_kg == pytest.approx(mass, rel=2e-3)
        if run["existing"]:
            continue
        copper_kg += mass
        pieces = 1 + holders(run, blocks)
        metres[gauge] += (wire_m(run) + 0.1 * pieces) * run["count"]
        ends += 2 * pieces * run["count"]
    for lead in sheet.leads:
        if lead.gauge:
            pieces = 1 + (lead.fuse_a is not None)  # a holder in the line parts it
            metres[lead.gauge] += (lead.wire_m + 0.1 * pieces) * lead.count
            ends += 2 * pieces * lead.count
    wire: dict[str, float] = defaultdict(float)
    for line in sheet.materials:
        if line.group == "Wire":
            wire[line.size] += line.needed
    as_sold = {(f"{g[4:]} AWG" if g.startswith("AWG ") else g): m for g, m in metres.items()}
    # pieces are cut to whole steps of the tape, a quarter inch or 5 mm: up to one more for each
    tape = 0.0254 / 4 if read["header"]["units"] == "inch" else 0.005
    assert wire.keys() == as_sold.keys()
    for size, least in as_sold.items():
        assert least - 1e-6 <= wire[size] < least + tape * ends / 2
    cuts = cut_list(build, sheet)
    cut = [piece.cut_m for group in cuts.groups for piece in group.pieces]
    assert [length / tape for length in cut] == pytest.approx([round(c / tape) for c in cut])
    assert sum(cut) == pytest.approx(sum(wire.values()))
    assert len(cuts.labels) == ends
    assert sum(run.conductor_kg for run in sheet.runs if not run.existing) == pytest.approx(
        copper_kg, rel=2e-3
    )


@pytest.mark.parametrize(("name", "build"), BUILDS, ids=[name for name, _ in BUILDS])
def test_the_cut_list_is_the_wire_of_the_bill_of_materials(name: str, build: Build) -> None:
    # conservation, line by line; lower bound: no length is under the sum of its pieces
    sheet = evaluate(build)
    wire = {(x.item, x.size): x for x in sheet.materials if x.group == "Wire"}
    groups = cut_list(build, sheet).groups
    assert {(group.item, group.size) for group in groups} == set(wire)
    for group in groups:
        line = wire[group.item, group.size]
        assert group.needed_m == pytest.approx(line.needed)
        assert group.bought_m == pytest.approx(line.quantity)
        assert group.bought_m >= sum(piece.cut_m for piece in group.pieces) - 1e-9
        assert {piece.run for piece in group.pieces} == set(line.asked_by)


@pytest.mark.parametrize(("name", "build"), BUILDS, ids=[name for name, _ in BUILDS])
def test_cable_diameters_and_tubes_against_the_tables(name: str, build: Build) -> None:
    # the tables, read row by row: OD between its neighbours in the table; recovered < OD < 0.8 x
    # expanded, and no smaller tube would do
    cables = [
        (float(row["area_mm2"]), float(row["outside_diameter_mm"]))
        for row in load("cable_od", ("gauge", "area_mm2", "outside_diameter_mm"))
    ]
    asked: dict[str, set[str]] = defaultdict(set)
    sheet = evaluate(build)
    for line in sheet.materials:
        if line.group == "Heat-shrink":
            for run in line.asked_by:
                asked[run].add(f"{line.item.split()[1]} {line.size}")
    assert asked
    for id, tubes in asked.items():
        result = sheet.run(id)
        assert result is not None
        od = outside_diameter_mm(result.area_mm2)
        under = [cable for cable in cables if cable[0] <= result.area_mm2 * 1.001]
        over = [cable for cable in cables if cable[0] >= result.area_mm2 * 0.999]
        assert under[-1][1] - 0.02 <= od <= over[0][1] + 0.02
        allowed = set()
        for ratio, table in (("3:1", "heat_shrink"), ("2:1", "heat_shrink_2to1")):
            rows = load(table, ("size", "expanded_mm", "recovered_mm"))
            fits = [
                (float(row["expanded_mm"]), row["size"])
                for row in rows
                if float(row["recovered_mm"]) < od < 0.8 * float(row["expanded_mm"])
            ]
            allowed.add(f"{ratio} {min(fits)[1]}")
        assert tubes <= allowed


def bundle_mm(cables: list[float]) -> float:
    """Two side by side; three by the theorem of Descartes, or the third in the gap of the two."""
    if len(cables) == 1:
        return cables[0]
    first, second, *rest = sorted(cables, reverse=True)
    if not rest:
        return first + second
    (third,) = rest
    k1, k2, k3 = 2 / first, 2 / second, 2 / third
    if k3 >= k1 + k2 - 2 / (first + second):
        return first + second
    return float(2 / (2 * (k1 * k2 + k2 * k3 + k3 * k1) ** 0.5 - (k1 + k2 + k3)))


@pytest.mark.parametrize(("name", "build"), BUILDS, ids=[name for name, _ in BUILDS])
def test_loom_grommets_and_clamps_from_the_exported_file(name: str, build: Build) -> None:
    # second method: looms walked centimetre by centimetre; sizes from the tables read row by row.
    # Fill 75 %, clamps 0.45 m apart (18 in), P-clamps from 8 mm: common practice, ABYC E-11.
    read = json.loads(export_build(build))
    sheet = evaluate(build)
    zone_of = {
        device["id"]: device["zone"]
        for table in ("batteries", "amplifiers", "blocks", "grounds")
        for device in read[table]
    }
    warm = {z["id"] for z in read["zones"] if "engine" in z["name"].lower() or z["ambient_c"] >= 60}
    cable = {run.id: outside_diameter_mm(run.area_mm2) for run in sheet.runs}
    tubes = [
        (float(row["bore_mm"]), float(row["outside_mm"]), row["size"])
        for row in load("loom", ("size", "bore_mm", "outside_mm"))
    ]
    looms: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for run in read["runs"]:
        looms[run["loom"].strip().lower() or run["id"]].append(run)
    metres: dict[str, float] = defaultdict(float)
    clamps: dict[str, int] = defaultdict(int)
    holes = 0
    step = 0.001
    for runs in looms.values():
        new = [run for run in runs if not run["existing"]]
        if not new:
            continue
        sleeved = any(run["polarity"] == "positive" or run["zone"] in warm for run in runs)
        sleeved &= any(run["cover"] != "open air" for run in runs)
        end = max(wire_m(run) for run in new)
        for i in range(int(end / step)):
            here = (i + 0.5) * step
            here_too = [r for r in runs if wire_m(r) > here for _ in range(r["count"])]
            inside = bundle_mm([cable[r["id"]] for r in here_too])
            over = inside
            if sleeved:
                bore, over, size = next(t for t in tubes if inside**2 <= 0.75 * t[0] ** 2 + 1e-3)
                assert bore > inside
                metres[size] += step
            if i % 450 == 0:  # a clamp at the beginning and every 450 mm from it
                clamps["P-clamp" if over >= 8 else "Cable tie"] += 1
        holes += len(
            {
                frozenset((zone_of.get(run["source"]), zone_of.get(run["target"])))
                for run in new
                if zone_of.get(run["source"])
                and zone_of.get(run["target"])
                and zone_of[run["source"]] != zone_of[run["target"]]
            }
        )
    listed: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for line in sheet.materials:
        key = line.item if line.group == "Clamps" else line.size
        listed[line.group][key] += line.needed
    assert dict(listed["Loom"]) == pytest.approx(dict(metres), abs=3 * step)
    assert dict(listed["Clamps"]) == dict(clamps)
    assert sum(listed["Grommets"].values()) == holes


def test_two_to_one_tubes_leave_no_cable_out() -> None:
    # by the table: 0.8 x expanded of each size lies over the recovered bore of the next
    rows = load("heat_shrink_2to1", ("size", "expanded_mm", "recovered_mm"))
    for row in rows:
        # the name is the expanded bore in inches: exact conversion, to the table's hundredth
        whole, _, rest = row["size"].removesuffix(" in").rpartition("-")
        above, _, below = rest.partition("/")
        inches = float(whole or 0) + float(above) / float(below or 1)
        assert float(row["expanded_mm"]) == pytest.approx(inches * 25.4, abs=0.011)
        assert float(row["recovered_mm"]) == pytest.approx(inches * 25.4 / 2, abs=0.011)
    for tenths in range(13, 400):
        assert heat_shrink(tenths / 10, 2) is not None
