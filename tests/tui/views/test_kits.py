"""Devices beside amplifiers, by keys: loads on their page, and several things as one command.

Expected by definition: what is asked for is in the store, with its wires, and one undo takes it.
"""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from domain.build.choices import Isolates, LoadKind
from domain.build.records import TABLES
from tests.tui.driving import NARROW, build_screen, press, reopened, running, screen_text, status
from tui.views.build.wiring import WiringView

ODD = "[red]x[/]"
"""Text that acts on a markup parser."""


async def by_name(pilot: Pilot[int], *words: str) -> None:
    """Start an action from the palette by its name."""
    await press(pilot, "ctrl+p", *words)
    await pilot.app.workers.wait_for_complete()
    await press(pilot, "enter")
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def test_a_second_battery_behind_a_charger_in_one_command(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await press(pilot, "ctrl+n", "enter", "4x75", "enter")
        before = reopened(path)
        await by_name(pilot, "behind", "space", "a", "space", "dc")
        build = reopened(path)
        assert len(build.batteries) == 2
        assert build.blocks[-1].isolates is Isolates.CONVERTER
        assert len(build.runs) == len(before.runs) + 4
        # On its page the name of the battery alone is seen: what else was done is said.
        assert status(pilot) == "Done: add a battery behind a DC-DC charger. ctrl+z takes it back"
        await press(pilot, "ctrl+z")
        assert reopened(path) == before


async def test_a_load_is_added_on_the_page_of_amplifiers_and_its_power_typed(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await press(pilot, "ctrl+n", "enter", "4x75", "enter", "f2", "f2")
        screen = build_screen(pilot)
        assert screen.grid.spec.id == "appliances"
        await press(pilot, "ctrl+n", "45", "enter")
        (load,) = reopened(path).appliances
        assert load.power_w == 45.0
        assert load.kind is LoadKind.POWER
        assert load.name == "Load"
        await press(pilot, "ctrl+x")
        assert not reopened(path).appliances
        assert "with" in status(pilot)


async def test_what_is_added_in_the_drawing_is_found_by_any_word_of_it(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await press(pilot, "ctrl+n", "enter", "4x75", "enter", "up", "up", "home")
        await press(pilot, "ctrl+n", *"capa", "enter")
        (capacitor,) = reopened(path).appliances
        assert capacitor.kind is LoadKind.CAPACITOR
        # its form says what a capacitor has, and nothing of what it has not
        shown = screen_text(pilot)
        assert "Farads" in shown
        assert "Runs for" not in shown
        # the beginning of a name goes before a word within
        await press(pilot, "escape")
        (drawn,) = (line for line in screen_text(pilot).splitlines() if "Capacitor" in line)
        assert " W" not in drawn
        await press(pilot, "ctrl+n", *"an a", "escape")
        assert len(reopened(path).amplifiers) == 1


async def test_of_a_bank_one_battery_is_taken_out_or_all_of_it(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await press(pilot, "ctrl+n", "enter", "500", "enter", "ctrl+n", *"ban", "enter", "escape")
        with_bank = reopened(path)
        assert len(with_bank.batteries) == 5
        build_screen(pilot).grid.go(
            next(r.id for r in with_bank.runs if r.source == "b3"), "·wiring"
        )
        await press(pilot, "ctrl+x", "escape")
        assert reopened(path) == with_bank
        await press(pilot, "ctrl+x", "enter")
        assert len(reopened(path).batteries) == 4
        assert "Removed Bank 2, with Bank 2 lead" in status(pilot)
        await press(pilot, "ctrl+z")
        assert reopened(path) == with_bank
        build_screen(pilot).grid.go(
            next(r.id for r in with_bank.runs if r.source == "b3"), "·wiring"
        )
        await press(pilot, "ctrl+x", "down", "enter")
        assert len(reopened(path).batteries) == 1
        assert "Removed the whole bank of 4" in screen_text(pilot)
        await press(pilot, "ctrl+z", "ctrl+y")
        assert len(reopened(path).batteries) == 1


@pytest.mark.parametrize(
    ("typed", "table"),
    [
        ("relay", "batteries"),
        ("dc", "batteries"),
        ("alternator", "alternators"),
        ("capa", "appliances"),
        ("inv", "appliances"),
    ],
)
async def test_each_is_added_taken_back_made_again_and_taken_out(
    tmp_path: Path, typed: str, table: str
) -> None:
    path = tmp_path / "store.db"
    async with running(path) as pilot:
        await press(pilot, "ctrl+n", "enter", "500", "enter")
        before = reopened(path)
        await press(pilot, "ctrl+n", *typed, "enter", "escape")
        after = reopened(path)
        (new,) = set(getattr(after, table)) - set(getattr(before, table))
        await press(pilot, "ctrl+z")
        assert reopened(path) == before
        await press(pilot, "ctrl+y")
        assert reopened(path) == after
        assert await build_screen(pilot).held(WiringView).show_thing(new.id, "name")
        await press(pilot, ODD, "enter")
        assert getattr(reopened(path), table)[-1].name == ODD
        await press(pilot, "escape")
        assert ODD in screen_text(pilot)
        await press(pilot, "ctrl+x")
        assert f"Removed {ODD}, with " in " ".join(screen_text(pilot).split())
        gone = reopened(path)
        kept = set(TABLES) - {"runs"}
        assert all(getattr(gone, each) == getattr(before, each) for each in kept)
        assert [run.id for run in gone.runs] == [run.id for run in before.runs]
