"""The shop's catalogue: rules, packs, the shelf, and its CSV file. Expected values by hand."""

import csv
import io
import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from demo_db.load import demo_builds
from domain.build.record_kinds.extra_records import PackUnit
from domain.cable.cut_list import cut_list, piece_lengths
from domain.csv_cells import CsvRefused, defused, number, undone
from domain.document.declared import BadEntry
from domain.evaluate import evaluate
from domain.materials.takeoff import GROUPS
from domain.money.matching import (
    MatchedLine,
    match,
    rule_fits,
    shelf_use,
    spools,
    unit_price,
)
from domain.sheet import MaterialLine
from domain.shop.catalogue import (
    COLUMNS,
    CatalogueItem,
    catalogue_csv,
    read_catalogue,
)

HEADER = ",".join(COLUMNS)


def line(item: str, size: str = "", quantity: float = 1, unit: str = "each", **values: Any) -> Any:
    plain = {"group": "Terminals", "needed": quantity, "asked_by": ("r1",)}
    given_values = {**plain, "item": item, "size": size, "quantity": quantity, "unit": unit}
    return MaterialLine(**{**given_values, **values})


def item(name: str, **values: Any) -> CatalogueItem:
    return CatalogueItem.of({"name": name, "group": "Terminals", **values})


def only(lines: list[MaterialLine], *items: CatalogueItem) -> MatchedLine:
    (found,) = match(lines, items)
    return found


@pytest.mark.parametrize(
    ("rule", "text", "fits"),
    [
        ("", "anything", True),
        ("Ring terminal", "ring TERMINAL", True),
        ("ring", "Ring terminal", True),
        ("terminal", "Ring terminal", False),
        ("*, terminal", "Ring terminal", True),
        ("4 awg", "4 AWG, stud M8", True),
        ("4 awg", "14 AWG, stud M8", False),
        ("4 awg, m8", "4 AWG, stud M8", True),
        ("4 awg, m6", "4 AWG, stud M8", False),
        ("copper wire, red", "Copper wire 105 C, red", True),
        ("copper wire, red", "Tinned copper wire 105 C, red", False),
        ("copper wire, not red", "Copper wire 105 C, red", False),
        ("1 in", "1-1/4 in", False),
        (" , ,", "x", True),
        ("4 awg", "", False),
    ],
)
def test_rules_go_by_whole_words(rule: str, text: str, fits: bool) -> None:
    assert rule_fits(rule, text) is fits


def test_packs_after_the_shelf_is_taken_off() -> None:
    # by hand: 23 wanted, 5 in stock: 18 more are two packs of ten, 2 x 7.25
    ferrules = item("F", item_rule="ferrule", pack=10, price="7.25", on_shelf=5)
    found = only([line("Ferrule", "4 AWG", 23)], ferrules)
    assert found.item == ferrules
    assert found.why == 'item "ferrule"'
    assert (found.from_shelf, found.buys[0].packs, found.price) == (5, 2, Decimal("14.50"))
    # the build takes 23 of them at 0.725, not rounded yet
    assert found.worth == Decimal("16.675")
    assert shelf_use([found]) == {"": 5}


def test_a_whole_pack_is_worth_its_price() -> None:
    # arithmetic: 7 ft (0.3048 m each, by definition) of a pack of 7 ft at 2.345
    wire = item("W", group="Wire", unit="ft", pack=7, price="2.345")
    found = only([line("Copper wire", "4 AWG", 7 * 0.3048, "m", group="Wire")], wire)
    assert found.worth == Decimal("2.345")


def test_what_is_left_of_a_pack_serves_the_next_line() -> None:
    # by hand: 6 + 3 come out of one pack of ten, and the third line needs one more
    lines = [line("Ferrule", "4 AWG", 6), line("Ferrule", "8 AWG", 3), line("Ferrule", "2 AWG", 2)]
    found = match(lines, [item("F", pack=10, price=1)])
    assert [sum(buy.packs for buy in each.buys) for each in found] == [1, 0, 1]
    assert [each.price for each in found] == [Decimal("1.00"), Decimal("0.00"), Decimal("1.00")]
    assert shelf_use(found) == {}


def test_the_longest_rules_win_and_then_the_cheapest() -> None:
    wanted = [line("Ring terminal", "4 AWG, stud M8", 1)]
    loose = item("any ring", item_rule="ring", price="0.01")
    dear = item("a dear one", item_rule="ring terminal", size_rule="4 awg", pack=10, price="30")
    cheap = item("cheap", item_rule="ring terminal", size_rule="4 awg", pack=2, price="5")
    unpriced = item("none", item_rule="ring terminal", size_rule="4 awg")
    for order in ([loose, dear, cheap, unpriced], [unpriced, cheap, dear, loose]):
        found = only(wanted, *order)
        assert found.item == cheap
        assert found.why == 'item "ring terminal" and size "4 awg"; cheapest of 3'


def test_lines_without_an_item_say_why() -> None:
    found = only([line("Ferrule")], item("R", item_rule="ring", price=1))
    assert (found.item, found.buys, found.price, found.worth) == (None, (), None, None)
    assert "no item" in found.why
    assert "not counted in each" in only([line("Ferrule")], item("F", unit="m")).why
    assert only([line("Ferrule")], item("F", group="Fuses")).item is None


def test_wire_by_the_foot_and_by_the_spool() -> None:
    wire = {"group": "Wire", "needed": 5.7}
    wanted = line("Copper wire 105 C, red", "4 AWG", 5.7912, "m", **wire)
    # exact: 5.7 m is 18.7 ft, so 19 packs of a foot
    by_foot = only([wanted], item("ft", group="Wire", unit="ft", price="2.5"))
    assert (by_foot.buys[0].packs, by_foot.price) == (19, Decimal("47.50"))
    # by hand: 3 pieces of 1.9 m are 5.7 m, yet three spools of 3 m, for two hold one each
    spool = item("3 m", group="Wire", unit="m", pack=3, price="6")
    pieces = {("Copper wire 105 C, red", "4 AWG"): (1.9, 1.9, 1.9)}
    (found,) = match([wanted], [spool], pieces)
    assert (found.buys[0].packs, found.price) == (3, Decimal("18.00"))
    # a spool and a bit on the shelf hold two of them; the spool at hand is not paid for
    (found,) = match([wanted], [spool.but(on_shelf=5.0)], pieces)
    assert found.from_shelf == pytest.approx(3.8)
    assert found.buys[0].packs == 1
    long = {("Copper wire 105 C, red", "4 AWG"): (3.5, 1.9)}
    (found,) = match([wanted], [spool], long)
    assert (found.too_long_m, found.price) == (3.5, None)


def test_two_spool_lengths_are_bought_as_they_cost_least() -> None:
    # by hand: 2 + 3 m out of one 5 m at 9 (not 2 x 3 m at 6); 2 m out of one 3 m
    wanted = line("Copper wire 105 C, red", "4 AWG", 5, "m", group="Wire")
    small = item("3 m", group="Wire", unit="m", pack=3, price="6")
    large = item("5 m", group="Wire", unit="m", pack=5, price="9")
    pieces = {("Copper wire 105 C, red", "4 AWG"): (2.0, 3.0)}
    (found,) = match([wanted], [small, large], pieces)
    assert [(buy.item.name, buy.packs) for buy in found.buys] == [("5 m", 1)]


@pytest.mark.parametrize(("name", "build"), demo_builds(), ids=[n for n, _ in demo_builds()])
def test_the_cut_list_buys_the_spools_that_the_match_buys(name: str, build: Any) -> None:
    # conservation: two views of one cutting
    sheet = evaluate(build)
    shop = [
        item("20 m", group="Wire", unit="m", pack=20, price=60, on_shelf=33),
        item("6 m", group="Wire", unit="m", pack=6, price=20),
        item("ties", group="Clamps", pack=100),
    ]
    pieces = piece_lengths(build, sheet)
    found = match(sheet.materials, shop, pieces)
    assert [each.line for each in found] == list(sheet.materials)
    assert found == match(sheet.materials, shop, pieces)
    cuts = cut_list(build, sheet, spools(sheet.materials, shop, pieces))
    bought = {
        (each.line.item, each.line.size): sum(buy.packs * buy.item.pack for buy in each.buys)
        for each in found
        if each.line.group == "Wire"
    }
    assert {(group.item, group.size): group.bought_m for group in cuts.groups} == pytest.approx(
        bought
    )
    assert all(each.buys or each.from_shelf or not each.item for each in found)


def test_price_of_a_unit_is_exact() -> None:
    # exact: a 100 ft spool at 30.48 is 1.00 a metre
    assert unit_price(item("x", unit="ft", pack=100, price="30.48")) == Decimal(1)
    assert unit_price(item("x")) is None


texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=30)
prices = st.none() | st.decimals(0, 99999, places=4)
catalogue_items = st.builds(
    lambda **values: CatalogueItem.of(values),
    name=texts.filter(lambda text: bool(text.strip())),
    group=st.sampled_from(GROUPS),
    item_rule=texts,
    size_rule=texts,
    pack=st.integers(1, 1000) | st.just(1),
    unit=st.sampled_from(PackUnit),
    price=prices,
    on_shelf=st.floats(0, 1e6),
    supplier=texts,
)


@settings(max_examples=80, deadline=None)
@given(st.lists(catalogue_items, max_size=5, unique_by=lambda each: each.name))
def test_export_and_import_give_the_same_and_no_cell_is_run(items: list[CatalogueItem]) -> None:
    # conservation; and every cell read by the csv module begins with nothing that is run
    text = catalogue_csv(tuple(items))
    assert read_catalogue(text) == tuple(items)
    for row in csv.reader(io.StringIO(text)):
        for cell in row:
            negative = re.fullmatch(r"-[0-9]+(\.[0-9]+)?", cell)  # a number runs nothing
            assert negative or not re.match(r"\s*[=+\-@＝＋－＠]", cell)


@given(st.text("'=+-@ a1", max_size=6))
def test_defused_is_undone(text: str) -> None:
    # conservation, apostrophes before a sign too
    assert undone(defused(text)) == text


def test_files_as_spreadsheets_of_other_countries_write_them() -> None:
    # decimal comma, semicolons, byte order mark, capitals, CRLF, empty lines
    text = "\ufeff" + HEADER.replace(",", ";").upper() + "\r\n\r\n"
    text += "Ferrule box;terminals;ferrule;4 awg;2,5;M;12,50;,5;=A1\r\n;;;;;;;;\r\n"
    text = text.replace(";=A1", ";'=A1")
    (found,) = read_catalogue(text)
    assert (found.group, found.pack, found.price, found.on_shelf) == (
        "Terminals",
        2.5,
        Decimal("12.50"),
        0.5,
    )
    assert (found.supplier, found.unit) == ("=A1", PackUnit.METRE)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("X,Paint,,,1,each,1,0,", "line 2: group: must be one of Wire"),
        (",Wire,,,1,m,1,0,", "line 2: name"),
        ("X,Wire,,,zero,m,1,0,", "line 2: pack: 'zero' is no number"),
        ("X,Wire,,,0,m,1,0,", "line 2: pack"),
        ("X,Wire,,,1,yard,1,0,", "line 2: unit"),
        ("X,Wire,,,1,m,-1,0,", "line 2: price: '-1' is no number"),
        ('X,Wire,,,1,m,"1,234",0,', r"line 2: price: 1,234 may be 1\.234 or 1234"),
        ("X,Wire,,,1,m,1e400,0,", "line 2: price"),
        ("X,Wire,,,1,m,NaN,0,", "line 2: price"),
        ("X,Wire,,,1,m,99999999999,0,", "line 2: price"),
        ("X,Terminals,,,1.5,each,1,0,", "line 2: a pack of things that are counted"),
        ("X,Wire,,,1,m,1,0", "line 2: 8 cells under 9 columns"),
        ("X,Wire,,,1,m,1,0,\nX,Wire,,,1,m,1,0,", "line 3: the name 'X' stands in line 2"),
        ('X,"Wire', "line 2: unexpected end"),
    ],
)
def test_bad_rows_are_named_with_their_line(row: str, says: str) -> None:
    with pytest.raises(CsvRefused, match=says) as refusal:
        read_catalogue(f"{HEADER}\n{row}\n")
    assert "nothing was taken" in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "the file is empty"),
        ("name,group\n", "no column 'item rule'"),
        (f"{HEADER},brand\n", "unknown column 'brand'"),
        (f"{HEADER},name\n", "a column twice"),
    ],
)
def test_a_wrong_header_is_refused(text: str, says: str) -> None:
    with pytest.raises(CsvRefused, match=says):
        read_catalogue(text)


def test_every_bad_line_is_told_at_once() -> None:
    rows = "\n".join("X,Paint,,,1,each,1,0," for _ in range(12))
    with pytest.raises(CsvRefused, match=r"line 2: .*line 11: .*and 2 more"):
        read_catalogue(f"{HEADER}\n{rows}\n")


@pytest.mark.parametrize("text", ["", "1.2.3", "1 2", "٣", "+1", "0x1", "1_000"])
def test_what_is_no_number(text: str) -> None:
    with pytest.raises(ValueError, match="is no number"):
        number(text)


def test_items_hold_text_and_limits() -> None:
    assert item("\x1b[31m[/red]").name == "␛[31m[/red]"
    for values in ({"price": "1.23456"}, {"on_shelf": -1}, {"pack": float("inf")}, {"extra": 1}):
        with pytest.raises(BadEntry):
            item("x", **values)


def sheets(quantity: float, size: str = "1/4 in, 24 x 48 in", each_m2: float = 0.74322432) -> Any:
    return line("ABS sheet", size, quantity, group="Sheet", each_m2=each_m2)


def abs_item(name: str, **values: Any) -> CatalogueItem:
    return item(name, group="Sheet", item_rule="ABS sheet", **values)


def test_sheets_are_counted_where_an_item_is_a_sheet() -> None:
    # by hand: three sheets, one on the shelf, the others from packs of two: one pack
    whole = abs_item("Whole", size_rule="1/4 in, 24 x 48 in", pack=2, price=50, on_shelf=1)
    found = only([sheets(3)], whole, abs_item("By area", unit="sq ft", price=1))
    assert (found.item, found.from_shelf) == (whole, 1)
    assert [(buy.packs, buy.price) for buy in found.buys] == [(1, Decimal("50.00"))]
    assert found.worth == Decimal(75)
    # another size is another item: the rule does not fit
    assert only([sheets(3, "1/4 in, 24 x 24 in")], whole).item is None


def test_sheets_from_items_that_are_sold_by_area() -> None:
    # by hand: 24 x 48 in are 8 sq ft; three sheets 24, of which 20 on the shelf are two sheets:
    # 8 more are two packs of 5; worth is that of 24 sq ft at 3 each
    by_area = abs_item("By area", unit="sq ft", pack=5, price=15, on_shelf=20)
    found = only([sheets(3)], by_area)
    assert (found.item, found.wanted, found.from_shelf) == (by_area, 3, 2)
    assert [(buy.packs, buy.price) for buy in found.buys] == [(2, Decimal("30.00"))]
    assert float(found.worth or 0) == pytest.approx(72)
    assert shelf_use([found])[by_area.id] == pytest.approx(16)
    # 4 + 2 sq ft are left: no sheet, but a piece by area may come from them
    rest = line("ABS sheet", "1/4 in", 0.1, "m2", group="Sheet")
    _, after = match([sheets(3), rest], [by_area])
    assert after.from_shelf == pytest.approx(0.1)
    assert after.buys == ()


def test_an_item_by_the_sheet_does_not_serve_a_piece_by_area() -> None:
    piece = line("ABS sheet", "1/4 in", 0.5, "m2", group="Sheet")
    found = only([piece], abs_item("Whole"))
    assert found.item is None
    assert "not counted in m2" in found.why
