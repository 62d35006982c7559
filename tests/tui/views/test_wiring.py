"""The page of the wiring: what is drawn, and that the power side can be planned on it alone.

Expected by definition: every wire stands once, a fuse at the end where it sits; what is typed is
in the store.
"""

from pathlib import Path

import pytest

from demo_db.load import demo_builds
from domain.build import actions
from domain.build.edits import SetField
from domain.build.records import Build
from domain.evaluate import evaluate
from tests.tui.driving import press, reopened, running, stored
from tui.app import MainrunApp
from tui.grids.grid_screen import GridScreen
from tui.paste import PasteParser
from tui.tables.wiring import wiring


def two_amplifiers() -> Build:
    build = actions.start_build("Estate")
    for name in ("Front", "Bass"):
        build = actions.applied(build, actions.add_amplifier(build, name=name))
    return build


def drawn(build: Build) -> dict[str, str]:
    """The drawing: text by id of its row."""
    return {row.id: row.text for row in wiring(build, evaluate(build))}


def screen_of(app: object) -> GridScreen:
    assert isinstance(app, MainrunApp)
    assert isinstance(app.screen, GridScreen)
    return app.screen


@pytest.mark.parametrize("build", [build for _, build in demo_builds()])
def test_every_wire_and_device_stands_once(build: Build) -> None:
    rows = wiring(build, evaluate(build))
    assert sorted(row.run.id for row in rows if row.run) == sorted(run.id for run in build.runs)
    first = [row.device for row in rows if not row.again and not row.device.startswith("e")]
    devices = (*build.batteries, *build.alternators, *build.blocks, *build.amplifiers)
    assert sorted(first) == sorted(device.id for device in devices)


def test_a_fuse_stands_at_the_end_where_it_sits() -> None:
    build = two_amplifiers()
    feed = next(run for run in build.runs if run.target == "a1" and run.fused)
    at_once, behind, far = (
        drawn(actions.applied(build, *(SetField(table="runs", id=feed.id, field=f, value=v)
                                       for f, v in changes)))[feed.id]
        for changes in (
            [("fuse_a", 30.0), ("fuse_distance_m", 0.0)],
            [("fuse_a", 30.0), ("fuse_distance_m", 0.2)],
            [("fuse_a", 30.0), ("fused", False), ("far_fused", True)],
        )
    )  # fmt: skip
    assert "═[30]═" in at_once
    assert "┄[30]═" in behind
    assert "[30] Front" in far
    assert "═[30]" in far


def test_what_fails_is_marked_where_it_is() -> None:
    build = two_amplifiers()
    feed = next(run for run in build.runs if run.target == "a1" and run.fused)
    assert not drawn(build)[feed.id].startswith("!!")
    wrong = build
    for field, value in (("gauge", "AWG 16"), ("fuse_a", 300.0)):
        edit = SetField(table="runs", id=feed.id, field=field, value=value)
        wrong = actions.applied(wrong, edit)
    assert drawn(wrong)[feed.id].startswith("!!")


def test_a_ring_of_wires_stands_once_and_is_named_at_its_other_end() -> None:
    build = two_amplifiers()
    block = build.blocks[0].id
    ring = actions.applied(build, actions.add_run(build, build.batteries[0].id, block))
    rows = [row for row in wiring(ring, evaluate(ring)) if row.device == block]
    assert [row.again for row in rows] == [False, True]
    assert "^" in rows[1].text


async def test_a_length_is_typed_and_the_fields_of_a_thing_are_opened_and_set(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, two_amplifiers())
    async with running(path, key=key) as pilot:
        await press(pilot, "alt+1")
        screen = screen_of(pilot.app)
        assert screen.view.id == "wiring"
        run = screen.grid.row_id  # the first whose length is assumed
        await press(pilot, "3.5", "m", "enter")
        assert next(r.length_m for r in reopened(path).runs if r.id == run) == 3.5

        feed = next(r.id for r in reopened(path).runs if r.target == "a1" and r.fused)
        screen.grid.go(feed, "·wiring")
        await press(pilot, "enter")
        assert screen.grid.spec.id == "thing"
        assert {f"{feed}.gauge", "a1.power"} < set(screen.grid.row_ids)
        screen.grid.go(f"{feed}.gauge", "value")
        await press(pilot, "AWG 4", "enter")
        screen.grid.go("a1.power", "value")
        await press(pilot, "4x100", "enter")
        build = reopened(path)
        assert next(r.gauge for r in build.runs if r.id == feed) == "AWG 4"
        assert (build.amplifiers[0].channels, build.amplifiers[0].channel_w) == (4, 100.0)
        await press(pilot, "escape")
        assert (screen.grid.spec.id, screen.grid.row_id) == ("wiring", feed)


async def test_an_amplifier_is_added_behind_the_block_under_the_cursor_and_taken_out(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    build = two_amplifiers()
    block = actions.add(build, "blocks")
    build = actions.applied(build, block)
    new = build.blocks[-1].id
    build = actions.applied(build, actions.add_run(build, build.batteries[0].id, new, fused=True))
    key = stored(path, build)
    async with running(path, key=key) as pilot:
        await press(pilot, "alt+1")
        screen = screen_of(pilot.app)
        screen.grid.go(build.runs[-1].id, "·wiring")
        await press(pilot, "ctrl+n", "enter")
        after = reopened(path)
        (added,) = {a.id for a in after.amplifiers} - {a.id for a in build.amplifiers}
        (feed,) = [r for r in after.runs if r.target == added and r.polarity.value == "positive"]
        assert feed.source == new
        assert feed.fused
        # what is typed next is its power
        assert (screen.grid.spec.id, screen.grid.row_id) == ("thing", f"{added}.power")
        await press(pilot, "4x60", "enter", "escape")
        after = reopened(path)
        assert next(a.channel_w for a in after.amplifiers if a.id == added) == 60.0

        screen.grid.go(feed.id, "·wiring")
        await press(pilot, "ctrl+x")
        assert reopened(path).amplifiers == build.amplifiers
        assert reopened(path).runs == build.runs
        await press(pilot, "ctrl+z")
        assert reopened(path).amplifiers == after.amplifiers


@pytest.mark.parametrize(
    ("key", "view"),
    [
        ("alt+1", "wiring"),
        ("alt+2", "amplifiers"),
        ("alt+3", "battery"),
        ("alt+4", "distribution"),
        ("alt+5", "grounds"),
        ("alt+6", "parts"),
        ("alt+7", "readings"),
        ("alt+8", "pack"),
    ],
)
async def test_every_page_is_reached_without_an_f_key(tmp_path: Path, key: str, view: str) -> None:
    path = tmp_path / "store.db"
    async with running(path, key=stored(path, two_amplifiers())) as pilot:
        await press(pilot, key)
        screen = screen_of(pilot.app)
        assert screen.view.id == view
        places = [each.id for each in screen.views]
        await press(pilot, "ctrl+pagedown")
        assert screen.view.id == places[(places.index(view) + 1) % len(places)]
        await press(pilot, "ctrl+pageup", "ctrl+pageup")
        assert screen.view.id == places[places.index(view) - 1]


def test_alt_and_a_digit_are_what_a_terminal_sends_for_them() -> None:
    # ECMA-48 has nothing for alt; terminals send an escape before the character (common practice)
    for digit in "0123456789":
        parser = PasteParser()
        keys = [getattr(m, "key", "") for m in [*parser.feed(f"\x1b{digit}"), *parser.feed("")]]
        assert keys == [f"alt+{digit}"]
