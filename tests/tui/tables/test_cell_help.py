"""The help of every cell in one line of a narrow terminal: its limits and its unit are not cut."""

from typing import Any

import pytest
from rich.cells import cell_len

from domain.build.records import TABLES, Build, Header
from domain.build.start import start_build
from domain.units.habit import UnitHabit
from tests.tui.driving import NARROW, WIDE
from tui.grids.cell_help import in_one_line
from tui.tables.columns import Column


def helps(build: Build) -> list[tuple[str, str]]:
    """The help of every field, and the limits that are told in it."""
    found = []
    tables: dict[str, Any] = {**TABLES, "header": Header}
    for table, record in tables.items():
        for field in record.__struct_fields__:
            if field != "id":
                said = Column(table, field, field, 9).described(build)
                found.append((said, next((c for c in said.split("; ") if _limits(c)), "")))
    return found


def _limits(clause: str) -> bool:
    return " and at most " in clause and clause.startswith(("at least ", "more than "))


@pytest.mark.parametrize("units", UnitHabit)
@pytest.mark.parametrize("width", [NARROW[0] - 1, WIDE[0] - 1])
def test_what_matters_of_every_field_is_readable(units: UnitHabit, width: int) -> None:
    limited = 0
    for said, limits in helps(start_build(units=units)):
        line = in_one_line(said, width)
        assert cell_len(line) <= width
        assert line.startswith(said.partition(":")[0] + ":")
        if cell_len(said) <= width:
            assert line == said
        if limits:
            limited += 1
            low, high = limits.split(" and at most ")
            assert high in line, said
            assert low == "more than 0" or low.split(" ", 2)[2] in line, said
        bare = next((each for each in said.split("; ") if each.startswith("bare: ")), "")
        assert bare in line
    assert limited > 100


def test_examples_go_before_the_unit_and_limits_are_said_shortly() -> None:
    said = "X: along the width, from the left; type 0.25 in or 6.4 mm; bare: inches; at least 0"
    assert in_one_line(said + " and at most 5 in", 60) == (
        "X: along the width, from the left; bare: inches; 0 to 5 in"
    )
    assert (
        in_one_line("A: b; bare: A; more than 0 and at most 5 A", 24) == "A: b; bare: A; up to 5 A"
    )
    # what alone says what may be typed stays
    assert in_one_line("Gauge: how thick the wire's copper is; type 1/0, 4 or 35 mm2", 52).endswith(
        "35 mm2"
    )
