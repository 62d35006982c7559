"""The demo builds: whole, measured, nobody's, and with the faults they are meant to have."""

import json
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from demo_db.load import DEMO_FILES, DEMO_STOPS, demo_builds, demo_store
from domain.build.actions import applied
from domain.build.choices import BlockKind, Chemistry, Isolates, LoadKind, Surface, UnitHabit
from domain.build.edits import SetField
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Level
from domain.mending import mend
from domain.sheet import Sheet
from storage.store.builds import Store
from storage.transfer import build_schema, export_build, import_build

BUILDS = dict(demo_builds())
NAMES = list(DEMO_FILES)


@cache
def published() -> dict[str, Any]:
    """The schema of a file."""
    return build_schema()


@pytest.fixture(scope="module", params=NAMES)
def build(request: pytest.FixtureRequest) -> Build:
    """Each demo build in turn."""
    return BUILDS[str(request.param)]


@pytest.fixture(scope="module")
def sheet(build: Build) -> Sheet:
    """Its sheet."""
    return evaluate(build)


@pytest.mark.parametrize("name", NAMES)
def test_the_files_follow_the_published_schema(name: str) -> None:
    """Checked by a JSON Schema validator (second method), and nothing changes on a round trip."""
    content = (files("demo_db") / f"{name}.json").read_text(encoding="utf-8")
    jsonschema.validate(json.loads(content), published())
    assert import_build(export_build(BUILDS[name])) == BUILDS[name]


def test_every_length_was_measured(build: Build) -> None:
    """A demo that rests on assumed lengths would show nothing."""
    assert build.runs
    assert all(run.length_m is not None for run in build.runs)
    assert build.header.customer.startswith("Demo customer")


def test_what_the_builds_show() -> None:
    """An estate car with three amplifiers, a camper with two batteries, a small hatchback, a
    motorhome with a DC-DC charger, an inverter, a fridge and three amplifiers, and a competition
    car with two alternators, a bank of four, two wires to it and four amplifiers of 2 kW."""
    estate, camper, hatchback, motorhome, competition = (BUILDS[name] for name in NAMES)
    assert len(competition.alternators) == 2
    assert [b.chemistry for b in competition.batteries[1:]] == [Chemistry.LIFEPO4] * 4
    assert [(a.channels, a.channel_w) for a in competition.amplifiers] == [(1, 2000)] * 4
    assert [load.kind for load in competition.appliances] == [LoadKind.CAPACITOR]
    assert [b.kind for b in competition.blocks] == [BlockKind.BUS_BAR, BlockKind.ISOLATOR]
    # two wires of 1/0, as the engine sizes them: no gauge and no fuse is entered
    mains = [run for run in competition.runs if run.name == "Main run"]
    sized = {run.id: run.gauge for run in evaluate(competition).runs}
    assert [(run.count, sized[run.id]) for run in mains] == [(2, "AWG 1/0")]
    new = [run for run in competition.runs if not run.existing]
    assert all(run.gauge is None and run.fuse_a is None for run in new)
    assert [block.isolates for block in motorhome.blocks if block.isolates] == [Isolates.CONVERTER]
    assert {load.kind for load in motorhome.appliances} == set(LoadKind) - {LoadKind.CAPACITOR}
    assert len(motorhome.amplifiers) == 3
    assert [(a.channels, a.channel_w) for a in estate.amplifiers] == [(4, 75), (1, 800), (2, 60)]
    assert estate.header.units is UnitHabit.INCH
    assert [b.chemistry for b in camper.batteries] == [Chemistry.AGM, Chemistry.LIFEPO4]
    assert camper.header.units is UnitHabit.METRIC
    assert BlockKind.ISOLATOR in {block.kind for block in camper.blocks}
    assert [panel.joins for panel in camper.panels] == ["", "n1", "n1"]
    (five,) = hatchback.amplifiers
    assert five.channels * five.channel_w + five.sub_channels * five.sub_channel_w == 490
    assert hatchback.grounds[1].surface is Surface.PAINTED


def test_the_sheet_is_whole(build: Build, sheet: Sheet) -> None:
    """Every amplifier and run is on the sheet, every state is solved, and energy is conserved."""
    assert [load.id for load in sheet.amplifiers] == [each.id for each in build.amplifiers]
    assert {run.id for run in sheet.runs} == {run.id for run in build.runs}
    assert len(sheet.states) == 6
    assert sheet.materials
    for state in sheet.states:
        assert state.converged
        assert not state.collapsed
        assert state.off == ()
        assert state.source_w == pytest.approx(state.load_w + state.heat_w, rel=1e-9)


@pytest.mark.parametrize("name", ["estate_car", "camper_van", "motorhome", "competition"])
def test_the_clean_builds_have_nothing_to_mend(name: str) -> None:
    """They are examples of how it is done."""
    found = evaluate(BUILDS[name], swept=True).findings
    assert [each for each in found if each.level is not Level.NOTE] == []


def test_the_stops_in_the_list_are_those_of_the_findings() -> None:
    found = {n: evaluate(build, swept=n != "competition") for n, build in BUILDS.items()}
    assert {name: sheet.count(Level.STOP) for name, sheet in found.items()} == DEMO_STOPS


def test_the_three_faults_of_the_hatchback_are_found() -> None:
    """As they were put in: 200 A over AWG 8, a main fuse 1.2 m away, a ground on paint."""
    found = {(each.code, each.id) for each in evaluate(BUILDS["hatchback"]).findings}
    assert found >= {("fuse-over-wire", "r4"), ("fuse-far", "r4"), ("ground-paint", "e2")}


def test_the_demo_parts_are_of_three_shapes() -> None:
    """A routed board, an L and a folded tray, each of another sheet."""
    shapes = [part.shape for name in NAMES for part in evaluate(BUILDS[name]).parts]
    assert sorted(shapes) == ["L", "U", "plate"]
    assert len({part.material for name in NAMES for part in BUILDS[name].parts}) == 3
    assert all(BUILDS[name].fixings for name in NAMES if BUILDS[name].parts)


LEDGE = {
    # rigid PVC keeps its shape up to 53 C (68 C less 15 K), the place has 58
    ("part-too-warm", "p1"),
    # 1/16 in inside radius where the sheet is 6 mm, and a score of 3/32
    ("bend-too-tight", "n2"),
    ("score-too-deep", "n2"),
    # 5/16 in from the edge, a hole for #10 asks for 2.5 diameters
    ("hole-near-edge", "h1"),
    # tapped inside the four thicknesses that are softened
    ("hole-in-heat", "h3"),
    # tapped 5/16-18 in 6 mm, the rule of thumb is 19.8
    ("thread-shallow", "h5"),
}
"""The faults that were put into the ledge of the hatchback, as (code, record)."""


def test_the_faults_of_the_ledge_are_found() -> None:
    """All as they were put in, each with figures; those of the wiring stand beside them."""
    found = {(e.code, e.id): e for e in evaluate(BUILDS["hatchback"]).findings}
    assert set(found) >= LEDGE
    for key in LEDGE:
        assert any(char.isdigit() for char in found[key].why)


def mended_ledge(build: Build) -> Build:
    """The offered edits taken one after the other, the most serious first, until none is left."""
    for _ in range(2 * len(LEDGE)):
        found = [e for e in evaluate(build).findings if e.table in ("parts", "panels", "holes")]
        edit = next((made for e in found if (made := mend(build, e))), None)
        if edit is None:
            return build
        before = {(e.code, e.id) for e in found}
        build = applied(build, edit)
        after = {(e.code, e.id) for e in evaluate(build).findings}
        assert len(before - after) > 0
    raise AssertionError("the edits go round in a circle")


def test_the_offered_edits_mend_the_ledge() -> None:
    """Nothing that must be mended is left; what no edit can do stays as a note."""
    mended = mended_ledge(BUILDS["hatchback"])
    (part,) = evaluate(mended).parts
    assert part.shape == "L"
    assert part.material == "ABS"
    assert part.strength is not None
    assert part.strength.least_margin > 1.5
    left = [e for e in evaluate(mended).findings if e.table in ("parts", "panels", "holes")]
    assert {e.level for e in left} == {Level.NOTE}
    assert {e.code for e in left} <= {"thread-shallow", "strip-resonates-low"}


def test_mending_the_three_faults_clears_them() -> None:
    """What the findings say to do is enough: the same car, wired as it should be."""
    mended = applied(
        mended_ledge(BUILDS["hatchback"]),
        SetField(table="runs", id="r4", field="gauge", value=None),
        SetField(table="runs", id="r4", field="fuse_a", value=None),
        SetField(table="runs", id="r4", field="fuse_distance_m", value=0.25),
        SetField(table="runs", id="r5", field="gauge", value=None),
        SetField(table="grounds", id="e2", field="surface", value="bare metal"),
        SetField(table="grounds", id="e2", field="resistance_ohm", value=0.0005),
    )
    # its readings were taken before: they are taken anew
    mended = mended.but(readings=())
    assert [e for e in evaluate(mended).findings if e.level is not Level.NOTE] == []


def test_the_demo_store_lists_the_estate_car_first(tmp_path: Path) -> None:
    """Newest first, with the number of stops beside each title."""
    key = demo_store(tmp_path / "demo.sqlite")
    with Store(tmp_path / "demo.sqlite") as store:
        listed = store.builds()
        assert [each.title for each in listed] == [BUILDS[name].header.title for name in NAMES]
        assert listed[0].key == key
        assert [bool(each.stops) for each in listed] == [False, False, True, False, False]
        assert store.open(key).document == BUILDS["estate_car"]
