"""Quantities as short text: the only place that says how a figure of some kind is printed.

Screen, text and paper all show a figure by ``format_quantity``, so that it reads the same on
each. Every kind has one rule; it stands in the docstring of its function below. What is shown can
be typed again and comes back within the rounding shown, for all kinds that ``KINDS`` has.
"""

import math
from collections.abc import Callable

from domain.units.habit import UnitHabit
from domain.units.unit_table import INCH, POUND, SQUARE_FOOT, SQUARE_INCH

_LBF_IN_NM = 4.4482216152605 * 0.0254
"""A pound-force inch [N m], exact by definition."""

NOTHING = "-"
"""What is shown in place of a missing figure."""


def format_quantity(
    kind: str, value: float | None, units: UnitHabit, nothing: str = NOTHING
) -> str:
    """A value in the kind's base unit as short text for a table; ``nothing`` is what ``None`` is.

    Base units: m, W, A, V, ohm, Ah, C, kg, deg, m2, s (min for "minutes"), Hz, N m, Pa, 1.
    ``KeyError`` if there is no such kind.
    """
    if value is None or not math.isfinite(value):
        return nothing
    return _FORMATS[kind](value, units == UnitHabit.INCH)


def format_signed(kind: str, value: float | None, units: UnitHabit) -> str:
    """The same with a plus before what is more than nothing: a balance, a change."""
    shown = format_quantity(kind, value, units)
    return f"+{shown}" if value is not None and value > 0 and shown != NOTHING else shown


def format_amount(quantity: float, unit: str, units: UnitHabit) -> str:
    """A quantity of the bill of materials: lengths, areas, masses as such, a bare count of pieces.

    ``unit`` is that of the line: "m", "m2", "kg", "each", or a word that stands behind the number.
    """
    kind = {"m": "length", "m2": "area", "kg": "mass"}.get(unit)
    if kind is not None:
        return format_quantity(kind, quantity, units)
    return trimmed(quantity, 2) + ("" if unit == "each" else f" {unit}")


def format_size(kind: str, sides: tuple[float, ...], units: UnitHabit) -> str:
    """The sides of something flat or of a box: "400 mm x 300 mm"."""
    return " x ".join(format_quantity(kind, side, units) for side in sides)


def format_taped(sides: tuple[float, ...], units: UnitHabit) -> str:
    """Lengths on a part as they are read off a tape [m]: inches with the nearest 32nd beside.

    "7.25 in x 11.188 in (7 1/4 x 11 3/16)"; whole inches and millimetres stand alone.
    """
    shown = format_size("small_length", sides, units)
    if units is not UnitHabit.INCH:
        return shown
    marks = [round(side / INCH.factor * _TAPE) for side in sides]
    if all(mark % _TAPE == 0 for mark in marks) and all(
        abs(side / INCH.factor * _TAPE - mark) < _ON_MARK
        for side, mark in zip(sides, marks, strict=True)
    ):
        return shown
    return f"{shown} ({' x '.join(_tape_mark(mark) for mark in marks)})"


_TAPE = 32
"""Marks to the inch of a fine tape."""

_ON_MARK = 0.02
"""A length this near to a mark is that mark."""


def _tape_mark(mark: int) -> str:
    """So many 32nds of an inch as a tape shows them: 7 1/4."""
    whole, part = divmod(abs(mark), _TAPE)
    sign = "-" if mark < 0 else ""
    if not part:
        return f"{sign}{whole}"
    common = math.gcd(part, _TAPE)
    fraction = f"{part // common}/{_TAPE // common}"
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


def clock(time_s: float) -> str:
    """A moment since the beginning [s] in hours, minutes and seconds: "0:05:30"."""
    minutes, rest = divmod(round(time_s), 60)
    return f"{minutes // 60}:{minutes % 60:02}:{rest:02}"


def trimmed(value: float, decimals: int) -> str:
    """A number with at most this many decimals and no trailing zeros; a half is rounded up."""
    # 6.35 lies just below itself in binary; the nudge makes 6.4 of it, as people do.
    text = f"{value * 1.000000000001:.{decimals}f}"
    if decimals:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def figures(value: float, count: int = 3) -> str:
    """A number with this many significant figures, no trailing zeros and never an exponent.

    Whole numbers keep all their figures; what is below a millionth is nothing.
    """
    if not value:
        return "0"
    decimals = count - 1 - math.floor(math.log10(abs(value)))
    return trimmed(value, min(max(decimals, 0), 6))


def _length(value: float, inch: bool) -> str:
    """Along a wire or a vehicle: cm to a millimetre below 1 m, then m to a centimetre; inches to
    a hundredth below a yard, then feet and inches to a tenth, quarters of an inch always whole."""
    if not inch:
        cm = trimmed(value * 100, 1)
        return f"{cm} cm" if abs(float(cm)) < 100 else f"{trimmed(value, 2)} m"
    inches = abs(value / INCH.factor)
    # Quarters of an inch are shown whole, for people read them off the tape.
    inches = round(inches, 2 if inches < 36 or (round(inches, 2) * 4).is_integer() else 1)
    sign = "-" if value < 0 and inches else ""
    if inches < 36:
        return f"{sign}{trimmed(inches, 2)} in"
    feet = int(inches // 12)
    rest = trimmed(inches - 12 * feet, 2)
    return f"{sign}{feet} ft" if rest == "0" else f"{sign}{feet} ft {rest} in"


def least_length(kind: str, units: UnitHabit) -> tuple[float, str] | None:
    """The least length of a kind that is not shown as 0, in m and in words; half a step of what is
    shown. ``None`` of a kind that is no length."""
    step = _LENGTH_STEPS.get(kind)
    if step is None:
        return None
    if units == UnitHabit.INCH:
        return step[0] / 2 * INCH.factor, f"{trimmed(step[0] / 2, 4)} in"
    return step[1] / 2000, f"{trimmed(step[1] / 2, 2)} mm"


_LENGTH_STEPS = {"length": (0.01, 1.0), "small_length": (0.001, 0.1)}
"""The finest that ``_length`` and ``_small_length`` show, in inches and in millimetres."""


def _allowance(value: float, inch: bool) -> str:
    """A length that was settled on and not measured: as a length, inches to the nearest quarter."""
    if inch:
        return f"{round(value / INCH.factor * 4) / 4:g} in"
    return _length(value, inch)


def _small_length(value: float, inch: bool) -> str:
    """On a part or a cable: mm to a tenth, inches to a thousandth."""
    return f"{trimmed(value / INCH.factor, 3)} in" if inch else f"{trimmed(value * 1000, 1)} mm"


def _power(value: float, inch: bool) -> str:
    """W to a tenth below 100 W, whole below 1 kW, then kW to a hundredth."""
    watts = trimmed(value, 1 if abs(value) < 100 else 0)
    return f"{watts} W" if abs(float(watts)) < 1000 else f"{trimmed(value / 1000, 2)} kW"


def _current(value: float, inch: bool) -> str:
    """A to a hundredth below 10 A, to a tenth below 100 A, then whole."""
    size = abs(value)
    return f"{trimmed(value, 2 if size < 10 else 1 if size < 100 else 0)} A"


def _voltage(value: float, inch: bool) -> str:
    """V to a hundredth, as a meter shows it: the zeros stay."""
    text = f"{value:.2f}"
    return "0.00 V" if text == "-0.00" else f"{text} V"


def _resistance(value: float, inch: bool) -> str:
    """Ohm to a hundredth; below 1 ohm in mohm, to a tenth, below 100 mohm to a hundredth."""
    size = abs(value)
    if size >= 1:
        return f"{trimmed(value, 2)} ohm"
    return f"{trimmed(value * 1000, 2 if size < 0.1 else 1)} mohm"


def _capacity(value: float, inch: bool) -> str:
    """Ah to a tenth."""
    return f"{trimmed(value, 1)} Ah"


def _capacitance(value: float, inch: bool) -> str:
    """F to a hundredth."""
    return f"{trimmed(value, 2)} F"


def _temperature(value: float, inch: bool) -> str:
    """Whole degrees."""
    return f"{trimmed(value * 9 / 5 + 32, 0)} F" if inch else f"{trimmed(value, 0)} C"


def _temperature_step(value: float, inch: bool) -> str:
    """How much warmer, in whole degrees: 10 C are 18 F."""
    return f"{trimmed(value * 9 / 5, 0)} F" if inch else f"{trimmed(value, 0)} C"


def _mass(value: float, inch: bool) -> str:
    """kg or lb to a thousandth below 1, to a hundredth below 10, then to a tenth."""
    shown = value / POUND.factor if inch else value
    size = abs(shown)
    return f"{trimmed(shown, 3 if size < 1 else 2 if size < 10 else 1)} {'lb' if inch else 'kg'}"


def _area(value: float, inch: bool) -> str:
    """cm2 to a tenth below 0.1 m2, then m2 to a hundredth; square inches to a tenth below a
    square foot, then square feet to a hundredth."""
    if not inch:
        return f"{trimmed(value * 1e4, 1)} cm2" if abs(value) < 0.1 else f"{trimmed(value, 2)} m2"
    if abs(value) < SQUARE_FOOT.factor:
        return f"{trimmed(value / SQUARE_INCH.factor, 1)} sq in"
    return f"{trimmed(value / SQUARE_FOOT.factor, 2)} sq ft"


def _angle(value: float, inch: bool) -> str:
    """Degrees to a tenth."""
    return f"{trimmed(value, 1)} deg"


def _duration(value: float, inch: bool) -> str:
    """How long, from microseconds to hours, in the unit that people say: three figures of ms below
    0.1 s, of s below a minute, of min below an hour; then hours and minutes, "1 h 50 min", from
    100 h on whole hours."""
    size = abs(value)
    seconds = figures(size)
    if seconds == "0":
        return "0 s"
    sign = "-" if value < 0 else ""
    if float(seconds) < 0.1:
        return f"{sign}{figures(size * 1000)} ms"
    if float(seconds) < 60:
        return f"{sign}{seconds} s"
    minutes = figures(float(seconds) / 60)
    if float(minutes) < 60:
        return f"{sign}{minutes} min"
    hours, rest = divmod(round(size / 60), 60)
    if hours >= 100:
        return f"{sign}{round(size / 3600)} h"
    return f"{sign}{hours} h" if not rest else f"{sign}{hours} h {rest} min"


def _minutes(value: float, inch: bool) -> str:
    """How long something lasts that nobody enters: as a duration; from 100 h on in days, to a
    tenth below ten of them."""
    days = value / _DAY_MIN
    if abs(value) < _FROM_DAYS_MIN:
        return _duration(value * 60, inch)
    return f"{trimmed(days, 1 if abs(days) < 9.95 else 0)} days"


_DAY_MIN = 24 * 60

_FROM_DAYS_MIN = 100 * 60
"""Nobody sees in 966 h that these are six weeks."""


def _fraction(value: float, inch: bool) -> str:
    """Percent to a tenth."""
    return f"{trimmed(value * 100, 1)}%"


def _share(value: float, inch: bool) -> str:
    """Percent, whole: a charge, a waste, what nobody enters."""
    return f"{trimmed(value * 100, 0)}%"


def _margin(value: float, inch: bool) -> str:
    """How many times over: two figures."""
    return figures(value, 2)


def _frequency(value: float, inch: bool) -> str:
    """Hz with three figures."""
    return f"{figures(value)} Hz"


def _torque(value: float, inch: bool) -> str:
    """N m with two figures; pound-force inches in inch habit, as small torque tools have."""
    return f"{figures(value / _LBF_IN_NM, 2)} lbf in" if inch else f"{figures(value, 2)} N m"


def _stress(value: float, inch: bool) -> str:
    """MPa with three figures."""
    return f"{figures(value / 1e6)} MPa"


def _price(value: float, inch: bool) -> str:
    """Two decimals."""
    return f"{value + 0.0:.2f}".replace("-0.00", "0.00")


def _percent(value: float, inch: bool) -> str:
    """A percentage that was entered as such, to a thousandth."""
    return f"{trimmed(value, 3)}%"


def _ratio(value: float, inch: bool) -> str:
    """A number to a thousandth."""
    return trimmed(value, 3)


def _count(value: float, inch: bool) -> str:
    """A whole number."""
    return trimmed(value, 0)


_FORMATS: dict[str, Callable[[float, bool], str]] = {
    "length": _length,
    "allowance": _allowance,
    "small_length": _small_length,
    "power": _power,
    "current": _current,
    "voltage": _voltage,
    "resistance": _resistance,
    "capacity": _capacity,
    "capacitance": _capacitance,
    "temperature": _temperature,
    "temperature_step": _temperature_step,
    "mass": _mass,
    "angle": _angle,
    "area": _area,
    "fraction": _fraction,
    "share": _share,
    "duration": _duration,
    "minutes": _minutes,
    "margin": _margin,
    "frequency": _frequency,
    "torque": _torque,
    "stress": _stress,
    "ratio": _ratio,
    "price": _price,
    "percent": _percent,
    "count": _count,
}
