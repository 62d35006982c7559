"""The view of custom parts: pictures that follow, shapes, steps, templates, mending; both sizes."""

from functools import partial
from pathlib import Path

import pytest
from textual.pilot import Pilot

from domain.build.actions import add, applied
from domain.build.edits import AddRecord, SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.fabrication.presets import PRESETS, preset
from domain.fabrication.steps import steps
from domain.topics.findings import parts
from storage.errors import TransferError
from tests.tui.driving import (
    NARROW,
    SIZES,
    WIDE,
    build_screen,
    press,
    reopened,
    running,
    screen_text,
    status,
    stored,
    tried,
)
from tui.dialogs.boxes import Ask, Pick
from tui.pages.long_work import Stopped
from tui.pages.part import PartPage, StepsPage
from tui.pages.template import template_work
from tui.pages.writing import WritingPage
from tui.screens.build import BuildScreen
from tui.widgets.line_view import LineView
from tui.widgets.pane_lines import sorted_findings


def bracket() -> Build:
    """An L bracket and a plate, with a hole that breaks out of the bracket's edge."""
    build = start_build("Bracket")
    build = applied(build, preset(build, "L", load_kg=2.0))
    build = applied(build, preset(build, "plate"))
    hole = {"id": "h1", "panel": "n1", "x_m": 0.003, "y_m": 0.02, "diameter_m": 0.008}
    return applied(build, AddRecord(table="holes", record=hole))


def picture(pilot: Pilot[int]) -> list[str]:
    """The lines of the picture below the tables."""
    return [line.plain for line in build_screen(pilot).query_one("#picture", LineView).lines]


async def settle(pilot: Pilot[int]) -> None:
    """Wait for workers and for what they told."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def test_the_picture_stands_below_the_tables_and_left_of_the_pane(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6")
        screen = build_screen(pilot)
        view, pane = screen.query_one("#picture").region, screen.query_one("#pane").region
        assert view.height >= 12
        assert view.right <= pane.x
        shown = picture(pilot)
        assert "L 1" in shown[0]
        assert any("A Upright 90 up" in line for line in shown)
        assert any("takes 4 in across" in line for line in shown)
        # What the keys do can be clicked too.
        at = shown[0].index("larger")
        await pilot.click("#picture", offset=(at, 0))
        await pilot.pause()
        assert isinstance(pilot.app.screen, PartPage)
        await press(pilot, "escape")
        # The other part's picture with the cursor on it, its panels too.
        await press(pilot, "down")
        assert "Plate 2" in picture(pilot)[0]
        assert "Flanges of Plate 2" in screen_text(pilot)
        await press(pilot, "f2")
        assert not screen.query_one("#picture").display


@pytest.mark.parametrize("size", SIZES)
async def test_a_row_without_a_name_is_called_as_findings_call_it(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    build = applied(bracket(), AddRecord(table="fixings", record={"id": "x1", "part": "p1"}))
    key = stored(path, applied(build, SetField(table="holes", id="h1", field="fixing", value="x1")))
    async with running(path, size, key) as pilot:
        await press(pilot, "f6")
        screen = build_screen(pilot)
        (breaks_out, *_) = (f for f in screen.workbench.sheet.findings if f.table == "holes")
        assert breaks_out.what.startswith("hole h1 in ")
        assert ("Where", "hole h1") in parts(screen.workbench.build, breaks_out)
        await screen.go_to("holes", "h1", "x_m")
        screen.describe_cell()
        assert status(pilot).startswith("Hole h1. X: ")
        await screen.go_to("holes", "h1", "fixing")
        assert "fixing x1" in screen_text(pilot)
        await screen.go_to("fixings", "x1", "into")
        screen.describe_cell()
        assert status(pilot).startswith("Fixing x1. Goes into: ")
        await screen.go_to("panels", "n1", "name")
        screen.describe_cell()
        assert status(pilot).startswith("Flange: ")


async def test_the_picture_follows_while_typing_and_goes_back(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6")
        await pilot.pause()
        screen = build_screen(pilot)
        await press(pilot, "f6")
        screen.grid.go("n1", "width_m")
        await pilot.pause()
        before = picture(pilot)
        assert any("├ 4 in ─┤" in line for line in before)
        await press(pilot, "8in")
        typed = picture(pilot)
        assert any("── 8 in ──" in line for line in typed)
        assert reopened(path, key).panels[0].width_m == pytest.approx(4 * 0.0254)
        await press(pilot, "escape")
        assert picture(pilot) == before
        await press(pilot, "8in", "enter")
        assert any("── 8 in ──" in line for line in picture(pilot))
        # 1 in is 0.0254 m exactly.
        assert reopened(path, key).panels[0].width_m == pytest.approx(8 * 0.0254)
        await press(pilot, "ctrl+z")
        assert any("├ 4 in ─┤" in line for line in picture(pilot))


async def test_only_changed_lines_of_the_picture_are_sent(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6", "f6", "f6")
        await pilot.pause()
        view = build_screen(pilot).query_one("#picture", LineView)
        drawn: list[int] = []
        refresh = view.refresh

        def counting(*regions: object, **options: object) -> object:
            drawn.extend(region.y for region in regions)  # type: ignore[attr-defined]
            return refresh(*regions, **options)  # type: ignore[arg-type]

        view.refresh = counting  # type: ignore[method-assign, assignment]
        build_screen(pilot).view.draw()
        assert drawn == []
        before = list(view.lines)
        build_screen(pilot).grid.go("h1", "x_m")
        await press(pilot, "1in")
        changed = {i for i, (a, b) in enumerate(zip(before, view.lines, strict=True)) if a != b}
        assert 0 < len(changed) < len(before) - 3
        assert set(drawn) <= changed


@pytest.mark.parametrize("size", SIZES)
async def test_the_part_in_full_is_folded_and_turned(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, size, key) as pilot:
        await press(pilot, "f6", "ctrl+t")
        page = pilot.app.screen
        assert isinstance(page, PartPage)
        shown = screen_text(pilot)
        assert "L 1: flat pattern (1 of 2)" in shown
        assert "├" in shown
        assert max(map(len, shown.split("\n"))) <= size[0]
        await press(pilot, "r")
        assert "lower edge is on the left" in screen_text(pilot)
        await press(pilot, "r", "pagedown")
        assert "takes" in screen_text(pilot)
        await press(pilot, "space")
        folded = screen_text(pilot)
        assert "folded" in folded
        assert "takes 4 in across, 6 in along, 4 in up" in folded
        for key_name, there in (("left", "right"), ("up", "down")):
            await press(pilot, key_name)
            assert screen_text(pilot) != folded
            await press(pilot, there)
            assert screen_text(pilot) == folded
        await press(pilot, "n", "s")
        assert isinstance(pilot.app.screen, StepsPage)
        await press(pilot, "escape", "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


@pytest.mark.parametrize("size", SIZES)
async def test_the_steps_are_told_in_order(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    build = bracket()
    key = stored(path, build)
    expected = steps(build, build.parts[0])
    async with running(path, size, key) as pilot:
        await press(pilot, "f6")
        await build_screen(pilot).action_start("steps")
        await pilot.pause()
        page = pilot.app.screen
        assert isinstance(page, StepsPage)
        lines = [str(line) for line in page.body(size[0], size[1])]
        heads = [line for line in lines if line[:3].strip().rstrip(".").isdigit()]
        assert [int(line[:2]) for line in heads] == [step.order for step in expected]
        assert max(map(len, lines)) <= size[0]
        assert sum("CAUTION" in line for line in lines) == sum(bool(s.caution) for s in expected)


async def test_a_part_is_added_in_each_usual_shape(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    async with running(path, NARROW, key) as pilot:
        await press(pilot, "f6")
        for place, shape in enumerate(PRESETS):
            await press(pilot, "ctrl+n")
            assert isinstance(pilot.app.screen, Pick), shape
            await press(pilot, *["down"] * place, "enter")
            build = reopened(path, key)
            assert [part.shape for part in evaluate(build).parts] == [shape]
            assert build.parts[0].zone == build.zones[-1].id
            await press(pilot, "ctrl+n", "escape")
            assert len(reopened(path, key).parts) == 1
            await press(pilot, "ctrl+z")
            assert reopened(path, key).panels == (), shape


async def test_rows_are_added_to_the_part_with_the_cursor(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, WIDE, key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "f6", "f6")
        assert screen.grid.spec.id == "panels"
        # The cursor is on the base, whose far edge is taken: the next free one is taken.
        await press(pilot, "ctrl+n")
        new = reopened(path, key).panels[-1]
        assert (new.part, new.joins, new.edge) == ("p1", "n1", "near")
        assert not [f for f in screen.workbench.sheet.findings if f.code == "part-not-developed"]
        await press(pilot, "f6", "ctrl+n")
        assert reopened(path, key).holes[-1].panel == "n1"
        # Studs and mounts ask for what they need first.
        for table in ("mounts", "studs"):
            while screen.grid.spec.id != table:
                await press(pilot, "f6")
            await press(pilot, "ctrl+n")
            assert "add a hole pattern" in status(pilot)
        while screen.grid.spec.id != "footprints":
            await press(pilot, "f6")
        await press(pilot, "ctrl+n")
        for table in ("studs", "mounts"):
            while screen.grid.spec.id != table:
                await press(pilot, "f6")
            await press(pilot, "ctrl+n")
        build = reopened(path, key)
        assert (build.studs[0].footprint, build.mounts[0].footprint) == ("f1", "f1")
        assert build.mounts[0].panel == "n1"


async def test_a_part_is_copied_whole(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6", "ctrl+d")
        build = reopened(path, key)
        assert [part.name for part in build.parts] == ["L 1", "Plate 2", "L 2"]
        assert [panel.joins for panel in build.panels if panel.part == "p3"] == ["", "n4"]
        assert [hole.panel for hole in build.holes] == ["n1", "n4"]
        assert "Flanges of L 2" in screen_text(pilot)
        assert "L 2" in picture(pilot)[0]
        await press(pilot, "ctrl+z")
        assert reopened(path, key) == bracket()


async def test_panels_of_one_part_or_of_all(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6")
        screen = build_screen(pilot)
        panels = screen.grids()[1]
        assert panels.row_ids == ["n1", "n2"]
        await screen.action_start("all_parts")
        assert panels.row_ids == ["n1", "n2", "n3"]
        await screen.action_start("all_parts")
        await screen.go_to("panels", "n3", "width_m")
        assert screen.grids()[0].row_id == "p2"
        assert screen.grid.row_id == "n3"


async def test_strength_stands_in_the_table(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = bracket()
    key = stored(path, build)
    found = evaluate(build).parts[0].strength
    assert found is not None
    async with running(path, (240, 40), key) as pilot:
        await press(pilot, "f6", "alt+d", "a", "enter")
        shown = screen_text(pilot)
        assert f"{found.least_margin:.2g} " in shown
        assert f"{found.natural_hz:.3g} Hz" in shown


async def test_the_strength_s_working_ends_in_its_figure(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = bracket()
    key = stored(path, build)
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6")
        screen = build_screen(pilot)
        for column in ("·margin", "·sag", "·mode"):
            screen.grid.go("p1", column)
            cell = screen.editing.cell()
            assert cell is not None
            figure = cell[0].shown(build, screen.workbench.sheet, cell[1])
            await press(pilot, "ctrl+w")
            assert figure in screen_text(pilot)
            await press(pilot, "escape")
        screen.grid.go("p2", "·margin")
        await press(pilot, "ctrl+w")
        assert "There is no strength" in screen_text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_a_finding_is_mended_with_one_key(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    build = bracket()
    key = stored(path, build)
    codes = [finding.code for finding in sorted_findings(evaluate(build))]
    async with running(path, size, key) as pilot:
        screen = build_screen(pilot)
        await press(pilot, "ctrl+g")
        await tried(pilot)
        while not screen.mending.title():
            await press(pilot, "ctrl+g")
            await tried(pilot)
        mended = sorted_findings(screen.workbench.sheet)[screen.mending.place].code
        assert screen.grid.row_id == "h1"
        assert "ctrl+e fixes it" in screen_text(pilot)
        await press(pilot, "ctrl+e")
        assert status(pilot).startswith("Fixed: move h1")
        after = [finding.code for finding in sorted_findings(screen.workbench.sheet)]
        assert after.count(mended) == codes.count(mended) - 1
        assert reopened(path, key).holes[0].x_m > 0.003
        await press(pilot, "ctrl+z")
        assert reopened(path, key) == build


async def test_what_no_edit_mends_is_said(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    async with running(path, key=key) as pilot:
        await press(pilot, "ctrl+e")
        assert "No edit is known" in status(pilot) or "no finding" in status(pilot)
    assert reopened(path, key) == start_build()


@pytest.mark.parametrize("size", SIZES)
async def test_the_template_is_written_into_the_folder(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SSH_CONNECTION", "10.0.0.9 50000 10.0.0.5 2222")
    monkeypatch.setenv("USER", "bench")
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, size, key) as pilot:
        await press(pilot, "f6", "ctrl+l")
        assert "Letter, into" in screen_text(pilot)
        await press(pilot, "enter")
        await settle(pilot)
        page = pilot.app.screen
        assert isinstance(page, WritingPage)
        assert [each.suffix for each in page.paths] == [".pdf", ".pdf", ".svg", ".dxf"]
        assert all(each.is_file() and each.parent == tmp_path for each in page.paths)
        shown = screen_text(pilot)
        assert "Written: 4 files" in shown
        assert "scp -P 2222" in shown
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildScreen)
        # Into another folder, which is made.
        await press(pilot, "ctrl+l", "down", "down", "down", "enter")
        assert isinstance(pilot.app.screen, Ask)
        await press(pilot, "ctrl+u", *"new", "enter")
        await settle(pilot)
        assert len(list((tmp_path / "new").glob("*a4.pdf"))) == 2


async def test_a_template_that_cannot_be_written_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "store.db"
    key = stored(path, bracket())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6", "ctrl+l", "down", "down", "enter", "ctrl+u", *"taken", "enter")
        await settle(pilot)
        assert "taken is a file: name a folder. Enter tries again." in screen_text(pilot)
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "a file"


def _until(last: float, share: float, doing: str) -> bool:
    """Go on to this share, then stop."""
    return share <= last


def test_a_template_that_is_stopped_writes_nothing(tmp_path: Path) -> None:
    build = bracket()
    for last in (0.0, 0.5):
        work = template_work(build, "p1", "a4", str(tmp_path / "out"), "1")
        until = partial(_until, last)
        with pytest.raises(Stopped):
            work(until)
        assert not (tmp_path / "out").exists()
    work = template_work(build, "p9", "a4", str(tmp_path / "out"), "1")
    with pytest.raises(TransferError):
        work(lambda share, doing: True)


async def test_without_a_part_the_keys_say_so(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, start_build())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6")
        assert "ctrl+n" in " ".join(picture(pilot))
        for pressed in ("ctrl+t", "ctrl+l"):
            await press(pilot, pressed)
            assert isinstance(pilot.app.screen, BuildScreen)
            assert "part" in status(pilot)


async def test_bad_sizes_are_refused_or_found_and_nothing_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = bracket()
    key = stored(path, build)
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f6", "f6")
        screen = build_screen(pilot)
        screen.grid.go("n2", "length_m")
        await press(pilot, "0", "enter")
        assert status(pilot).startswith("! Not taken")
        await press(pilot, "escape")
        assert reopened(path, key) == build
        # Shorter than its bend takes: there is no flat pattern, and the picture says why.
        await press(pilot, "1mm", "enter")
        assert any("No flat pattern yet" in line for line in picture(pilot))
        await press(pilot, "ctrl+z")
        assert reopened(path, key) == build


def test_a_new_stud_of_a_footprint_keeps_to_it() -> None:
    build = applied(start_build(), add(start_build(), "footprints"))
    build = applied(build, add(build, "studs", footprint="f1"))
    assert build.studs[0].footprint == "f1"
    assert (
        applied(build, SetField(table="studs", id="u1", field="thread", value="M6")).studs[0].thread
        == "M6"
    )
