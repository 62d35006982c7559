"""Loads that play no music: what they draw in each state, and what follows from it."""

import pytest

from domain.build import actions, kits, removal
from domain.build.choices import Isolates, LoadKind, Playing, Works
from domain.build.edits import Scalar
from domain.build.records import Appliance, Build, Header
from domain.build.start import start_build
from domain.electrical import charging, loads
from domain.evaluate import evaluate, make_plan
from domain.findings import Level
from domain.full_results import full_results
from domain.work_order import work_order
from tests.domain.electrical.small import changed, small_build


def with_load(**values: Scalar) -> Build:
    """The small build with one load more, measured; r7 is its branch and r8 its ground."""
    build = actions.applied(small_build(), actions.add(small_build(), "appliances", **values))
    return changed(build, ("runs", "r7", "length_m", 3.0), ("runs", "r8", "length_m", 0.4))


def test_laws_by_hand() -> None:
    # second method: Ohm's law and P = U I by hand, 60 W stated at 12 V
    def drawn(volts: float, **values: Scalar) -> float:
        appliance = Appliance.of({"id": "v1", "power_w": 60, "rated_v": 12, **values})
        return loads.current_a(loads.appliance_load(appliance), volts)

    assert drawn(15, kind="constant power") == pytest.approx(60 / 15)
    assert drawn(15, kind="constant current") == pytest.approx(60 / 12)
    assert drawn(15, kind="like a resistor") == pytest.approx(15 / (12 * 12 / 60))
    inverter = drawn(12.5, kind="inverter", power_w=1000, efficiency=0.8, idle_a=0.6)
    assert inverter == pytest.approx(1000 / 0.8 / 12.5 + 0.6)
    assert drawn(12, kind="inverter", power_w=1000, onboard_fuse_a=40) == 40


@pytest.mark.parametrize(
    ("works", "on"),
    [
        # engine runs, then off: with music, without
        (Works.ALWAYS, (True, True, True, True)),
        (Works.IGNITION, (True, True, False, False)),
        (Works.MUSIC, (True, False, True, False)),
    ],
)
def test_when_it_works(works: Works, on: tuple[bool, ...]) -> None:
    appliance = Appliance(id="v1", power_w=60, works=works, duty=0.5, idle_a=0.2)
    drawn = [
        loads.current_a(loads.load_in_state(appliance, Header(), playing, engine_runs), 12)
        for engine_runs in (True, False)
        for playing in (Playing.PROGRAMME, Playing.SILENT)
    ]
    assert drawn == pytest.approx([2.7 if each else 0.0 for each in on])


def test_it_is_sized_fused_and_grounded() -> None:
    sheet = evaluate(with_load(name="Fridge", power_w=60.0, works="always", duty=0.4))
    assert not [f for f in sheet.findings if f.level is not Level.NOTE]
    (load,) = sheet.appliances
    assert load.feed == "b1"
    assert load.drop_v is not None
    assert 0 < load.drop_v < 1.0
    branch, ground = sheet.run("r7"), sheet.run("r8")
    assert branch is not None
    assert ground is not None
    assert branch.feeds == ground.feeds == ("v1",)
    # a fuse is loaded to 80 % at most (common practice), however seldom it runs
    assert branch.fuse_a is not None
    assert branch.fuse_a * 0.8 >= load.design_a
    assert branch.ampacity_a >= branch.fuse_a
    assert ground.area_mm2 >= branch.area_mm2


def test_the_main_run_carries_it_too() -> None:
    before, after = evaluate(small_build()), evaluate(with_load(kind="inverter", power_w=800.0))
    main, was = after.run("r4"), before.run("r4")
    assert main is not None
    assert was is not None
    # conservation: the current of both loads comes down the main run, at the design voltage
    assert main.design_a == pytest.approx(sum(a.design_a for a in after.loads), rel=1e-6)
    assert main.design_a > was.design_a + 60
    assert main.fuse_a is not None
    assert was.fuse_a is not None
    assert main.fuse_a > was.fuse_a


def test_the_balance_counts_its_average() -> None:
    whole = evaluate(with_load(power_w=135.0, duty=1.0)).supply
    half = evaluate(with_load(power_w=135.0, duty=0.5)).supply
    none = evaluate(small_build()).supply
    # 135 W at the design voltage of 13.5 V are 10 A; the amplifier draws a little more too, as the
    # main run loses more
    assert none.cruise_balance_a - whole.cruise_balance_a == pytest.approx(10, rel=0.01)
    assert none.cruise_balance_a - half.cruise_balance_a == pytest.approx(5, rel=0.02)
    assert none.play_minutes is not None
    assert half.play_minutes is not None
    assert half.play_minutes < none.play_minutes


def test_standing_time_by_hand() -> None:
    build = changed(
        with_load(power_w=40.5, duty=0.5),
        ("batteries", "b1", "capacity_ah", 100.0),
        ("batteries", "b1", "chemistry", "LiFePO4"),
        ("alternators", "g1", "vehicle_load_a", 0.0),
    )
    # 20.25 W on average at 13.5 V: 1.5 A; LiFePO4 gives its capacity at any rate, so that the
    # 30 of its 100 Ah between 80 % and half last 20 h
    side = charging.standing(build)
    assert side.amperes == pytest.approx(1.5)
    assert side.minutes == pytest.approx(20 * 60, rel=1e-6)


def test_what_stands_behind_an_isolator_drains_its_own_battery() -> None:
    # by hand: 27 W at 13.5 V are 2 A, out of the house battery alone: 30 of its 100 Ah in 15 h;
    # the starter battery gives a tenth of the vehicle's 5 A, 0.5 A: its 21 of 70 Ah (AGM, at most
    # its capacity over the current) last 42 h
    build = start_build()
    build = actions.applied(build, kits.battery_behind(build, Isolates.CONVERTER))
    build = changed(
        actions.applied(build, actions.add(build, "appliances", power_w=27.0)),
        ("batteries", "b2", "capacity_ah", 100.0),
        ("batteries", "b2", "chemistry", "LiFePO4"),
        ("alternators", "g1", "vehicle_load_a", 5.0),
    )
    side = charging.standing(build)
    assert [b.id for b in side.batteries] == ["b2"]
    assert side.amperes == pytest.approx(2.0)
    assert side.minutes == pytest.approx(15 * 60, rel=1e-6)
    idle = charging.standing(changed(build, ("appliances", "v1", "power_w", 0.0)))
    assert [b.id for b in idle.batteries] == ["b1"]
    assert idle.minutes == pytest.approx(42 * 60, rel=1e-6)
    # a switch that is left closed joins them: both give, what both are asked for
    switch = changed(build, ("blocks", "d2", "isolates", "switch"))
    both = charging.standing(switch)
    assert [b.id for b in both.batteries] == ["b1", "b2"]
    assert both.amperes == pytest.approx(2.5)


def test_a_resistor_on_a_weak_wire_draws_less_and_a_converter_more() -> None:
    def drawn(kind: LoadKind, area: str) -> float:
        build = changed(
            with_load(kind=kind.value, power_w=240.0, rated_v=12.0),
            ("runs", "r7", "gauge", area),
        )
        state = evaluate(build).state("off-tone")
        assert state is not None
        return state.amplifier_a["v1"]

    assert drawn(LoadKind.RESISTANCE, "AWG 14") < drawn(LoadKind.RESISTANCE, "AWG 4")
    assert drawn(LoadKind.POWER, "AWG 14") > drawn(LoadKind.POWER, "AWG 4")
    assert drawn(LoadKind.CURRENT, "AWG 14") == pytest.approx(240 / 12, abs=1e-4)


def test_energy_of_every_state_is_conserved() -> None:
    # conservation: what sources give is what loads take and what wires turn into heat
    for kind in LoadKind:
        for state in evaluate(with_load(kind=kind.value, power_w=500.0)).states:
            assert state.converged
            assert state.power_error < 1e-9


def test_without_feed_or_ground_it_is_told() -> None:
    build = with_load(name="Fridge")
    for run, codes in (("r7", ["no-feed", "no-return"]), ("r8", ["no-return"])):
        cut = actions.applied(build, removal.remove(build, "runs", run))
        told = [f for f in evaluate(cut).findings if f.id == "v1"]
        assert [(f.code, f.level, f.table) for f in told] == [
            (code, Level.STOP, "appliances") for code in codes
        ]


def test_removing_it_takes_its_runs_along_and_says_so() -> None:
    build = with_load(name="Fridge")
    edit = removal.remove(build, "appliances", "v1")
    after = actions.applied(build, edit)
    assert not after.appliances
    assert {run.id for run in after.runs} == {run.id for run in small_build().runs}
    assert edit.label == "remove Fridge, with Fridge ground, Fridge feed"


def test_it_is_in_the_work_order_and_on_the_bill() -> None:
    build = with_load(name="Inverter", kind="inverter", power_w=600.0)
    plan = make_plan(build, swept=True)
    results = full_results(plan)
    steps = [step.what for step in work_order(build, results.sheet)]
    assert "Mount Inverter, air round it, switched off." in steps
    assert any(step.startswith("Inverter: on with nothing plugged in") for step in steps)
    items = {(line.item, line.asked_by) for line in results.sheet.materials}
    assert ("Screw for load", ("v1",)) in items
    assert any(item.startswith("Fuse") or "r7" in by for item, by in items)
