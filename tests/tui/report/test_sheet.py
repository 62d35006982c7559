"""The printed sheet: what stands in it, how wide it is, and names that mean mischief."""

import csv
import dataclasses
import io
import json
import re

import jsonschema
import msgspec
import pytest
from msgspec.structs import replace
from rich.cells import cell_len

from domain.build.records import Build
from domain.csv_cells import cell_text
from domain.findings import Finding, Level
from domain.full_results import FullResults, Readings
from domain.sheet import (
    AmplifierLoad,
    GroundResult,
    HoleResult,
    MaterialLine,
    NetworkState,
    PartResult,
    RunResult,
    Sheet,
    Supply,
)
from tui.report.plain import WIDTH, Column, table, wrap
from tui.report.sheet import csv_tables, finding_lines, json_text, text
from tui.widgets.cell_text import cut

ODD_NAMES = [
    "[/red]",
    "=1+1",
    "\x1b[31mred",
    "x" * 500,
    "🎉" * 60,
    "@SUM(A1)",
    "-2+3",
    "+1",
    "a\tb\rc",
]


def make_build(name: str, units: str = "inch") -> Build:
    """A battery, an amplifier and a ground point, all with the same name."""
    return Build.of(
        {
            "header": {
                "title": name,
                "customer": name,
                "vehicle": name,
                "notes": name,
                "units": units,
            },
            "batteries": [{"id": "b1", "name": name}],
            "amplifiers": [{"id": "a1", "name": name}],
            "grounds": [{"id": "e1", "name": name, "surface": "painted"}],
            "runs": [{"id": "r1", "name": name, "source": "b1", "target": "a1"}],
            "parts": [{"id": "p1", "name": name}],
        }
    )


def make_sheet(build: Build) -> Sheet:
    """A sheet with a figure in every place; the figures are round so that they can be found."""
    name = build.amplifiers[0].name
    return Sheet(
        title=name,
        amplifiers=(
            AmplifierLoad(
                id="a1",
                name=name,
                rated_w=500,
                efficiency=0.8,
                design_a=49.5,
                programme_a=6.2,
                idle_a=1,
                feed="b1",
                drop_v=0.31,
                drop_feed_v=0.21,
                drop_return_v=0.1,
                ground_offset_v=0.11,
                feed_runs=("r1",),
                return_runs=(),
            ),
        ),
        appliances=(),
        runs=(
            RunResult(
                id="r1",
                name=name,
                polarity="positive",
                source="b1",
                target="a1",
                depth=0,
                feeds=("a1",),
                length_m=4.572,
                length_auto=False,
                wire_m=4.8768,
                gauge="AWG 4",
                gauge_auto=False,
                gauge_why="pinned",
                area_mm2=21.15,
                metal="copper",
                resistance_ohm=0.0041,
                ampacity_a=137,
                ambient_c=50,
                temperature_c=55,
                design_a=49.5,
                programme_a=6.2,
                drop_v=-0.21,
                heat_w=10.4,
                fuse_a=60,
                fuse_auto=True,
                fuse_family="blade E (large)",
                fuse_least_a=50,
                fuse_distance_m=0.3048,
                protected_a=60,
                unprotected_m=0.3048,
                conductor_kg=0.9,
                existing=False,
            ),
        ),
        designs=(),
        studies=(),
        segments=(),
        states=(
            NetworkState(
                id="off-tone",
                title="Engine off, full power",
                converged=True,
                collapsed=True,
                blame="r1",
                node_v={"b1": 12.4},
                current_a={"r1": 49.5},
                amplifier_v={"a1": 11.9},
                amplifier_a={"a1": 49.5},
                battery_a={"b1": 49.5},
                battery_v={"b1": 12.4},
                alternator_a={},
                source_w=620,
                load_w=600,
                heat_w=20,
                power_error=0,
                off=("a1",),
            ),
        ),
        spots=(),
        blocks=(),
        grounds=(
            GroundResult(
                id="e1",
                name=name,
                amplifiers=("a1",),
                wires=1,
                resistance_ohm=0.002,
                resistance_auto=True,
                design_a=49.5,
                rise_v=0.1,
            ),
        ),
        supply=Supply(
            capacity_ah=70,
            vehicle_a=35,
            programme_a=6.2,
            design_a=49.5,
            cruise_a=120,
            idle_a=40,
            cruise_balance_a=78.8,
            idle_balance_a=-1.2,
            minutes_to_half_idle=1750,
            minutes_to_half_cruise=None,
            play_minutes=90,
            sag_v=0.3,
        ),
        parts=(
            PartResult(
                id="p1",
                name=name,
                shape="plate",
                material="ABS",
                thickness_m=0.00635,
                flat_length_m=0.1524,
                flat_width_m=0.2032,
                area_m2=0.03097,
                mass_kg=0.2,
                bends=0,
                bend_allowance_m=0,
                holes=(HoleResult(id="h1", x_m=0.0254, y_m=0.0508, diameter_m=0.0055, drill=name),),
                quantity=2,
            ),
        ),
        looms=(),
        materials=(
            MaterialLine(
                group="Wire",
                item=name,
                size="AWG 4",
                quantity=6.096,
                unit="m",
                needed=4.8768,
                asked_by=("r1",),
                note=name,
            ),
            MaterialLine(
                group="Fuses",
                item="fuse",
                size="60 A",
                quantity=2,
                unit="each",
                needed=1,
                asked_by=("r1",),
            ),
        ),
        findings=(
            Finding(
                level=Level.STOP,
                code="fuse-over-wire",
                what=f"the fuse of {name} is too large",
                why="200 A on a wire that holds 80 A",
                do="take 80 A",
                source="common practice",
                table="runs",
                id="r1",
                field="fuse_a",
            ),
        ),
        cautions=(f"mind {name}",),
    )


def make_results(sheet: Sheet) -> FullResults:
    """The sheet without a drive profile and without readings."""
    return FullResults(sheet, None, Readings((), (), (), ""))


def test_every_figure_is_shown_in_inches_and_feet() -> None:
    """Exact conversions (second method): 4.572 m = 15 ft, 6.096 m = 20 ft, 55 C = 131 F."""
    build = make_build("Bass")
    shown = text(build, make_results(make_sheet(build)))
    for figure in (
        "500 W",
        "80%",
        "49.5 A",
        "6.2 A",
        "0.31 V",
        "15 ft",
        "4 AWG*",
        "137 A",
        "60 A",
        "131 F",
        "blade large (E)",
        "12 in",
        "painted",
        "2 mohm?",
        "20 ft",
        "6 in x 8 in",
        "1 in, 2 in",
        "half charge after 29 h 10 min",
        "1 h 30 min",
        "Findings    1 stop, 0 fix, 0 note",
        "STOP ",
        "200 A on a wire that holds 80 A",
        "take 80 A",
        "common practice",
        "mind Bass",
        "most is lost at Bass",
    ):
        assert figure in shown, figure
    assert re.search(r"^  fuse +60 A +2$", shown, re.MULTILINE)


def test_metric_habit_shows_metres_and_celsius() -> None:
    """The same sheet in the build's other habit."""
    build = make_build("Bass", "metric")
    shown = text(build, make_results(make_sheet(build)))
    assert "4.57 m" in shown
    assert "55 C" in shown
    assert " ft" not in shown
    assert "131 F" not in shown


@pytest.mark.parametrize("name", ODD_NAMES)
def test_odd_names_stay_text_within_the_page(name: str) -> None:
    """No line is wider than the page, and nothing reaches the terminal but printable text."""
    build = make_build(name)
    shown = text(build, make_results(make_sheet(build)))
    lines = shown.split("\n")
    assert max(cell_len(line) for line in lines) <= WIDTH
    assert "".join(lines).isprintable()
    kept = build.header.title[:20]
    assert kept in shown
    # Wrapped, never lost: the whole title stands in the heading.
    heading = "".join(lines[: lines.index("=" * WIDTH)]).replace(" ", "")
    assert heading == build.header.title.replace(" ", "")


def test_an_empty_build_says_none_in_every_section() -> None:
    """Nothing entered, nothing computed: sections stay, so that a script can find them."""
    full = make_sheet(make_build("x"))
    bare = dataclasses.replace(
        full,
        amplifiers=(),
        runs=(),
        designs=(),
        studies=(),
        segments=(),
        states=(),
        spots=(),
        grounds=(),
        parts=(),
        looms=(),
        materials=(),
        findings=(),
        cautions=(),
    )
    shown = text(Build(), make_results(bare))
    assert shown.count("\nnone\n") == 15
    assert "SUPPLY" in shown


def test_a_finding_names_where_why_and_what_to_do() -> None:
    """Order as a person reads it: what, where, why, what to do, by what rule."""
    build = make_build("Bass")
    lines = finding_lines(build, make_sheet(build).findings[0])
    assert lines[0] == "STOP the fuse of Bass is too large [fuse-over-wire]"
    assert [line.split()[0] for line in lines[1:]] == ["where", "why", "do", "source"]


@pytest.mark.parametrize("name", ODD_NAMES)
def test_csv_comes_back_and_nothing_in_it_runs(name: str) -> None:
    """Read by the csv module: names whole, sections named, no cell a spreadsheet would run."""
    build = make_build(name)
    rows = list(csv.reader(io.StringIO(csv_tables(build, make_sheet(build)))))
    runs = [row for row in rows if row[0] == "run schedule"]
    materials = [row for row in rows if row[0] == "bill of materials"]
    assert len(runs) == 2
    assert len(materials) == 3
    assert len(runs) + len(materials) == len(rows)
    run = dict(zip(*runs, strict=True))
    assert run["run"].removeprefix("'") == build.runs[0].name
    assert not [
        cell
        for row in rows
        for cell in row
        if cell[:1] in ("=", "+", "-", "@", "\t", "\r") and not is_number(cell)
    ]


def is_number(cell: str) -> bool:
    """Whether a spreadsheet reads this cell as a number."""
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_csv_figures_are_numbers_in_the_unit_of_their_heading() -> None:
    """Exact conversions (second method): 15 ft, 131 F; a negative drop stays a number."""
    build = make_build("Bass")
    rows = list(csv.reader(io.StringIO(csv_tables(build, make_sheet(build)))))
    run = dict(zip(rows[0], rows[1], strict=True))
    assert float(run["length ft"]) == pytest.approx(15, abs=1e-9)
    assert float(run["temperature F"]) == pytest.approx(131, abs=1e-9)
    assert run["drop V"] == "-0.21"
    assert run["gauge set by"] == "hand"
    wire = dict(zip(rows[2], rows[3], strict=True))
    assert (wire["buy"], wire["unit"], wire["asked by"]) == ("20", "ft", "Bass")


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("=1+1", "'=1+1"),
        ("+1+2", "'+1+2"),
        ("-2+3", "'-2+3"),
        ("@A1", "'@A1"),
        ("\t=1", "'\t'=1"),  # also where a tab stands between cells
        (" =1", "' =1"),
        ("＝1", "'＝1"),
        ("-12.5", "-12.5"),
        (-12.5, "-12.5"),
        (None, ""),
        ("plain", "plain"),
        ("2-3", "2-3"),
    ],
)
def test_cells_that_nothing_runs(cell: str | float | None, expected: str) -> None:
    """Formula starters as listed by OWASP, "CSV injection"; numbers are left alone."""
    assert cell_text(cell) == expected


def test_json_holds_every_figure_and_fits_its_schema() -> None:
    """Read back field by field, and checked by a JSON Schema validator (second method)."""
    results = make_results(make_sheet(make_build("\x1b[31m🎉")))
    read = json.loads(json_text(results))
    jsonschema.validate(read, msgspec.json.schema(FullResults))
    assert read["drive"] is None
    assert read["sheet"]["runs"][0]["length_m"] == 4.572
    assert read["sheet"]["findings"][0]["level"] == "stop"
    assert read["sheet"]["states"][0]["node_v"] == {"b1": 12.4}
    assert msgspec.convert(read, FullResults) == results


def test_json_refuses_a_figure_that_is_no_number() -> None:
    """NaN is no JSON: better an error than a file that other programs choke on."""
    sheet = make_sheet(make_build("x"))
    broken = dataclasses.replace(sheet, supply=replace(sheet.supply, sag_v=float("nan")))
    with pytest.raises(ValueError, match="JSON compliant"):
        json_text(make_results(broken))


def test_tables_count_cells_as_a_terminal_does() -> None:
    """An emoji takes two cells (Unicode UAX 11, wide): columns stay straight."""
    lines = table([Column("Name", 8), Column("A", 5, right=True)], [["🎉🎉", "1"], ["abcd", "22"]])
    assert [cell_len(line) for line in lines] == [8, 8, 8]
    assert cut("🎉" * 9, 8) == "🎉🎉🎉…"
    assert cut("short", 8) == "short"


def test_wrapped_lines_keep_their_indent_and_break_long_words() -> None:
    """Nothing is lost and nothing is wider than asked."""
    lines = wrap("one two " + "z" * 30, "- ", width=12)
    assert lines[0] == "- one two"
    assert all(line.startswith("  ") for line in lines[1:])
    assert all(cell_len(line) <= 12 for line in lines)
    assert "".join(lines).count("z") == 30
