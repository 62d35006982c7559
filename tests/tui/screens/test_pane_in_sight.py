"""While a value is typed, the pane lays out anew only the lines that are in sight.

Expected by definition: what is in sight is what it would be if all were laid out.
"""

from pathlib import Path

from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.evaluate import evaluate
from tests.benchmarks.builds import twelve
from tests.tui.driving import WIDE, build_screen, press, running, stored
from tui.widgets.pane_lines import pane_lines

WIDTH = 45


def _typed(build: Build) -> Build:
    """The build with a much longer main run."""
    run = next(run for run in build.runs if run.source == "b1" and run.target == "d1")
    return apply(build, SetField(table="runs", id=run.id, field="length_m", value=9.0))[0]


def test_what_is_in_sight_is_as_if_all_were_laid_out() -> None:
    build = twelve()
    settled, sheet = evaluate(build), evaluate(_typed(build))
    still = pane_lines(build, settled, WIDTH)
    every = pane_lines(build, sheet, WIDTH, settled=settled)
    assert len(still) == len(every)
    changed = [at for at, (one, two) in enumerate(zip(still, every, strict=True)) if one != two]
    assert len(changed) > 30
    for top in (0, 7, 30, len(every) - 12):
        seen = range(top, top + 12)
        lines = pane_lines(build, sheet, WIDTH, settled=settled, seen=seen)
        assert len(lines) == len(every)
        assert all(lines[at] == every[at] for at in seen)


def test_materials_out_of_sight_are_not_worked_out() -> None:
    build = twelve()
    settled, sheet = evaluate(build), evaluate(_typed(build))
    pane_lines(build, sheet, WIDTH, settled=settled, seen=range(20))
    assert "materials" not in vars(sheet)
    every = pane_lines(build, settled, WIDTH)
    place = next(at for at, line in enumerate(every) if line.target.startswith("asked:"))
    pane_lines(build, sheet, WIDTH, settled=settled, seen=range(place, place + 1))
    assert "materials" in vars(sheet)


async def test_scrolling_brings_figures_of_what_is_typed(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, twelve())
    async with running(path, WIDE, key, page="f4") as pilot:
        screen = build_screen(pilot)
        run = next(run for run in twelve().runs if run.source == "b1" and run.target == "d1")
        screen.grid.go(run.id, "length_m")
        await press(pilot, *"9m")
        edit, _ = screen.editing._edit("9m")
        bench, pane = screen.workbench, screen.pane
        sheet, height = bench.preview(edit), pane.size.height
        every = pane_lines(bench.build, sheet, pane.size.width, settled=bench.sheet)
        for top in (0, height, len(every) - height):
            pane.scroll_to(y=top, animate=False)
            await pilot.pause()
            seen = slice(top, top + height)
            assert list(pane._bare[seen]) == every[seen]
