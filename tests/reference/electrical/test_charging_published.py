"""Batteries and alternators against published examples and the definitions of standards."""

from itertools import pairwise
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build.choices import Chemistry
from domain.build.records import Alternator, Battery, GroundPoint
from domain.electrical import charging, sources
from domain.electrical.network import nodal, system
from domain.evaluate import evaluate
from domain.reference.planning import planned
from tests.domain.electrical.small import changed, small_build
from tests.reference.electrical.circuits import solved

CHEMISTRIES = list(Chemistry)


def battery(**values: float) -> Battery:
    return Battery.of({"id": "b1", **values})


@pytest.mark.parametrize(
    ("rest_v", "ohm", "load_ohm", "published_v"),
    [
        # source: University Physics module m58453, "Electromotive Force" (a) to (c); in (a) the
        # text rounds the current before it multiplies, recomputed 11.8812 V
        (12, 0.1, 10, 11.8812),
        (12, 0.1, 0.5, 10.0),
        (12, 0.5, 0.5, 6.0),
        # source: Lessons In Electric Circuits, DC, battery ratings: a battery in four states
        (13.2, 0.1, 100, 13.187),
        (13.0, 5, 100, 12.381),
        (11.5, 20, 100, 9.583),
        (7.5, 50, 100, 5.0),
    ],
)
def test_a_battery_law_under_a_resistor(
    rest_v: float, ohm: float, load_ohm: float, published_v: float
) -> None:
    law = nodal.battery_law(rest_v, ohm, inf)
    volts, solution = solved([("t", "0", load_ohm)], [("t", "0", law)], rest_v)
    assert volts["t"] == pytest.approx(published_v, abs=6e-4)
    assert -solution.element_a[0] == pytest.approx(rest_v / (ohm + load_ohm))


@pytest.mark.parametrize(("amperes", "published_v"), [(0.5, 5.925), (2, 5.7), (10, 4.5)])
def test_a_battery_law_at_a_current(amperes: float, published_v: float) -> None:
    # source: Robertson, Fundamental Electrical and Electronic Principles, Example 1.9, p. 16
    current, slope = nodal.battery_law(6, 0.15, inf)(published_v)
    assert -current == pytest.approx(amperes)
    assert 1 / slope == pytest.approx(0.15)


def test_internal_resistance_of_a_short_circuited_battery() -> None:
    # source: Kulshreshtha, Basic Electrical Engineering, Example 4.8, p. 114: 12.6 V, 300 A
    measured = battery(resistance_ohm=12.6 / 300)
    assert sources.internal_ohm(measured) == pytest.approx(0.042)
    current, _ = nodal.battery_law(12.6, sources.internal_ohm(measured), inf)(0.0)
    assert current == pytest.approx(-300)


def test_where_the_internal_resistance_comes_from() -> None:
    # by the stated order: measured, else cranking amperes, else capacity. 600 A at -18 C and
    # 7.2 V leave (12.6 - 7.2)/600 = 9 milliohm cold (SAE J537); warm is about half of that
    both = battery(resistance_ohm=0.004, cranking_a=600, capacity_ah=70)
    assert sources.internal_ohm(both) == 0.004
    cranked = sources.internal_ohm(battery(cranking_a=600, capacity_ah=70))
    assert 0.4 < cranked / ((12.6 - 7.2) / 600) < 0.7
    for chemistry in CHEMISTRIES:
        small, large = (
            sources.internal_ohm(Battery(id="b1", chemistry=chemistry, capacity_ah=ah))
            for ah in (35, 70)
        )
        assert small == pytest.approx(2 * large)
        assert 0.002 < large < 0.015


def test_peukert_example() -> None:
    # source: a published example: 100 Ah at the one-ampere rate, exponent 1.2, 5 A: 14.5 h
    assert sources.discharge_h(100, 5, 1.2, 100) == pytest.approx(14.5, abs=0.01)
    # second method: t = Cp / I^k
    assert sources.discharge_h(100, 5, 1.2, 100) == pytest.approx(100 / 5**1.2)


@given(st.floats(1, 500), st.floats(0.1, 1000), st.floats(1.0, 1.6), st.floats(1, 100))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_peukert_by_definition(ah: float, amperes: float, exponent: float, hours: float) -> None:
    # by definition: the rated time at the rated current; an exponent of one is plain division;
    # more than the rated current never gives more than the rated charge
    rated_a = ah / hours
    assert sources.discharge_h(ah, rated_a, exponent, hours) == pytest.approx(hours)
    assert sources.discharge_h(ah, amperes, 1.0, hours) == pytest.approx(ah / amperes)
    given_ah = amperes * sources.discharge_h(ah, amperes, exponent, hours)
    assert given_ah <= ah * (1 + 1e-9) if amperes >= rated_a else given_ah >= ah * (1 - 1e-9)


def test_time_on_the_battery_of_a_build() -> None:
    # second method: Peukert by hand, referred to the 20 h rate; from the planning charge of
    # 80 % to half of 70 Ah AGM
    minutes = charging.minutes_to_half(small_build(), 35.0)
    assert minutes == pytest.approx(60 * (0.8 - 0.5) * 20 * (70 / (35 * 20)) ** 1.1)
    assert charging.minutes_to_half(small_build(), 0.0) is None
    assert charging.minutes_to_half(small_build(), -5.0) is None
    none = small_build().but(batteries=(), runs=())
    assert charging.minutes_to_half(none, 5.0) is None


def test_play_ends_at_half_charge_or_at_the_cut_off_voltage() -> None:
    # by hand, AGM rests at 12.3 V half full, 12.6 V at three quarters (0.012 V a per cent), behind
    # 10 mohm: 20 A leaves 12.1 V at half, above 11.8 V; 60 A needs 12.4 V at rest, which is 58.3 %;
    # 100 A needs 12.8 V, more than the 12.65 V at 80 %
    battery = small_build().batteries[0].but(resistance_ohm=0.01)
    assert charging.usable_share(battery, 20) == pytest.approx(0.3)
    assert charging.usable_share(battery, 60) == pytest.approx(0.8 - (0.5 + 0.1 / 1.2), abs=1e-6)
    assert charging.usable_share(battery, 100) == 0


@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_rest_voltage_rises_with_charge(chemistry: Chemistry) -> None:
    # by physics; and held at the ends of the table
    volts = [sources.rest_voltage_v(chemistry, i / 200) for i in range(201)]
    assert all(a <= b for a, b in pairwise(volts))
    assert sources.rest_voltage_v(chemistry, -1) == volts[0]
    assert sources.rest_voltage_v(chemistry, 2) == volts[-1]


@pytest.mark.parametrize(("charge", "volts"), [(1, 12.6), (0.75, 12.4), (0.5, 12.2), (0, 11.7)])
def test_rest_voltage_of_a_flooded_battery(charge: float, volts: float) -> None:
    # source: TM 5-3805-262-20, open-circuit voltage of a 12 V battery
    assert sources.rest_voltage_v(Chemistry.FLOODED, charge) == pytest.approx(volts)


@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_a_battery_takes_its_acceptance_at_the_absorption_voltage(chemistry: Chemistry) -> None:
    # by definition: half empty it takes the planned share of its capacity at 14.4 V; fuller less
    each = Battery(id="b1", chemistry=chemistry, capacity_ah=70)
    taken = []
    for charge in (0.5, 0.6, 0.8, 0.9, 0.98):
        rest = sources.rest_voltage_v(chemistry, charge)
        ohm = sources.charging_ohm(each, charge)
        taken.append(nodal.battery_law(rest, 0.004, ohm)(planned("charge_v"))[0])
        assert ohm >= sources.internal_ohm(each)
    share = planned(f"charge_c_rate_{chemistry.value}")
    assert taken[0] == pytest.approx(70 * share)
    assert all(a > b for a, b in pairwise(taken))


def test_alternator_output_curve() -> None:
    # source: ISO 8854 (from memory): rated output is stated at 6000 per minute, low output at
    # 1500; the shape of claw-pole machines in between is typical
    assert sources.output_fraction(6000) == 1.0
    assert 0.35 <= sources.output_fraction(1500) <= 0.55
    assert sources.output_fraction(0) == 0.0
    curve = [sources.output_fraction(speed) for speed in range(0, 20_001, 50)]
    assert all(a <= b for a, b in pairwise(curve))
    assert curve[-1] <= 1.1
    # and it bends one way: what a thousand more turns bring becomes less and less
    gains = [
        sources.output_fraction(s + 1000) - sources.output_fraction(s)
        for s in range(1500, 9001, 500)
    ]
    assert all(a >= b - 1e-9 for a, b in pairwise(gains))


def test_plate_rating_at_its_own_speed_is_the_plate_times_heat() -> None:
    # by the definition of the rating: 6000 per minute, brought to heat
    plate = Alternator(id="g1", rated_a=100, hot=False, cruise_rpm=2400, pulley_ratio=2.5)
    hot = planned("alternator_hot_fraction")
    assert sources.alternator_limit_a(plate, False) == pytest.approx(100 * hot)
    assert 0.75 <= hot <= 0.92


@given(
    st.floats(0, 1000),
    st.integers(300, 1200),
    st.integers(1201, 8000),
    st.floats(1, 5),
    st.booleans(),
)
@settings(max_examples=200, deadline=None, derandomize=True)
def test_idle_is_never_more_than_cruise(
    rated: float, idle: int, cruise: int, ratio: float, hot: bool
) -> None:
    # by the curve: fewer turns, less current; and nothing gives more than its rating but for the
    # few per cent that the curve has above 6000
    each = Alternator(
        id="g1", rated_a=rated, idle_rpm=idle, cruise_rpm=cruise, pulley_ratio=ratio, hot=hot
    )
    at_idle, at_cruise = (sources.alternator_limit_a(each, i) for i in (True, False))
    assert 0 <= at_idle <= at_cruise <= rated * 1.1
    if hot:
        assert at_cruise == rated
    entered = each.but(idle_a=12.0)
    assert sources.alternator_limit_a(entered, True) == 12.0


def test_default_alternator_gives_half_to_three_quarters_at_idle() -> None:
    # source: ISO 8854 (from memory): I_L near engine idle; typical 70/140 A
    each = Alternator(id="g1")
    share = sources.alternator_limit_a(each, True) / sources.alternator_limit_a(each, False)
    assert 0.45 < share < 0.75


def test_a_corroded_joint_loses_a_volt() -> None:
    # source: shop yardstick, Ohm's law: 10 milliohm at 100 A is 1 V and 100 W in one joint
    point = GroundPoint(id="e2", resistance_ohm=0.01)
    assert system.body_ohm(point) == 0.01
    volts, solution = solved(
        [("p", "x", 1e-7), ("e", "0", system.body_ohm(point))],
        [("p", "0", nodal.held_law(13.5, 1e-9)), ("x", "e", nodal.steady_law(100, 1))],
        13.5,
    )
    assert volts["e"] == pytest.approx(1.0, rel=1e-4)
    assert volts["e"] * solution.branch_a[1] == pytest.approx(100, rel=2e-4)


def test_a_corroded_ground_lifts_the_amplifier_as_much() -> None:
    # by Ohm's law, through the whole engine
    sheet = evaluate(changed(small_build(), ("grounds", "e2", "resistance_ohm", 0.01)))
    ground = next(g for g in sheet.grounds if g.id == "e2")
    amplifier = sheet.amplifiers[0]
    assert ground.rise_v == pytest.approx(0.01 * amplifier.design_a, rel=1e-3)
    assert ground.design_a == pytest.approx(amplifier.design_a, rel=1e-3)
