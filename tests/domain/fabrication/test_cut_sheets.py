"""Sheets of a whole build: one source of counts, whatever is entered; never slow at an edit."""

from itertools import count
from random import Random
from typing import Any

import pytest

from domain.build.choices import Cutting, UnitHabit
from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.fabrication.materials.stock import ROUTER_KERF_M, SAW_KERF_M
from domain.fabrication.nesting import cut_sheets, sheet_layout
from domain.fabrication.nesting.cut_sheets import Layout, cut_lists, kerf
from domain.findings import Level
from domain.materials.bill import with_sheets
from domain.money.shopping import shopping
from domain.topics.cut_sheets import how_cut
from domain.topics.tables import Subject
from domain.units.parse import UnitError


def plates(*sides: tuple[float, float], quantity: int = 1, **header: Any) -> dict[str, Any]:
    """A build of plain plates of ABS [m]."""
    return {
        "header": header,
        "parts": [{"id": f"p{i}", "quantity": quantity} for i in range(1, len(sides) + 1)],
        "panels": [
            {"id": f"n{i}", "part": f"p{i}", "width_m": w, "length_m": h}
            for i, (w, h) in enumerate(sides, 1)
        ],
    }


def made(content: dict[str, Any]) -> Build:
    return Build.of(content)


def random_plates(seed: int, number: int, quantity: int = 1) -> Build:
    chance = Random(seed)
    sides = [(chance.uniform(0.05, 0.5), chance.uniform(0.05, 0.8)) for _ in range(number)]
    return made(plates(*sides, quantity=quantity))


def sheet_lines(build: Build) -> list[Any]:
    return [line for line in evaluate(build).materials if line.group == "Sheet"]


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("cutting", list(Cutting))
def test_the_full_layout_never_buys_more_than_the_quick_one(seed: int, cutting: Cutting) -> None:
    build = random_plates(seed, 6 * (seed + 1))
    header = build.header.but(cutting=cutting)
    build = build.but(header=header)
    sheet = evaluate(build)
    (quick,) = cut_lists(build, sheet.parts, quick=True)
    (full,) = cut_lists(build, sheet.parts)
    assert (quick.layout, full.layout) == (Layout.QUICK, Layout.FULL)
    assert full.nest.bought_m2 <= quick.nest.bought_m2 + 1e-9
    # what cannot be bettered by area is not bettered by looking further
    if quick.nest.least:
        assert [(n.size, n.count) for n in quick.counts] == [(n.size, n.count) for n in full.counts]


def test_the_lines_are_the_sheets_of_the_layout() -> None:
    # one source: counts, sizes and parts of the bill of materials are those that are drawn
    build = random_plates(4, 20)
    sheet = evaluate(build)
    for lists, lines in (
        (cut_lists(build, sheet.parts, quick=True), sheet.materials),
        (cut_lists(build, sheet.parts), shopping(build, sheet).sheet.materials),
    ):
        counted = [(x.size, x.quantity, x.asked_by) for x in lines if x.group == "Sheet"]
        assert counted == [
            (f"1/4 in, {n.size.name}", n.count, n.parts) for each in lists for n in each.counts
        ]
        drawn = [placed.id for each in lists for s in each.nest.sheets for placed in s.blanks]
        assert sorted(drawn) == sorted(part.id for part in sheet.parts)


def test_kerf_is_as_entered_else_the_tool_s() -> None:
    saw = made(plates((0.1, 0.1)))
    assert kerf(saw) == SAW_KERF_M
    assert kerf(made(plates((0.1, 0.1), kerf_m=0.0))) == 0
    router = plates((0.1, 0.1), cutting="router")
    assert kerf(made(router), ["p1"]) == ROUTER_KERF_M
    router["parts"][0]["cutter_m"] = 0.003
    assert kerf(made(router), ["p1"]) == 0.003
    assert kerf(made(router), []) == ROUTER_KERF_M


@pytest.mark.parametrize(("typed", "said"), [("-1 mm", "at least 0"), ("1 m", "at most 1 in")])
def test_a_kerf_that_no_tool_has_is_refused_in_words(typed: str, said: str) -> None:
    from domain.build.fields import parse_field

    with pytest.raises(UnitError, match=said):
        parse_field(Build(), "header", "kerf_m", typed)
    assert parse_field(Build(), "header", "kerf_m", "0") == 0
    assert parse_field(Build(), "header", "kerf_m", "auto") is None


def test_sizes_at_hand_take_the_place_of_those_sold() -> None:
    content = plates((0.2, 0.2), units=UnitHabit.METRIC)
    content["stock"] = [
        {"id": "k1", "material": "abs", "width_m": 0.5, "length_m": 0.7},
        {"id": "k2", "material": "MDF", "width_m": 0.3, "length_m": 0.3},
        {"id": "k3", "thickness_m": 0.001, "width_m": 0.25, "length_m": 0.25},
    ]
    build = made(content)
    (line,) = sheet_lines(build)
    assert line.size.endswith("500 x 700 mm")
    assert line.each_m2 == pytest.approx(0.35)
    content["stock"] = content["stock"][1:]
    (line,) = sheet_lines(made(content))
    assert line.size.endswith("210 x 297 mm")


def test_a_size_smaller_than_every_part_is_a_finding_and_its_line_is_by_area() -> None:
    content = plates((0.3, 0.4), (0.05, 0.05), quantity=2)
    content["stock"] = [{"id": "k1", "width_m": 0.1, "length_m": 0.1}]
    build = made(content)
    found = [f for f in evaluate(build).findings if f.code == "part-larger-than-sheet"]
    assert [(f.level, f.table, f.id) for f in found] == [(Level.STOP, "parts", "p1")]
    assert "larger size" in found[0].do
    counted, by_area = sheet_lines(build)
    assert (counted.quantity, counted.unit, counted.asked_by) == (2, "each", ("p2",))
    # by hand: 2 x 0.3 x 0.4, each side two eighths of an inch larger for the rough cut
    assert by_area.needed == pytest.approx(2 * (0.3 + 0.00635) * (0.4 + 0.00635))
    assert (by_area.unit, by_area.asked_by) == ("m2", ("p1",))
    assert "goes on no sheet" in by_area.note


def test_a_part_larger_than_any_sheet_is_a_stop() -> None:
    build = made(plates((1.3, 2.5)))
    (found,) = (f for f in evaluate(build).findings if f.code == "part-larger-than-sheet")
    assert found.level is Level.STOP
    assert "48 x 96 in" in found.why
    assert found.source.endswith("common practice")


def test_plywood_is_too_large_where_only_its_grain_is_in_the_way() -> None:
    content = plates((1.5, 0.3))
    content["parts"][0].update(material="birch plywood", thickness_m=0.0127)
    # the long side is along the grain, for which a sheet with its grain across is too short
    content["stock"] = [{"id": "k1", "width_m": 2.4, "length_m": 1.2}]
    (found,) = (f for f in evaluate(made(content)).findings if f.code == "part-larger-than-sheet")
    assert "grain" in found.why
    content["parts"][0].update(material="MDF")
    assert not [f for f in evaluate(made(content)).findings if f.code == "part-larger-than-sheet"]


def test_an_unknown_material_has_no_sheets_and_no_finding_of_its_own() -> None:
    content = plates((0.1, 0.1))
    content["parts"][0]["material"] = "cheese"
    build = made(content)
    (line,) = sheet_lines(build)
    assert (line.unit, line.needed) == ("m2", pytest.approx((0.1 + 0.00635) ** 2))
    assert "no sizes known" in line.note
    assert not [f for f in evaluate(build).findings if "sheet" in f.code]


def test_thousands_of_blanks_are_counted_by_area_while_typing() -> None:
    # lower bound: area of the blanks over the area of the largest sheet, rounded up by hand
    build = random_plates(1, 25, quantity=200)
    (line,) = sheet_lines(build)
    more_m = 2 * 0.003175
    parts = evaluate(build).parts
    area = sum((p.flat_width_m + more_m) * (p.flat_length_m + more_m) for p in parts) * 200
    assert line.quantity == -(-area // (1.2192 * 2.4384))
    assert line.note == "at least, by area: too many blanks to lay out as you type"
    more = random_plates(1, 26, quantity=200)
    (found,) = (f for f in evaluate(more).findings if f.code == "sheets-not-laid-out")
    assert (found.level, found.field) == (Level.NOTE, "quantity")
    (each,) = cut_lists(more, evaluate(more).parts)
    assert (each.layout, each.nest.sheets) == (Layout.BY_AREA, ())
    (line,) = sheet_lines(more)
    assert line.note == "at least, by area: too many blanks to lay out"


def test_layouts_are_kept_from_edit_to_edit(monkeypatch: pytest.MonkeyPatch) -> None:
    build = random_plates(2, 12)
    evaluate(build)
    calls = count()
    nest = sheet_layout.nest

    def counted(*args: Any) -> Any:
        next(calls)
        return nest(*args)

    monkeypatch.setattr(cut_sheets, "nest", counted)
    build, _ = apply(build, SetField(table="parts", id="p1", field="name", value="Other"))
    evaluate(build)
    assert next(calls) == 0
    build, _ = apply(build, SetField(table="panels", id="n1", field="width_m", value=0.0777))
    evaluate(build)
    assert next(calls) == 2


def test_stopped_before_the_first_layout_counts_by_area() -> None:
    build = random_plates(3, 30, quantity=3)
    sheet = evaluate(build)
    (each,) = cut_lists(build, sheet.parts, cancelled=lambda: True)
    assert each.layout is Layout.BY_AREA
    assert each.counts[0].count >= 1
    # nothing of it is kept for the next who asks
    (whole,) = cut_lists(build, sheet.parts)
    assert whole.layout is Layout.FULL


def test_relined_materials_are_the_same_but_for_sheet() -> None:
    build = random_plates(5, 15)
    sheet = evaluate(build)
    full = with_sheets(build, sheet, cut_lists(build, sheet.parts))

    def rest(of: Any) -> list[Any]:
        return [line for line in of.materials if line.group != "Sheet"]

    assert rest(full) == rest(sheet)
    assert [f.code for f in full.findings] == [f.code for f in sheet.findings]


@pytest.mark.parametrize(("cutting", "told"), [(Cutting.SAW, True), (Cutting.ROUTER, False)])
def test_a_blank_for_the_saw_is_larger_and_that_is_said(cutting: Cutting, told: bool) -> None:
    # common practice: sawn outside the line and planed to it; a router cuts on the line
    build = made(plates((0.2, 0.3), cutting=cutting))
    sheet = evaluate(build)
    (each,) = cut_lists(build, sheet.parts)
    said = how_cut(Subject(build, sheet), each)
    assert any("for the rough cut" in phrase for phrase in said) is told
