"""Places and sections on the screen: a van planned by its ways, and a sill that changes."""

from pathlib import Path
from sqlite3 import connect

import pytest

from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.routes.lengths import to_measure
from domain.routes.ways import ways
from domain.sheet import Sheet
from domain.units.show import format_quantity
from storage.store.builds import Store
from tests.domain.routes.vehicles import estate
from tests.tui.driving import (
    SIZES,
    WIDE,
    build_screen,
    press,
    reopened,
    running,
    screen_text,
    status,
    stored,
    strokes,
)

AMPLIFIERS = (
    "ctrl+n", "enter",
    "4x75", "enter", "1x500", "enter", "2x150", "enter", "2x50", "enter",
    "2x50", "enter", "2x60", "enter", "4x60", "enter",
)  # fmt: skip
"""A van with seven amplifiers, typed on its first page."""

BY_WAYS = (
    "alt+j", "ctrl+n", "down", "enter",     # the usual places of a van; to the first section
    "3", "enter", "4", "enter", "2", "enter", "5", "enter",
    "6", "enter", "5", "enter", "4", "enter",
    "down", "down", "down",                 # past battery and alternator: where amplifiers stand
    "s", "enter", "l", "enter", "ri", "enter", "w", "enter", "ro", "enter", "f", "enter",
    "w", "enter",
)  # fmt: skip
"""Lengths of the seven sections [ft], then the place of each amplifier."""


async def by_ways(path: Path, size: tuple[int, int]) -> Build:
    async with running(path, size) as pilot:
        await press(pilot, *AMPLIFIERS, *BY_WAYS)
    return reopened(path)


@pytest.mark.parametrize("size", SIZES)
async def test_a_van_is_planned_by_ways_in_fewer_keys_than_by_lengths(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    routed = await by_ways(tmp_path / "ways.db", size)
    assert len(routed.places) == 8
    assert len({amplifier.place for amplifier in routed.amplifiers}) == 6
    assert not to_measure(routed)
    lengths = {run.id: run.length_m for run in evaluate(routed).runs if run.id in ways(routed)}
    # Battery post to the rear doors: 3 + 4 + 2 + 6 ft; to the roof and back: 6, 2, 5, 5, 4.
    assert lengths["r4"] == pytest.approx(15 * 0.3048)
    roof = next(r.id for r in routed.runs if r.target == routed.amplifiers[4].id)
    assert lengths[roof] == pytest.approx((6 + 2 + 5 + 5 + 4) * 0.3048)

    typed: list[str] = []
    path = tmp_path / "lengths.db"
    async with running(path, size) as pilot:
        await press(pilot, *AMPLIFIERS, "enter")
        screen = build_screen(pilot)
        while (id := screen.grid.row_id) and (run := run_of(screen.workbench.build, id)):
            if run in typed_runs(screen.workbench.build):
                break
            feet = lengths[run] / 0.3048
            bare = run == "r4"  # from location to location: a bare number is feet
            keys = (f"{feet:g}" if bare else f"{feet:g}ft", "enter")
            await press(pilot, *keys)
            typed += keys
    plain = reopened(path)
    assert not to_measure(plain)
    new = {run.id for run in plain.runs if not run.existing}
    assert {run.id: run.length_m for run in evaluate(plain).runs if run.id in new} == (
        pytest.approx({id: lengths[id] for id in new})
    )
    in_ways, in_lengths = strokes(BY_WAYS), strokes(["enter", *typed])
    assert (in_ways, in_lengths) == (37, 70)


def run_of(build: Build, row: str) -> str:
    """The run whose length is under the cursor."""
    id = row.split(".", maxsplit=1)[0]
    if id in {run.id for run in build.runs}:
        return id
    return next((r.id for r in build.runs if id == r.target and r.polarity == "positive"), "")


def typed_runs(build: Build) -> set[str]:
    return {run.id for run in build.runs if run.length_m is not None}


@pytest.mark.parametrize("size", SIZES)
async def test_a_changed_section_is_followed_by_all_at_one_edit(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    before = estate()
    key = stored(path, before)

    def lines() -> int:
        with connect(path) as file:
            return int(file.execute("SELECT count(*) FROM journal").fetchone()[0])

    had = lines()
    async with running(path, size, key, page="alt+j") as pilot:
        grid = build_screen(pilot).grid_of("sections")
        grid.go("y3", "length_m")
        build_screen(pilot).focus_grid(grid)
        await press(pilot, "3.5m", "enter")
        assert lines() == had + 1
        after = reopened(path, key)
        told = evaluate(after)
        assert format_quantity("length", 3.5, after.header.units) in screen_text(pilot)
        await press(pilot, "ctrl+z")
    assert reopened(path, key) == before
    was = evaluate(before)
    through = ("r2", "r3", "r4", "r5", "r6", "r7")
    for run, old in zip(told.runs, was.runs, strict=True):
        more = 2.0 if run.id in through else 0.0
        assert run.length_m == pytest.approx(old.length_m + more)
        if more:  # and with its length its resistance, mass and drop
            assert run.resistance_ohm > old.resistance_ohm
            assert run.conductor_kg != old.conductor_kg
    assert {run.id: run.length_m for run in after.runs} == {r.id: None for r in before.runs}

    def bought(sheet: Sheet, item: str) -> float:
        return sum(line.needed for line in sheet.materials if line.item.startswith(item))

    # 2 m more of the trunk's harness with a tenth of slack: tube, and a clamp every 0.45 m begun.
    assert bought(told, "Split loom") - bought(was, "Split loom") == pytest.approx(2.2)
    assert bought(told, "P-clamp") - bought(was, "P-clamp") == 5
    assert bought(told, "Copper wire") - bought(was, "Copper wire") == pytest.approx(
        6 * 2.2, abs=0.06
    )


async def test_prices_follow_a_section(tmp_path: Path) -> None:
    from decimal import Decimal

    from domain.money.estimate import estimate
    from domain.money.shopping import shopping
    from domain.shop.catalogue import CatalogueItem
    from domain.shop.times import default_times

    items = (
        CatalogueItem(name="Cable", group="Wire", pack=1, unit=PackUnit("m"), price=Decimal("3")),
    )

    def cost(build: Build) -> float:
        sheet = evaluate(build)
        lines = shopping(build, sheet, items, quick=True).lines
        return float(estimate(build, sheet, lines, default_times()).total or 0)

    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, WIDE, key, page="alt+j") as pilot:
        grid = build_screen(pilot).grid_of("sections")
        grid.go("y3", "length_m")
        build_screen(pilot).focus_grid(grid)
        await press(pilot, "3.5m", "enter")
    assert cost(reopened(path, key)) > cost(estate())


async def test_a_device_moved_on_the_page_is_measured_again(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = estate(length_m=4.2)
    key = stored(path, build)
    async with running(path, WIDE, key, page="alt+j") as pilot:
        grid = build_screen(pilot).grid_of("standing")
        grid.go("d1", "place")
        build_screen(pilot).focus_grid(grid)
        await press(pilot, "nowhere", "enter")
        assert "is not there" in status(pilot)
        await press(pilot, "escape", "trunk", "enter")
    moved = reopened(path, key)
    assert (moved.blocks[0].place, moved.runs[0].length_m) == ("j4", None)


async def test_findings_lead_to_the_section(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, estate())
    async with running(path, WIDE, key, page="alt+j") as pilot:
        found = build_screen(pilot).workbench.sheet.findings
        ours = [f for f in found if f.table == "sections"]
        assert [f.code for f in ours] == ["hole-unknown"]
        for _ in found:
            await press(pilot, "ctrl+g")
            grid = build_screen(pilot).grid
            if grid.spec.id == "sections":
                break
        assert (grid.spec.id, grid.row_id) == ("sections", "y1")
        await press(pilot, "new", "enter")
    assert reopened(path, key).sections[0].hole.value == "new hole, grommet"


async def test_places_are_named_added_and_removed_and_said_twice_not_added(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    async with running(path, WIDE) as pilot:
        await press(pilot, "ctrl+n", "enter", "alt+j", "ctrl+n", "down", "down", "enter")
        assert len(build_screen(pilot).workbench.build.places) == 1
        await press(pilot, "Dash", "enter", "ctrl+n")
        assert [p.name for p in build_screen(pilot).workbench.build.places] == ["Dash", "Place 2"]
        await press(pilot, "ctrl+p", "the places of a van", "enter")
        assert "its places already" in status(pilot)
        await press(pilot, "ctrl+x")
    with Store(path) as store:
        assert [place.name for place in store.open(1).document.places] == ["Dash"]
