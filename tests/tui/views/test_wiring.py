"""The page of the wiring: what is drawn, and that the power side can be planned on it alone.

Expected by definition: every wire stands once, a fuse at the end where it sits; what is typed is
in the store.
"""

from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest

from demo_db.load import demo_builds
from domain.build import actions, removal, run_ends
from domain.build.choices import UnitHabit
from domain.build.edits import SetField
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.findings import Level
from domain.money.matching import match
from domain.money.shares import shares
from domain.shop.catalogue import CatalogueItem
from domain.topics.runs import jumped
from domain.units.show import format_quantity
from tests.domain.electrical.small import small_build
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
    strokes,
)
from tests.tui.stillness import settled
from tui.app import MainrunApp
from tui.grids.grid_screen import GridScreen
from tui.paste import PasteParser
from tui.screens.build import BuildScreen
from tui.screens.build_actions import BUILD
from tui.screens.builds_actions import BUILDS
from tui.screens.shop_actions import SHOP
from tui.tables.limb_figures import DESIGN_TITLE, FIGURES, Look
from tui.tables.wiring import WiringRow, wiring
from tui.views.build.wiring import WiringView
from tui.widgets.pane_lines import sorted_findings


def two_amplifiers() -> Build:
    build = start_build("Estate")
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
    every = [row for row in wiring(build, evaluate(build)) if row.column is None]
    rows = [row for row in every if not row.leads]
    assert sorted(row.run.id for row in rows if row.run) == sorted(run.id for run in build.runs)
    first = [row.device for row in rows if not row.again and not row.device.startswith("e")]
    devices = (*build.batteries, *build.alternators, *build.blocks, *build.amplifiers)
    ids = [device.id for device in (*devices, *build.appliances)]
    assert sorted(first) == sorted(ids)
    led = sorted(id for row in every for id in row.leads)
    assert led == sorted(each.id for each in (*build.remotes, *build.leads))


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
    ring = actions.applied(build, run_ends.add_run(build, build.batteries[0].id, block))
    rows = [row for row in wiring(ring, evaluate(ring)) if row.device == block]
    assert [row.again for row in rows] == [False, True]
    assert "^" in rows[1].text


@pytest.mark.parametrize("size", SIZES)
async def test_leads_stand_below_the_drawing_and_their_form_opens(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, two_amplifiers())
    async with running(path, size, key=key) as pilot:
        await press(pilot, "alt+1")
        screen = screen_of(pilot.app)
        assert "Head unit ┈┈ 2 leads" in screen_text(pilot)
        ids = list(screen.grid.row_ids)
        assert ids[-2:] == ["t1", "+amplifier"]
        screen.grid.go("t1", "·wiring")
        for refused in ("ctrl+x", "ctrl+d"):
            await press(pilot, refused)
            assert "Amplifiers (F2)" in status(pilot)
        await press(pilot, "enter")
        assert screen.grid.spec.id == "thing"
        assert {"t1.limit_a", "w1.length_m", "w2.draws_a"} < set(screen.grid.row_ids)
        assert screen.grid.row_id == "w1.length_m"
        await press(pilot, "zzz", "enter")
        assert "Not taken" in status(pilot)
        await press(pilot, "9ft", "enter")
        await press(pilot, "escape")
        assert (screen.grid.spec.id, screen.grid.row_id) == ("wiring", "t1")
    # 1 ft = 0.3048 m exactly
    assert [lead.length_m for lead in reopened(path).leads] == [pytest.approx(9 * 0.3048), None]
    assert len(reopened(path).leads) == 2


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
    build = actions.applied(build, run_ends.add_run(build, build.batteries[0].id, new, fused=True))
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


PAGES = (
    *("wiring", "amplifiers", "battery", "distribution"),
    *("grounds", "parts", "readings", "pack"),
)
"""What alt+1, alt+2 and so on go to."""


async def test_every_page_is_reached_without_an_f_key(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, two_amplifiers())
    async with running(path, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        for number, view in enumerate(PAGES, 1):  # each for the first time, then from all others
            await press(pilot, f"alt+{number}")
            assert screen.view.id == view
        places = [each.id for each in screen.views]
        for number, view in enumerate(PAGES, 1):
            await press(pilot, f"alt+{number}")
            assert screen.view.id == view
            await press(pilot, "ctrl+pagedown")
            assert screen.view.id == places[(places.index(view) + 1) % len(places)]
            await press(pilot, "ctrl+pageup", "ctrl+pageup")
            assert screen.view.id == places[places.index(view) - 1]
    async with running(path, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        for place in range(len(places)):  # and each for the first time by the page before it
            assert screen.view.id == places[place]
            await press(pilot, "ctrl+pagedown")


def test_alt_and_a_key_are_what_a_terminal_sends_for_them() -> None:
    # ECMA-48 has nothing for alt; terminals send an escape before the character (common practice)
    wanted = {key for action in (*BUILDS, *BUILD, *SHOP) for key in action.keys}
    letters = {key[-1] for key in wanted if key.startswith("alt+") and len(key) == 5}
    assert letters >= set("12345678")
    for letter in letters:
        parser = PasteParser()
        keys = [getattr(m, "key", "") for m in [*parser.feed(f"\x1b{letter}"), *parser.feed("")]]
        assert keys == [f"alt+{letter}"]


def many(blocks: int, amplifiers: int) -> Build:
    """Blocks at the battery, each with so many amplifiers."""
    build = start_build("Many")
    for number in range(blocks):
        if number:
            build = actions.applied(build, actions.add(build, "blocks", places=amplifiers))
            feed = run_ends.add_run(build, "b1", build.blocks[-1].id, fused=True)
            build = actions.applied(build, feed)
        for _ in range(amplifiers):
            edit = actions.add_amplifier(build, channel_w=50.0)
            build = actions.applied(build, edit)
            run = build.runs[-2].id
            build = actions.applied(
                build, SetField(table="runs", id=run, field="source", value=build.blocks[-1].id)
            )
    return build


async def test_a_new_build_opens_on_its_wiring_ready_for_the_first_amplifier(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await press(pilot, "ctrl+n", "enter")
        screen = screen_of(pilot.app)
        assert screen.view.id == "wiring"
        assert "+ amplifier: type its power" in screen_text(pilot)
        assert "Its fields" not in screen_text(pilot)  # a form of nothing takes no room
        await press(pilot, "4x75", "enter", "1x500", "enter")
        build = reopened(path)
        assert [(a.channels, a.channel_w) for a in build.amplifiers] == [(4, 75.0), (1, 500.0)]
        assert screen.grid.row_id == "+amplifier"
        await press(pilot, "enter")  # to the lengths: the main run comes first
        assert screen.grid.row_id == "r4"
        await press(pilot, "16", "enter")
        assert "Taken as 16 ft" in status(pilot)
        # from the engine bay to the boot: feet; 1 ft = 0.3048 m exactly
        assert next(r.length_m for r in reopened(path).runs if r.id == "r4") == 16 * 0.3048
        assert screen.grid.row_id != "r4"
        await press(pilot, "18", "enter")
        assert status(pilot) == "Taken as 18 in; 18' for feet"
        await press(pilot, "20", "enter")  # said once: the line tells of the next cell again
        assert status(pilot).startswith("Length: 3 ft 6 in")
        await press(pilot, "2", "enter")  # but two feet may have been meant
        assert status(pilot) == "Taken as 2 in; 2' for feet"
        lengths = [r.length_m for r in reopened(path).runs if r.target == "a1"]
        assert lengths == pytest.approx([18 * 0.0254])  # within a zone: inches


async def test_what_stands_ready_takes_a_power_or_says_why_not(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, page="") as pilot:
        await press(pilot, "ctrl+n", "enter", "door", "enter")
        assert "power is wanted" in status(pilot)
        await press(pilot, "escape")
        assert not reopened(path).amplifiers
        await press(pilot, "space", "escape", "delete", "ctrl+x", "ctrl+d")
        assert not reopened(path).amplifiers


async def test_what_stands_ready_tells_in_one_line_what_it_takes(tmp_path: Path) -> None:
    async with running(tmp_path / "store.db", NARROW, page="") as pilot:
        await press(pilot, "ctrl+n", "enter", "4x75", "enter", "up", "down")
        assert status(pilot).endswith("4x75+1x300; enter: to the lengths")


async def test_what_was_said_of_one_edit_does_not_stay_for_the_next(tmp_path: Path) -> None:
    async with running(tmp_path / "store.db", page="") as pilot:
        await press(pilot, "ctrl+n", "enter")
        bench = build_screen(pilot).workbench
        told: list[str] = []
        for power in ("4x75", "1x800", "2x150", "2x5", "1x2000"):
            await press(pilot, power, "enter")
            told.append(jumped(bench.before, bench.sheet))
            assert status(pilot) == told[-1] or (
                not told[-1] and status(pilot).startswith("Next amplifier: its power")
            )
        # Expected by definition: both cases are among them, one right after the other.
        assert any(one and not other for one, other in pairwise(told))


async def test_in_a_form_the_field_is_told_of_again_as_it_is_after_an_edit(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    build = two_amplifiers()
    key = stored(path, build)
    async with running(path, key=key, page="alt+1") as pilot:
        screen = build_screen(pilot)
        feed = next(run.id for run in build.runs if run.target == "a1")
        await screen.held(WiringView).show_thing(feed, "length_m")
        await press(pilot, "3 ft", "enter")
        assert screen.grid.go(f"{feed}.length_m", "value")
        await settled(pilot)
        assert status(pilot).startswith("Length: 3 ft 6 in")
        await press(pilot, "delete")
        assert not any(run.length_m for run in reopened(path, key).runs if run.id == feed)
        assert status(pilot) == "assumed, not measured yet"


@pytest.mark.parametrize("column", ["length_m", "gauge", "·figure"])
async def test_what_stands_ready_is_typed_into_from_anywhere_on_its_row(
    column: str, tmp_path: Path
) -> None:
    path = tmp_path / "store.db"
    async with running(path, page="") as pilot:
        await press(pilot, "ctrl+n", "enter")
        screen_of(pilot.app).grid.go("+amplifier", column)
        await press(pilot, "4x75", "enter")
        assert [a.channel_w for a in reopened(path).amplifiers] == [75.0]


async def test_a_build_without_a_battery_asks_for_one(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = start_build()
    build = actions.applied(build, removal.remove(build, "batteries", "b1"))
    key = stored(path, build)
    async with running(path, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        assert "+ battery: type its capacity" in screen_text(pilot)
        screen.grid.go("+battery", "·wiring")
        await press(pilot, "80", "enter")
        assert [b.capacity_ah for b in reopened(path).batteries] == [80.0]
        assert "+ battery" not in screen_text(pilot)


async def test_figures_and_states_are_stepped_through(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, two_amplifiers())
    async with running(path, NARROW, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        seen = []
        for _ in FIGURES:
            heading = screen_text(pilot).splitlines()[3]
            seen += [figure.title for figure in FIGURES if f"·{figure.title}" in heading]
            assert "more columns" not in screen_text(pilot)
            await press(pilot, "alt+v")
        assert seen == [figure.title for figure in FIGURES]
        await press(pilot, "alt+v")  # the current
        sheet = screen.workbench.sheet
        for state in (None, *sheet.states):
            told = screen_text(pilot).splitlines()[2]
            assert (state.title if state else DESIGN_TITLE) in told
            for run in sheet.runs:
                amperes = (
                    run.design_a * run.count if state is None else abs(state.current_a[run.id])
                )
                row = next(row for row in rows_on(screen) if row.run and row.run.id == run.id)
                assert row.figure == format_quantity("current", amperes, UnitHabit.INCH)
            await press(pilot, "alt+e")


def rows_on(screen: GridScreen) -> list[WiringRow]:
    """The rows of the drawing on the screen."""
    view = screen.view
    assert isinstance(view, WiringView)
    return view.rows()


@pytest.mark.parametrize("size", SIZES)
async def test_sixty_four_amplifiers_fit_with_their_blocks_folded(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    build = many(8, 8)
    assert len(build.amplifiers) == 64
    key = stored(path, build)
    async with running(path, size, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        text = screen_text(pilot)
        assert "more below" not in text
        assert "above" not in text
        # 8 x 50 W behind each block, by multiplication
        assert text.count("▸ 400 W") == 8
        screen.grid.go("r4", "·wiring")
        await press(pilot, "space")
        assert "Amp 8" in " ".join(row.text for row in rows_on(screen))
        assert len([row for row in rows_on(screen) if row.device.startswith("a")]) == 8
        await press(pilot, "space")
        assert not [row for row in rows_on(screen) if row.device.startswith("a")]
        await press(pilot, "right")
        assert len([row for row in rows_on(screen) if row.device.startswith("a")]) == 8
        await press(pilot, "alt+g")
        assert len([row for row in rows_on(screen) if row.device.startswith("a")]) == 64
        await press(pilot, "alt+g")
        assert not [row for row in rows_on(screen) if row.device.startswith("a")]


async def test_left_leads_to_what_feeds_it(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, two_amplifiers())
    async with running(path, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        feed = next(r.id for r in two_amplifiers().runs if r.target == "a2" and r.fused)
        screen.grid.go(feed, "·wiring")
        await press(pilot, "left")
        assert screen.grid.row_id == "r4"  # the main run with the block
        await press(pilot, "left")
        assert screen.grid.row_id == "b1"
        await press(pilot, "left")
        assert screen.grid.row_id == "b1"  # nothing feeds the battery here


def test_what_is_wrong_behind_a_folded_block_is_marked_there() -> None:
    build = two_amplifiers()
    feed = next(run for run in build.runs if run.target == "a1" and run.fused)
    for field, value in (("gauge", "AWG 16"), ("fuse_a", 300.0)):
        build = actions.applied(build, SetField(table="runs", id=feed.id, field=field, value=value))
    folded = wiring(build, evaluate(build), Look(folded=frozenset({"d1"})))
    assert next(row.text for row in folded if row.device == "d1").startswith("!!")


def test_shares_of_the_materials_come_to_their_price() -> None:
    build = two_amplifiers()
    sheet = evaluate(build)
    items = [
        CatalogueItem(
            id=f"i{n}",
            name=f"{line.item} {line.size}",
            group=line.group,
            item_rule=line.item,
            size_rule=line.size,
            unit=PackUnit.METRE if line.unit == "m" else PackUnit.EACH,
            price=Decimal(str(3.7 + n)),
        )
        for n, line in enumerate(sheet.materials)
        if line.unit in ("m", "each")
    ]
    lines = match(sheet.materials, items)
    found = shares(sheet, lines)
    asked = [line.worth for line in lines if line.worth is not None and line.line.asked_by]
    assert asked
    assert float(sum(found.values())) == pytest.approx(float(sum(asked)))
    # of one wire of one colour two runs take what they take of its metres
    wire = next(x for x in lines if x.line.group == "Wire" and x.worth and len(x.line.asked_by) > 1)
    alone = shares(sheet, [wire])
    per_m = {
        id: float(share) / (run.wire_m * run.count)
        for id, share in alone.items()
        if (run := sheet.run(id)) is not None
    }
    assert max(per_m.values()) == pytest.approx(min(per_m.values()))


@pytest.mark.parametrize("size", SIZES)
async def test_tab_leads_from_form_to_form_and_each_has_all_fields(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    key = stored(path, two_amplifiers())
    async with running(path, size, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        build = reopened(path)
        screen.grid.go("b1", "·wiring")
        await press(pilot, "enter")
        seen: set[str] = set()
        for _ in range(40):
            assert screen.grid.spec.id == "thing"
            assert "more columns" not in screen_text(pilot)
            if seen >= set(screen.grid.row_ids):
                break
            seen |= set(screen.grid.row_ids)
            await press(pilot, "tab")
        for table in ("batteries", "alternators", "blocks", "amplifiers", "grounds", "runs"):
            for record in getattr(build, table):
                fields = {"id", "polarity", "fused", "channels", "channel_w", "sub_channels"}
                fields |= {"sub_channel_w"}
                beside: set[str] = set()
                if table == "blocks":  # it says nothing of isolators, chargers, relays and bars
                    beside = {"isolates", "rated_a", "peak_a", "charge_v", "input_a", "efficiency"}
                    beside |= {"join_v", "part_v", "join_s", "part_s", "bar_width_m", "bar_thick_m"}
                if table == "batteries":  # lead has no protection of its own that parts it
                    beside = {"discharge_limit_a", "charge_limit_a", "hottest_c"}
                    beside |= {"charge_hottest_c", "charge_coldest_c"}
                if table == "runs":  # a fuse says nothing of how a breaker closes again
                    beside = {"resets"}
                assert not {f"{record.id}.{field}" for field in beside} & seen
                fields |= beside
                for field in set(record.__struct_fields__) - fields:
                    assert f"{record.id}.{field}" in seen, (record.id, field)
        # what follows from a wire stands below its fields, and takes nothing
        feed = next(r.id for r in build.runs if r.target == "a1" and r.fused)
        assert f"{feed}.·drop" in seen
        await press(pilot, "shift+tab", "escape")
        assert screen.grid.spec.id == "wiring"
        assert "tab: the next" not in screen_text(pilot)
        # Its key leads to the drawing, from the form itself and from another page; help says so.
        assert "out of a form" in next(each.help for each in BUILD if "alt+1" in each.keys)
        for keys in (["enter"], ["enter", "f2"]):
            await press(pilot, *keys, "alt+1")
            assert screen.grid.spec.id == "wiring"
            assert screen.grid.display
            assert "tab: the next" not in screen_text(pilot)


async def test_a_finding_behind_a_folded_block_is_gone_to(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    build = many(8, 8)
    feed = next(run for run in build.runs if run.target == "a64" and run.fused)
    build = actions.applied(
        build, SetField(table="runs", id=feed.id, field="gauge", value="AWG 22")
    )
    key = stored(path, build)
    async with running(path, key=key, page="") as pilot:
        screen = screen_of(pilot.app)
        place = next(
            n
            for n, f in enumerate(sorted_findings(screen.workbench.sheet))
            if f.id == feed.id and f.field == "gauge"
        )
        assert isinstance(screen, BuildScreen)
        await screen.go_to_finding(place)
        await pilot.pause()
        assert (screen.grid.spec.id, screen.grid.row_id) == ("thing", f"{feed.id}.gauge")
        assert "AWG" in status(pilot)
        await press(pilot, "escape")
        assert (screen.grid.spec.id, screen.grid.row_id) == ("wiring", feed.id)


HATCHBACK = (
    "ctrl+n", "enter",                     # a new build
    "4x75", "enter", "1x500", "enter",     # two amplifiers
    "enter",                               # to the lengths
    "16", "enter",                         # main run [ft]
    "24", "enter", "18", "enter",          # branch and ground of the first [in]
    "20", "enter", "14", "enter",          # and of the second
    "ctrl+home", "down", "home", "enter",  # the alternator
    "90", "enter",                         # what it gives, warm
    "escape",
)  # fmt: skip
"""Every key of a hatchback with two amplifiers, its lengths measured."""


@pytest.mark.parametrize("size", SIZES)
async def test_a_hatchback_with_two_amplifiers_takes_45_keys(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    assert strokes(HATCHBACK) <= 45  # the product's own aim
    path = tmp_path / "store.db"
    async with running(path, size) as pilot:
        await press(pilot, *HATCHBACK)
    build = reopened(path)
    assert [(a.channels, a.channel_w) for a in build.amplifiers] == [(4, 75), (1, 500)]
    assert build.alternators[0].rated_a == 90
    # 1 ft = 0.3048 m and 1 in = 0.0254 m exactly
    lengths = {(r.source, r.target): r.length_m for r in build.runs if not r.existing}
    assert lengths == pytest.approx(
        {
            ("b1", "d1"): 16 * 0.3048,
            ("d1", "a1"): 24 * 0.0254,
            ("a1", "e2"): 18 * 0.0254,
            ("d1", "a2"): 20 * 0.0254,
            ("a2", "e2"): 14 * 0.0254,
        }
    )
    sheet = evaluate(build)
    assert sheet.count(Level.STOP) == 0
    assert all(run.gauge for run in sheet.runs)


async def test_a_form_that_opens_after_its_page_was_left_takes_no_keys(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    key = stored(path, small_build())
    async with running(path, WIDE, key, page="") as pilot:
        screen = build_screen(pilot)
        wiring = screen.view
        assert isinstance(wiring, WiringView)
        await press(pilot, "f4")
        page, grid = screen.view.id, screen.grid
        # what was asked for before the key comes after it
        row = next(each for each in wiring.rows() if each.device == "a1")
        wiring.open_form(row)
        wiring.close_form()
        assert (screen.view.id, screen.grid) == (page, grid)
        await press(pilot, "enter", "escape", "down")
        assert screen.view.id == page
