"""Sheets of whole builds against a geometry library, arithmetic and bounds of their own."""

import json
from collections import Counter, defaultdict
from itertools import combinations
from math import ceil
from random import Random
from typing import Any

import pytest
import shapely

from domain.build.records import Build
from domain.evaluate import evaluate
from domain.fabrication.nesting.cut_sheets import SheetCutList, cut_lists
from domain.money.shopping import shopping
from domain.reference.csv_tables import load
from storage.transfer import export_build

geometry: Any = shapely
"""The library has no types of its own."""

MATERIALS = [("ABS", 0.00635), ("birch plywood", 0.0127), ("MDF", 0.01905), ("acrylic", 0.003)]


def plates(seed: int, number: int, **header: Any) -> Build:
    """Plain plates of several materials."""
    chance = Random(seed)
    parts, panels = [], []
    for i in range(1, number + 1):
        name, thick = MATERIALS[chance.randrange(len(MATERIALS))]
        many = chance.choice((1, 1, 2, 5))
        parts.append({"id": f"p{i}", "material": name, "thickness_m": thick, "quantity": many})
        sides = {
            "width_m": round(chance.uniform(0.04, 0.5), 4),
            "length_m": round(chance.uniform(0.04, 0.9), 4),
        }
        panels.append({"id": f"n{i}", "part": f"p{i}", **sides})
    return Build.of({"header": header, "parts": parts, "panels": panels})


HEADERS = [
    {"units": "inch"},
    {"units": "metric", "kerf_m": 0.0},
    {"units": "metric", "cutting": "router"},
    {"units": "inch", "cutting": "router", "kerf_m": 0.0254},
]


@pytest.mark.parametrize("header", HEADERS, ids=str)
@pytest.mark.parametrize("quick", [True, False])
def test_blanks_lie_apart_inside_their_sheets(header: dict[str, Any], quick: bool) -> None:
    # a geometry library's word: inside the sheet, never overlapping, a kerf apart
    build = plates(11, 24, **header)
    for each in cut_lists(build, evaluate(build).parts, quick=quick):
        for sheet in set(each.nest.sheets):
            whole = geometry.box(0, 0, sheet.size.width_m, sheet.size.length_m).buffer(1e-6)
            shapes = [
                geometry.box(b.x_m, b.y_m, b.x_m + b.width_m, b.y_m + b.length_m)
                for b in sheet.blanks
            ]
            assert all(whole.contains(shape) for shape in shapes)
            together = geometry.unary_union(shapes)
            assert together.area == pytest.approx(sum(s.area for s in shapes), abs=1e-6)
            for a, b in combinations(shapes, 2):
                assert a.distance(b) >= each.nest.kerf_m - 2e-6


@pytest.mark.parametrize("header", HEADERS, ids=str)
def test_the_sheets_recomputed_from_the_exported_file(header: dict[str, Any]) -> None:
    # second method: the file is read as JSON; a plate's blank is its panel. Every blank is cut as
    # often as it was asked for, and no size is bought that the table does not have
    build = plates(5, 30, **header)
    read = json.loads(export_build(build))
    panels = {panel["part"]: panel for panel in read["panels"]}
    sizes = {
        row["name"]
        for row in load("sheet_sizes", ("stock", "system", "name", "width_mm", "length_mm"))
        if row["system"] == read["header"]["units"]
    }
    sheet = evaluate(build)
    lists = cut_lists(build, sheet.parts)
    cut = Counter(b.id for each in lists for s in each.nest.sheets for b in s.blanks)
    assert cut == {part["id"]: part["quantity"] for part in read["parts"]}
    for each in lists:
        for placed in (b for s in each.nest.sheets for b in s.blanks):
            panel = panels[placed.id]
            sides = (placed.width_m, placed.length_m)
            # common practice: an eighth of an inch all round where a saw cuts the blank out
            more = 0.0 if header.get("cutting") == "router" else 2 * 0.003175
            wanted = (panel["width_m"] + more, panel["length_m"] + more)
            if each.material == "birch plywood":
                # its longer side lies along the grain, which runs along the sheet
                wanted = (min(wanted), max(wanted))
            assert sides == pytest.approx(wanted[::-1] if placed.turned else wanted)
            assert not (placed.turned and each.material == "birch plywood")
        assert {s.size.name for s in each.nest.sheets} <= sizes
    bought = {
        (line.item, line.size): line
        for line in shopping(build, sheet).sheet.materials
        if line.group == "Sheet"
    }
    areas: defaultdict[str, float] = defaultdict(float)
    for line in bought.values():
        assert line.each_m2 is not None
        areas[line.item.removesuffix(" sheet")] += line.quantity * line.each_m2
    needed: defaultdict[str, float] = defaultdict(float)
    for part in read["parts"]:
        panel = panels[part["id"]]
        needed[part["material"]] += panel["width_m"] * panel["length_m"] * part["quantity"]
    # lower bound: area. Upper: what is bought is at most two and a half times what is cut, or one
    # sheet of the smallest size that takes the largest blank
    for name, area in needed.items():
        assert areas[name] >= area - 1e-9
        least = next(each for each in lists if each.material == name)
        assert areas[name] <= max(2.5 * area, _one_for_all(least))


def _one_for_all(each: SheetCutList) -> float:
    """Area of a sheet that takes each of the blanks, one at a time."""
    return max(
        min(
            size.area_m2
            for size in each.sizes
            if _goes(blank.width_m, blank.length_m, size)
            or (not blank.grain and _goes(blank.length_m, blank.width_m, size))
        )
        for blank in each.blanks
    )


def _goes(width: float, length: float, size: Any) -> bool:
    return bool(width <= size.width_m + 1e-6 and length <= size.length_m + 1e-6)


def test_least_area_against_every_combination() -> None:
    # second method: all combinations of up to six sheets, by brute force
    build = plates(2, 6)
    for each in cut_lists(build, evaluate(build).parts, quick=True):
        if not each.nest.least:
            continue
        area = sum(blank.width_m * blank.length_m * blank.quantity for blank in each.blanks)
        sides = [size.area_m2 for size in each.sizes]
        sums = {0.0}
        for _ in range(6):
            sums |= {total + side for total in sums for side in sides}
        least = max(min(s for s in sums if s >= area - 1e-9), _one_for_all(each))
        assert each.nest.bought_m2 == pytest.approx(least)
        assert len(each.nest.sheets) >= ceil(area / max(sides) - 1e-9)
