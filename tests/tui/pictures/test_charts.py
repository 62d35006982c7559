"""Pictures in text: what is drawn where, in how much room, and what the legend says."""

import pytest
from rich.cells import cell_len

from demo_db.load import demo_builds
from domain.build.actions import add, applied
from domain.build.choices import FuseFamily, UnitHabit
from domain.build.edits import SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical.drive import simulate
from domain.electrical.protection import coordination
from domain.electrical.protection.opening import Point, Window
from domain.electrical.protection.withstand import Wire, withstand_s
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate
from domain.sheet import FuseStudy
from domain.units.show import format_quantity
from tui.pictures.charts import drive_chart, drop_bars, protection_chart

SIZES = [(76, 18), (118, 30), (60, 14)]


def studied(build: Build, place: int = 0) -> tuple[FuseStudy, Window, dict[str, Wire]]:
    """A fuse's study with its window and the wires that it guards."""
    study = evaluate(build).studies[place]
    solved = size_and_solve(build)
    sized, items = solved.sized, solved.items
    points, _ = coordination.window_of(build, FuseFamily(study.family), study.rating_a)
    wires = {id: coordination.wire(items[id], sized.gauge[id]) for id in study.guarded}
    return study, points, wires


def estate() -> Build:
    return dict(demo_builds())["estate_car"]


def column_of(lines: list[str], letter: str) -> list[tuple[int, int]]:
    """Rows and columns of a curve's letter in the picture, without the axis and the legend."""
    return [
        (row, column)
        for row, line in enumerate(lines)
        if "│" in line or "┤" in line
        for column, char in enumerate(line)
        if column > 8 and char == letter
    ]


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_protection_chart_fits_and_says_what_it_shows(width: int, height: int) -> None:
    study, points, wires = studied(estate())
    lines = protection_chart(study, points, wires, width, height)
    assert len(lines) <= height
    assert max(map(cell_len, lines)) <= width
    legend = " ".join(lines[-3:])
    for words in (
        "slowest opening",
        "wire withstands",
        format_quantity("current", study.fault_far_a, UnitHabit.METRIC),
    ):
        assert words in legend


def test_a_wire_that_stands_longer_lies_above_the_fuse() -> None:
    study, points, wires = studied(estate())
    # Second method: the study's own margin is above one at every current.
    assert study.margin is not None
    assert study.margin > 1
    lines = protection_chart(study, points, wires, 100, 30)
    slow, wire = column_of(lines, "S"), column_of(lines, "W")
    assert slow
    assert wire
    # Letters stand at shares of each curve; a later W must not lie below the S left of it.
    for row, column in wire:
        earlier = [r for r, c in slow if c <= column]
        assert not earlier or row < max(earlier)


def test_a_curve_lies_where_its_axis_says() -> None:
    # Times and currents chosen by hand: a fuse of 100 A that opens at 1000 A in exactly 1 s has
    # its slow edge in the row of the 1 s label, in the column of the 1000 A label.
    study, _, wires = studied(estate())
    points = (Point(1.5, 900.0, 900.0), Point(10.0, 1.0, 1.0), Point(30.0, 0.1, 0.1))
    changed = FuseStudy(
        **{
            **{name: getattr(study, name) for name in FuseStudy.__struct_fields__},
            "rating_a": 100.0,
            "must_open_a": 150.0,
            "fault_far_a": 1000.0,
            "fault_near_a": 3000.0,
        }
    )
    lines = protection_chart(changed, points, wires, 100, 30)
    row = next(i for i, line in enumerate(lines) if line.lstrip().startswith("1 s┤"))
    foot = next(line for line in lines if "1000 A" in line)
    at = foot.index("1000 A") + 3
    upright = [c for r, c in column_of(lines, "f")]
    assert upright
    assert abs(upright[0] - at) <= 1
    near = [lines[r][c] for r in (row - 1, row, row + 1) for c in range(at - 2, at + 3)]
    assert any(char not in " │" for char in near)


def test_a_fuse_that_need_never_open_is_said_so() -> None:
    study, _, wires = studied(estate())
    lines = protection_chart(study, (), wires, 76, 18)
    assert len(lines) == 1
    assert "nothing to draw" in lines[0]


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_drive_chart_marks_its_legs(width: int, height: int) -> None:
    build = estate()
    result = simulate(size_and_solve(build).wired)
    lines = drive_chart(result, build, width, height)
    assert max(map(cell_len, lines)) <= width
    assert all(str(n) in lines[0] for n in range(1, len(build.legs) + 1))
    text = "\n".join(lines)
    assert "battery post" in text
    assert "100 %" in text


def test_a_drive_without_legs_has_no_chart() -> None:
    build = start_build()
    build = build.but(legs=())
    lines = drive_chart(simulate(size_and_solve(build).wired), build, 76, 18)
    assert "no stages" in lines[0]


@pytest.mark.parametrize("width", [60, 78, 118])
def test_bars_are_as_long_as_their_drop(width: int) -> None:
    build = estate()
    sheet = evaluate(build)
    for load in sheet.amplifiers:
        lines = drop_bars(build, sheet, load.id, width)
        assert max(map(cell_len, lines)) <= width
        *legs, total = lines
        drops = [float(line.split(" V")[0].split()[-1]) for line in legs]
        # Conservation: the legs add up to the whole drop, each rounded to a millivolt.
        assert load.drop_v is not None
        assert sum(drops) == pytest.approx(load.drop_v, abs=0.0005 * (len(legs) + 1))
        assert f"{load.drop_v:.3f} V" in total
        bars = [line.count("█") for line in legs]
        assert bars.index(max(bars)) == drops.index(max(drops))


def test_an_amplifier_that_is_not_wired_has_no_bars() -> None:
    build = applied(start_build(), add(start_build(), "amplifiers", name="[/b]"))
    branch = next(run for run in build.runs if run.target == "a1")
    cut_off = applied(build, SetField(table="runs", id=branch.id, field="source", value=""))
    lines = drop_bars(cut_off, evaluate(cut_off), "a1", 78)
    assert lines == ["[/b] is not wired to a battery and back: there is no drop to show."]
    with pytest.raises(LookupError):
        drop_bars(build, evaluate(build), "a9", 78)


def test_wires_stand_as_the_withstand_formula_says() -> None:
    # The chart draws withstand_s itself: at the far fault it gives the study's figure.
    study, _, wires = studied(estate())
    assert study.stands_far_s is not None
    assert withstand_s(wires[study.weakest], study.fault_far_a) == pytest.approx(study.stands_far_s)
