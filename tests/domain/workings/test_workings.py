"""Workings: every figure of a sheet has one, it ends in the figure, and its source is known.

Expected values are the sheet's own figures (the working must end in what is shown). The
arithmetic is checked a second time in ``test_workings_by_hand``.
"""

import pytest

from domain.build.choices import NetworkMode
from domain.build.edits import AddRecord, Edit, SetField, apply
from domain.build.kits import KITS
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical import drive
from domain.electrical.meter import readings
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.evaluate import evaluate, make_plan
from domain.workings.cited import cite, publications, row_source
from domain.workings.context import context
from domain.workings.electrical import drive as drive_workings
from domain.workings.electrical import readings as reading_workings
from domain.workings.figures import record_of, records_of, value_of
from domain.workings.registry import NOT_WORKED, figures_of, text, workings
from domain.workings.working import Figure
from tests.domain.workings.worked import DEMOS, inputs, known_source, worked

RANDOM = (3, 8, 11)


@pytest.mark.parametrize("name", [*DEMOS, *map(str, RANDOM)])
def test_every_working_ends_in_the_figure_shown(name: str) -> None:
    plan = worked(name)
    sheet = plan.sheet
    for figure in figures_of(sheet):
        working = workings(plan, figure)
        shown = value_of(sheet, figure)
        if shown is None:
            assert working.value is None, figure
        else:
            # wires warm as their currents make them settle to one part in a million
            assert working.value == pytest.approx(shown, rel=3e-6, abs=1e-9), figure
        assert known_source(working.source), (figure, working.source)
        assert all(i.unit and i.symbol and i.meaning for i in working.inputs), figure
        assert working.title, figure
        assert working.formula, figure
        if (figure.kind, figure.field) not in NOT_WORKED:
            assert working.unit, figure
            assert working.inputs or working.steps or not shown, figure
        assert all(line.isprintable() for line in text(working)), figure


def test_every_number_of_a_record_is_walked() -> None:
    # A number that the walk passes over would have no working and nobody would know. Everything
    # a record holds is a number, a name, a flag, or names of others; all numbers come up.
    plan = worked("estate_car")
    sheet = plan.sheet
    walked = {(f.kind, f.id, f.field.partition(".")[0]) for f in figures_of(sheet)}
    ids = {(kind, id) for kind, id, _ in walked}
    numbers = 0
    for record in records_of(sheet):
        for name in record.__struct_fields__:
            value = getattr(record, name)
            if isinstance(value, float | int) and not isinstance(value, bool):
                numbers += 1
                assert any(field == name for _, _, field in walked), name
            if isinstance(value, dict) and all(isinstance(v, float) for v in value.values()):
                numbers += len(value)
    assert numbers > 400
    assert len(ids) > 80
    assert context(plan) is context(plan)


def test_what_has_no_working_says_why() -> None:
    plan = worked("estate_car")
    sheet = plan.sheet
    for kind, field in NOT_WORKED:
        figure = next(f for f in figures_of(sheet) if (f.kind, f.field) == (kind, field))
        working = workings(plan, figure)
        assert working.value == value_of(sheet, figure)
        assert working.formula == NOT_WORKED[kind, field]
    assert len(NOT_WORKED) <= 6


@pytest.mark.parametrize(
    "figure",
    [
        Figure("run_result", "r999", "drop_v"),
        Figure("run_result", "r1", "nothing"),
        Figure("nothing", "r1", "drop_v"),
        Figure("network_state", "idle-tone", "node_v.nowhere"),
        Figure("network_state", "idle-tone", "id.nowhere"),
        Figure("run_result", "r1", "name"),
    ],
)
def test_a_figure_that_is_not_there_is_refused(figure: Figure) -> None:
    plan = worked("estate_car")
    with pytest.raises(LookupError, match=r"has no"):
        workings(plan, figure)


def test_a_worked_drop_in_plain_lines() -> None:
    plan = worked("estate_car")
    sheet = plan.sheet
    run = sheet.runs[1]
    lines = text(workings(plan, Figure("run_result", run.id, "drop_v")))
    assert lines == [
        "Drop along the run",
        "  U = I R",
        f"  I = {run.design_a:.6g} A  (design current)",
        f"  R = {run.resistance_ohm:.6g} ohm  (resistance of the run)",
        f"  = {run.drop_v:.6g} V",
        f"  source: LIEC-DC: {publications()['LIEC-DC']}",
    ]


def test_inputs_tell_the_names_that_stand_on_the_screen() -> None:
    plan = make_plan(DEMOS["estate_car"])
    told = text(workings(plan, Figure("supply", "", "design_a")))
    for amplifier in plan.build.amplifiers:
        assert any(
            line.startswith(f"  I {amplifier.id} = ")
            and line.endswith(f"({amplifier.name}: its current)")
            for line in told
        )
    nameless = apply(plan.build, SetField(table="amplifiers", id="a1", field="name", value=""))[0]
    told = text(workings(make_plan(nameless), Figure("supply", "", "design_a")))
    assert any(line.startswith("  I a1 = ") and line.endswith("(its current)") for line in told)


def test_sources() -> None:
    assert known_source("IEC60028 + TYPICAL")
    assert known_source("common practice: as thick as its branch")
    assert known_source("entered")
    assert not known_source("IEC60028 + SOMEBODY")
    assert not known_source("")
    assert cite("A+B", "", "B + C") == "A + B + C"
    assert row_source("metals", metal="copper") == "IPEH"
    with pytest.raises(KeyError):
        row_source("metals", metal="gold")


def test_every_source_key_of_the_tables_is_explained() -> None:
    assert [key for key, publication in publications().items() if not publication] == []


def test_a_new_build_and_an_empty_one() -> None:
    for build in (Build(), start_build()):
        plan = make_plan(build)
        sheet = plan.sheet
        for figure in figures_of(sheet):
            shown = value_of(sheet, figure)
            worked = workings(plan, figure).value
            assert worked == (None if shown is None else pytest.approx(shown, rel=1e-6, abs=1e-9))


def _unusual() -> Build:
    """What the other builds lack: counted strands, own fuse curve, plate rating, loose ends."""
    build = worked("estate_car").build
    run = next(run.id for run in build.runs if run.fused)
    changes: list[Edit] = [
        SetField(table="runs", id=run, field="strands", value=400),
        SetField(table="runs", id=run, field="strand_m", value=0.0003),
        SetField(table="runs", id=run, field="metal", value="copper-clad aluminium"),
        SetField(table="runs", id=run, field="fuse_family", value="strip SF 51"),
        SetField(table="runs", id=build.runs[-1].id, field="target", value=""),
        SetField(table="alternators", id="g1", field="hot", value=False),
        SetField(table="alternators", id="g1", field="idle_a", value=None),
        SetField(table="grounds", id="e2", field="signal", value=True),
        SetField(table="parts", id=build.parts[0].id, field="material", value="unheard of"),
        SetField(table="header", field="programme", value="tone"),
    ]
    for i, (ratio, fastest, slowest) in enumerate(((1.5, 10.0, 400.0), (6.0, 0.1, 2.0)), 1):
        record = {
            "id": f"c{i}",
            "family": "strip SF 51",
            "current_ratio": ratio,
            "fastest_s": fastest,
            "slowest_s": slowest,
        }
        changes.append(AddRecord(table="curves", record=record))
    for change in changes:
        build, _ = apply(build, change)
    return build


def test_an_unusual_build() -> None:
    plan = make_plan(_unusual())
    sheet = plan.sheet
    cited = set()
    for figure in figures_of(sheet):
        shown = value_of(sheet, figure)
        working = workings(plan, figure)
        wanted = None if shown is None else pytest.approx(shown, rel=1e-6, abs=1e-9)
        assert working.value == wanted, figure
        assert known_source(working.source), figure
        cited |= {(figure.kind, figure.field, key) for key in working.source.split(" + ")}
    assert ("fuse_study", "must_open_a", "entered") in cited
    assert ("supply", "idle_a", "TYPICAL") in cited
    assert ("run_result", "conductor_kg", "ASTM-B566") in cited


def test_the_context_follows_the_build() -> None:
    plan = worked("hatchback")
    id = plan.build.amplifiers[0].id
    figure = Figure("amplifier_load", id, "design_a")
    before = workings(plan, figure).value
    edit = SetField(table="amplifiers", id=id, field="channel_w", value=20.0)
    after, _ = apply(plan.build, edit)
    other = make_plan(after)
    wanted = record_of(other.sheet, figure).design_a
    assert workings(other, figure).value == pytest.approx(wanted)
    assert workings(plan, figure).value == before


def test_drive_profile_voltage_and_charge() -> None:
    # Voltage against the solver's own; charge against the stored charge of every battery.
    for name in DEMOS:
        build, _ = apply(
            worked(name).build,
            AddRecord(table="legs", record={"id": "l90", "engine": "off", "duration_s": 300.0}),
        )
        wired = size_and_solve(build).wired
        result = drive.simulate(wired)
        capacity = {b.id: b.capacity_ah for b in build.batteries}
        last = len(result.points) - 1
        for at in (0, 1, last // 2, last):
            point = result.points[at]
            volts = drive_workings.voltage(build, result, at)
            assert volts.value == pytest.approx(point.post_v, rel=1e-6)
            stored = sum(share * capacity[id] for id, share in point.charge.items())
            charge = drive_workings.charge(build, result, at)
            assert charge.value == pytest.approx(stored / sum(capacity.values()), rel=1e-9)
            assert known_source(volts.source)
            assert known_source(charge.source)
        with pytest.raises(IndexError):
            drive_workings.voltage(build, result, last + 1)


def test_predicted_readings() -> None:
    for name in DEMOS:
        build, sheet = worked(name).build, worked(name).sheet
        for reading in readings.predicted(build, sheet):
            volts = reading_workings.predicted_v(build, sheet, reading)
            tolerance = reading_workings.tolerance_v(build, sheet, reading)
            assert volts.value == pytest.approx(reading.predicted_v, rel=1e-6, abs=1e-9)
            assert tolerance.value == pytest.approx(reading.tolerance_v, rel=1e-6, abs=1e-9)
            assert known_source(volts.source)
            assert known_source(tolerance.source)


def test_a_typed_reading() -> None:
    record = {"id": "m90", "at": "b1", "mode": NetworkMode.OFF_TONE, "value_v": 12.0}
    build, _ = apply(worked("estate_car").build, AddRecord(table="readings", record=record))
    sheet = evaluate(build)
    judged = next(reading for reading in readings.judged(build, sheet) if reading.id == "m90")
    working = reading_workings.difference_v(build, sheet, judged)
    i = inputs(working)
    assert i["M"] == 12.0
    assert working.value == pytest.approx(judged.difference_v)
    assert working.value == pytest.approx(12.0 - i["U"])


def test_a_window_that_begins_beyond_every_current_looked_at() -> None:
    # conservation: the working ends in the figure of the sheet, also for an odd window of one's own
    build = worked("estate_car").build
    run = next(run.id for run in build.runs if run.fused)
    change: Edit = SetField(table="runs", id=run, field="fuse_family", value="strip SF 51")
    build, _ = apply(build, change)
    for i, ratio in enumerate((30.0, 60.0)):
        record = {"id": f"c{i + 1}", "family": "strip SF 51", "current_ratio": ratio}
        change = AddRecord(table="curves", record={**record, "slowest_s": 0.1 / (i + 1)})
        build, _ = apply(build, change)
    plan = make_plan(build)
    studied = [figure for figure in figures_of(plan.sheet) if figure.kind == "fuse_study"]
    assert any(figure.id == run for figure in studied)
    for figure in studied:
        shown = value_of(plan.sheet, figure)
        wanted = None if shown is None else pytest.approx(shown, rel=1e-6)
        assert workings(plan, figure).value == wanted, figure


def test_the_least_fuse_beside_a_relay_is_what_flows_as_it_closes() -> None:
    build = start_build()
    kit = next(kit for kit in KITS if kit.id == "battery_behind_relay")
    plan = make_plan(apply(build, kit.make(build))[0])
    relay = plan.sheet.isolators[0]
    wire = next(r for r in plan.build.runs if relay.id in (r.source, r.target))
    told = workings(plan, Figure("run_result", wire.id, "fuse_least_a"))
    most = next(i for i in told.inputs if i.symbol == "I_t")
    assert most.meaning == "what flows as the isolator beside it closes, over 1.35"
    assert float(most.value) == pytest.approx(relay.joining_a / 1.35)
