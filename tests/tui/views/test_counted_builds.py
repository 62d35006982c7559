"""Whole builds planned from nothing, every key counted.

Expected by definition: what was typed is in the store; the counts are the product's own aim. A
plan of a sound build has nothing to stop or fix, and nothing is entered that the engine chooses.
"""

from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from domain.build.choices import Chemistry, Isolates, LoadKind, Polarity
from domain.build.records import Build
from domain.evaluate import evaluate, make_plan
from domain.findings import Level
from domain.plan import Plan
from tests.tui.driving import NARROW, build_screen, press, reopened, running, strokes

COMPETITION = (
    "ctrl+n", "enter",                            # a new build, nothing told of it
    "2000", "enter", "enter",                     # an amplifier of 2 kW; to the lengths
    "2x16", "enter", "2x30", "enter", "2x14", "enter",  # two wires each: main run, feed, ground
    "up", "ctrl+d", "ctrl+d", "ctrl+d",           # three more like it
    "ctrl+home", "down", "home", "enter", "150", "enter", "escape",  # the alternator
    "ctrl+d",                                     # and a second one
    "ctrl+n", "ban", "enter", "escape",           # a bank of four
    "ctrl+n", "capa", "enter", "escape",          # a capacitor
    "ctrl+e", "ctrl+e", "ctrl+e",                 # new charge cable and strap, a larger block
    "ctrl+end", "enter",                          # to what is not measured yet
    "40", "enter", "18", "enter", "44", "enter", "15", "enter",  # both alternators [in]
    "20", "enter", "15", "enter",                 # to the isolator; the main run from it [ft]
    "down", "down",                               # the first amplifier is measured
    "34", "enter", "14", "enter", "38", "enter", "12", "enter", "42", "enter", "12", "enter",
    "24", "enter", "12", "enter",                 # one lead of the bank and its ground: all four
    *("down",) * 6, "20", "enter", "10", "enter",  # the capacitor
    "16", "enter",                                # the starter battery's new ground
)  # fmt: skip
"""Two alternators, four LiFePO4, two wires to the boot, four amplifiers of 2 kW, a capacitor."""

CAMPER = (
    "ctrl+n", "enter",                            # a new build, nothing told of it
    "4x75", "enter", "1x500", "enter", "2x150", "enter",  # three amplifiers
    "ctrl+n", "dc", "enter", "60", "enter", "escape",     # battery behind a DC-DC charger of 60 A
    "ctrl+home", "down", "down", "down",          # the main run
    "ctrl+r", "batt", "enter",                    # hangs on the new battery
    "ctrl+n", "inv", "enter", "escape",           # an inverter on the main block
    "ctrl+n", "fri", "enter", "45", "enter", "escape",    # a fridge of 45 W
    "ctrl+e", "ctrl+end", "enter",                # a larger block; to what is not measured yet
    "16", "enter", "20", "enter", "24", "enter",  # charger [ft], battery, block
    "24", "enter", "18", "enter", "20", "enter", "14", "enter", "30", "enter", "16", "enter",
    "36", "enter", "20", "enter", "60", "enter", "18", "enter",  # inverter and fridge
    "12", "enter", "10", "enter", "16", "enter",  # grounds of both batteries and the charger
)  # fmt: skip


class Plans:
    """Works a build out only where the keys ask what follows: that no edit depends on."""

    ASKING = "ctrl+e"
    """The key that fixes the first finding."""

    def __init__(self) -> None:
        self.asked = False

    def planned(self, build: Build, *, swept: bool = False, like: Plan | None = None) -> Plan:
        """The plan of a build, or the last one with this build."""
        if like is None or self.asked:
            return make_plan(build, swept=swept, like=like)
        return replace(like, build=build)

    async def press(self, pilot: Pilot[int], keys: Sequence[str]) -> None:
        """Press keys, with the plan worked out before those that ask for it."""
        for asked, group in groupby(keys, self.ASKING.__eq__):
            self.asked = asked
            if asked:
                bench = build_screen(pilot).workbench
                bench.take(make_plan(bench.build))
                build_screen(pilot).show_all()
            await press(pilot, *group)


@pytest.fixture(autouse=True)
def plans(monkeypatch: pytest.MonkeyPatch) -> Plans:
    """What is looked for while the keys rest is not: each test works it out at its end.

    Nor is a value worked out at each of its letters, or at each edit; nobody sees the screen.
    """
    found = Plans()
    monkeypatch.setattr("tui.screens.settling.REST_S", 600.0)
    monkeypatch.setattr("tui.screens.mending.TRY_AFTER_S", 600.0)
    monkeypatch.setattr("tui.grids.editing.CellEditing._preview", lambda _: None)
    monkeypatch.setattr("tui.workbench.planned", found.planned)
    monkeypatch.setattr("textual.screen.Screen._compositor_refresh", lambda _: None)
    return found


def pinned(build: Build) -> list[str]:
    """Runs of which something is entered that the engine chooses."""
    fields = ("gauge", "fuse_a", "fuse_family", "cover", "bundle", "slack_m")
    return [
        run.id
        for run in build.runs
        if not run.existing and any(getattr(run, field) is not None for field in fields)
    ]


async def test_a_competition_car_takes_130_keys(tmp_path: Path, plans: Plans) -> None:
    assert strokes(COMPETITION) <= 130
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await plans.press(pilot, COMPETITION)
    build = reopened(path)
    assert [a.channel_w for a in build.amplifiers] == [2000.0] * 4
    assert [g.rated_a for g in build.alternators] == [150.0, 150.0]
    bank = [b for b in build.batteries if b.chemistry is Chemistry.LIFEPO4]
    assert len(bank) == 4
    assert [v.kind for v in build.appliances] == [LoadKind.CAPACITOR]
    assert next(r.count for r in build.runs if r.name == "Main run") == 2
    assert pinned(build) == []
    assert [r.id for r in build.runs if r.length_m is None and not r.existing] == []
    # one length was typed for all leads of a side; 1 in = 0.0254 m exactly
    sheet = evaluate(build, swept=True)
    for polarity, inches in ((Polarity.POSITIVE, 24), (Polarity.GROUND, 12)):
        ids = {b.id for b in bank}
        leads = [r for r in build.runs if r.source in ids and r.polarity is polarity]
        assert [r.length_m for r in leads] == pytest.approx([inches * 0.0254] * 4)
        results = [sheet.run(r.id) for r in leads]
        assert len({r and (r.gauge, r.fuse_a) for r in results}) == 1
    assert [f.what for f in sheet.findings if f.level is not Level.NOTE] == []


async def test_a_camper_takes_150_keys(tmp_path: Path, plans: Plans) -> None:
    assert strokes(CAMPER) <= 150
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await plans.press(pilot, CAMPER)
    build = reopened(path)
    assert len(build.amplifiers) == 3
    assert [b.isolates for b in build.blocks if b.isolates] == [Isolates.CONVERTER]
    assert [v.kind for v in build.appliances] == [LoadKind.INVERTER, LoadKind.POWER]
    assert next(r for r in build.runs if r.name == "Main run").source == "b2"
    assert pinned(build) == []
    assert [r.id for r in build.runs if r.length_m is None and not r.existing] == []
    sheet = evaluate(build, swept=True)
    assert [f.what for f in sheet.findings if f.level is not Level.NOTE] == []
