"""Materials and money of a build together: one catalogue behind all of it."""

import csv
import io
from decimal import Decimal
from typing import Any

import pytest

from demo_db.load import demo_builds
from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.money.matching import match
from domain.money.shopping import packs_to_buy, shopping
from domain.money.shopping_tables import shopping_csv, shopping_json
from domain.sheet import MaterialLine
from domain.shop.catalogue import CatalogueItem


def item(name: str, **values: Any) -> CatalogueItem:
    return CatalogueItem.of({"name": name, "group": "Terminals", **values})


def line(size: str, quantity: float) -> MaterialLine:
    return MaterialLine("Terminals", "Ferrule", size, quantity, "each", quantity, ())


def test_packs_of_one_item_are_bought_together() -> None:
    # by hand: 3 + 4 + 2 from packs of 4, what is left serves the next: 1, 1 and 1 packs; the
    # price is that of three packs, rounded once: 3 * 1.005 = 3.015 -> 3.02, not 3 * 1.01
    lines = match(
        [line("4 AWG", 3), line("8 AWG", 4), line("10 AWG", 2)],
        [item("Box", item_rule="ferrule", pack=4, price="1.005")],
    )
    (bought,) = packs_to_buy(lines)
    assert (bought.item.name, bought.packs, bought.price) == ("Box", 3, Decimal("3.02"))


def test_items_of_one_name_in_two_catalogues_stay_apart() -> None:
    # by hand: not stored yet (id 0) and told apart by name; one has no price
    lines = match(
        [line("4 AWG", 1), line("8 AWG", 1)],
        [item("Four", size_rule="4 awg", price=2), item("Eight", size_rule="8 awg")],
    )
    assert [(buy.item.name, buy.price) for buy in packs_to_buy(lines)] == [
        ("Four", Decimal("2.00")),
        ("Eight", None),
    ]


@pytest.mark.parametrize("build", [build for _, build in demo_builds()] + [Build()])
def test_an_empty_catalogue_leaves_everything_open(build: Build) -> None:
    # by hand: nothing is served, so nothing is bought and nothing of the materials has a price
    sheet = evaluate(build)
    found = shopping(build, sheet)
    assert [each.line for each in found.lines] == list(sheet.materials)
    assert (found.to_buy, found.price, found.unpriced) == ((), None, 0)
    assert found.unserved == len(sheet.materials)
    assert found.estimate.materials is None
    assert dict(found.spools) == {}


def test_the_cut_list_is_cut_from_the_spools_that_are_bought() -> None:
    # conservation: each spool that a cut list cuts from is one that is bought, or is in stock
    _, build = demo_builds()[0]
    spool = item("Red", group="Wire", item_rule="copper wire, red", pack=7, unit="m", on_shelf=7)
    found = shopping(build, evaluate(build), [spool])
    lengths = [
        each
        for group in found.cuts.groups
        if (group.item, group.size) in found.spools
        for each in group.lengths
    ]
    assert len(lengths) > 1
    assert sum(not each.at_hand for each in lengths) == sum(buy.packs for buy in found.to_buy)
    assert sum(each.at_hand for each in lengths) == 1


def test_tables_take_what_a_screen_has_not_stored() -> None:
    # an item that was never stored, a price of four places: exact in both
    _, build = demo_builds()[1]
    ties = item("Ties", group="Clamps", item_rule="cable tie", price="0.1005")
    found = shopping(build, evaluate(build), [ties])
    assert '"price_of_pack": "0.1005"' in shopping_json(build, found)
    assert "\nto buy,Ties," in shopping_csv(build, found)


@pytest.mark.parametrize(
    # by definition: an inch is 25.4 mm, a foot 12 inches
    ("units", "wire", "wire_m", "sheet", "sheet_m"),
    [("inch", "ft", 0.3048, "in", 0.0254), ("metric", "m", 1.0, "mm", 0.001)],
)
def test_lengths_of_the_file_are_in_the_units_of_their_headings(
    units: str, wire: str, wire_m: float, sheet: str, sheet_m: float
) -> None:
    _, build = demo_builds()[0]
    header = build.header.but(units=UnitHabit(units))
    build = build.but(header=header)
    spool = item("Red", group="Wire", item_rule="copper wire, red", pack=7, unit="m")
    found = shopping(build, evaluate(build), [spool])
    rows = list(csv.reader(io.StringIO(shopping_csv(build, found))))
    cuts = [row[1:] for row in rows if row[0] == "cut list"]
    columns = [cuts[0].index(f"{name} {wire}") for name in ("its length", "cut", "left over")]
    lengths = [each for group in found.cuts.groups for each in group.lengths]
    of_file: list[list[float]] = [[], [], []]
    for row in cuts[1:]:
        for column, values in zip(columns, of_file, strict=True):
            if row[column]:
                values.append(float(row[column]) * wire_m)
    assert lengths
    whole = [each.length_m for each in lengths for _ in each.pieces]
    needed = sum(group.needed_m for group in found.cuts.groups)
    # a figure of the file has six digits
    assert of_file[0] == pytest.approx(whole, rel=1e-5)
    assert sum(of_file[1]) == pytest.approx(needed, rel=1e-5)
    assert of_file[2] == pytest.approx([each.offcut_m for each in lengths], rel=1e-5)
    blanks = [row[1:] for row in rows if row[0] == "sheets to cut"]
    thick, wide = (blanks[0].index(f"{name} {sheet}") for name in ("thickness", "width"))
    assert [(float(row[thick]) * sheet_m, float(row[wide]) * sheet_m) for row in blanks[1:]] == [
        pytest.approx((each.thickness_m, blank.width_m), rel=1e-5)
        for each in found.sheets
        for layout in dict.fromkeys(each.nest.sheets)
        for blank in layout.blanks
    ]
