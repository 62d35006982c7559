"""Cells that no spreadsheet runs, whatever it splits lines at; numbers that mean one thing."""

import csv
import io
import re
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from domain.csv_cells import (
    CsvRefused,
    amount,
    cell_text,
    defused,
    number,
    rows_under,
    undone,
    written,
)
from domain.shop.times import read_times

RUNS = re.compile(r"[=+\-@]")
ODD = st.text(alphabet="ab;=+-@'\t|\n 2,.\"", max_size=12)


@given(ODD)
@example("b;=2+2")
@example("'b;'=2+2")
@example("-1.5")
def test_any_text_comes_back(text: str) -> None:
    assert undone(defused(text)) == text


@given(ODD)
@example("b;=2+2")
@example("x|+1\t@y")
def test_no_program_finds_a_formula_at_any_separator(text: str) -> None:
    # second method: the file is split as a program would that takes another separator and knows
    # no quotes inside a cell; a formula begins with = + - or @ (spreadsheets' own manuals)
    line = written([["part", cell_text(text), "end"]])
    plain = re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", text)
    for separator in ";\t|":
        for row in csv.reader(io.StringIO(line), delimiter=separator, quoting=csv.QUOTE_NONE):
            for cell in row[1:] if not plain else ():
                assert not RUNS.match(cell.lstrip()), (separator, row)


def test_a_supplier_after_a_semicolon_is_no_formula() -> None:
    assert defused("b;=2+2") == "b;'=2+2"
    assert defused("=2+2") == "'=2+2"
    assert defused("M5; 20 mm") == "M5; 20 mm"
    assert defused("-2.5") == "-2.5"


def test_a_point_before_three_digits_where_commas_are_for_decimals() -> None:
    # 1.250 is one and a quarter in one country and twelve hundred and fifty in the next
    assert number("1.250") == Decimal("1.250")
    with pytest.raises(ValueError, match="1,25 or 1250"):
        number("1.250", semicolons=True)
    with pytest.raises(ValueError, match=r"1\.250 or 1250"):
        number("1,250")
    assert number("1,25", semicolons=True) == number("1.25", semicolons=True) == Decimal("1.25")
    ((_, row),) = rows_under("name;value\nx;1.250\n", ("name", "value"))
    with pytest.raises(ValueError, match="may be"):
        row.number("value")
    ((_, row),) = rows_under("name,value\nx,1.250\n", ("name", "value"))
    assert row.number("value") == Decimal("1.25")


def test_the_shop_refuses_such_a_file_by_line() -> None:
    with pytest.raises(CsvRefused, match=r"line 2: value: 1\.250 may be"):
        read_times("name;title;value;unit\nsetting_up_h;x;1.250;h\n")


@pytest.mark.parametrize(
    ("typed", "plainly"),
    [("$39.95", "39.95"), ("39,95 €", "39,95"), ("$ 95/h", "95"), ("95 / Hour", "95"), ("7", "7")],
)
def test_an_amount_of_money_as_people_write_it(typed: str, plainly: str) -> None:
    assert amount(typed) == plainly


def test_what_is_no_amount_stays_as_it_is() -> None:
    assert amount("abc") == "abc"
    with pytest.raises(ValueError, match="no number"):
        number(amount("$"))
