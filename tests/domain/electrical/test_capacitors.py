"""Capacitors at the amplifiers: what they leak, hold, give into a short, and what is done first."""

from math import exp, log

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from domain.build import actions, kits
from domain.build.choices import FuseFamily, LoadKind
from domain.build.edits import Scalar
from domain.build.records import Appliance, Build
from domain.electrical import capacitors
from domain.electrical.protection.any_short import Fuse
from domain.electrical.protection.opening import table_window
from domain.electrical.surges.pulses import Pulse
from domain.evaluate import evaluate, make_plan
from domain.findings import Level
from domain.full_results import full_results
from domain.work_order import work_order
from tests.domain.electrical.protection.short_simulator import windows
from tests.domain.electrical.small import Change, changed, small_build


def with_capacitor(*changes: Change, **values: Scalar) -> Build:
    """The small build with a capacitor on its block; r7 is its lead and r8 its ground."""
    build = actions.applied(small_build(), kits.capacitor(small_build()))
    build = changed(build, *(("appliances", "v1", field, value) for field, value in values.items()))
    lengths: tuple[Change, ...] = (("runs", "r7", "length_m", 0.3), ("runs", "r8", "length_m", 0.3))
    return changed(build, *lengths, *changes)


def test_its_pulse_and_its_charging_by_integration() -> None:
    # second method: the circuit of C, its own resistance and a wire stepped through in time
    capacitor = Appliance(id="v1", kind=LoadKind.CAPACITOR, capacitance_f=2.0, esr_ohm=0.001)
    ohm, step, volts, total = 0.003, 1e-6, 14.4, 0.0
    for _ in range(80_000):
        amperes = volts / ohm
        total += amperes * amperes * step
        volts -= amperes / 2.0 * step
    assert Pulse(2.0, 14.4, ohm).a2s == pytest.approx(total, rel=1e-3)
    assert Pulse(2.0, 14.4, ohm).through_a2s([]) == pytest.approx(total, rel=1e-3)
    seconds = capacitors.precharge_s(capacitor, 14.4)
    left = 14.4 * exp(-seconds / (capacitors.precharge_ohm() * 2.0))
    assert left == pytest.approx(capacitors.JOINED_V)


@pytest.mark.parametrize(
    ("farads", "ohm", "rating_a", "opens"),
    [(1.0, 0.004, 20.0, True), (1.0, 0.02, 250.0, False), (500.0, 0.01, 100.0, True)],
)
def test_a_fuse_ends_its_pulse_as_an_ode_solver_has_it(
    farads: float, ohm: float, rating_a: float, opens: bool
) -> None:
    # second method: charge, I^2 t and the fuse's time used up, by scipy with an event at full; the
    # slowest times of ISO 8820 strips from the published table itself
    ratios, times = windows()["strip SF 30"]

    def rates(_: float, y: np.ndarray) -> list[float]:
        volts, _, _ = y
        amperes = volts / ohm
        ratio = log(max(amperes / rating_a, 1e-9))
        beyond = 2 * max(ratio - ratios[-1], 0.0)
        used = exp(beyond - float(np.interp(ratio, ratios, times))) if ratio >= ratios[0] else 0.0
        return [-amperes / farads, amperes**2, used]

    def full(_: float, y: np.ndarray) -> float:
        return float(y[2]) - 1

    full.terminal = True  # type: ignore[attr-defined]
    tau = ohm * farads
    done = solve_ivp(
        rates, (0, 8 * tau), [14.4, 0.0, 0.0], events=full, rtol=1e-8, max_step=tau / 99
    )
    assert bool(len(done.t_events[0])) is opens
    fuse = Fuse("r1", table_window(FuseFamily.STRIP_30), rating_a)
    through = Pulse(farads, 14.4, ohm).through_a2s([fuse])
    assert through == pytest.approx(float(done.y[1][-1]), rel=5e-3)
    assert (through < 0.99 * Pulse(farads, 14.4, ohm).a2s) is opens


def test_at_rest_it_only_leaks() -> None:
    for state in evaluate(with_capacitor(idle_a=0.02)).states:
        assert state.amplifier_a["v1"] == pytest.approx(0.02, abs=1e-4)
        assert state.power_error < 1e-9


def test_a_sound_one_is_told_of_in_notes_alone() -> None:
    plan = make_plan(with_capacitor(withstand_v=16.0, capacitance_f=1.0), swept=True)
    assert [f.what for f in plan.sheet.findings if f.level is not Level.NOTE] == []


def test_its_leads_are_as_thick_as_those_that_it_helps() -> None:
    # common practice: as thick as the amplifiers' own
    sheet = evaluate(with_capacitor())
    amp, lead, ground = sheet.run("r5"), sheet.run("r7"), sheet.run("r8")
    assert amp is not None
    assert lead is not None
    assert ground is not None
    assert lead.area_mm2 >= amp.area_mm2 * 0.99
    assert ground.area_mm2 >= lead.area_mm2 * 0.99


@pytest.mark.parametrize(
    ("changes", "values", "code", "level"),
    [
        ((), {"withstand_v": 12.0}, "capacitor-voltage", Level.STOP),
        ((("runs", "r7", "length_m", 2.0),), {}, "capacitor-far", Level.NOTE),
        # by hand: 500 F at 14 V give some 500 x 14^2 / (2 x 0.002) = 2.5e7 A2s; AWG 8 (8.4 mm2)
        # with k = 115 A sqrt(s)/mm2 stands (115 x 8.4)^2 = 9e5
        (
            (("runs", "r7", "gauge", "AWG 8"),),
            {"capacitance_f": 500.0, "esr_ohm": 0.001},
            "capacitor-pulse",
            Level.FIX,
        ),
    ],
)
def test_what_is_wrong_is_told(
    changes: tuple[Change, ...], values: dict[str, Scalar], code: str, level: Level
) -> None:
    told = [f for f in evaluate(with_capacitor(*changes, **values)).findings if f.code == code]
    assert {f.level for f in told} == {level}
    assert any(char.isdigit() for char in told[0].what + told[0].why)
    sound = with_capacitor(withstand_v=16.0, capacitance_f=1.0)
    assert not [f for f in evaluate(sound).findings if f.code == code]


def told_of_pulses(build: Build) -> set[str]:
    return {f.id for f in evaluate(build).findings if f.code == "capacitor-pulse"}


def test_where_its_pulse_counts() -> None:
    # by hand: 1 F at some 14 V behind 2 mohm and more gives at most 14^2 / (2 x 0.002) = 49,000
    # A2s; AWG 16 of 105 C (1.31 mm2) stands (87.6 x 1.31)^2 = 13,000 A2s
    values: dict[str, Scalar] = {"capacitance_f": 1.0, "esr_ohm": 0.002}
    thin = with_capacitor(("runs", "r5", "gauge", "AWG 16"), **values)
    # behind its own 15 A fuse in the block a thin branch is spared: the pulse takes the fuse first
    assert not told_of_pulses(changed(thin, ("runs", "r5", "fuse_a", 15.0)))
    # without one the whole pulse goes through it, and back through the amplifier's ground
    bare = changed(thin, ("runs", "r5", "fused", False), ("runs", "r6", "gauge", "AWG 16"))
    assert {"r5"} <= told_of_pulses(bare) <= {"r5", "r6"}
    # a bank of 500 F behind 1 mohm: 500 x 14^2 / (2 x 0.001) = 49 MA2s; its lead from its own post
    # on, its ground, and the main run from the block's end; AWG 4/0 (107 mm2) stands 88 MA2s
    bank: dict[str, Scalar] = {"capacitance_f": 500.0, "esr_ohm": 0.001}
    gauges: tuple[Change, ...] = tuple(
        ("runs", run, "gauge", "AWG 4") for run in ("r4", "r7", "r8")
    )
    large = with_capacitor(*gauges, **bank)
    assert {"r7", "r8"} <= told_of_pulses(large)
    # through the fuse of its lead little comes out: a strip of 80 A takes up to 1 s at six times
    # its rating (ISO 8820, from memory), 0.23 MA2s, of 3.4 MA2s that AWG 4 stands
    assert "r4" not in told_of_pulses(changed(large, ("runs", "r7", "fuse_a", 80.0)))
    assert "r4" in told_of_pulses(changed(large, ("runs", "r7", "fused", False)))


@pytest.mark.parametrize("fused", [True, False])
def test_one_of_the_trades_size_hurts_nothing_that_the_engine_chose(fused: bool) -> None:
    build = with_capacitor(
        ("blocks", "d1", "fused", fused), capacitance_f=2.0, esr_ohm=0.0015, withstand_v=18.0
    )
    for run in ("r5", "r7"):
        build = changed(build, ("runs", run, "fused", fused))
    assert not told_of_pulses(build)


@pytest.mark.parametrize(("farads", "how"), [(1.0, "resistor of 10 ohm"), (500.0, "limits its")])
def test_it_is_charged_before_its_fuse_goes_in(farads: float, how: str) -> None:
    build = with_capacitor(capacitance_f=farads)
    results = full_results(make_plan(build))
    steps = [step.what for step in work_order(build, results.sheet)]
    charged = next(n for n, step in enumerate(steps) if step.startswith("Capacitor: charge it"))
    fuse = next(n for n, step in enumerate(steps) if step.startswith("Capacitor feed (r7): put in"))
    assert how in steps[charged]
    assert charged == fuse - 1
    # the main fuse is in by then: there is a voltage to charge it with
    main = next(n for n, step in enumerate(steps) if step.startswith("Main run (r4): put in"))
    assert main < charged
    assert any(caution.startswith("Capacitors:") for caution in results.sheet.cautions)
    assert not any(c.startswith("Capacitors:") for c in evaluate(small_build()).cautions)


def test_behind_a_lead_without_a_fuse_the_fuse_ahead_waits_for_it() -> None:
    # by physics: the fuse that makes it live is the one through which it would be charged at once
    build = with_capacitor(("runs", "r7", "fused", False))
    steps = [step.what for step in work_order(build, evaluate(build))]
    charged = next(n for n, step in enumerate(steps) if step.startswith("Capacitor: charge it"))
    assert "before the fuse of Main run goes in" in steps[charged]
    assert steps[charged + 1].startswith("Main run (r4): put in")
