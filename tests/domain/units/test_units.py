"""Text to quantities and back. Expected values are exact conversions by definition (1 in is
25.4 mm, 1 lb is 0.45359237 kg: NIST SP 811), or come from pint as a second method."""

import math
import subprocess
import sys
from functools import cache
from typing import Any

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from domain.build.choices import UnitHabit
from domain.units.gauges import AWG_SIZES, METRIC_SIZES
from domain.units.parse import (
    KINDS,
    UnitError,
    format_gauge,
    format_quantity,
    parse_gauge,
    parse_quantity,
)
from domain.units.show import format_amount, format_signed
from domain.visible_text import visible

INCH, METRIC = UnitHabit.INCH, UnitHabit.METRIC
HABITS = (INCH, METRIC)


@cache
def registry() -> Any:
    """What pint knows; it takes half a second to read."""
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    ("kind", "word"), [(kind, word) for kind in KINDS for word in KINDS[kind].words if word]
)
def test_every_factor_agrees_with_pint(kind: str, word: str) -> None:
    unit = KINDS[kind].words[word]
    known = registry()
    base = known.Unit(KINDS[kind].base)
    for number in (0.0, 1.0, 77.7):
        by_pint = known.Quantity(number, known.parse_units(unit.pint_name)).to(base)
        ours = (number - unit.zero) * unit.factor
        assert ours == pytest.approx(by_pint.magnitude, rel=1e-12, abs=1e-9)


FOOT_AND_A_HALF = 18 * 0.0254
THREE_SIX = 42 * 0.0254


@pytest.mark.parametrize("habit", HABITS)
@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        *[("length", t, FOOT_AND_A_HALF) for t in ("18 in", "18in", '18"', "18 IN.", "18″")],
        *[("length", t, 1.5) for t in ("1.5m", "1,5 m", "150 cm", "1,500 m", "1m50", "1 m 50 cm")],
        *[
            ("length", t, THREE_SIX)
            for t in ("3'6\"", "3 ft 6 in", "3'6", "3′6″", "3’ 6”", "3'-6\"", "3' 6''")
        ],
        *[("length", t, 42.5 * 0.0254) for t in ("3' 6 1/2\"", "3'6½\"", "3'-6-1/2\"")],
        ("length", "3ft", 0.9144),
        ("length", "1/2 in", 0.0127),
        ("length", '1 1/2"', 0.0381),
        ("length", "-3'6\"", -THREE_SIX),
        ("length", "−2 m", -2.0),
        ("length", "1.234.567 mm", 1234.567),
        *[("length", f"150 {unit}", 1.5) for unit in ("centimetres", "centimeters")],
        *[("length", f"1500 {unit}", 1.5) for unit in ("millimetres", "millimeter")],
        *[("small_length", f"63 {unit}", 63 * 0.0254 / 1000) for unit in ("mil", "mils", "thou")],
        # A horsepower is 550 ft lbf/s.
        ("power", "2 hp", 1100 * 0.3048 * 4.4482216152605),
        ("small_length", "7/16", 7 / 16 * 0.0254),
        ("small_length", "35 mm", 0.035),
        ("small_length", "¼ in", 0.00635),
        ("current", "80A", 80.0),
        ("current", "80 amps", 80.0),
        ("current", "1,500 A", 1500.0),
        ("power", "1.2 kW", 1200.0),
        ("power", "1.2k", 1200.0),
        ("power", "1200", 1200.0),
        ("power", "1,500 W", 1500.0),
        ("power", "1.500 W", 1.5),
        ("power", "1,500.5 W", 1500.5),
        ("power", "1.500,5 W", 1500.5),
        ("power", "0,500 kW", 500.0),
        ("power", "1,5 kW", 1500.0),
        ("power", "500 W RMS", 500.0),
        ("voltage", "14,2 V", 14.2),
        ("voltage", "350 mV", 0.35),
        ("temperature", "212 F", 100.0),
        ("temperature", "22 C", 22.0),
        ("temperature", "22°C", 22.0),
        ("temperature", "-40 °F", -40.0),
        ("temperature", "300 K", 26.85),
        ("resistance", "0.4 mohm", 0.0004),
        ("resistance", "5 mΩ", 0.005),
        ("resistance", "5 m\u2126", 0.005),
        ("resistance", "40 µΩ", 0.00004),
        ("resistance", "1 Mohm", 1e6),
        ("capacity", "65 Ah", 65.0),
        ("capacity", "1,500 Ah", 1500.0),
        ("fraction", "85%", 0.85),
        ("fraction", "0.85", 0.85),
        ("fraction", "85", 0.85),
        ("fraction", "1", 1.0),
        ("mass", "2 lb", 0.90718474),
        ("mass", "2 lb 8 oz", 2.5 * 0.45359237),
        ("mass", "1.5 kg", 1.5),
        ("angle", "90 deg", 90.0),
        ("angle", "90°", 90.0),
        ("area", "24 sq in", 24 * 0.0254**2),
        ("area", "150 cm²", 0.015),
        ("count", "4", 4.0),
        ("count", "1,000", 1000.0),
    ],
)  # fmt: skip
def test_reads_what_installers_type(kind: str, text: str, value: float, habit: UnitHabit) -> None:
    assert parse_quantity(kind, text, habit) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("kind", "text", "in_inch", "in_metric"),
    [
        ("length", "12", 0.3048, 0.12),
        ("small_length", "12", 0.3048, 0.012),
        ("temperature", "50", 10.0, 50.0),
        ("mass", "1", 0.45359237, 1.0),
        ("area", "1", 0.09290304, 1.0),
        ("voltage", "12", 12.0, 12.0),
        ("resistance", "5", 0.005, 0.005),
    ],
)
def test_bare_number_takes_the_unit_of_the_habit(
    kind: str, text: str, in_inch: float, in_metric: float
) -> None:
    assert parse_quantity(kind, text, INCH) == pytest.approx(in_inch)
    assert parse_quantity(kind, text, METRIC) == pytest.approx(in_metric)


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        ("length", "12 V", "'12 V' is a voltage; a length is wanted, such as 18 in, 3 ft 6 in"),
        ("power", "80 A", "is a current"),
        ("capacity", "65 C", "is a temperature"),
        ("length", "5 kPa", "is measured in kilopascal"),
        ("length", "5 blorp", "not known here, blorp"),
        *[
            (kind, f"2 {unit}", f"is in {unit}: lengths are taken in m, cm, mm, in, ft and yd")
            for kind, unit in [
                *[("length", unit) for unit in ("mil", "li", "hand", "parsec", "microns")],
                *[("small_length", unit) for unit in ("furlong", "point", "angstrom")],
            ]
        ],
        ("length", "5 i", "not known here, i"),
        ("power", "30 dBm", "not known"),
        ("fraction", "5 rad", "not known"),
        ("temperature", "22 deg", "F or C"),
        ("length", "", "nothing was typed"),
        ("length", " \t ", "nothing was typed"),
        ("length", "1" * 61, "61 characters are too many"),
        ("length", "nan", "cannot be read"),
        ("length", "inf m", "cannot be read"),
        ("length", "1e400", "exponent"),
        ("power", "1e3 W", "exponent"),
        ("length", "__import__('os')", "cannot be read"),
        ("length", "2**9**9", "cannot be read"),
        ("length", "9**9 m", "cannot be read"),
        ("length", "(1) m", "cannot be read"),
        ("length", "3 6", "do not belong together"),
        ("length", "3 in 6 ft", "do not belong together"),
        ("length", "3 ft 6 cm", "after foot"),
        ("length", "3'16\"", "16 inch"),
        ("length", "1/0", "divides by zero"),
        ("length", "1,5,3 m", "odd places"),
        ("length", "1.2.3 m", "odd places"),
        ("length", "1/2/3 in", "cannot be read"),
        ("length", "10² m", "cannot be read"),
        ("length", "\u0663 m", "cannot be read"),
        ("count", "2.5", "no whole number"),
        ("count", "4 m", "is a length"),
    ],
)
def test_refuses_and_says_what_would_do(kind: str, text: str, said: str) -> None:
    with pytest.raises(UnitError, match=said) as refused:
        parse_quantity(kind, text, INCH)
    assert KINDS[kind].such_as[0] in str(refused.value)


def test_refusal_shows_control_characters_and_cuts_long_text() -> None:
    with pytest.raises(UnitError) as refused:
        parse_quantity("length", "\x1b[31m" + "y" * 50, INCH)
    assert "\x1b" not in str(refused.value)
    assert "yyy...'" in str(refused.value)


def outcome(kind: str, text: str, habit: UnitHabit) -> str:
    try:
        value = parse_quantity(kind, text, habit)
    except UnitError as refused:
        return str(refused)
    assert math.isfinite(value)
    return "a number"


@given(st.sampled_from(sorted(KINDS)), st.text(max_size=70), st.sampled_from(HABITS))
@example("length", "5 if", INCH)
@example("length", "5 lambda", INCH)
@example("power", "5 e", METRIC)
def test_any_text_gives_a_number_or_a_sentence(kind: str, text: str, habit: UnitHabit) -> None:
    said = outcome(kind, text, habit)
    assert visible(said) == said


@given(
    st.sampled_from(sorted(KINDS)),
    st.from_regex(r"[0-9]{1,3} ?[A-Za-z]{1,9}[23]?", fullmatch=True),
)
def test_any_word_gives_a_number_or_a_sentence(kind: str, text: str) -> None:
    said = outcome(kind, text, INCH)
    assert said == "a number" or KINDS[kind].such_as[0] in said


@pytest.mark.parametrize(
    ("kind", "value", "in_inch", "in_metric"),
    [
        ("length", FOOT_AND_A_HALF, "18 in", "45.7 cm"),
        ("length", 7.25 * 0.0254, "7.25 in", "18.4 cm"),
        ("length", 74 * 0.0254, "6 ft 2 in", "1.88 m"),
        ("length", 72 * 0.0254, "6 ft", "1.83 m"),
        ("length", 42.25 * 0.0254, "3 ft 6.25 in", "1.07 m"),
        ("length", 100.253 * 0.0254, "8 ft 4.25 in", "2.55 m"),
        ("length", 0.45, "17.72 in", "45 cm"),
        ("length", 1.52, "4 ft 11.8 in", "1.52 m"),
        ("length", 0.99999, "3 ft 3.4 in", "1 m"),
        ("length", 71.999 * 0.0254, "6 ft", "1.83 m"),
        ("length", -74 * 0.0254, "-6 ft 2 in", "-1.88 m"),
        ("length", -0.0, "0 in", "0 cm"),
        ("small_length", 0.00635, "0.25 in", "6.4 mm"),
        ("power", 500.0, "500 W", "500 W"),
        ("power", 1200.0, "1.2 kW", "1.2 kW"),
        ("power", 999.9, "1 kW", "1 kW"),
        ("current", 7.5, "7.5 A", "7.5 A"),
        ("current", 133.4, "133 A", "133 A"),
        ("voltage", 14.2, "14.20 V", "14.20 V"),
        ("voltage", -0.001, "0.00 V", "0.00 V"),
        ("resistance", 0.00042, "0.42 mohm", "0.42 mohm"),
        ("resistance", 10.0, "10 ohm", "10 ohm"),
        ("capacity", 65.0, "65 Ah", "65 Ah"),
        ("capacitance", 1.5, "1.5 F", "1.5 F"),
        ("temperature", 60.0, "140 F", "60 C"),
        ("temperature", -17.9, "0 F", "-18 C"),
        ("mass", 0.90718474, "2 lb", "0.907 kg"),
        ("angle", 90.0, "90 deg", "90 deg"),
        ("fraction", 0.85, "85%", "85%"),
        ("area", 0.015, "23.3 sq in", "150 cm2"),
        ("area", 0.5, "5.38 sq ft", "0.5 m2"),
        ("count", 4.0, "4", "4"),
        # One rule for a kind, whatever shows it (by hand: 1 h is 60 min, 1 lb 0.45359237 kg,
        # a step of 10 C is one of 18 F).
        *[
            ("duration", value, shown, shown)
            for value, shown in [
                (0.0, "0 s"),
                (0.0018, "1.8 ms"),
                (0.0998, "99.8 ms"),
                (0.09996, "0.1 s"),
                (0.25, "0.25 s"),
                (7.49, "7.49 s"),
                (59.96, "1 min"),
                (75.0, "1.25 min"),
                (300.0, "5 min"),
                (3598.0, "1 h"),
                (5400.0, "1 h 30 min"),
                (864000.0, "240 h"),
            ]
        ],
        ("minutes", 110.0, "1 h 50 min", "1 h 50 min"),
        ("minutes", 3000.0, "50 h", "50 h"),
        # what nobody enters is told in days where hours say nothing: 966 h are 40.25 days
        ("minutes", 5999.0, "99 h 59 min", "99 h 59 min"),
        ("minutes", 6000.0, "4.2 days", "4.2 days"),
        ("minutes", 14384.0, "10 days", "10 days"),
        ("minutes", 966 * 60.0, "40 days", "40 days"),
        ("current", 2.345, "2.35 A", "2.35 A"),
        ("current", 9.96, "9.96 A", "9.96 A"),
        ("current", 41.66, "41.7 A", "41.7 A"),
        ("mass", 25.0, "55.1 lb", "25 kg"),
        ("allowance", 0.1, "4 in", "10 cm"),
        ("temperature_step", 10.0, "18 F", "10 C"),
        ("share", 0.634, "63%", "63%"),
        ("margin", 0.0045, "0.0045", "0.0045"),
        ("margin", 153.2, "153", "153"),
        ("frequency", 1234.4, "1234 Hz", "1234 Hz"),
        # source: a pound-force inch is 0.112985 N m
        ("torque", 2.4, "21 lbf in", "2.4 N m"),
        ("stress", 123.45e6, "123 MPa", "123 MPa"),
        ("length", None, "-", "-"),
        ("length", float("nan"), "-", "-"),
    ],
)
def test_shows_in_both_habits(kind: str, value: float | None, in_inch: str, in_metric: str) -> None:
    assert format_quantity(kind, value, INCH) == in_inch
    assert format_quantity(kind, value, METRIC) == in_metric


def test_a_balance_says_which_way_it_goes() -> None:
    assert format_signed("current", 12.34, METRIC) == "+12.3 A"
    assert format_signed("current", -12.34, METRIC) == "-12.3 A"
    assert format_signed("current", None, METRIC) == "-"


def test_a_quantity_of_materials_is_a_count_or_carries_its_unit() -> None:
    # by hand: 3.048 m are 10 ft
    assert format_amount(4, "each", INCH) == "4"
    assert format_amount(3.048, "m", INCH) == "10 ft"
    assert format_amount(0.5, "m2", METRIC) == "0.5 m2"
    assert format_amount(2, "rolls", METRIC) == "2 rolls"


def test_what_there_is_not_has_a_word_of_its_own() -> None:
    assert format_quantity("duration", None, INCH, "never") == "never"


ROUNDING = {
    "price": (0.005, 0.0),
    "percent": (0.0005, 1e-9),
    "duration": (30.0, 0.0),
    "ratio": (0.0005, 1e-9),
    # Half a unit in the last place shown, absolute and relative, in base units.
    "length": (0.05 * 0.0254 + 0.0005, 0.005),
    "small_length": (0.00005, 0),
    "power": (0.5, 0.005),
    "current": (0.05, 0.005),
    "voltage": (0.005, 0),
    "resistance": (0.00005, 0.005),
    "capacity": (0.05, 0),
    "capacitance": (0.005, 0),
    "temperature": (0.5, 0),
    "mass": (0.0005, 0.005),
    "angle": (0.05, 0),
    "area": (0.000035, 0.06),
    "fraction": (0.0005, 0),
    "count": (0.5, 0),
}


@given(
    st.sampled_from(sorted(KINDS)),
    st.floats(-20000, 20000) | st.floats(-2, 2),
    st.sampled_from(HABITS),
)
@example("length", 36 * 0.0254, INCH)
@example("length", 35.999 * 0.0254, INCH)
@example("length", 119.9999 * 0.0254, INCH)
@example("power", 999.9, INCH)
def test_what_is_shown_can_be_typed_again(kind: str, value: float, habit: UnitHabit) -> None:
    if kind == "fraction":
        value = abs(value) % 1
    shown = format_quantity(kind, value, habit)
    again = parse_quantity(kind, shown, habit)
    absolute, relative = ROUNDING[kind]
    assert again == pytest.approx(value, abs=absolute * 1.001, rel=relative)
    assert format_quantity(kind, again, habit) == shown


@pytest.mark.parametrize(
    ("text", "gauge"),
    [
        *[(t, "AWG 1/0") for t in ("1/0", "0", "AWG 0", "1/0 awg", "AWG 1/0", "1 / 0", "0 ga")],
        *[(t, "AWG 2/0") for t in ("2/0 AWG", "00")],
        ("0000", "AWG 4/0"),
        *[
            (t, "AWG 4")
            for t in ("4", "AWG 4", "4 ga", "4ga", "4 gauge", "#4", "04", "4 AWG", "4g", "4 G")
        ],
        ("#8", "AWG 8"),
        ("24", "AWG 24"),
        *[
            (t, "35 mm2")
            for t in ("35 mm2", "35mm²", "35 sq mm", "35 mm^2", "35 sqmm", "35.0 mm2", "35mm")
        ],
        ("2,5 mm2", "2.5 mm2"),
    ],
)
def test_reads_wire_sizes(text: str, gauge: str) -> None:
    assert parse_gauge(text) == gauge


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("35", "write mm2"),
        ("3.5", "write mm2"),
        ("25", "write mm2"),
        ("00000", "write mm2"),
        ("5/0", "no wire size"),
        ("36 mm2", "35 mm2 and 40 mm2"),
        ("500 mm2", "near it there is 120 mm2"),
        ("", "nothing was typed"),
        ("mm2", "no wire size"),
        ("1" * 31, "too long"),
        ("big", "no wire size"),
        ("\x1b4", "\u241b4"),
    ],
)
def test_refuses_wire_sizes_that_do_not_exist(text: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        parse_gauge(text)


@pytest.mark.parametrize("gauge", AWG_SIZES + METRIC_SIZES)
def test_every_wire_size_comes_back_from_what_is_shown(gauge: str) -> None:
    assert parse_gauge(format_gauge(gauge)) == gauge
    assert parse_gauge(gauge) == gauge


def test_showing_and_typing_trade_units_does_not_wait_for_pint() -> None:
    code = (
        "import sys; from domain.units.parse import parse_quantity, format_quantity\n"
        "from domain.build.records import UnitHabit\n"
        "v = parse_quantity('length', '3 ft 6 in', UnitHabit.INCH)\n"
        "print(format_quantity('length', v, UnitHabit.INCH), 'pint' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["3", "ft", "6", "in", "False"]


@pytest.mark.parametrize("kind", ["current", "length", "voltage", "temperature"])
def test_minus_nothing_is_nothing(kind: str) -> None:
    # by definition: -0 is 0, and is shown without a sign
    for text in ("-0", "0"):
        assert math.copysign(1, parse_quantity(kind, text, METRIC)) == 1
        assert not format_quantity(kind, parse_quantity(kind, text, METRIC), METRIC).startswith("-")


@pytest.mark.parametrize(
    ("text", "celsius"), [("491.67 degR", 0.0), ("671.67 degR", 100.0), ("80 reaumur", 100.0)]
)
def test_degrees_that_are_in_no_table(text: str, celsius: float) -> None:
    # by definition: 0 R is absolute zero and 1.8 R are 1 K; water boils at 80 degrees of Reaumur
    assert parse_quantity("temperature", text, METRIC) == pytest.approx(celsius, abs=1e-9)
