"""The pack view: choices, writing with progress and a stop, materials, the quote, who asked."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from textual.pilot import Pilot

from demo_db.load import demo_builds
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.money.shopping import shopping
from domain.plan import Plan
from domain.shop.catalogue import CatalogueItem
from storage.errors import TransferError
from storage.pack.contents import NAMES
from storage.pack.pack import PackCancelled
from storage.store.builds import Store
from tests.storage.store.stocking import Stocking
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
)
from tui.dialogs.boxes import Pick
from tui.pages.page import TextPage
from tui.pages.remote import fetch_line
from tui.pages.writing import WritingPage
from tui.screens.build import BuildScreen
from tui.views.build.pack import PackView
from tui.widgets.live_pane import LivePane

Stand = Callable[..., Sequence[Path]]


def estate() -> Build:
    return dict(demo_builds())["estate_car"]


async def settle(pilot: Pilot[int]) -> None:
    """Wait for workers and for what they told."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


class Writer:
    """Stands in for what writes packs: remembers what it was asked for."""

    def __init__(self, *, wait: bool = False, fails: str = "") -> None:
        self.asked: dict[str, Any] = {}
        self.begun, self.go_on = Event(), Event()
        self.wait, self.fails = wait, fails

    def __call__(
        self, plan: Plan, results: Any, folder: Path, *, progress: Any, **asked: Any
    ) -> list[Path]:
        self.asked = {"build": plan.build, "results": results, "folder": folder, **asked}
        if self.fails:
            raise TransferError(self.fails)
        progress(0.5, "Work order")
        self.begun.set()
        if self.wait:
            self.go_on.wait(20)
        if not progress(0.9, "PDF"):
            raise PackCancelled
        return [folder / "pack.pdf", folder / "pack.json"]


def using(pilot: Pilot[int], writer: Stand) -> None:
    """Let the screen write packs with this."""
    build_screen(pilot).held(PackView).writer = writer


@pytest.mark.parametrize("size", SIZES)
async def test_the_pack_is_chosen_and_written(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SSH_CONNECTION", raising=False)
    path = tmp_path / "store.db"
    key = stored(path, estate())
    writer = Writer()
    async with running(path, size, key) as pilot:
        await press(pilot, "f8")
        using(pilot, writer)
        shown = screen_text(pilot)
        assert "8 Pack]" in shown
        assert max(map(len, shown.split("\n"))) <= size[0]
        # Paper by space, a folder that is typed, a section left out.
        await press(pilot, "space", "down", *"out", "enter")
        screen = build_screen(pilot)
        screen.grid.go("label_stock", "value")
        assert "only in the pack" in screen_text(pilot)
        await press(pilot, *"12", "enter")
        assert "12 mm tape" in screen_text(pilot)
        screen.grid.go("harness_size", "value")
        await press(pilot, "space")
        assert "full size, on long paper" in screen_text(pilot)
        screen.grid.go("fuses", "value")
        await press(pilot, *"no", "enter")
        await press(pilot, "ctrl+l")
        await settle(pilot)
        page = pilot.app.screen
        assert isinstance(page, WritingPage)
        shown = screen_text(pilot)
        assert "Written: 2 files" in shown
        assert "pack.pdf" in shown
        assert "scp" not in shown
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildScreen)
    assert writer.asked["paper"] == "a4"
    assert writer.asked["folder"] == Path("out")
    assert writer.asked["only"] == frozenset(NAMES) - {"fuses", "harness"}  # no sections
    assert writer.asked["labels_on"] == "12"
    assert writer.asked["harness_on"] == "full"
    assert writer.asked["revision"] == "0"
    assert writer.asked["results"].sheet == evaluate(estate())
    # Choices are not part of the build.
    assert reopened(path, key) == estate()


async def test_all_sections_are_asked_for_as_all(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    writer = Writer()
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f8")
        using(pilot, writer)
        await press(pilot, "ctrl+l")
        await settle(pilot)
        assert writer.asked["only"] is None
        await press(pilot, "escape")
        screen = build_screen(pilot)
        for name in NAMES:
            screen.grid.go(name, "value")
            await press(pilot, "space")
        writer.asked = {}
        await press(pilot, "ctrl+l")
        assert "at least one section" in status(pilot)
        assert writer.asked == {}


@pytest.mark.parametrize("size", SIZES)
async def test_progress_is_seen_and_it_can_be_stopped(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    writer = Writer(wait=True)
    async with running(path, size, key) as pilot:
        await press(pilot, "f8")
        using(pilot, writer)
        await press(pilot, "ctrl+l")
        page = pilot.app.screen
        assert isinstance(page, WritingPage)
        while not writer.begun.is_set() or page.share < 0.5:
            await pilot.pause()
        shown = screen_text(pilot)
        # Half of what is left after the drive profile's share of 0.3.
        assert "65 %" in shown
        assert "Work order" in shown
        await press(pilot, "escape")
        writer.go_on.set()
        await settle(pilot)
        assert "Stopped: nothing was written" in screen_text(pilot)
        writer.wait = False
        await press(pilot, "enter")
        await settle(pilot)
        assert "Written: 2 files" in screen_text(pilot)


async def test_what_goes_wrong_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f8")
        using(pilot, Writer(fails="[/red] cannot be written to: no space left"))
        await press(pilot, "ctrl+l")
        await settle(pilot)
        assert "Not written: [/red] cannot be written to: no space left." in screen_text(pilot)


async def test_an_update_under_a_running_program_is_told(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())

    def changed(*_: Any, **__: Any) -> list[Path]:
        raise ImportError("cannot import name 'sections'")

    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f8")
        using(pilot, changed)
        await press(pilot, "ctrl+l")
        await settle(pilot)
        said = " ".join(screen_text(pilot).split())
        assert "Mainrun was changed while it ran; start it anew" in said


async def test_a_real_pack_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SSH_CONNECTION", "10.0.0.9 50000 10.0.0.5 22")
    monkeypatch.setenv("USER", "bench")
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f8", "ctrl+l")
        await settle(pilot)
        page = pilot.app.screen
        assert isinstance(page, WritingPage)
        assert page.paths, page.why
        assert page.paths[0].read_bytes().startswith(b"%PDF-")
        assert all(each.is_file() for each in page.paths)
        shown = screen_text(pilot)
        assert f"in {tmp_path / 'packs'}" in shown.replace("\n    ", "")
        assert page.paths[0].name in shown
        assert "scp" in shown
        await press(pilot, "c")
        assert "copied" in screen_text(pilot)
        assert "'bench@10.0.0.5:" in shown


@pytest.mark.parametrize("value", ["nonsense", ""])
async def test_bad_choices_are_refused(tmp_path: Path, value: str) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, WIDE, key) as pilot:
        await press(pilot, "f8")
        screen = build_screen(pilot)
        screen.grid.go("paper" if value else "folder", "value")
        await press(pilot, "x", "ctrl+u", *value, "enter")
        assert status(pilot).startswith("! Not taken")
        assert screen.held(PackView).choices.paper == "letter"
        assert screen.held(PackView).choices.folder


@pytest.mark.parametrize("size", SIZES)
async def test_materials_with_matches_and_prices(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    item = CatalogueItem(
        name="Ring [/bold]", group="Terminals", item_rule="Ring terminal", pack=10,
        unit=PackUnit.EACH, price=Decimal("7.50"),
    )  # fmt: skip
    with Store(path) as store:
        Stocking(store).replace_all([item])
    async with running(path, size, key) as pilot:
        screen = build_screen(pilot)
        await screen.action_start("materials")
        await pilot.pause()
        await pilot.pause()
        assert screen.grid.spec.id == "materials"
        # Second method: the same list made without the screen.
        bought = shopping(estate(), evaluate(estate()), [item.but(id=1)])
        assert screen.grid.row_count == len(bought.lines)
        assert f"{bought.price:.2f}" in screen_text(pilot)
        place = next(i for i, line in enumerate(bought.lines) if line.buys)
        screen.grid.move_cursor(row=place, column=4)
        await pilot.pause()
        await pilot.pause()
        assert "1 x Ring [/bold]" in screen_text(pilot)
        assert "7.50" in screen_text(pilot)
        # Its working ends in the figure of the sheet.
        screen.grid.move_cursor(row=place, column=2)
        await press(pilot, "ctrl+w")
        assert bought.lines[place].line.item in screen_text(pilot)
        assert "Needed" in screen_text(pilot)
        await press(pilot, "escape")
        await press(pilot, "ctrl+t")
        page = pilot.app.screen
        assert isinstance(page, TextPage)
        shown = screen_text(pilot)
        assert "QUOTE: Estate car" in shown
        assert max(map(len, shown.split("\n"))) <= size[0]


@pytest.mark.parametrize("size", SIZES)
async def test_who_asked_for_a_line_and_on_to_it(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    lines = evaluate(estate()).materials
    place = next(i for i, line in enumerate(lines) if line.asked_by[:1] == ("r4",))
    async with running(path, size, key) as pilot:
        screen = build_screen(pilot)
        # From the pane in full, by keys alone.
        await press(pilot, "f9")
        pane = screen.query_one(LivePane)
        while pane.marked != f"asked:{place}":
            await press(pilot, "down")
        row = next(i for i, line in enumerate(pane.lines) if line.target == pane.marked)
        assert "reverse" in pane.lines[row].spans[0].style
        assert pane.scroll_offset.y <= row < pane.scroll_offset.y + pane.size.height
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, Pick)
        assert "asked for by" in screen_text(pilot)
        assert "run Main run" in screen_text(pilot)
        await press(pilot, "enter")
        assert screen.view.id == "distribution"
        assert screen.grid.row_id == "r4"
        assert not screen.has_class("full")
        # From the table of materials.
        await screen.action_start("materials")
        screen.grid.move_cursor(row=place, column=0)
        await press(pilot, "enter")
        assert "run Main run" in screen_text(pilot)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, BuildScreen)


@pytest.mark.parametrize("size", SIZES)
async def test_every_line_of_materials_tells_who_asked(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, size, key) as pilot:
        screen = build_screen(pilot)
        for place, line in enumerate(screen.workbench.sheet.materials):
            await screen.follow("asked", str(place))
            await pilot.pause()
            if line.asked_by:
                assert isinstance(pilot.app.screen, Pick), line
                await press(pilot, "escape")
            else:
                assert line.item in status(pilot)


async def test_the_pane_is_walked_up_and_down(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, NARROW, key) as pilot:
        await press(pilot, "f9")
        pane = build_screen(pilot).query_one(LivePane)
        first = pane.marked
        assert first
        await press(pilot, "down", "down", "up", "up", "up")
        assert pane.marked == first
        await press(pilot, "end")
        assert pane.marked == next(line.target for line in reversed(pane.lines) if line.target)
        await press(pilot, "home")
        assert pane.marked == first
        await press(pilot, "f9")
        assert pane.marked == ""


def test_the_line_that_fetches_files() -> None:
    here = {"SSH_CONNECTION": "10.0.0.9 50000 10.0.0.5 22", "USER": "bench"}
    paths = [Path("/shop/a b.pdf"), Path("/shop/c.csv")]
    assert (
        fetch_line(paths, here) == "scp 'bench@10.0.0.5:/shop/a b.pdf' bench@10.0.0.5:/shop/c.csv ."
    )
    other = {"SSH_CONNECTION": "fe80::1 50000 fe80::2 2222", "USER": "bench"}
    assert fetch_line(paths[1:], other) == "scp -P 2222 'bench@[fe80::2]:/shop/c.csv' ."
    many = [Path(f"/shop/pack/{i}.csv") for i in range(9)]
    assert fetch_line(many, here) == "scp -r bench@10.0.0.5:/shop/pack ."
    alike = [Path(f"/shop/van-{i}.csv") for i in range(9)]
    assert fetch_line(alike, here) == "scp 'bench@10.0.0.5:/shop/van-*' ."
    odd = [Path(f"/a*b/van-{i}.csv") for i in range(9)]
    assert fetch_line(odd, here) == "scp -r 'bench@10.0.0.5:/a*b' ."
    assert fetch_line(paths, {}) == ""
    assert fetch_line([], here) == ""
    assert fetch_line(paths, {"SSH_CONNECTION": "odd"}) == ""
