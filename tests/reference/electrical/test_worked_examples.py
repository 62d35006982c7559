"""Worked examples of public textbooks, done again with Mainrun's own functions."""

from math import pi, sqrt

import pytest

from domain.build.choices import AmplifierClass, Metal
from domain.build.records import Amplifier
from domain.electrical import conductors, loads, sources
from domain.electrical.network import nodal
from tests.reference.electrical.circuits import distributor, power_load, solved
from tests.reference.published import KCMIL_MM2

FOOT_M = 0.3048
OHM_CMIL_PER_FT = 0.017241 * FOOT_M / (KCMIL_MM2 / 1000)
"""Resistivity that the product counts with, in the unit of the older texts."""


def loaded_v(rest_v: float, internal_ohm: float, load_ohm: float) -> float:
    """Terminal voltage of a battery with a resistor on it [V]."""
    battery = nodal.battery_law(rest_v, internal_ohm, internal_ohm)
    volts, _ = solved([("t", "0", load_ohm)], [("t", "0", battery)], rest_v)
    return volts["t"]


@pytest.mark.parametrize(
    ("ohm_per_ft", "feet", "published_v"),
    [(0.00044, 107, 0.942), (0.00028, 90, 0.504), (0.00306, 100, 6.12)],
)
def test_drop_along_one_wire(ohm_per_ft: float, feet: float, published_v: float) -> None:
    # source: AC 43.13-1B Table 11-7, page 11-22: 20 A from a 28 V bus
    volts, _ = solved(
        [("bus", "load", ohm_per_ft * feet)],
        [
            ("bus", "0", nodal.held_law(28, 1e-9)),
            ("load", "0", nodal.steady_law(20, 1)),
        ],
        28,
    )
    assert 28 - volts["load"] == pytest.approx(published_v, abs=0.001)


def test_size_from_a_permitted_drop() -> None:
    # source: Lessons In Electric Circuits, DC, specific resistance: 25 A over 2300 ft each way,
    # 10 V of 230 V may be lost: 0.2 ohm per wire; 1/0 is too thin, 2/0 is chosen
    limit = 10 / 25 / 2
    thin, thick = (
        conductors.resistance_ohm(gauge, Metal.COPPER, 2300 * FOOT_M, 20)
        for gauge in ("AWG 1/0", "AWG 2/0")
    )
    assert thick < limit < thin


def test_undersized_wire() -> None:
    # source: the same chapter: 2300 ft of 14 AWG at 10.09 ohm cmil/ft is 5.651 ohm a run;
    # into a dead short 230 V drive 20.352 A
    run = conductors.resistance_ohm("AWG 14", Metal.COPPER, 2300 * FOOT_M, 20)
    run *= 10.09 / OHM_CMIL_PER_FT
    assert run == pytest.approx(5.651, rel=2e-4)
    _, solution = solved(
        [("p", "s", run), ("s", "0", run)], [("p", "0", nodal.held_law(230, 1e-9))], 230
    )
    assert solution.branch_a[0] == pytest.approx(20.352, rel=2e-4)


def test_resistance_and_load_voltage_at_two_temperatures() -> None:
    # source: Lessons In Electric Circuits, DC, temperature coefficient: two wires of 15 ohm at
    # 20 C, 14 V, load 250 ohm; 50 mA and 12.5 V, at 35 C 15.909 ohm and 12.42 V (with 0.004041)
    length = 15 / conductors.ohm_per_m_20c("AWG 18", Metal.COPPER)
    for celsius, wire, load_v in ((20, 15.0, 12.5), (35, 15.909, 12.42)):
        ohm = conductors.resistance_ohm("AWG 18", Metal.COPPER, length, celsius)
        assert ohm == pytest.approx(wire, rel=2e-3)
        volts, solution = solved(
            [("p", "a", ohm), ("a", "b", 250), ("b", "0", ohm)],
            [("p", "0", nodal.held_law(14))],
            14,
        )
        assert volts["a"] - volts["b"] == pytest.approx(load_v, abs=0.005)
        assert solution.branch_a[1] == pytest.approx(load_v / 250, rel=5e-4)


@pytest.mark.parametrize(
    ("rest_v", "internal_ohm", "load_ohm", "published_v"),
    [
        # source: University Physics and College Physics, "Electromotive Force"; (a) recomputed,
        # the text rounds the current first
        (12, 0.1, 10, 11.8812),
        (12, 0.1, 0.5, 10.0),
        (12, 0.5, 0.5, 6.0),
        # source: Lessons In Electric Circuits, DC, battery ratings: 100 ohm on a failing battery
        (13.2, 0.1, 100, 13.187),
        (13.0, 5, 100, 12.381),
        (11.5, 20, 100, 9.583),
        (7.5, 50, 100, 5.0),
    ],
)
def test_battery_under_load(
    rest_v: float, internal_ohm: float, load_ohm: float, published_v: float
) -> None:
    assert loaded_v(rest_v, internal_ohm, load_ohm) == pytest.approx(published_v, abs=6e-4)


@pytest.mark.parametrize(("amperes", "published_v"), [(0.5, 5.925), (2, 5.7), (10, 4.5)])
def test_terminal_voltage_at_a_current(amperes: float, published_v: float) -> None:
    # source: Robertson, Fundamental Electrical and Electronic Principles, Example 1.9, p. 16
    battery = nodal.battery_law(6, 0.15, 0.15)
    volts, _ = solved([], [("t", "0", battery), ("t", "0", nodal.steady_law(amperes, 0.1))], 6)
    assert volts["t"] == pytest.approx(published_v, abs=1e-6)


def test_internal_resistance_from_two_loads() -> None:
    # source: College Physics, end-of-section problem: 5.00 A more, 2.00 V less: 0.400 ohm
    law = nodal.battery_law(12.6, 0.4, 0.9)
    (low, _), (high, _) = law(12.6 - 4), law(12.6 - 6)
    assert low - high == pytest.approx(5.0, rel=1e-12)


def test_fixed_power_has_two_solutions_and_the_upper_one_is_taken() -> None:
    # source: a solved physics problem: 2 V behind 1 ohm, 0.75 W: 3 ohm (1.5 V) or 1/3 ohm (0.5 V)
    volts, solution = solved(
        [], [("t", "0", nodal.battery_law(2, 1, 1)), ("t", "0", power_load(0.75, 0.1))], 2
    )
    assert volts["t"] == pytest.approx(1.5, rel=1e-12)
    assert solution.element_a[1] == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize(
    ("watts", "upper_v"),
    [
        # source: Lessons In Electric Circuits, DC, maximum power transfer: 11.2 V behind 0.8 ohm;
        # 1.1 ohm takes 38.22 W at 6.484 V. The 0.5 ohm load takes 37.11 W at 4.308 V, the lower
        # solution; the same power also flows at 6.8923 V
        (1.1 * (11.2 / 1.9) ** 2, 6.484),
        (0.5 * (11.2 / 1.3) ** 2, 6.8923),
        (39.2 * 0.9999, 5.656),  # 1 % above 5.6 V, by hand: 5.6 (1 + sqrt(1 - 0.9999))
    ],
)
def test_near_the_greatest_power(watts: float, upper_v: float) -> None:
    volts, _ = solved(
        [("t", "x", 0.8)],
        [("t", "0", nodal.held_law(11.2, 1e-9)), ("x", "0", power_load(watts, 4.1))],
        11.2,
    )
    assert volts["x"] == pytest.approx(upper_v, abs=6e-4)


def test_greatest_power_of_a_car_battery() -> None:
    # source: Kulshreshtha, Basic Electrical Engineering, Example 4.8, p. 114: 12.6 V and 300 A
    # into a short give 945 W at most
    internal = 12.6 / 300
    battery = ("t", "0", nodal.battery_law(12.6, internal, internal))
    below, _ = solved([], [battery, ("t", "0", power_load(944, 5))], 12.6)
    assert below["t"] == pytest.approx((12.6 + sqrt(12.6**2 - 4 * 944 * internal)) / 2, abs=1e-4)
    # beyond it there is no working point: the load fades out below its lowest voltage
    for tenths in range(9453, 10000, 7):
        watts = tenths / 10
        beyond, faded = solved([], [battery, ("t", "0", power_load(watts, 5))], 12.6)
        assert 0 < beyond["t"] < 5
        # a resistor of 5 V / (the watts / 5 V), divided with the battery's own
        ohm = 25 / watts
        assert beyond["t"] == pytest.approx(12.6 * ohm / (ohm + internal), rel=1e-5)
        assert faded.element_a[1] * beyond["t"] < 945


def test_two_batteries_feeding_one_load() -> None:
    # source: Lessons In Electric Circuits, DC, branch current method: 28 V through 4 ohm and
    # 7 V through 1 ohm onto 2 ohm: 8 V; 5 A, 4 A, and 1 A pushed back into the 7 V source
    volts, solution = solved(
        [("x", "0", 2)],
        [
            ("x", "0", nodal.battery_law(28, 4, 4)),
            ("x", "0", nodal.battery_law(7, 1, 1)),
        ],
        28,
    )
    assert volts["x"] == pytest.approx(8, abs=1e-9)
    assert solution.element_a == pytest.approx([-5, 1], abs=1e-9)
    assert solution.branch_a == pytest.approx([4], abs=1e-9)


def test_wire_ahead_of_two_parallel_loads() -> None:
    # source: University Physics, "Resistors in Series and Parallel": 12.0 V, 1.00 ohm of wire,
    # 6.00 beside 13.0 ohm: 2.35 A, 9.65 V left, 1.61 A and 15.5 W in the 6 ohm
    volts, solution = solved(
        [("p", "x", 1), ("x", "0", 6), ("x", "0", 13)],
        [("p", "0", nodal.held_law(12, 1e-9))],
        12,
    )
    assert solution.branch_a[0] == pytest.approx(2.3505, abs=1e-4)
    assert volts["x"] == pytest.approx(9.6495, abs=1e-4)
    assert solution.branch_a[1] == pytest.approx(1.6082, abs=1e-4)
    assert solution.branch_a[1] ** 2 * 6 == pytest.approx(15.5188, abs=1e-3)


def test_distributor_with_four_taps() -> None:
    # source: V. K. Mehta and R. Mehta, Principles of Power System, Example 13.1, printed answers
    ohm = [metres * 0.01 / 1000 for metres in (500, 500, 600, 400)]
    assert distributor(300, ohm, [100, 150, 200, 50]) == pytest.approx(
        [295.0, 291.0, 288.0, 287.6], abs=1e-4
    )


def test_area_for_a_permitted_end_drop() -> None:
    # source: Mehta Example 13.2, p. 314, printed: 1.164 cm2 for 10 V at the last tap
    ohm = [1.78e-8 * metres / 1.164e-4 for metres in (40, 60, 50, 100)]
    last = distributor(250, ohm, [30, 40, 100, 50])[-1]
    assert 250 - last == pytest.approx(10, rel=2e-4)


def test_distributor_of_given_area() -> None:
    # source: Mehta Example 13.4, p. 315: 245.35, 240.74 and 239.42 V
    ohm = [1.78e-8 * metres / 0.27e-4 for metres in (75, 100, 50)]
    assert distributor(250, ohm, [12, 15, 20]) == pytest.approx(
        [245.352, 240.737, 239.419], abs=1e-3
    )


def test_uniformly_loaded_distributor() -> None:
    # source: Mehta Example 13.5, p. 317: 200 m, 2 A/m, 0.3 ohm/km a wire: 22.5 V lost at 150 m
    # and 24 V at the end; here as a ladder of 400 loads, each in the middle of its half metre
    step = 0.5
    ohm = [0.3e-3 * step / 2] + [0.3e-3 * step] * 399
    volts = distributor(440, ohm, [2 * step] * 400)
    assert 440 - volts[-1] == pytest.approx(24.0, rel=1e-5)
    assert 440 - (volts[299] + volts[300]) / 2 == pytest.approx(22.5, rel=1e-5)


def test_peukert_run_time() -> None:
    # source: a published example: 100 Ah at the one-ampere rate, exponent 1.2, 5 A: 14.5 h
    assert sources.discharge_h(100, 5, 1.2, 100) == pytest.approx(14.4956, abs=1e-4)
    # referred to a 20 h rate the same figures mean 20 h, by definition of the rate
    assert sources.discharge_h(100, 5, 1.2, 20) == pytest.approx(20, rel=1e-12)


def test_coil_warmed_from_15_to_45_c() -> None:
    # source: Robertson Example 1.18, p. 23: 250 ohm at 15 C become 280.2 ohm (0.00428 at 0 C);
    # the inferred zero of copper, -234.5 C, gives 280.06
    cold, warm = (conductors.resistance_ohm("AWG 18", Metal.COPPER, 1, c) for c in (15, 45))
    assert 250 * warm / cold == pytest.approx(280.2, rel=1e-3)


@pytest.mark.parametrize(
    ("gauge", "metres", "rho", "published_ohm", "within"),
    [
        # source: College Physics, a problem with answer: 12 gauge, 2.053 mm
        ("AWG 12", 20, 0.0172, 0.104, 0.001),
        # source: Robertson Example 1.16, p. 22: 8e-7 m2, 2e-8 ohm m
        ("0.8 mm2", 200, 0.02, 5.0, 1e-9),
    ],
)
def test_wire_from_its_resistivity(
    gauge: str, metres: float, rho: float, published_ohm: float, within: float
) -> None:
    ohm = conductors.resistance_ohm(gauge, Metal.COPPER, metres, 20) * rho / 0.017241
    assert ohm == pytest.approx(published_ohm, rel=within)


def test_class_b_output_stage() -> None:
    # source: Kumar and Jain, Electronic Devices and Circuits, Example 13.4: 78.5 % at full swing;
    # Sedra and Smith, Microelectronic Circuits, Example 14.1: 20 W into 8 ohm from +/-23 V:
    # 32.7 W drawn, 61 %
    stage = Amplifier(id="a1", amplifier_class=AmplifierClass.AB, efficiency=pi / 4)
    assert loads.efficiency_at(stage, 1) == pytest.approx(0.785, abs=5e-4)
    full_swing_w = 23**2 / (2 * 8)
    partial = loads.efficiency_at(stage, 20 / full_swing_w)
    assert partial == pytest.approx(0.6109, abs=1e-4)
    stage = stage.but(channel_w=full_swing_w)
    assert loads.load(stage, 20 / full_swing_w).power_w == pytest.approx(32.741, abs=1e-3)


@pytest.mark.parametrize(("ohm", "published_v"), [(0.06, 0.3), (0.3, 1.5)])
def test_extension_cord(ohm: float, published_v: float) -> None:
    # source: College Physics, a problem with answer: 5.00 A
    volts, _ = solved(
        [("p", "x", ohm)],
        [("p", "0", nodal.held_law(120, 1e-9)), ("x", "0", nodal.steady_law(5, 1))],
        120,
    )
    assert volts["p"] - volts["x"] == pytest.approx(published_v, rel=1e-9)


def test_low_voltage_loop() -> None:
    # source: an electricians' course after NEC chapter 9 Table 8: 100 ft of No. 16 stranded at
    # 75 C, 4 A: 4.0 V; the table's stranding takes 2 % more than solid copper
    each = conductors.resistance_ohm("AWG 16", Metal.COPPER, 100 * FOOT_M, 75)
    left = distributor(24, [each], [4])[0]
    assert 24 - left == pytest.approx(4.0, rel=0.03)
