"""The page of the history: marked line, filters, the build as it was, and a copy of it."""

from pathlib import Path

from domain.build.start import start_build
from storage.store.builds import Store
from tests.storage.store.builds import new_store, set_length, set_title
from tests.tui.driving import build_screen, press, reopened, running, screen_text, status
from tests.tui.keeping_shop import kept, shop_screen, stocked
from tui.pages.compare import ComparePage
from tui.pages.history import HistoryPage


def two_people(folder: Path) -> tuple[Path, int]:
    path, key = new_store(folder)
    for person, edits in (
        ("Kim", (set_length("r1", 3.0), set_title("Comp car"))),
        ("[red]Lee", (set_length("r1", 4.0),)),
    ):
        with Store(path, person=person) as store:
            for edit in edits:
                store.build(key).change(lambda build, edit=edit: edit)  # type: ignore[misc]
    return path, key


async def test_history_tells_who_and_from_what_to_what(tmp_path: Path) -> None:
    path, key = two_people(tmp_path)
    async with running(path, key=key) as pilot:
        await press(pilot, "alt+h")
        assert isinstance(pilot.app.screen, HistoryPage)
        shown = screen_text(pilot)
        assert "[red]Lee" in shown
        assert "9 ft 10.1 in -> 13 ft 1.5 in" in shown
        await press(pilot, "p")
        await press(pilot, *"Kim", "enter")
        assert "[red]Lee" not in screen_text(pilot)
        assert [each.revision for each in pilot.app.screen.shown] == [2, 1]
        await press(pilot, "g")
        await press(pilot, *"Distr", "enter")
        assert [each.revision for each in pilot.app.screen.shown] == [1]
        assert "Kim, Distribution" in screen_text(pilot)


async def test_the_build_as_it_was_is_looked_at_and_not_changed(tmp_path: Path) -> None:
    path, key = two_people(tmp_path)
    async with running(path, key=key) as pilot:
        await press(pilot, "alt+h", "down", "down", "enter")
        past = build_screen(pilot)
        assert past.workbench.build.header.title == "New build"
        assert "as it was" in screen_text(pilot)
        await press(pilot, "ctrl+n", "enter")
        assert "as it was" in status(pilot)
        await press(pilot, "ctrl+z")
        assert "nothing is changed" in status(pilot)
        await press(pilot, "f10")
        assert isinstance(pilot.app.screen, HistoryPage)
        await press(pilot, "escape")
        assert build_screen(pilot).workbench.build.header.title == "Comp car"
    assert reopened(path, key).header.title == "Comp car"


async def test_it_is_compared_with_now_and_copied(tmp_path: Path) -> None:
    path, key = two_people(tmp_path)
    async with running(path, key=key) as pilot:
        await press(pilot, "alt+h", "end", "c")
        assert isinstance(pilot.app.screen, ComparePage)
        assert "As it was" in screen_text(pilot)
        await press(pilot, "escape", "k")
        assert "Copied as build" in screen_text(pilot)
    with Store(path) as store:
        newest = store.builds()[0]
        assert newest.title.startswith("New build as of ")
        copy = store.open(newest.key).document
    assert copy.but(header=start_build().header) == start_build()


async def test_the_shop_tells_who_changed_a_price(tmp_path: Path) -> None:
    path = stocked(tmp_path / "store.db")
    async with running(path) as pilot:
        await press(pilot, "f12", "f2")
        shop = shop_screen(pilot)
        assert shop.grid.go(kept(path).items[0].id, "price")
        await press(pilot, "0,55", "enter", "alt+h")
        assert isinstance(pilot.app.screen, HistoryPage)
        shown = screen_text(pilot)
        assert "History of the shop" in shown
        (line,) = (each for each in shown.splitlines() if "0.40 -> 0.55" in each)
        assert "Ferrules 4" in line
        await press(pilot, "enter", "k", "c")
        assert isinstance(pilot.app.screen, HistoryPage)
        await press(pilot, "escape")
        assert shop_screen(pilot) is shop
